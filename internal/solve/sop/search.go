package sop

import (
	"math/bits"
	"math/rand/v2"
	"slices"
)

// search is one iterated local search: it disturbs a small stretch of its
// order, repairs it with block exchanges around the disturbed places only, and
// keeps or undoes the result by an annealing rule.
//
// Ref: gambardella2000
type search struct {
	t    *tour
	rng  *rand.Rand
	near [][]int32 // for each node, the nodes that may follow it, cheapest first
	b    *budget

	queue []int32 // tails to look at
	in    bitset  // nodes in queue
	done  []swap  // exchanges since the last kept order
	steps int     // inner steps not yet charged to the budget

	// Turning blocks round pays where costs are nearly symmetric, and only
	// there. Where few of the moves made are turns, it is tried now and then.
	turning      bool
	moves, turns int // made while turning was tried

	lap  elite // the best of this round
	best elite // the best of all

	// The annealing schedule: a round of roundLen disturbances cools from heat
	// to nothing. heat is in cost units times 1024.
	heat, round, roundLen int
}

// swap names an exchange of p[i+1..j] and p[j+1..k]; with j = i, the reversal
// of p[i+1..k] instead.
type swap struct{ i, j, k int32 }

// turnShare is the share of turns among moves, one in so many, above which
// they are always tried.
const turnShare = 12

// disturbed are the lengths up to which blocks are moved to disturb an order:
// short ones keep most of it, long ones lead away from it.
var disturbed = [...]int{3, 10, 30}

// nearCap bounds the list of followers of a node.
const nearCap = 10

func newSearch(in *instance, start []int32, near [][]int32, seed, stream uint64, b *budget) *search {
	s := &search{t: newTour(in, start), rng: rand.New(rand.NewPCG(seed, stream)), near: near, b: b}
	s.in = newBitset(in.n)
	s.turning = true
	s.lap = elite{slices.Clone(start), s.t.cost}
	s.best = elite{slices.Clone(start), s.t.cost}
	s.restart(start)
	return s
}

// restart begins a round at a feasible order.
func (s *search) restart(p []int32) {
	s.t.set(p)
	s.steps += len(p)
	s.lap.cost = s.t.cost + 1
	for v := range len(p) - 1 {
		s.push(int32(v))
	}
	s.descend()
	s.keepBest()
}

// followers lists for each node the nodes that may come straight after it,
// cheapest first.
func followers(in *instance) [][]int32 {
	near := make([][]int32, in.n)
	for i := range in.n {
		row := in.c[i*in.n : (i+1)*in.n]
		var l []int32
		for j, c := range row {
			if c != noArc {
				l = append(l, int32(j))
			}
		}
		slices.SortStableFunc(l, func(a, b int32) int { return int(row[a]) - int(row[b]) })
		near[i] = slices.Clone(l[:min(len(l), nearCap)])
	}
	return near
}

func (s *search) push(v int32) {
	if !s.in.has(v) {
		s.in.add(v)
		s.queue = append(s.queue, v)
	}
}

// descend applies improving exchanges until none starts at a queued tail.
func (s *search) descend() {
	for head := 0; head < len(s.queue); head++ {
		v := s.queue[head]
		s.in.remove(v)
		for s.improve(v) {
		}
	}
	s.queue = s.queue[:0]
}

// apply makes an exchange, notes it for undo and queues the nodes at its cuts.
func (s *search) apply(i, j, k, gain int) {
	t := s.t
	for _, q := range [3]int{i, j, k} {
		s.push(t.p[q])
		s.push(t.p[q+1])
	}
	t.exchange(i, j, k, gain)
	s.steps += (k - i) * 2
	s.done = append(s.done, swap{int32(i), int32(j), int32(k)})
}

// undo takes the noted exchanges back, down to the given number.
func (s *search) undo(keep int) {
	for len(s.done) > keep {
		m := s.done[len(s.done)-1]
		s.done = s.done[:len(s.done)-1]
		i, k := int(m.i), int(m.k)
		if m.i == m.j {
			s.t.reverse(i+1, k)
		} else {
			j := i + k - int(m.j)
			s.t.exchange(i, j, k, s.t.gain(i, j, k))
		}
		s.steps += (k - i) * 2
	}
}

// improve looks for the best exchange that gives tail a a cheaper follower x
// and applies it. Of the three tails of any improving exchange one gets a
// cheaper follower, so looking at every tail misses none.
func (s *search) improve(a int32) bool {
	t, n := s.t, s.t.in.n
	q := int(t.pos[a])
	if q == n-1 {
		return false
	}
	row := t.in.c[int(a)*n : int(a)*n+n]
	d := t.w[q]
	var m move
	best := 0
	for _, x := range s.near[a] {
		g := int(d - row[x])
		if g <= 0 {
			break
		}
		y := int(t.pos[x])
		s.steps += 4
		if y > q+1 {
			best = s.growRight(q, y-1, g, best, &m)
			best = s.growLeft(q, y-1, g, best, &m)
			if s.turning {
				best = s.turnLater(q, y, g, best, &m)
			}
		} else if y > 0 {
			best = s.cutInside(y-1, q, g, best, &m)
			if s.turning {
				best = s.turnEarlier(q, y, g, best, &m)
			}
		}
	}
	if best <= 0 {
		return false
	}
	if s.turning {
		s.moves++
		if m.r > 0 {
			s.turns++
		}
	}
	s.make(m)
	return true
}

