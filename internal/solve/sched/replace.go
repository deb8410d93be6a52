package sched

// replacer is the room that replace works in. A gap is a place between two jobs of
// the rest, counted by the one behind it.
type replacer struct {
	reach   int     // the most places of a stretch
	lo, hi  int     // the stretch of the order in hand
	classes []int32 // those taken out
	out     []bool  // class → taken out
	taken   []int32 // their jobs, in the order they had
	mine    []bool  // job → taken out and not yet back
	rest    []int32 // the other jobs of the stretch
	next    []int32
	at      []int32 // job of the rest → place in it

	first, last []int32 // job taken out → gaps it may go into
	least       []int32 // gap → a gap not before this one must be chosen before it; -1: none need be
	cost        []int   // gap → the cheapest choice of gaps that ends with it
	from        []int32 // gap → the one chosen before it; -1: none
	cheapest    []int32 // gaps to come from, dearer and dearer
	chosen      []int32 // descending
	run         []int32 // jobs of the class in hand
	target      []int32 // job → the gap it goes into
}

func newReplacer(m *model) *replacer {
	n := m.n
	return &replacer{
		reach: replaceReach,
		out:   make([]bool, m.c), mine: make([]bool, n), at: make([]int32, n), first: make([]int32, n), last: make([]int32, n),
		least: make([]int32, n+2), cost: make([]int, n+2), from: make([]int32, n+2), target: make([]int32, n),
	}
}

const (
	replaceShare = 150 // of 1000 moves
	replaceReach = 100 // places
	replaceOne   = 20  // of 100: one class
	replaceTwo   = 60  // of 100: two; the others three
)

// replace takes all jobs of one to three classes out of a stretch of the order and
// puts them back, class by class, where by set-ups and some noise they cost the
// least. Where a class goes is found exactly: each of its jobs may go into some
// gaps in a row, a gap costs the same for one job as for many, and the cheapest
// gaps that leave no job without one are a shortest path.
//
// Ref: schrimpf2000 for taking out and putting back.
func (a *anneal) replace(heat, limit int) {
	m := a.m
	if a.out == nil {
		a.out = newReplacer(m)
	}
	r := a.out
	place := a.pick()
	r.lo, r.hi = 0, m.n
	if m.n > r.reach {
		r.lo = min(max(place-r.reach/2, 0), m.n-r.reach)
		r.hi = r.lo + r.reach
	}
	a.takeOut(place)
	a.steps += int64((r.hi - r.lo) * len(r.classes) / 8)
	found := true
	for _, c := range r.classes {
		found = found && a.putBack(c, heat)
		r.out[c] = false
	}
	for _, j := range r.taken {
		r.mine[j] = false
	}
	if !found {
		return
	}
	lo, hi := r.lo, r.hi
	for lo < hi && r.rest[lo-r.lo] == a.order[lo] {
		lo++
	}
	if lo == hi {
		return
	}
	for r.rest[hi-1-r.lo] == a.order[hi-1] {
		hi--
	}
	a.buf = append(a.buf[:0], r.rest[lo-r.lo:hi-r.lo]...)
	if !a.joinTooDear(lo, hi-1, limit) {
		a.try(lo, hi, limit, a.buf)
	}
}

// takeOut takes out the class at a place, and others that it is cheap to switch to
// or that lie near, in the order in which they are to be put back.
func (a *anneal) takeOut(place int) {
	m, r := a.m, a.out
	r.classes = r.classes[:0]
	add := func(c int32) {
		if !r.out[c] {
			r.out[c] = true
			r.classes = append(r.classes, c)
		}
	}
	add(m.class[a.order[place]])
	want := 3
	switch x := a.rng.IntN(100); {
	case x < replaceOne:
		want = 1
	case x < replaceOne+replaceTwo:
		want = 2
	}
	const near, tries = 6, 6
	for try := 0; len(r.classes) < want && try < tries; try++ {
		if kin := m.kin[r.classes[0]]; len(kin) > 0 && a.rng.IntN(2) == 0 {
			add(kin[a.rng.IntN(len(kin))])
		} else if k := place + a.rng.IntN(2*near+1) - near; k >= r.lo && k < r.hi {
			add(m.class[a.order[k]])
		}
	}
	a.rng.Shuffle(len(r.classes), func(i, k int) { r.classes[i], r.classes[k] = r.classes[k], r.classes[i] })
	r.rest, r.taken = r.rest[:0], r.taken[:0]
	for _, j := range a.order[r.lo:r.hi] {
		if r.out[m.class[j]] {
			r.mine[j] = true
			r.taken = append(r.taken, j)
		} else {
			r.rest = append(r.rest, j)
		}
	}
}

