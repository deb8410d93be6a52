package sched

import (
	"cmp"
	"slices"
)

// exact searches every sequence of a small problem without calendar and makes,
// job count by job count. Two partial solutions with the same jobs done and
// the same last job per worker are compared: one that is nowhere later makes
// the other needless. Jobs are added in the order of their starts, so each
// solution is met once; a job may be put off to keep that order.
//
// If a level outgrows the memory allowed, the least promising states are
// dropped; the bound is then the least of those that were dropped.
type exact struct {
	m       *model
	upper   int // an objective known; only better ones are looked for
	width   int // most states kept on a level
	inward  []int32
	price   []int32 // job → least set-up in front of it, with the refunds below
	refund  []int32 // job → what price counts too much if it has a successor
	byTail  []int32 // jobs by what must follow them, longest first
	same    bool    // the workers are alike
	steps   int64
	dropped int // least bound of a dropped state

	levels [][]origin
	now    level
	next   level
	bucket map[exactKey][]int32
}

// maxExact is the most jobs of a problem for exact. Beyond it annealing with
// another seed is found to be of more use than a few remembered states.
const maxExact = 60

// jobSet is a set of at most maxExact jobs.
type jobSet [1]uint64

func (s *jobSet) has(j int) bool { return s[j>>6]&(1<<(j&63)) != 0 }
func (s *jobSet) set(j int)      { s[j>>6] |= 1 << (j & 63) }

// holds reports that all of b is in s.
func (s *jobSet) holds(b bitset) bool {
	for i, x := range b {
		if x&^s[i] != 0 {
			return false
		}
	}
	return true
}

// level is all states with the same number of jobs done.
type level struct {
	states []state
	rel    []int32 // state after state, job after job: earliest start by the lags of jobs done
}

// state is a partial solution.
type state struct {
	done  jobSet
	last  [MaxWorkers]int8  // -1: none yet
	at    [MaxWorkers]int32 // when the worker is free
	start int32             // of the job added last
	rest  int32             // work and price of what is left to do, refunds taken off
	bound int32
	dead  bool
}

type exactKey struct {
	done jobSet
	last [MaxWorkers]int8
}

// origin says how a state was made.
type origin struct {
	parent int32
	job    int8
	worker int8
}

// newExact returns nil if the problem is not of the kind, or too large.
func newExact(m *model) *exact {
	if m.n == 0 || m.n > maxExact || m.calendar || m.mixes > 0 || m.m > 1 && m.backward || m.horizon() > 1<<28 {
		return nil
	}
	e := &exact{m: m, same: true, bucket: map[exactKey][]int32{}}
	for _, a := range m.allowed {
		e.same = e.same && a == 1<<m.m-1
	}
	e.inward = make([]int32, m.n)
	for j := range m.n {
		least := m.p.First[m.class[j]]
		for i := range m.n {
			if e.follows(i, j) {
				least = min(least, m.switchCost(m.class[i], m.class[j]))
			}
		}
		e.inward[j] = int32(least)
		e.byTail = append(e.byTail, int32(j))
	}
	slices.SortStableFunc(e.byTail, func(a, b int32) int { return cmp.Compare(e.behind(b), e.behind(a)) })
	e.price, e.refund = e.potentials()
	return e
}

// horizon is a time by which every order without a calendar is done.
func (m *model) horizon() int {
	most := 0
	for _, s := range m.sw {
		most = max(most, s)
	}
	for _, s := range m.p.First {
		most = max(most, s)
	}
	sum := m.total + m.n*most
	for _, into := range m.into {
		longest := 0
		for _, a := range into {
			longest = max(longest, a.dist)
		}
		sum += longest
	}
	return sum
}

// prepare sets what the next run looks for and how much it may remember.
func (e *exact) prepare(upper, width int) {
	e.upper, e.width, e.dropped = upper, width, none
}

// widest is the most states a level may have, for the memory's sake.
func (e *exact) widest() int { return 12_000_000 / (e.m.n + 16) }

// follows reports whether job j may come right behind job i.
func (e *exact) follows(i, j int) bool {
	m := e.m
	return i != j && !m.before(int32(j), int32(i)) && (m.m > 1 || !m.reach[i].meets(m.prior[j]))
}

// behind is the least time from the end of job j to the end of all.
func (e *exact) behind(j int32) int { return e.m.tail[j] - e.m.work[j] }

