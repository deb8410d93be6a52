package sched

import (
	"math"
	"math/rand/v2"
)

// anneal improves an order by simulated annealing: most moves either carry a
// few neighbours to another place, best beside jobs of their own class, or
// join two jobs of one class by moving out of the way what lies between.
// Everything it decides by is whole numbers, so that it goes the same way on
// every machine.
//
// Ref: kirkpatrick1983 for the method.
type anneal struct {
	*sim
	rng  *rand.Rand
	logs [1024]int // -ln((i+½)/1024) in 1/1024

	// from and to are the places that moves begin at; 0, 0: any.
	from, to int

	best      cost
	bestOrder []int32
	bestWho   []uint8

	buf    []int32
	save   []int32
	front  []int32
	behind []int32
	run    []int32
	out    *replacer
}

func newAnneal(m *model, seed, stream uint64) *anneal {
	a := &anneal{sim: newSim(m), rng: rand.New(rand.NewPCG(seed, stream))}
	for i := range a.logs {
		a.logs[i] = int(math.Round(-1024 * math.Log((float64(i)+0.5)/1024)))
	}
	a.bestOrder = make([]int32, m.n)
	a.bestWho = make([]uint8, m.n)
	a.best = cost{a: 1 << 60}
	return a
}

func (a *anneal) remember() {
	if a.cost.less(a.best) {
		a.best = a.cost
		copy(a.bestOrder, a.order)
		copy(a.bestWho, a.who)
	}
}

// cool cools from hot to cold (1/1024 s) while progress, 0 to 1000, goes on.
func (a *anneal) cool(hot, cold int, progress func() int) {
	if a.m.n < 2 {
		return
	}
	cold = min(cold, max(hot/2, 1))
	ratio := int(math.Round(4096 * math.Pow(float64(cold)/float64(hot), 0.01)))
	for f := progress(); f < 1000; f = progress() {
		heat := hot
		for range f / 10 {
			heat = heat * ratio / 4096
		}
		if a.m.m > 1 {
			a.sortByStart()
		}
		for range 200 {
			a.step(max(heat, 1))
		}
	}
}

// step tries one move at the given heat (1/1024 s).
func (a *anneal) step(heat int) {
	a.steps++
	limit := a.energy(a.cost) + heat*a.logs[a.rng.IntN(1024)]>>20
	m := a.m
	switch {
	case m.m > 1:
		a.stepSeveral(limit)
	case m.m == 1 && a.rng.IntN(1000) < replaceShare:
		a.replace(heat, limit)
	case a.rng.IntN(3) == 0:
		a.join(limit)
	default:
		a.carry(limit)
	}
}

// pick picks a place.
func (a *anneal) pick() int {
	if a.to == 0 {
		return a.rng.IntN(a.m.n)
	}
	return a.from + a.rng.IntN(a.to-a.from)
}

// try plays the order in which places lo to hi hold buf instead, and keeps it
// if its cost is within limit.
func (a *anneal) try(lo, hi, limit int, buf []int32) bool {
	a.save = append(a.save[:0], a.order[lo:hi]...)
	a.put(lo, buf)
	c, end := a.play(lo, hi, limit)
	if a.energy(c) > limit {
		a.back(lo, end)
		a.put(lo, a.save)
		return false
	}
	a.keep(lo, end, c)
	a.remember()
	return true
}

func (a *anneal) put(lo int, jobs []int32) {
	for i, j := range jobs {
		a.order[lo+i] = j
		a.pos[j] = int32(lo + i)
	}
}

// carry moves a few neighbours to another place.
func (a *anneal) carry(limit int) {
	n := a.m.n
	from := a.pick()
	length := 1
	switch r := a.rng.IntN(8); {
	case r < 2:
		length = a.runFrom(from)
	case r < 4:
		length = 2 + a.rng.IntN(3)
	}
	to := min(from+length, n)
	lo, hi := a.reachOf(from, to)
	if lo == from && hi == to {
		return
	}
	at, ok := a.target(from, to, lo, hi)
	if !ok {
		return
	}
	a.buf = a.buf[:0]
	if a.tooDear(from, to, at, limit) {
		return
	}
	if at < from {
		a.buf = append(append(a.buf, a.order[from:to]...), a.order[at:from]...)
		a.try(at, to, limit, a.buf)
	} else {
		a.buf = append(append(a.buf, a.order[to:at]...), a.order[from:to]...)
		a.try(from, at, limit, a.buf)
	}
}

// runFrom is the length of the stretch of one class that begins at place i.
func (a *anneal) runFrom(i int) int {
	c, k := a.m.class[a.order[i]], i+1
	for k < a.m.n && a.m.class[a.order[k]] == c {
		k++
	}
	return k - i
}