// putBack puts the jobs of class c back into the rest. It reports false if there is
// no way, which the lags do not allow.
func (a *anneal) putBack(c int32, heat int) bool {
	r := a.out
	a.reaches(c)
	if len(r.run) == 0 {
		return true
	}
	if !a.chooseGaps(c, heat) {
		return false
	}
	late := a.rng.IntN(2) == 0
	for _, j := range r.run {
		k := 0
		if late {
			for r.chosen[k] > r.last[j] {
				k++
			}
		} else {
			for k = len(r.chosen) - 1; r.chosen[k] < r.first[j]; k-- {
			}
		}
		r.target[j] = r.chosen[k]
	}
	// Sorted by gap, the last one first; in one gap they stay in the order they had.
	for i := range r.run {
		for k := i; k > 0 && r.target[r.run[k]] > r.target[r.run[k-1]]; k-- {
			r.run[k], r.run[k-1] = r.run[k-1], r.run[k]
		}
	}
	r.next = r.next[:0]
	k := len(r.run) - 1
	for gap := range len(r.rest) + 1 {
		for ; k >= 0 && int(r.target[r.run[k]]) == gap; k-- {
			r.next = append(r.next, r.run[k])
		}
		if gap < len(r.rest) {
			r.next = append(r.next, r.rest[gap])
		}
	}
	for _, j := range r.run {
		r.mine[j] = false
	}
	r.rest, r.next = r.next, r.rest
	return true
}

// reaches works out into which gaps each job taken out may go, and lists those of
// class c in run, the last one first.
func (a *anneal) reaches(c int32) {
	m, r := a.m, a.out
	for i, j := range r.rest {
		r.at[j] = int32(i)
	}
	for _, j := range r.taken {
		if !r.mine[j] {
			continue
		}
		r.first[j] = 0
		for _, x := range m.into[j] {
			if r.mine[x.job] {
				r.first[j] = max(r.first[j], r.first[x.job])
			} else if int(a.pos[x.job]) >= r.lo {
				r.first[j] = max(r.first[j], r.at[x.job]+1)
			}
		}
	}
	r.run = r.run[:0]
	for k := len(r.taken) - 1; k >= 0; k-- {
		j := r.taken[k]
		if !r.mine[j] {
			continue
		}
		r.last[j] = int32(len(r.rest))
		for _, x := range m.out[j] {
			if r.mine[x.job] {
				r.last[j] = min(r.last[j], r.last[x.job])
			} else if int(a.pos[x.job]) < r.hi {
				r.last[j] = min(r.last[j], r.at[x.job])
			}
		}
		if m.class[j] == c {
			r.run = append(r.run, j)
		}
	}
}

// chooseGaps finds the cheapest gaps for the jobs in run, of class c: chosen.
func (a *anneal) chooseGaps(c int32, heat int) bool {
	r := a.out
	for g := range len(r.rest) + 2 {
		r.least[g] = -1
	}
	begin, end := int32(len(r.rest)), int32(0)
	for _, j := range r.run {
		r.least[r.last[j]+1] = max(r.least[r.last[j]+1], r.first[j])
		begin, end = min(begin, r.first[j]), max(end, r.last[j])
	}
	r.cheapest = r.cheapest[:0]
	head, least := 0, int32(-1)
	for g := begin; ; g++ {
		least = max(least, r.least[g])
		for head < len(r.cheapest) && r.cheapest[head] < least {
			head++
		}
		v, from := 0, int32(-1)
		if head < len(r.cheapest) && (least >= 0 || r.cost[r.cheapest[head]] < 0) {
			from = r.cheapest[head]
			v = r.cost[from]
		} else if least >= 0 {
			return false
		}
		r.from[g] = from
		if g > end {
			break
		}
		const calm = 3 // the noise is that much less than what annealing would take
		r.cost[g] = v + a.gapCost(int(g), c) + heat*a.logs[a.rng.IntN(1024)]/calm>>20
		for len(r.cheapest) > head && r.cost[r.cheapest[len(r.cheapest)-1]] >= r.cost[g] {
			r.cheapest = r.cheapest[:len(r.cheapest)-1]
		}
		r.cheapest = append(r.cheapest, g)
	}
	r.chosen = r.chosen[:0]
	for g := r.from[end+1]; g >= 0; g = r.from[g] {
		r.chosen = append(r.chosen, g)
	}
	return true
}

// gapCost is the set-up that loading class c in a gap of the rest costs: nothing
// beside its like. Where a window ends in the gap, c may open the next one.
func (a *anneal) gapCost(gap int, c int32) int {
	m, r := a.m, a.out
	before, behind := int32(-1), int32(-1) // the jobs beside the gap
	switch {
	case gap > 0:
		before = r.rest[gap-1]
	case r.lo > 0:
		before = a.order[r.lo-1]
	}
	switch {
	case gap < len(r.rest):
		behind = r.rest[gap]
	case r.hi < m.n:
		behind = a.order[r.hi]
	}
	into, out, was := m.p.First[c], 0, 0
	if before >= 0 {
		into = m.switchCost(m.class[before], c)
	}
	if behind >= 0 {
		b := m.class[behind]
		out, was = m.switchCost(c, b), m.p.First[b]
		if before >= 0 {
			if a.before[a.pos[behind]+1].window > a.before[a.pos[before]+1].window {
				return min(into, m.p.First[c]+out-was)
			}
			was = m.switchCost(m.class[before], b)
		}
	}
	return into + out - was
}

// kinships finds, class by class, those it is cheap to switch to.
func (m *model) kinships() {
	m.kin = make([][]int32, m.c)
	usual := m.usualSwitch()
	for a := range int32(m.c) {
		for b := range int32(m.c) {
			if a != b && len(m.byClass[b]) > 0 && 2*m.switchCost(a, b) < usual {
				m.kin[a] = append(m.kin[a], b)
			}
		}
	}
}
