package sop

import (
	"math"
	"math/bits"
	"slices"
	"sync"
	"sync/atomic"
)

// The exact programme for few nodes, where nearly every set closed under
// precedence has to be gone through. The sets of one size are kept in the
// order of their numbers. Adding node k to those without it keeps that order,
// so the next size comes of merging one stream for each k: no hashing, and
// memory is read from front to back. Ranges of numbers are merged side by
// side; what comes out does not depend on who does which.
//
// Ref: heldkarp1962, salii2019

const (
	fewNodes = 30      // the sets must fit a word of 32 bits
	lowCost  = 1 << 29 // costs below this can be added up in 32 bits, with arcs that are ruled out
	mostSeen = 40      // labels looked at for one bound
	wide     = 32
)

// sortedSet is a set of nodes with its states: one for each node it may end
// on, in the order of the nodes.
type sortedSet struct {
	mask, ends uint32
	at         uint32 // where its states begin in its span
}

// sum is the least cost of a state and what that adds to the bound, scaled,
// then shifted.
type sum struct {
	cost uint32
	part int32
}

const (
	pageBits = 14
	pageSize = 1 << pageBits
)

type sumPage [pageSize]sum

// span holds the sets of one size in a range of numbers.
type span struct {
	sets   []sortedSet
	pages  []*sumPage
	used   uint32 // slots of pages, the last page's rest left out
	states int
}

func (s *span) sum(at uint32) *sum { return &s.pages[at>>pageBits][at&(pageSize-1)] }

// exhaustion is one run over all sets.
type exhaustion struct {
	p     *prover
	n     int
	goal  int64 // scaled, without what every order costs
	shift int
	need  [wide]uint32 // by node: itself and all that must precede it
	pre   [wide]uint32 // by node: all that must precede it
	now   []*span

	// Of the arcs into each node at this position: cost and part.
	cost [wide * wide]uint32
	part [wide * wide]int32

	room int64
	size atomic.Int64 // bytes in use
	mu   sync.Mutex
	free []*sumPage
}

// exhaust finds the least cost of all orders that cost no more than goal among
// those the graph still has, and raises the bound to it, unless that takes
// more than room bytes.
func (p *prover) exhaust(goal, room int64) outcome {
	x := p.newExhaustion(goal, room)
	for t := range x.n - 1 {
		next, ok := x.layer(t)
		if p.b.stop.Load() || !p.spend(x.work()) {
			return calledOff
		}
		if !ok {
			return tooMany
		}
		for _, s := range x.now {
			x.recycle(s)
		}
		x.now = next
		if len(next) == 0 {
			p.raise(int(goal/scale) + 1)
			return settled
		}
	}
	p.raise(int(x.now[0].sum(0).cost))
	return settled
}

func (p *prover) newExhaustion(goal, room int64) *exhaustion {
	g := p.g
	x := &exhaustion{p: p, n: g.n, goal: goal - g.base - g.total, room: room}
	most := int64(1)
	for e, c := range p.in.c {
		if c != noArc {
			step := g.cost[e] - g.price[e%g.n]
			most = max(most, step, -step)
		}
	}
	x.shift = max(0, bits.Len64(uint64(most)*uint64(g.n))-30)
	for k := range x.n {
		for _, u := range p.in.pred[k] {
			x.pre[k] |= 1 << u
		}
		x.need[k] = x.pre[k] | 1<<k
	}
	first := &span{}
	x.place(first)
	*first.sum(0) = sum{}
	first.sets = []sortedSet{{mask: 1, ends: 1}}
	first.states, first.used = 1, 1
	x.now = []*span{first}
	return x
}

// work is about how many steps the layer after now takes.
func (x *exhaustion) work() int {
	w := 0
	for _, s := range x.now {
		w += len(s.sets)*x.n + s.states*x.n/4
	}
	return w
}

// layer merges the sets of the next size. It reports false if there was no
// room for them.
func (x *exhaustion) layer(t int) ([]*span, bool) {
	x.arcs(t)
	cuts := x.cuts()
	next := make([]*span, len(cuts)-1)
	var taken atomic.Int64
	merge := func() {
		for {
			r := int(taken.Add(1)) - 1
			if r >= len(next) {
				return
			}
			next[r] = x.merge(t, cuts[r], cuts[r+1])
		}
	}
	if len(next) == 1 {
		merge()
	} else {
		var wg sync.WaitGroup
		wg.Go(merge)
		merge()
		wg.Wait()
	}
	if slices.Contains(next, nil) {
		return nil, false
	}
	return slices.DeleteFunc(next, func(s *span) bool { return len(s.sets) == 0 }), true
}

// arcs reads what is left of the arcs from position t on.
func (x *exhaustion) arcs(t int) {
	for i := range x.cost {
		x.cost[i] = noArc
	}
	g, n := x.p.g, x.n
	for j := range n {
		for _, k := range g.arcs[t*n+j] {
			x.cost[int(k)*wide+j] = uint32(x.p.in.c[j*n+int(k)])
			x.part[int(k)*wide+j] = int32((g.cost[j*n+int(k)] - g.price[k]) >> x.shift)
		}
	}
}

