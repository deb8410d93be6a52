package sched

// tiny tries every order of a small problem of any kind, depth first, and
// gives up an order as soon as what is done and the least that must follow
// can't be better than the best known. It is meant for about a dozen jobs with
// a calendar or makes, for which states can't be compared as in exact: there
// being earlier is not always better.
type tiny struct {
	*sim
	least []int // job → least set-up in front of it
	left  []int // job → forerunners not yet done
	used  []bool
	best  int // only better objectives are looked for
	found bool
	order []int32 // of the best
	who   []uint8
	same  bool // the workers are alike
	stop  func() bool
	ended bool
}

// maxTiny is the most jobs for tiny.
const maxTiny = 12

func newTiny(m *model) *tiny {
	if m.n == 0 || m.n > maxTiny {
		return nil
	}
	t := &tiny{sim: newSim(m), left: make([]int, m.n), used: make([]bool, m.n), same: len(m.p.Windows) < 2}
	for j := range m.n {
		c := m.class[j]
		least := m.p.First[c]
		for i := range m.n {
			if i != j && !m.before(int32(j), int32(i)) {
				least = min(least, m.switchCost(m.class[i], c))
			}
		}
		t.least = append(t.least, least)
		t.left[j] = len(m.into[j])
		t.same = t.same && m.allowed[j] == 1<<m.m-1
	}
	return t
}

// run looks for an objective below upper; finished is false if stop ended it.
func (t *tiny) run(upper int, stop func() bool) (finished bool) {
	t.best, t.found, t.ended, t.stop = upper, false, false, stop
	rest := 0
	for j := range t.m.n {
		rest += t.m.work[j] + t.least[j]
	}
	t.extend(0, rest)
	return !t.ended
}

// extend adds each job that may come at place i; rest is the least seconds
// that the jobs not yet done take.
func (t *tiny) extend(i, rest int) {
	m := t.m
	if i == m.n {
		if c := t.total(t.before[i*m.m:]); c.a < t.best {
			t.best, t.found = c.a, true
			t.order = append(t.order[:0], t.sim.order...)
			t.who = append(t.who[:0], t.sim.who...)
		}
		return
	}
	if t.steps&1023 < 8 && t.stop() {
		t.ended = true
	}
	for j := range int32(m.n) {
		if t.used[j] || t.left[j] > 0 {
			continue
		}
		for w := range m.m {
			if m.allowed[j]&(1<<w) == 0 || t.needless(i, j, w) {
				continue
			}
			if t.ended {
				return
			}
			t.try(i, j, w, rest-m.work[j]-t.least[j])
		}
	}
}

func (t *tiny) try(i int, j int32, w, rest int) {
	m := t.m
	t.steps++
	now, next := t.before[i*m.m:i*m.m+m.m], t.before[(i+1)*m.m:(i+1)*m.m+m.m]
	copy(next, now)
	var made []int
	if k := m.m * m.mixes; k > 0 {
		copy(t.mixB[(i+1)*k:(i+1)*k+k], t.mixB[i*k:i*k+k])
		made = t.mixB[(i+1)*k+w*m.mixes : (i+1)*k+(w+1)*m.mixes]
	}
	t.sim.order[i], t.sim.who[j], t.pos[j] = j, uint8(w), int32(i)
	if !t.place(&next[w], made, j) {
		return
	}
	sum, top := rest, 0
	for v := range next {
		sum += next[v].bench
		top = max(top, next[v].bench)
	}
	if !m.calendar {
		top = max(top, t.start[j]+m.tail[j])
	}
	if max(top, (sum+m.m-1)/m.m) >= t.best {
		return
	}
	t.used[j] = true
	for _, a := range m.out[j] {
		t.left[a.job]--
	}
	t.extend(i+1, rest)
	for _, a := range m.out[j] {
		t.left[a.job]++
	}
	t.used[j] = false
}

// needless reports that another order of the same sequences is tried anyway:
// two neighbours of different workers with no lag between them could change
// places, and of workers that are alike the first unused one will do.
func (t *tiny) needless(i int, j int32, w int) bool {
	m := t.m
	desks := t.before[i*m.m : i*m.m+m.m]
	if t.same && w > 0 && desks[w].class < 0 && desks[w-1].class < 0 {
		return true
	}
	if i == 0 {
		return false
	}
	last := t.sim.order[i-1]
	if int(t.sim.who[last]) <= w {
		return false
	}
	for _, a := range m.into[j] {
		if a.job == last {
			return false
		}
	}
	return true
}