// reachOf gives how far the jobs at places from to to may go: in front of any
// place from lo on, and up to hi.
func (a *anneal) reachOf(from, to int) (lo, hi int) {
	lo, hi = 0, a.m.n
	for _, j := range a.order[from:to] {
		for _, x := range a.m.into[j] {
			if p := int(a.pos[x.job]); p < from {
				lo = max(lo, p+1)
			}
		}
		for _, x := range a.m.out[j] {
			if p := int(a.pos[x.job]); p >= to {
				hi = min(hi, p)
			}
		}
	}
	return lo, hi
}

// target picks where the jobs at places from to to go: in front of place at.
func (a *anneal) target(from, to, lo, hi int) (at int, ok bool) {
	switch a.rng.IntN(4) {
	case 0: // behind one that it is cheap to follow
		near := a.m.near[a.order[from]]
		if len(near) > 0 {
			p := int(a.pos[near[a.rng.IntN(len(near))]]) + 1
			if p >= lo && p <= hi && (p < from || p > to) {
				return p, true
			}
		}
	case 1, 2: // beside a job of the first or the last one's class
		end := a.order[from]
		if a.rng.IntN(2) == 0 {
			end = a.order[to-1]
		}
		mates := a.m.byClass[a.m.class[end]]
		p := int(a.pos[mates[a.rng.IntN(len(mates))]]) + a.rng.IntN(2)
		if p >= lo && p <= hi && (p < from || p > to) {
			return p, true
		}
	}
	const far = 150
	lo, hi = max(lo, from-far), min(hi, to+far)
	places := (from - lo) + (hi - to)
	if places == 0 {
		return 0, false
	}
	at = lo + a.rng.IntN(places)
	if at >= from {
		at += to - from + 1
	}
	return at, true
}

// tooDear looks at the set-ups alone, for one worker: true if carrying costs
// more than all the waiting from there on could give back.
func (a *anneal) tooDear(from, to, at, limit int) bool {
	m := a.m
	lo := min(from, at)
	delta := a.edge(from-1, to) - a.edge(from-1, from) - a.edge(to-1, to) +
		a.edge(at-1, from) + a.edge(to-1, at) - a.edge(at-1, at)
	last := &a.before[m.n]
	return a.cost.a+delta-(last.wait-a.before[lo].wait)-m.slack > limit
}

// edge is the set-up between the jobs at two places; -1 stands for the start,
// n for the end.
func (a *anneal) edge(i, k int) int {
	switch {
	case k >= a.m.n:
		return 0
	case i < 0:
		return a.m.p.First[a.m.class[a.order[k]]]
	}
	return a.m.switchCost(a.m.class[a.order[i]], a.m.class[a.order[k]])
}

// join brings two jobs of one class together: what must come before the later
// one goes in front, what must come after the earlier one goes behind.
func (a *anneal) join(limit int) {
	m := a.m
	first := a.order[a.pick()]
	mates := m.byClass[m.class[first]]
	if len(mates) < 2 {
		return
	}
	second := mates[a.rng.IntN(len(mates))]
	lo, hi := int(a.pos[first]), int(a.pos[second])
	if lo > hi {
		lo, hi, first, second = hi, lo, second, first
	}
	if hi-lo < 2 || hi-lo > 400 {
		return
	}
	toFront := a.rng.IntN(2) == 0
	a.front, a.behind = a.front[:0], a.behind[:0]
	for _, j := range a.order[lo+1 : hi] {
		ahead, after := m.before(j, second), m.before(first, j)
		switch {
		case ahead && after:
			return
		case ahead, !after && toFront:
			a.front = append(a.front, j)
		default:
			a.behind = append(a.behind, j)
		}
	}
	a.buf = append(append(a.buf[:0], a.front...), first, second)
	a.buf = append(a.buf, a.behind...)
	if a.joinTooDear(lo, hi, limit) {
		return
	}
	a.try(lo, hi+1, limit, a.buf)
}

func (a *anneal) joinTooDear(lo, hi, limit int) bool {
	m := a.m
	delta := 0
	for i := lo; i <= hi+1; i++ {
		delta -= a.edge(i-1, i)
	}
	before := int32(-1)
	if lo > 0 {
		before = m.class[a.order[lo-1]]
	}
	for _, j := range a.buf {
		if before < 0 {
			delta += m.p.First[m.class[j]]
		} else {
			delta += m.switchCost(before, m.class[j])
		}
		before = m.class[j]
	}
	if hi+1 < m.n {
		delta += m.switchCost(before, m.class[a.order[hi+1]])
	}
	last := &a.before[m.n]
	return a.cost.a+delta-(last.wait-a.before[lo].wait)-m.slack > limit
}