// growRight tries the blocks i+1..j and j+1..k for every k that is feasible.
func (s *search) growRight(i, j, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	out := t.in.c[int(t.p[j])*n : int(t.p[j])*n+n]     // from the first block's end
	in := t.in.ct[int(t.p[i+1])*n : int(t.p[i+1])*n+n] // to the first block's start
	g += int(t.w[j])
	k := j + 1
	for ; k < n-1; k++ {
		v := t.p[k]
		if l := t.lp[v]; l > int32(i) && (l <= int32(j) || !t.mayFollow(v, int32(i), int32(j))) {
			break
		}
		if gain := g + int(t.w[k]) - int(in[v]) - int(out[t.p[k+1]]); gain > best {
			best, *m = gain, move{swap: swap{int32(i), int32(j), int32(k)}}
		}
	}
	s.steps += k - j
	return best
}

// growLeft tries the blocks i+1..j and j+1..k for every i that is feasible.
func (s *search) growLeft(j, k, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	out := t.in.c[int(t.p[k])*n : int(t.p[k])*n+n]     // from the second block's end
	in := t.in.ct[int(t.p[j+1])*n : int(t.p[j+1])*n+n] // to the second block's start
	// Here the arc that g stands for leaves tail p[j] for p[k+1].
	g += int(t.w[k])
	i := j - 1
	for ; i >= 0; i-- {
		v := t.p[i+1]
		if f := t.fs[v]; f <= int32(k) && (f > int32(j) || !t.mayLead(v, int32(j), int32(k))) {
			break
		}
		if gain := g + int(t.w[i]) - int(in[t.p[i]]) - int(out[v]); gain > best {
			best, *m = gain, move{swap: swap{int32(i), int32(j), int32(k)}}
		}
	}
	s.steps += j - i
	return best
}

// cutInside tries every feasible cut j of the stretch i+1..k.
func (s *search) cutInside(i, k, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	out := t.in.c[int(t.p[i])*n : int(t.p[i])*n+n]
	in := t.in.ct[int(t.p[k+1])*n : int(t.p[k+1])*n+n]
	g += int(t.w[i])
	reach := int32(0) // the last successor in the stretch of a node up to j
	j := i + 1
	for ; j < k; j++ {
		v := t.p[j]
		if t.fs[v] <= int32(k) {
			for _, u := range t.in.succ[v] {
				if y := t.pos[u]; y <= int32(k) && y > reach {
					reach = y
				}
			}
			if reach == int32(k) {
				break
			}
		}
		if reach > int32(j) {
			continue
		}
		if gain := g + int(t.w[j]) - int(out[t.p[j+1]]) - int(in[v]); gain > best {
			best, *m = gain, move{swap: swap{int32(i), int32(j), int32(k)}}
		}
	}
	s.steps += j - i
	return best
}

// disturb makes a feasible exchange or two of short blocks at a random place
// and reports whether it found one: A B C D E becomes A D C B E, or B and C
// change places where more is ruled out.
func (s *search) disturb() bool {
	t, n := s.t, s.t.in.n
	if n < 4 {
		return false
	}
	longest := min(disturbed[s.rng.IntN(len(disturbed))], max(1, n/3))
	for range 30 {
		i := s.rng.IntN(n - 3)
		j := i + 1 + s.rng.IntN(longest)
		k := j + 1 + s.rng.IntN(longest)
		if k >= n-1 || !t.feasible(i, j, k) {
			s.steps += 10
			continue
		}
		s.apply(i, j, k, t.gain(i, j, k))
		// Now it is A C B D E: bring D before C and B.
		l := k + 1 + s.rng.IntN(longest)
		if l < n-1 && t.feasible(i, k, l) {
			s.apply(i, k, l, t.gain(i, k, l))
		}
		return true
	}
	return false
}

// iterate is one disturbance, repair and verdict.
func (s *search) iterate() {
	was := s.t.cost
	s.done = s.done[:0]
	if !s.disturb() {
		s.steps += 1000
		return
	}
	s.turning = s.turns*turnShare >= s.moves || s.round%8 == 0
	s.descend()
	s.round++
	if s.t.cost > was+s.allowance() {
		s.undo(0)
	}
	s.keepBest()
}

func (s *search) keepBest() {
	if s.t.cost < s.lap.cost {
		s.lap.cost = s.t.cost
		copy(s.lap.p, s.t.p)
		if s.t.cost < s.best.cost {
			s.best.cost = s.t.cost
			copy(s.best.p, s.t.p)
		}
	}
}

// allowance is how much worse an order may be kept: exponentially distributed
// with a mean that falls over the round. Integers only (the logarithm runs
// straight between powers of two), so that every machine agrees.
func (s *search) allowance() int {
	r := s.rng.Uint64()
	zeros := bits.LeadingZeros64(r | 1)
	frac := int(r << (zeros + 1) >> 54) // ten bits after the leading one
	ln := (zeros+1)*1024 - frac         // -log2(r/2^64) * 1024
	left := int64(s.roundLen-s.round) << 10 / int64(s.roundLen)
	return int(int64(s.heat) * left >> 10 * int64(ln) >> 20)
}
