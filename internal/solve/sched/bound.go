package sched

import (
	"context"
	"math/bits"
	"slices"
)

// bounds collects what is proved about a problem's objective.
type bounds struct {
	m          *model
	segs       []segment
	setups     *setupBound
	makes      int // seconds of makes that are sure
	forced     int // seconds of waiting that are sure, calendar only
	cuts       int // seconds of set-up before jobs go on that no window holds
	days       *calendarBound
	leastFirst int // the least set-up that opens a window
	value      int // the bound on the objective, seconds
}

func newBounds(m *model) *bounds {
	b := &bounds{m: m, segs: m.segments(), makes: makesBound(m, nil)}
	b.leastFirst = none
	for _, c := range m.class {
		b.leastFirst = min(b.leastFirst, m.p.First[c])
	}
	if m.m > 1 {
		b.segs = []segment{{jobs: m.topo, sources: m.topo, sinks: m.topo}}
	}
	opens := 0
	if b.days = newCalendarBound(m, b.segs); b.days != nil {
		for _, f := range b.days.forced {
			b.forced += f
		}
		b.cuts = b.days.forceCuts(nil)
		opens = b.days.opens(func(int) int { return 0 }, 0)
	}
	b.setups = newSetupBound(m, b.segs, b.days, opens)
	b.raise((m.total + b.makes + b.cuts + m.m - 1) / m.m)
	return b
}

func (b *bounds) raise(value int) { b.value = max(b.value, value) }

// improve spends some rounds on the set-ups; upper is a known objective.
func (b *bounds) improve(ctx context.Context, rounds, upper int) {
	m := b.m
	if m.n == 0 {
		return
	}
	if b.days != nil {
		h := newHorizon(m, upper)
		b.makes, b.cuts = makesBound(m, h), b.days.forceCuts(h)
		b.setups.opens = b.days.opens(func(int) int { return 0 }, 0)
	}
	upper = upper*m.m - m.total - b.makes - b.forced - b.cuts
	setups := b.setups.run(ctx, rounds, upper)
	loads := 0
	if l := newLoads(m, loadStates); l != nil && ctx.Err() == nil {
		loads = l.bound(b.setups.rules(), upper, func() bool { return ctx.Err() != nil })
	}
	if b.days != nil && loads <= setups {
		b.setups.reset()
		b.setups.growAll()
		// What is known of the set-ups may need more windows.
		b.setups.opens = b.days.opens(b.setups.ofSegment, b.setups.lambda)
		setups = b.setups.run(ctx, rounds, upper)
	}
	setups = max(setups, loads)
	b.raise((m.total + b.makes + b.forced + b.cuts + setups + m.m - 1) / m.m)
	if m.calendar {
		return
	}
	if m.m == 1 {
		b.raise(b.throughSegments())
	}
	for j := range m.n {
		b.raise(m.tail[j] + b.earliest(int32(j)))
	}
}

// loadStates is how many states the bound by loads may remember.
const loadStates = 400_000

// throughSegments follows one worker without a calendar from segment to
// segment: none can begin before the one before it ends, nor before its lags
// allow, and then it takes at least its work and set-ups.
func (b *bounds) throughSegments() int {
	m := b.m
	head := make([]int, m.n) // job → earliest start
	end := 0                 // earliest end of the segment before
	for s := range b.segs {
		seg := &b.segs[s]
		work := 0
		first := none // earliest start of the segment's first job
		for _, j := range seg.jobs {
			work += m.work[j]
			setup := m.p.First[m.class[j]]
			head[j] = b.earliest(j)
			if s > 0 {
				var dry int
				dry, setup = b.gap(&b.segs[s-1], j)
				head[j] = end + dry
			}
			for _, a := range m.into[j] {
				head[j] = max(head[j], head[a.job]+a.dist)
			}
			first = min(first, max(head[j], end+setup))
		}
		setups, entry := b.partSetups(s)
		next := max(end+work+setups, first+work+max(setups-entry, 0))
		for _, j := range seg.jobs {
			next = max(next, head[j]+m.work[j])
		}
		end = next
	}
	return end
}

// partSetups is the proved set-up of segment s, and the most of it that may
// lie in front of its first job.
func (b *bounds) partSetups(s int) (setups, entry int) {
	for _, t := range b.setups.parts {
		if t.seg == &b.segs[s] {
			return (t.best + unit - 1) / unit, t.entry
		}
	}
	return 0, 0
}

// earliest is when job j can start at the earliest, lags aside: as the first of
// a worker, or behind another.
func (b *bounds) earliest(j int32) int {
	m := b.m
	at := m.p.First[m.class[j]]
	for i := range int32(m.n) {
		if i != j {
			at = min(at, b.leastFirst+m.work[i]+m.switchCost(m.class[i], m.class[j]))
		}
	}
	return at
}

// gap is the least time between the end of the last job of a segment and the
// start of job j of the next: for its lags, and for set-up if j is the first.
func (b *bounds) gap(before *segment, j int32) (dry, setup int) {
	m := b.m
	dist := map[int32]int{}
	for _, a := range m.into[j] {
		dist[a.job] = max(dist[a.job], a.dist-m.work[a.job])
	}
	dry, setup = none, none
	for _, i := range before.sinks {
		dry = min(dry, dist[i])
		setup = min(setup, m.switchCost(m.class[i], m.class[j]))
	}
	return dry, setup
}

