package sop

import (
	"math/rand/v2"
	"slices"
)

// island runs one search round after round, each from a fresh order, a good
// one or a cross of two, and keeps the few best results apart.
type island struct {
	in   *instance
	s    *search
	rng  *rand.Rand
	pool []elite // cheapest first, costs all different
	laps int     // rounds begun
}

type elite struct {
	p    []int32
	cost int
}

const (
	poolSize = 12
	poolMin  = 4 // fresh starts before the first cross
)

func newIsland(in *instance, near [][]int32, seed, stream uint64, b *budget) *island {
	is := &island{in: in, rng: rand.New(rand.NewPCG(seed, stream<<32|1))}
	is.s = newSearch(in, is.greedy(), near, seed, stream, b)
	is.nextRound()
	return is
}

// run searches until its budget is spent or an order of cost known is found.
func (is *island) run(known int) {
	s := is.s
	for s.best.cost > known && s.b.spend(s.steps) {
		s.steps = 0
		if s.round >= s.roundLen {
			is.accept(s.lap)
			is.nextRound()
		}
		s.iterate()
	}
}

// nextRound picks where the next round starts and how hot.
func (is *island) nextRound() {
	s := is.s
	mean := max(1, s.best.cost*1024/is.in.n)
	low := mean * (1 << is.rng.IntN(5)) / 8 // heat from 1/8 to 4 times the mean arc
	s.heat = low + is.rng.IntN(low+1)
	s.round, s.roundLen = 0, is.in.n*80*(20+is.laps)/20
	is.laps++
	switch r := is.rng.IntN(10); {
	case len(is.pool) < poolMin || r < 2:
		s.restart(is.greedy())
	case r < 7:
		a, b := is.pick(), is.pick()
		s.restart(is.cross(a, b))
	default:
		s.restart(is.pool[0].p)
	}
}

// accept puts an order into the pool unless one of its cost is there.
func (is *island) accept(e elite) {
	i, found := slices.BinarySearchFunc(is.pool, e.cost, func(a elite, c int) int { return a.cost - c })
	if found {
		copy(is.pool[i].p, e.p)
		return
	}
	is.pool = slices.Insert(is.pool, i, elite{slices.Clone(e.p), e.cost})
	if len(is.pool) > poolSize {
		is.pool = is.pool[:poolSize]
	}
}

func (is *island) pick() []int32 {
	n := len(is.pool)
	return is.pool[min(is.rng.IntN(n), is.rng.IntN(n))].p
}

// cross begins as one order does, up to a random place, and puts all else in
// the other's order. The result keeps every precedence that both parents keep.
//
// Ref: chen1996
func (is *island) cross(a, b []int32) []int32 {
	n := len(a)
	cut := 1 + is.rng.IntN(n-1)
	child := slices.Clone(a[:cut])
	have := newBitset(n)
	for _, v := range child {
		have.add(v)
	}
	for _, v := range b {
		if !have.has(v) {
			child = append(child, v)
		}
	}
	return child
}

// greedy builds an order by going to one of the two nearest free nodes.
func (is *island) greedy() []int32 {
	in, n := is.in, is.in.n
	waits := make([]int, n)
	for v := range n {
		waits[v] = len(in.pred[v])
	}
	free := []int32{0}
	p := make([]int32, 0, n)
	last := int32(0)
	for len(free) > 0 {
		first, second := 0, -1
		for i := 1; i < len(free); i++ {
			switch c := in.c[int(last)*n+int(free[i])]; {
			case c < in.c[int(last)*n+int(free[first])]:
				first, second = i, first
			case second < 0 || c < in.c[int(last)*n+int(free[second])]:
				second = i
			}
		}
		if second >= 0 && is.rng.IntN(4) == 0 {
			first = second
		}
		last = free[first]
		free = slices.Delete(free, first, first+1)
		p = append(p, last)
		for _, w := range in.succ[last] {
			if waits[w]--; waits[w] == 0 {
				free = append(free, w)
			}
		}
	}
	return p
}