// cuts divides the numbers of the next sets into ranges, a handful where there
// are many sets.
func (x *exhaustion) cuts() []uint64 {
	const pieces, sampled = 24, 32
	var masks []uint64
	for _, s := range x.now {
		for i := 0; i < len(s.sets); i += sampled {
			masks = append(masks, uint64(s.sets[i].mask))
		}
	}
	cuts := []uint64{0}
	if len(masks) > pieces {
		for i := 1; i < pieces; i++ {
			cuts = append(cuts, masks[i*len(masks)/pieces])
		}
	}
	return append(cuts, math.MaxUint64)
}

// stream goes through the sets that one node can be added to.
type stream struct {
	key  uint64 // the set with the node; MaxUint64 at the end
	node int
	span int
	i    int
}

// advance goes on to the next set, starting with the present one.
func (x *exhaustion) advance(s *stream) {
	need, pre := x.need[s.node], x.pre[s.node]
	for ; s.span < len(x.now); s.span, s.i = s.span+1, 0 {
		sets := x.now[s.span].sets
		for i := s.i; i < len(sets); i++ {
			if sets[i].mask&need == pre {
				s.i, s.key = i, uint64(sets[i].mask|1<<s.node)
				return
			}
		}
	}
	s.key = math.MaxUint64
}

// streams are at the first sets that give numbers from low on.
func (x *exhaustion) streams(low uint64) []stream {
	var l []stream
	for k := 1; k < x.n; k++ {
		s := stream{node: k}
		from := uint32(max(low, 1<<k) - 1<<k)
		for s.span < len(x.now) {
			sets := x.now[s.span].sets
			i, _ := slices.BinarySearchFunc(sets, from, func(a sortedSet, b uint32) int { return int(int64(a.mask) - int64(b)) })
			s.i = i
			if i < len(sets) {
				break
			}
			s.span, s.i = s.span+1, 0
		}
		x.advance(&s)
		l = append(l, s)
	}
	return l
}

// merge makes the sets with numbers from low to below high; nil if there was
// no room or all must stop.
func (x *exhaustion) merge(t int, low, high uint64) *span {
	out := &span{}
	l := x.streams(low)
	for count := 0; ; count++ {
		if count%1024 == 0 && (x.p.b.stop.Load() || x.size.Load() > x.room) {
			return nil
		}
		least := uint64(math.MaxUint64)
		for i := range l {
			least = min(least, l[i].key)
		}
		if least >= high || least == math.MaxUint64 {
			x.size.Add(int64(len(out.sets)) * 12)
			return out
		}
		x.place(out)
		set := sortedSet{mask: uint32(least), at: out.used}
		marks := x.p.marksOf(set.mask)
		w := 0
		for i := range l {
			s := &l[i]
			if s.key != least {
				continue
			}
			from := x.now[s.span]
			if best := x.extend(from, &from.sets[s.i], s.node); x.worth(t, s.node, marks, best) {
				*out.sum(set.at + uint32(w)) = best
				set.ends |= 1 << s.node
				w++
			}
			s.i++
			x.advance(s)
		}
		if w > 0 {
			out.sets = append(out.sets, set)
			out.used += uint32(w)
			out.states += w
		}
	}
}

// extend is the cheapest way to go on from a set to node k.
func (x *exhaustion) extend(from *span, set *sortedSet, k int) sum {
	cost := x.cost[k*wide : k*wide+wide]
	sums := from.pages[set.at>>pageBits][set.at&(pageSize-1):]
	best, tail, part := uint32(noArc), 0, int32(0)
	i := 0
	for ends := set.ends; ends != 0; ends &= ends - 1 {
		j := bits.TrailingZeros32(ends) & (wide - 1)
		if c := sums[i].cost + cost[j]; c < best {
			best, tail, part = c, j, sums[i].part
		}
		i++
	}
	return sum{best, part + x.part[k*wide+tail]}
}

// worth reports whether a state may lead to an order within the goal.
func (x *exhaustion) worth(t, k int, marks uint64, s sum) bool {
	if s.cost >= noArc {
		return false
	}
	most := x.goal - int64(s.part)<<x.shift
	tails := x.p.ahead.at((t+1)*x.n + k)
	marks &^= x.p.g.bit[k]
	for m := range tails {
		if tails[m].cost > most {
			return false
		}
		if tails[m].mem&marks == 0 || m == mostSeen {
			return true
		}
	}
	return false
}

// marksOf are the remembered nodes in a set.
func (p *prover) marksOf(set uint32) uint64 {
	m := uint64(0)
	for ; set != 0; set &= set - 1 {
		m |= p.g.bit[bits.TrailingZeros32(set)]
	}
	return m
}

// place makes room for the states of one more set, on one page.
func (x *exhaustion) place(s *span) {
	if int(s.used)+wide <= len(s.pages)*pageSize {
		return
	}
	s.used = uint32(len(s.pages)) * pageSize
	x.mu.Lock()
	defer x.mu.Unlock()
	x.size.Add(8 * pageSize)
	if last := len(x.free) - 1; last >= 0 {
		s.pages = append(s.pages, x.free[last])
		x.free = x.free[:last]
		return
	}
	s.pages = append(s.pages, new(sumPage))
}

// recycle takes back a span's room.
func (x *exhaustion) recycle(s *span) {
	x.size.Add(-int64(len(s.sets)*12 + len(s.pages)*8*pageSize))
	x.free = append(x.free, s.pages...)
}