// makesBound is the seconds of makes that are sure: each mix is made once, and
// again for each job that can't start before the make for an
// earlier one is too old.
func makesBound(m *model, h *horizon) int {
	mates, least := make([][]int32, m.mixes), slices.Repeat([]int{none}, m.mixes)
	for c, jobs := range m.byClass {
		if x := m.mix[c]; x >= 0 {
			mates[x] = append(mates[x], jobs...)
			least[x] = min(least[x], m.makes[c])
		}
	}
	total := 0
	for x, jobs := range mates {
		count := 1
		if life := m.life[x]; life > 0 && len(jobs) > 1 && m.n*len(jobs) < 1<<20 {
			count = longestApart(m, jobs, life, h)
			last := 0
			for _, j := range jobs {
				last = max(last, h.windows(int(j)))
			}
			count = max(count, makesByWork(m, jobs, m.benchWithin(life, last)))
		}
		total += count * least[x]
	}
	return total
}

// benchWithin is the most seconds of the first so many windows that lie within
// some seconds of wall time: all of them where they are not one worker's.
func (m *model) benchWithin(seconds, windows int) int {
	list := m.windows[0]
	if m.m > 1 || list == nil {
		return seconds
	}
	list = list[:min(windows, len(list))]
	// The stretch may begin with a window or end with one.
	most, sum := 0, 0 // sum: whole windows from first to last-1
	last := 0
	for first := range list {
		for ; last < len(list) && list[last].End <= list[first].Start+seconds; last++ {
			sum += list[last].End - list[last].Start
		}
		part := 0
		if last < len(list) {
			part = max(0, list[first].Start+seconds-list[last].Start)
		}
		most = max(most, sum+part)
		if last > first {
			sum -= list[first].End - list[first].Start
		} else {
			last = first + 1
		}
	}
	sum, first := 0, 0
	for _, w := range list {
		sum += w.End - w.Start
		for ; list[first].End <= w.End-seconds; first++ {
			sum -= list[first].End - list[first].Start
		}
		most = max(most, sum-max(0, w.End-seconds-list[first].Start))
	}
	return most
}

// makesByWork counts makes by the work alone: the jobs that share one start
// within its life, so all but the last of them are done in that time.
func makesByWork(m *model, mates []int32, life int) int {
	sum, most := 0, 0
	for _, j := range mates {
		sum += m.work[j]
		most = max(most, m.work[j])
	}
	return (sum + life + most - 1) / (life + most)
}

// longestApart is the longest chain of the jobs in mates whose starts are more
// than life seconds apart, each from the next.
func longestApart(m *model, mates []int32, life int, h *horizon) int {
	isMate, bench := map[int32]bool{}, map[int32]int{}
	for _, j := range mates {
		isMate[j] = true
		bench[j] = m.benchWithin(life, h.windows(int(j)))
	}
	chain := map[int32]int{}
	dist := make([]int, m.n)
	longest := 1
	for _, from := range m.topo {
		if !isMate[from] {
			continue
		}
		if chain[from] == 0 {
			chain[from] = 1
		}
		longest = max(longest, chain[from])
		for j := range dist {
			dist[j] = -none
		}
		dist[from] = 0
		for _, j := range m.topo {
			if dist[j] == -none {
				continue
			}
			if isMate[j] && (dist[j] > life || m.workBetween(from, j) > bench[j]) {
				chain[j] = max(chain[j], chain[from]+1)
			}
			for _, a := range m.out[j] {
				if d := m.sureDistance(j, a); d > -none {
					dist[a.job] = max(dist[a.job], dist[j]+d)
				}
			}
		}
	}
	return longest
}

// workBetween is the work of job i and of all that must come between it and job
// j, which one worker does one after the other; 0 for several workers.
func (m *model) workBetween(i, j int32) int {
	if m.m > 1 || !m.before(i, j) {
		return 0
	}
	sum := m.work[i]
	for w, x := range m.reach[i] {
		for x &= m.prior[j][w]; x != 0; x &= x - 1 {
			sum += m.work[w<<6+bits.TrailingZeros64(x)]
		}
	}
	return sum
}

// sureDistance is the least time from start to start even if jobs are cut;
// -none if nothing is sure.
func (m *model) sureDistance(from int32, a arc) int {
	if !m.calendar {
		return a.dist
	}
	l := &m.p.Lags[a.lag]
	f, t := &m.p.Jobs[l.From], &m.p.Jobs[l.To]
	sure := -none
	if m.m == 1 {
		sure = m.work[from] // one after the other
	}
	if a.dist >= m.work[from]+l.Dry { // whole, or the last figure first
		return max(sure, a.dist)
	}
	if len(t.Figures) > 0 {
		if k := slices.Index(f.Figures, t.Figures[0]); k >= 0 && !l.Whole {
			end := 0
			for _, s := range f.Chunks[:k+1] {
				end += s
			}
			sure = max(sure, end+l.Dry)
		}
	}
	return sure
}