// potentials spreads the set-ups so that the least ones into all jobs together
// count more: a job that would be the cheapest forerunner of several is made
// dearer, and that is taken back once. In rounds of one second.
func (e *exact) potentials() (price, refund []int32) {
	m := e.m
	best, bestSum := make([]int32, m.n), -1<<30
	pi := make([]int32, m.n)
	low := make([]int32, m.n)
	wanted := make([]int, m.n)
	for round := range 400 {
		sum := 0
		clear(wanted)
		for j := range m.n {
			low[j] = int32(m.p.First[m.class[j]])
			from := -1
			for i := range m.n {
				if e.follows(i, j) {
					if c := int32(m.switchCost(m.class[i], m.class[j])) + pi[i]; c < low[j] {
						low[j], from = c, i
					}
				}
			}
			if from >= 0 {
				wanted[from]++
			}
			sum += int(low[j])
		}
		for i := range pi {
			sum -= int(pi[i])
		}
		if sum > bestSum {
			bestSum = sum
			copy(best, pi)
		}
		step := int32(max(1, 8-round/40))
		for i, w := range wanted {
			pi[i] = max(0, pi[i]+step*int32(w-1))
		}
	}
	price = make([]int32, m.n)
	for j := range m.n {
		price[j] = int32(m.p.First[m.class[j]])
		for i := range m.n {
			if e.follows(i, j) {
				price[j] = min(price[j], int32(m.switchCost(m.class[i], m.class[j]))+best[i])
			}
		}
	}
	return price, best
}

// run searches until it is done or stop says so. It returns an order better
// than upper, if it met one, and what is proved of the objective; finished is
// false if it was stopped, and then the rest means nothing.
func (e *exact) run(stop func() bool) (order []int32, who []uint8, bound int, finished bool) {
	m := e.m
	root := state{last: [MaxWorkers]int8{-1, -1, -1}}
	for j := range m.n {
		root.rest += int32(m.work[j]) + e.price[j] - e.refund[j]
	}
	e.now.states = append(e.now.states[:0], root)
	e.now.rel = append(e.now.rel[:0], make([]int32, m.n)...)
	e.levels = append(e.levels[:0], []origin{{}})
	for range m.n {
		e.next.states, e.next.rel = e.next.states[:0], e.next.rel[:0]
		clear(e.bucket)
		var made []origin
		for s := range e.now.states {
			if s&63 == 0 && stop() {
				return nil, nil, 0, false
			}
			made = e.expand(int32(s), made)
		}
		e.levels = append(e.levels, e.shrink(made))
		e.now, e.next = e.next, e.now
		if len(e.now.states) == 0 {
			return nil, nil, min(e.upper, e.dropped), true
		}
	}
	best := 0
	for s := range e.now.states {
		if e.now.states[s].bound < e.now.states[best].bound {
			best = s
		}
	}
	value := int(e.now.states[best].bound)
	order, who = e.trace(best)
	return order, who, min(value, e.dropped), true
}

// trace goes back from a state of the last level.
func (e *exact) trace(s int) (order []int32, who []uint8) {
	who = make([]uint8, e.m.n)
	for l := e.m.n; l > 0; l-- {
		o := e.levels[l][s]
		order = append(order, int32(o.job))
		who[o.job] = uint8(o.worker)
		s = int(o.parent)
	}
	slices.Reverse(order)
	return order, who
}

// expand adds every job that may come next to state s.
func (e *exact) expand(s int32, made []origin) []origin {
	m := e.m
	from := e.now.states[s]
	rel := e.now.rel[int(s)*m.n : int(s+1)*m.n]
	for j := range m.n {
		if from.done.has(j) || !from.done.holds(m.prior[j]) {
			continue
		}
		for w := range m.m {
			if m.allowed[j]&(1<<w) == 0 || e.same && w > 0 && from.last[w] < 0 && from.last[w-1] < 0 {
				continue
			}
			e.steps += 12
			if e.add(&from, rel, j, w) {
				made = append(made, origin{s, int8(j), int8(w)})
			}
		}
	}
	return made
}

// add makes the state in which worker w does job j next; false if it is no
// use. Workers that are alike keep their numbers, so that origins stay true.
func (e *exact) add(from *state, rel []int32, j, w int) bool {
	m := e.m
	c := m.class[j]
	setup := m.p.First[c]
	if l := from.last[w]; l >= 0 {
		setup = m.switchCost(m.class[l], c)
	}
	start := max(from.at[w]+int32(setup), rel[j])
	if m.m > 1 {
		start = max(start, from.start)
	}
	to := *from
	to.done.set(j)
	to.last[w], to.at[w], to.start = int8(j), start+int32(m.work[j]), start
	to.rest -= int32(m.work[j]) + e.price[j] - e.refund[j]
	if to.bound = e.quickBound(&to, start+int32(m.tail[j])); int(to.bound) >= e.upper {
		return false
	}
	base := len(e.next.rel)
	e.next.rel = append(e.next.rel, rel...)
	fresh := e.next.rel[base:]
	for _, a := range m.out[j] {
		fresh[a.job] = max(fresh[a.job], start+int32(a.dist))
	}
	fresh[j] = 0
	floor := e.floor(&to)
	for k := range fresh {
		if fresh[k] <= floor+e.inwardIf(k) {
			fresh[k] = 0
		}
	}
	to.bound = e.fullBound(&to, fresh)
	if int(to.bound) >= e.upper || !e.enter(&to, fresh) {
		e.next.rel = e.next.rel[:base]
		return false
	}
	return true
}

