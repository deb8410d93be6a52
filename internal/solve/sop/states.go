package sop

// The exact programme: for growing t, every set of t+1 nodes that is closed
// under precedence, with each node it may end on, at the least cost; a state
// whose cost and bound on the rest exceed a goal is dropped. The bounds are
// the labels of the relaxation that do not contradict the set.
//
// Ref: heldkarp1962, salii2019

// layer holds the sets of one size and their states.
type layer struct {
	words int
	sets  []uint64 // words per set
	marks []uint64 // by set: the remembered nodes in it
	head  []int32  // by set: its first state
	slots []int32  // hash table: set+1, 0 if empty

	node []int16 // by state: the node it ends on
	from []int32 // by state: the state of the layer before
	cost []int64 // by state: of its cheapest sequence
	part []int64 // by state: what that sequence adds to the bound, scaled
	next []int32 // by state: another state of the same set, or -1
}

// trail is what is kept of a finished layer.
type trail struct {
	node []int16
	from []int32
}

func (l *layer) clear() {
	l.sets, l.marks, l.head = l.sets[:0], l.marks[:0], l.head[:0]
	l.node, l.from, l.cost, l.next = nil, nil, l.cost[:0], l.next[:0]
	l.part = l.part[:0]
	clear(l.slots)
}

func (l *layer) set(i int) bitset { return l.sets[i*l.words : (i+1)*l.words] }

// bytes is about what the layer takes.
func (l *layer) bytes() int64 {
	return int64(len(l.sets)*8 + len(l.head)*12 + len(l.slots)*4 + len(l.node)*26)
}

// offer adds the state that ends set on node; each is offered once only, since
// it comes from the set without the node.
func (l *layer) offer(set bitset, node int16, marks uint64, cost, part int64, from int32) {
	i := l.find(set)
	if i == len(l.head) {
		l.sets = append(l.sets, set...)
		l.marks = append(l.marks, marks)
		l.head = append(l.head, -1)
	}
	l.node = append(l.node, node)
	l.from = append(l.from, from)
	l.cost = append(l.cost, cost)
	l.part = append(l.part, part)
	l.next = append(l.next, l.head[i])
	l.head[i] = int32(len(l.node) - 1)
}

// find returns the number of a set, or the next free number, for which it has
// then reserved a slot.
func (l *layer) find(set bitset) int {
	if 2*(len(l.head)+1) > len(l.slots) {
		l.grow()
	}
	mask := uint64(len(l.slots) - 1)
	for h := hash(set) & mask; ; h = (h + 1) & mask {
		i := int(l.slots[h]) - 1
		if i < 0 {
			l.slots[h] = int32(len(l.head) + 1)
			return len(l.head)
		}
		if l.set(i).equal(set) {
			return i
		}
	}
}

func (l *layer) grow() {
	l.slots = make([]int32, max(1024, 2*len(l.slots)))
	mask := uint64(len(l.slots) - 1)
	for i := range l.head {
		h := hash(l.set(i)) & mask
		for l.slots[h] != 0 {
			h = (h + 1) & mask
		}
		l.slots[h] = int32(i + 1)
	}
}

func hash(set bitset) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, x := range set {
		h = (h ^ x) * 0xff51afd7ed558ccd
		h ^= h >> 32
	}
	return h
}

// outcome of an attempt to finish.
type outcome int

const (
	calledOff outcome = iota
	tooMany           // the states took more room or steps than allowed
	settled           // no order costs the goal or less, or the best one is found
)

// attempt is one run of the exact programme.
type attempt struct {
	p     *prover
	goal  int64 // scaled
	best  []int64
	from  []int32
	seen  []int16 // nodes with a cost in best
	child bitset
}

