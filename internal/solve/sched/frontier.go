package sched

// advance anneals first with the calendar ignored and then lets it count,
// window by window.
//
// In the true model every change shifts all that follows against the ends of
// the windows, where each job that happens to be cut costs a set-up: the search
// sees mostly that noise. Without the calendar it sees what switching and
// drying cost. Then, with each window that begins to count, it has only the end
// of that one to fit the work to, while what is to come is still judged well.
//
// progress, 0 to 1 000 000, is how much of the work allowed is used.
func (a *anneal) advance(progress func() int) {
	m := a.m
	if m.n < 2 || len(m.windows[0]) == 0 {
		return
	}
	hot := 1024 * max(2, m.usualSwitch())
	a.reach(0)
	a.cool(hot, m.cold(), func() int { return progress() / sketchShare })
	for k := 1; k <= len(m.windows[0]) && progress() < 1_000_000; k++ {
		a.load(a.bestOrder, a.bestWho)
		if a.before[m.n].window < k-1 {
			break
		}
		a.reach(k)
		begin := progress()
		stage := max((1_000_000-begin)/a.windowsLeft(k), 1)
		a.cool(hot/8, m.cold(), func() int { return (progress() - begin) * 1000 / stage })
	}
	a.load(a.bestOrder, a.bestWho)
	a.reach(always)
}

// sketchShare is how much of advance goes by before the calendar counts, in
// thousandths.
const sketchShare = 400

// windowsLeft is about how many windows the work behind the frontier takes.
func (a *anneal) windowsLeft(k int) int {
	m := a.m
	list := m.windows[0]
	end, w := a.before[m.n], k
	if end.window < k || k >= len(list) {
		return 1
	}
	rest := end.at - list[k].Start
	for w < len(list) && rest > 0 {
		rest -= list[w].End - list[w].Start
		w++
	}
	return w - k + 1
}

// reach moves the frontier to window k, and the moves to where it matters; the
// best so far is forgotten, as costs change.
func (a *anneal) reach(k int) {
	m := a.m
	a.frontier = k
	a.cost = cost{a: short} // so that load plays everything
	a.load(a.order, a.who)
	a.best = cost{a: 1 << 60}
	a.remember()
	a.from, a.to = 0, 0
	list := m.windows[0]
	if k == 0 || k >= len(list) {
		return
	}
	a.to = m.n
	for i := range m.n {
		d := &a.before[i]
		if d.window < k-1 {
			a.from = i
		}
		if d.window >= k && d.at > list[k].Start+(list[k].End-list[k].Start)*3/2 {
			a.to = i
			break
		}
	}
	a.from = min(a.from, a.to-1)
}
