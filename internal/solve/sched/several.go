package sched

import (
	"cmp"
	"slices"
)

// sortByStart orders the jobs of all workers by their starts, so that a move
// between workers meets as few other jobs as possible. It changes no time. With
// a calendar a job that is cut may start before one it follows, so it is left.
func (a *anneal) sortByStart() {
	if a.m.backward || a.m.calendar || a.cost.a >= short {
		return
	}
	slices.SortStableFunc(a.order, func(x, y int32) int { return cmp.Compare(a.start[x], a.start[y]) })
	for i, j := range a.order {
		a.pos[j] = int32(i)
	}
	c, end := a.play(0, 0, 1<<60)
	a.keep(0, end, c)
}

// stepSeveral tries one move for several workers.
func (a *anneal) stepSeveral(limit int) {
	switch r := a.rng.IntN(16); {
	case r < 1:
		a.swapTails(limit)
	case r < 4:
		a.exchange(limit)
	case r < 7:
		a.relocateRun(limit)
	default:
		a.relocate(limit)
	}
}

// relocate puts a job right behind another on that one's worker.
func (a *anneal) relocate(limit int) {
	m := a.m
	j := a.order[a.rng.IntN(m.n)]
	x, w := a.forerunner(j)
	if x == j || m.allowed[j]&(1<<w) == 0 {
		return
	}
	from := int(a.pos[j])
	lo, hi := a.reachOf(from, from+1)
	at := lo
	if x >= 0 {
		at = int(a.pos[x]) + 1
	}
	if at < lo || at > hi {
		// Behind x is not allowed; as near as may be on the same worker is.
		at = min(max(at, lo), hi)
	}
	old := a.who[j]
	if w == old && (at == from || at == from+1) {
		return
	}
	a.who[j] = w
	if !a.moveOne(from, at, limit) {
		a.who[j] = old
	}
}

// relocateRun does the same with a job and those of its class that follow it on
// its worker.
func (a *anneal) relocateRun(limit int) {
	m := a.m
	j := a.order[a.rng.IntN(m.n)]
	x, w := a.forerunner(j)
	if x < 0 {
		return
	}
	old := a.who[j]
	a.run = a.run[:0]
	for _, k := range a.order[a.pos[j]:] {
		if a.who[k] != old {
			continue
		}
		if m.class[k] != m.class[j] || len(a.run) > 20 {
			break
		}
		if k == x || m.allowed[k]&(1<<w) == 0 {
			return
		}
		a.run = append(a.run, k)
	}
	at := a.pos[x]
	for _, k := range a.run {
		for _, y := range m.into[k] {
			if a.pos[y.job] > at && !slices.Contains(a.run, y.job) {
				return
			}
		}
		for _, y := range m.out[k] {
			if a.pos[y.job] <= at && !slices.Contains(a.run, y.job) {
				return
			}
		}
	}
	lo, hi := int(min(at+1, a.pos[j])), int(max(at, a.pos[a.run[len(a.run)-1]]))+1
	a.buf = a.buf[:0]
	if at < a.pos[j] {
		a.buf = append(a.buf, a.run...)
	}
	for _, k := range a.order[lo:hi] {
		if !slices.Contains(a.run, k) {
			a.buf = append(a.buf, k)
		}
		if k == x {
			a.buf = append(a.buf, a.run...)
		}
	}
	for _, k := range a.run {
		a.who[k] = w
	}
	if !a.try(lo, hi, limit, a.buf) {
		for _, k := range a.run {
			a.who[k] = old
		}
	}
}

// forerunner picks behind which job, and on whose desk, job j might go; -1: at
// the beginning of a desk.
func (a *anneal) forerunner(j int32) (x int32, w uint8) {
	m := a.m
	switch r := a.rng.IntN(16); {
	case r < 8 && len(m.near[j]) > 0:
		x = m.near[j][a.rng.IntN(len(m.near[j]))]
	case r < 15:
		p := int(a.pos[j]) + a.rng.IntN(41) - 20
		x = a.order[min(max(p, 0), m.n-1)]
	default:
		return -1, uint8(a.rng.IntN(m.m))
	}
	return x, a.who[x]
}

// moveOne moves the job at one place in front of another place.
func (a *anneal) moveOne(from, at, limit int) bool {
	j := a.order[from]
	if at <= from {
		a.buf = append(append(a.buf[:0], j), a.order[at:from]...)
		return a.try(at, from+1, limit, a.buf)
	}
	a.buf = append(append(a.buf[:0], a.order[from+1:at]...), j)
	return a.try(from, at, limit, a.buf)
}

// exchange lets two jobs change their places and workers.
func (a *anneal) exchange(limit int) {
	m := a.m
	p := a.rng.IntN(m.n)
	q := min(p+1+a.rng.IntN(20), m.n-1)
	i, j := a.order[p], a.order[q]
	if p == q || m.allowed[i]&(1<<a.who[j]) == 0 || m.allowed[j]&(1<<a.who[i]) == 0 {
		return
	}
	// j may come forward, i may go back: only what lies between can object.
	for _, k := range a.order[p:q] {
		if m.before(k, j) || m.before(i, k) {
			return
		}
	}
	a.buf = append(append(a.buf[:0], j), a.order[p+1:q]...)
	a.buf = append(a.buf, i)
	a.who[i], a.who[j] = a.who[j], a.who[i]
	if !a.try(p, q+1, limit, a.buf) {
		a.who[i], a.who[j] = a.who[j], a.who[i]
	}
}

// swapTails gives all later jobs of one worker to another and the other way
// round.
func (a *anneal) swapTails(limit int) {
	m := a.m
	p := a.rng.IntN(m.n)
	v := uint8(a.rng.IntN(m.m))
	w := (v + 1 + uint8(a.rng.IntN(m.m-1))) % uint8(m.m)
	for _, j := range a.order[p:] {
		if a.who[j] == v && m.allowed[j]&(1<<w) == 0 || a.who[j] == w && m.allowed[j]&(1<<v) == 0 {
			return
		}
	}
	a.relabel(p, v, w)
	a.buf = a.buf[:0]
	if !a.try(p, p, limit, a.buf) {
		a.relabel(p, v, w)
	}
}

func (a *anneal) relabel(p int, v, w uint8) {
	for _, j := range a.order[p:] {
		switch a.who[j] {
		case v:
			a.who[j] = w
		case w:
			a.who[j] = v
		}
	}
}