// finish looks for orders that cost no more than goal among those the graph
// still has, within so many bytes and steps.
func (p *prover) finish(goal int64, room, steps int64) outcome {
	n := p.g.n
	a := &attempt{p: p, goal: goal, best: make([]int64, n), from: make([]int32, n), child: newBitset(n)}
	for k := range a.best {
		a.best[k] = noPath
	}
	now, next := &layer{words: len(a.child)}, &layer{words: len(a.child)}
	a.child.add(0)
	now.offer(a.child, 0, p.g.bit[0], 0, 0, -1)
	var past []trail
	kept, until := int64(0), p.b.used+steps
	for t := range n - 1 {
		next.clear()
		for i := range now.head {
			if !p.spend(a.expand(now, i, t, next)) {
				return calledOff
			}
			if i%64 == 0 && (kept+now.bytes()+next.bytes() > room || p.b.used > until) {
				p.raise(a.frontier(now, t))
				return tooMany
			}
		}
		past = append(past, trail{now.node, now.from})
		kept += int64(6 * len(now.node))
		now, next = next, now
		if len(now.head) == 0 {
			p.raise(int(goal/scale) + 1)
			return settled
		}
	}
	p.found = elite{trace(past, now), int(now.cost[0])}
	p.upper = min(p.upper, p.found.cost)
	p.raise(p.found.cost)
	return settled
}

// expand offers the sets that are one node larger than set i of position t
// and returns the steps it took.
func (a *attempt) expand(now *layer, i, t int, next *layer) int {
	p, g, n := a.p, a.p.g, a.p.g.n
	set := now.set(i)
	work := 4
	for s := now.head[i]; s >= 0; s = now.next[s] {
		j, base := int(now.node[s]), now.cost[s]
		row := p.in.c[j*n : j*n+n]
		arcs := g.arcs[t*n+j]
		work += len(arcs)
		for _, k := range arcs {
			cost := base + int64(row[k])
			if cost >= a.best[k] {
				continue
			}
			if a.best[k] == noPath {
				if set.has(int32(k)) || !p.free(set, k) {
					continue
				}
				a.seen = append(a.seen, k)
			}
			a.best[k], a.from[k] = cost, s
		}
	}
	for _, k := range a.seen {
		s, cost := a.from[k], a.best[k]
		a.best[k] = noPath
		part := now.part[s] + g.cost[int(now.node[s])*n+int(k)] - g.price[k]
		marks := now.marks[i] | g.bit[k]
		ok, looked := p.within(t+1, int(k), marks, a.goal-g.base-g.total-part)
		work += looked
		if ok {
			copy(a.child, set)
			a.child.add(int32(k))
			next.offer(a.child, k, marks, cost, part, s)
			work += 8
		}
	}
	a.seen = a.seen[:0]
	return work
}

// within reports whether the relaxation knows a way from k at position t to
// the end that costs no more than most and visits no node marked, and how many
// labels it looked at.
func (p *prover) within(t, k int, marks uint64, most int64) (ok bool, looked int) {
	tails := p.ahead.at(t*p.g.n + k)
	marks &^= p.g.bit[k]
	for m := range tails {
		if tails[m].cost > most {
			return false, m + 1
		}
		if tails[m].mem&marks == 0 {
			return true, m + 1
		}
	}
	return false, len(tails)
}

// free reports whether all that must precede k is in the set.
func (p *prover) free(set bitset, k int16) bool {
	for _, u := range p.in.pred[k] {
		if !set.has(u) {
			return false
		}
	}
	return true
}

// frontier is a lower bound from a complete layer: every order that costs no
// more than the goal passes through one of its states.
func (a *attempt) frontier(l *layer, t int) int {
	p := a.p
	least := a.goal + scale
	for i, s := range l.head {
		for ; s >= 0; s = l.next[s] {
			k := l.node[s]
			for _, tail := range p.ahead.at(t*p.g.n + int(k)) {
				if tail.mem&^p.g.bit[k]&l.marks[i] == 0 {
					least = min(least, l.part[s]+tail.cost+p.g.total+p.g.base)
					break
				}
			}
		}
	}
	return int((least + scale - 1) / scale)
}

// trace reads the order that ends in state 0 of the last layer.
func trace(past []trail, end *layer) []int32 {
	order := make([]int32, len(past)+1)
	order[len(past)] = int32(end.node[0])
	from := end.from[0]
	for t := len(past) - 1; t >= 0; t-- {
		order[t] = int32(past[t].node[from])
		from = past[t].from[from]
	}
	return order
}
