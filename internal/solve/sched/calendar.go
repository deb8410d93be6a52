package sched

import "slices"

// calendarBound collects what one worker's windows make sure: how many are
// opened, and which waiting can't be filled.
type calendarBound struct {
	m       *model
	segs    []segment
	lengths []int // of all windows, ascending
	night   int   // the shortest time between two windows
	cuts    []int // segments that are sure to open a window, see opensWindow
	forced  []int // the waiting that is sure behind each of them, seconds
	pieces  int   // windows that are sure to be opened in the middle of a job
}

// newCalendarBound is for one worker with windows; nil otherwise.
func newCalendarBound(m *model, segs []segment) *calendarBound {
	if m.m > 1 || !m.calendar || len(m.windows[0]) == 0 {
		return nil
	}
	c := &calendarBound{m: m, segs: segs, night: none}
	for k, w := range m.windows[0] {
		c.lengths = append(c.lengths, w.End-w.Start)
		if k > 0 {
			c.night = min(c.night, w.Start-m.windows[0][k-1].End)
		}
	}
	slices.Sort(c.lengths)
	for s := range segs {
		if s == 0 || c.opensWindow(s) {
			c.cuts = append(c.cuts, s)
		}
	}
	c.forceWait()
	return c
}

// forceCuts counts the windows that go on with a job which none holds whole, and
// returns their set-ups in seconds.
func (c *calendarBound) forceCuts(h *horizon) (setups int) {
	c.pieces = 0
	for j, work := range c.m.work {
		if work <= c.lengths[0] {
			continue
		}
		longest := 0
		for _, w := range c.m.windows[0][:min(h.windows(j), len(c.lengths))] {
			longest = max(longest, w.End-w.Start)
		}
		first := c.m.p.First[c.m.class[j]]
		if rest := work - longest; rest > 0 && first < longest {
			more := (rest + longest - first - 1) / (longest - first)
			c.pieces += more
			setups += more * first
		}
	}
	return setups
}

// opensWindow reports that the last piece of segment s, a single job, is sure
// to open a window: whatever job comes just before it must dry longer than any
// window lasts, on every figure it has.
func (c *calendarBound) opensWindow(s int) bool {
	m := c.m
	if len(c.segs[s].jobs) != 1 {
		return false
	}
	j := c.segs[s].jobs[0]
	longest := c.lengths[len(c.lengths)-1]
	for _, i := range c.segs[s-1].sinks {
		sure := slices.ContainsFunc(m.into[j], func(a arc) bool {
			return a.job == i && a.dry >= longest && (a.whole || subset(m.figures[i], m.figures[j]))
		})
		if !sure {
			return false
		}
	}
	return true
}

func subset(a, b []int32) bool {
	for _, x := range a {
		if !slices.Contains(b, x) {
			return false
		}
	}
	return true
}

// opens is how many windows are sure to be opened, those in the middle of a job
// that are sure left out. value(s) is what the set-ups
// of segment s cost at least, in 1/1024 s, when each window opened is refunded
// lambda. Cuts add up: no window holds work from both sides of one.
func (c *calendarBound) opens(value func(seg int) int, lambda int) int {
	total := 0
	for i, from := range c.cuts {
		to := len(c.segs)
		if i+1 < len(c.cuts) {
			to = c.cuts[i+1]
		}
		need := c.forced[i] * unit
		for s := from; s < to; s++ {
			// The job that opens the window may have begun before it.
			if s > from || from == 0 {
				for _, j := range c.segs[s].jobs {
					need += c.m.work[j] * unit
				}
				need += value(s)
			}
		}
		count := 1
		for more := 0; more != count; more = max(count, c.hold((need+lambda*count)/unit)) {
			count = max(count, more)
		}
		total += count
	}
	return max(min(total, len(c.lengths))-c.pieces, 0)
}

// hold is how many windows it takes at least to hold some seconds.
func (c *calendarBound) hold(seconds int) int {
	count := 0
	for _, l := range slices.Backward(c.lengths) {
		if seconds <= 0 {
			break
		}
		seconds -= l
		count++
	}
	return count
}

// forceWait finds the waiting that no order avoids: where single segments
// follow the opening of a window, it is known when they end, and nothing else
// may be done until they are dry.
func (c *calendarBound) forceWait() {
	m := c.m
	c.forced = make([]int, len(c.cuts))
	for i, s := range c.cuts {
		if s == 0 {
			c.forced[i] = c.waitInFront()
			continue
		}
		late := map[int32]int{} // job of the chain → latest start, from the window's opening
		length := c.lengths[0]  // the window is at least this long
		for at := 0; s < len(c.segs) && len(c.segs[s].jobs) == 1; s++ {
			j := c.segs[s].jobs[0]
			start, ok := c.latest(j, late, at)
			late[j] = start
			if at = start + m.work[j]; !ok || at > length {
				break
			}
			if s+1 < len(c.segs) {
				mayBeCut := s == c.cuts[i]
				c.forced[i] += c.waitBehind(j, mayBeCut, &c.segs[s+1], at, length)
			}
		}
	}
}

// latest is the latest start of job j right behind the chain, if it is known: the
// first one, too, may have to dry for longer than the night.
func (c *calendarBound) latest(j int32, late map[int32]int, at int) (start int, ok bool) {
	m := c.m
	start = at + c.mostSetup(j)
	for _, a := range m.into[j] {
		if l, in := late[a.job]; in {
			start = max(start, l+a.dist)
		} else if a.dry > c.night {
			return 0, false
		}
	}
	return start, true
}

// mostSetup is the most that may be set up in front of job j.
func (c *calendarBound) mostSetup(j int32) int {
	m := c.m
	k := m.class[j]
	most := m.p.First[k]
	for a := range m.c {
		most = max(most, m.switchCost(int32(a), k))
	}
	if m.mix[k] >= 0 {
		most += m.makes[k]
	}
	return most
}

// waitBehind is the least waiting between job i, which ends no later than at
// seconds behind its window's opening, and the first job of segment seg. If job
// i may have begun in an earlier window, only its last chunk is sure to lie in
// this one.
func (c *calendarBound) waitBehind(i int32, mayBeCut bool, seg *segment, at, length int) int {
	m := c.m
	least := none
	for _, j := range seg.sources {
		setup := c.mostSetup(j)
		if at+setup+m.p.Jobs[j].Chunks[0] > length || length-at <= m.p.Close {
			return 0
		}
		gap := 0
		for _, a := range m.into[j] {
			if a.long && (a.job == i || a.dry > c.night) {
				return 0
			}
			if d := m.sureDistance(i, a) - m.work[i]; a.job == i && (!mayBeCut || d >= a.dry) {
				gap = max(gap, d)
			}
		}
		least = min(least, gap-setup)
	}
	least = min(least, length-at)
	if m.p.Patience > 0 {
		least = min(least, m.p.Patience)
	}
	return max(least, 0)
}