// floor is the earliest that anything more can be set up.
func (e *exact) floor(s *state) int32 {
	if e.m.m == 1 {
		return s.at[0]
	}
	return s.start
}

// inwardIf is the set-up that is sure to lie between floor and the start of
// job k: for one worker only, since starts may be equal for several.
func (e *exact) inwardIf(k int) int32 {
	if e.m.m == 1 {
		return e.inward[k]
	}
	return 0
}

// quickBound is a lower bound from the load of all workers and the job added
// last.
func (e *exact) quickBound(s *state, last int32) int32 {
	all := s.rest
	for w := range e.m.m {
		all += s.at[w]
		if s.last[w] >= 0 {
			all -= e.refund[s.last[w]]
		}
	}
	workers := int32(e.m.m)
	return max(s.bound, last, (all+workers-1)/workers)
}

// fullBound raises the bound of s by what each job left must still wait for,
// and by the load of those with the longest tails.
func (e *exact) fullBound(s *state, rel []int32) int32 {
	m := e.m
	at := s.at
	slices.Sort(at[:m.m])
	bound, load := s.bound, int32(0)
	for _, j := range e.byTail {
		if s.done.has(int(j)) {
			continue
		}
		start := max(rel[j], at[0]+e.inward[j])
		if m.m > 1 {
			start = max(start, s.start)
		}
		load += int32(m.work[j]) + e.inward[j]
		bound = max(bound, start+int32(m.tail[j]), levelled(at[:m.m], load)+int32(e.behind(j)))
		if int(bound) >= e.upper {
			break
		}
	}
	return bound
}

// levelled is the earliest time by which workers that are free at the given
// times, ascending, can do a load if it may be shared out at will.
func levelled(at []int32, load int32) int32 {
	sum, best := load, int32(1<<30)
	for k, t := range at {
		sum += t
		n := int32(k + 1)
		best = min(best, (sum+n-1)/n)
	}
	return best
}

// enter puts s on the next level unless a state there is nowhere later; states
// that s makes needless are marked dead.
func (e *exact) enter(s *state, rel []int32) bool {
	key := exactKey{s.done, s.last}
	if e.same && e.m.m > 1 {
		slices.Sort(key.last[:e.m.m])
	}
	n := e.m.n
	list := e.bucket[key]
	keep := list[:0]
	for _, o := range list {
		other := &e.next.states[o]
		e.steps += 2
		theirs := e.next.rel[int(o)*n : int(o+1)*n]
		if e.nowhereLater(other, theirs, s, rel) {
			return false
		}
		if e.nowhereLater(s, rel, other, theirs) {
			other.dead = true
			continue
		}
		keep = append(keep, o)
	}
	e.bucket[key] = append(keep, int32(len(e.next.states)))
	e.next.states = append(e.next.states, *s)
	return true
}

// nowhereLater compares two states with the same jobs done and the same last
// jobs, perhaps of other workers.
func (e *exact) nowhereLater(a *state, relA []int32, b *state, relB []int32) bool {
	if e.m.m > 1 && a.start > b.start {
		return false
	}
	for w := range e.m.m {
		x := w
		if a.last[w] != b.last[w] {
			x = slices.Index(b.last[:e.m.m], a.last[w])
		}
		if a.at[w] > b.at[x] {
			return false
		}
	}
	for k, r := range relA {
		if r > relB[k] && r > e.floor(b) {
			return false
		}
	}
	return true
}

// shrink leaves out dead states, and the least promising beyond the width.
func (e *exact) shrink(made []origin) []origin {
	n := e.m.n
	var live []int32
	for i := range e.next.states {
		if !e.next.states[i].dead {
			live = append(live, int32(i))
		}
	}
	if len(live) > e.width {
		slices.SortStableFunc(live, func(a, b int32) int {
			return cmp.Compare(e.next.states[a].bound, e.next.states[b].bound)
		})
		for _, i := range live[e.width:] {
			e.dropped = min(e.dropped, int(e.next.states[i].bound))
		}
		live = live[:e.width]
		slices.Sort(live)
	}
	kept := make([]origin, len(live))
	for to, i := range live {
		kept[to] = made[i]
		e.next.states[to] = e.next.states[i]
		copy(e.next.rel[to*n:(to+1)*n], e.next.rel[int(i)*n:int(i+1)*n])
	}
	e.next.states = e.next.states[:len(live)]
	e.next.rel = e.next.rel[:len(live)*n]
	return kept
}
