package sched

import (
	"context"
	"slices"
)

// setupBound is a proved lower bound on all set-up seconds without makes, by
// Lagrangian relaxation: a sequence is a tree in which each job hangs on the
// one before it, so it costs at least the cheapest arborescence over the arcs
// that the lags leave possible. Multipliers charge what the tree does wrong:
//
//   - a job with two successors;
//   - too few entries into a class whose jobs are kept apart by other classes'
//     jobs that must come between;
//   - a root with too many children (several workers: more than one each);
//   - with a calendar, where each window opens with First, fewer windows
//     opened than the work needs.
//
// Costs and multipliers are whole numbers of 1/1024 s, so the bound does not
// depend on the machine.
//
// Ref: heldkarp1971, escudero1994.
type setupBound struct {
	m     *model
	segs  []segment
	parts []*part
	opens int // windows that are sure to be opened; 0 without a calendar
	// lambda is the multiplier of opens: 0 to leastFirst.
	lambda, leastFirst int
	degree             int   // the most children of the root; 0: any number
	best               int   // 1/1024 s, over all parts
	marked             []int // multipliers at the best value
}

// part is the relaxation of one segment. Node 0 is the root, node v is
// jobs[v-1].
type part struct {
	seg      *segment
	tree     *arborescence
	base     [][]leg // node → arcs from other jobs, cost in 1/1024 s
	entrance []int   // node → cost of the arc from the root; none: not possible
	open     []int   // what it costs if v opens a window; none without calendar
	class    []int32
	out      []int // node → multiplier of its out-degree
	rules    []*blockRule
	refund   []int // class of u, class of v → sum of the multipliers of rules for which u → v enters a group
	root     []int // the same for the root → class of v
	kids     []int // node → children in the tree
	value    int   // of the last tree, 1/1024 s, without lambda
	opened   int   // root's children that open a window
	best     int   // the best value so far; for problems without a calendar
	entry    int   // most seconds that the set-up in front of the part can take
}

const unit = 1024 // parts of a second

// maxArcs is from how many arcs on a segment gets no trees, for memory's sake.
const maxArcs = 2_500_000

func newSetupBound(m *model, segs []segment, days *calendarBound, opens int) *setupBound {
	b := &setupBound{m: m, segs: segs, opens: opens, best: -none}
	if !m.calendar {
		b.degree = m.m
	}
	b.leastFirst = none
	for _, c := range m.class {
		b.leastFirst = min(b.leastFirst, m.p.First[c]*unit)
	}
	for i := range segs {
		var before *segment
		if i > 0 {
			before = &segs[i-1]
		}
		t := b.newPart(before, &segs[i])
		if t == nil {
			continue
		}
		if days != nil && i > 0 && slices.Contains(days.cuts, i) {
			t.entrance[1] = none // its only job pays for a window opened
		}
		b.parts = append(b.parts, t)
	}
	return b
}

// newPart returns nil for a segment with too many arcs.
func (b *setupBound) newPart(before, seg *segment) *part {
	m := b.m
	n := len(seg.jobs) + 1
	t := &part{seg: seg, tree: newArborescence(n), out: make([]int, n), kids: make([]int, n)}
	t.base, t.entrance = make([][]leg, n), make([]int, n)
	t.open = make([]int, n)
	t.class = make([]int32, n)
	t.refund, t.root = make([]int, m.c*m.c), make([]int, m.c)
	isSource := map[int32]bool{}
	for _, j := range seg.sources {
		isSource[j] = true
	}
	arcs := 0
	for v := 1; v < n; v++ {
		if arcs += len(t.base[v-1]); arcs > maxArcs {
			return nil
		}
		j := seg.jobs[v-1]
		t.entrance[v] = none
		t.class[v] = m.class[j]
		t.open[v] = none
		if m.calendar {
			t.open[v] = m.p.First[m.class[j]] * unit
		}
		if isSource[j] || m.m > 1 {
			t.entrance[v] = b.into(before, j)
			t.entry = max(t.entry, t.entrance[v]/unit)
		}
		for u := 1; u < n; u++ {
			i := seg.jobs[u-1]
			if u != v && !m.before(j, i) && (m.m > 1 || !m.reach[i].meets(m.prior[j])) {
				t.base[v] = append(t.base[v], leg{int32(u), int32(v), m.switchCost(m.class[i], m.class[j]) * unit})
			}
		}
	}
	return t
}

// into is the least set-up before job j when it is the first of its segment.
func (b *setupBound) into(before *segment, j int32) int {
	m := b.m
	if before == nil || m.m > 1 {
		return m.p.First[m.class[j]] * unit
	}
	least := none
	for _, i := range before.sinks {
		least = min(least, m.switchCost(m.class[i], m.class[j])*unit)
	}
	return least
}

// run climbs for the given number of rounds; upper, in seconds, is a value
// that the bound can't exceed (an answer known). It returns the bound in
// seconds.
func (b *setupBound) run(ctx context.Context, rounds, upper int) int {
	for _, t := range b.parts {
		if t.rules == nil {
			t.rules = newBlockCounter(b.m, t.seg.jobs, 500).rules(300)
		}
	}
	alpha, since := 1024, 0 // step length in 1/1024
	for range rounds {
		value, norm, opened := b.growAll()
		short := 0
		if b.opens > 0 {
			value += b.lambda * b.opens
			if short = b.opens - opened; short != 0 {
				norm += short * short
			}
		}
		if value > b.best {
			b.best, since = value, 0
			b.mark()
		} else if since++; since >= 20 {
			alpha, since = alpha*7/10, 0
			b.reset()
			continue
		}
		if ctx.Err() != nil || norm == 0 || alpha == 0 || b.best >= upper*unit {
			break
		}
		step := max(alpha*max(upper*unit-value, unit)/1024/norm, 1)
		for _, t := range b.parts {
			t.move(b, step)
		}
		if b.opens > 0 {
			b.lambda = min(max(b.lambda+step*short, 0), b.leastFirst)
		}
	}
	return max(b.best+unit-1, 0) / unit
}

// rules are the block rules of all jobs together.
func (b *setupBound) rules() []*blockRule {
	if len(b.parts) == 1 && len(b.parts[0].seg.jobs) == b.m.n {
		return b.parts[0].rules
	}
	return newBlockCounter(b.m, b.m.topo, 500).rules(300)
}

// ofSegment is the value of the last tree of a segment, 1/1024 s: its set-ups
// with each window opened refunded lambda cost at least so much.
func (b *setupBound) ofSegment(seg int) int {
	for _, t := range b.parts {
		if t.seg == &b.segs[seg] {
			return t.value
		}
	}
	return 0
}

// mark notes the multipliers, reset goes back to those noted last.
func (b *setupBound) mark() {
	b.marked = append(b.marked[:0], b.lambda)
	for _, t := range b.parts {
		b.marked = append(b.marked, t.out...)
		for _, r := range t.rules {
			b.marked = append(b.marked, r.mu)
		}
	}
}

func (b *setupBound) reset() {
	at := 1
	b.lambda = b.marked[0]
	for _, t := range b.parts {
		at += copy(t.out, b.marked[at:])
		for _, r := range t.rules {
			r.mu = b.marked[at]
			at++
		}
	}
}

// growAll grows all trees and returns their value without lambda.
func (b *setupBound) growAll() (value, norm, opened int) {
	for _, t := range b.parts {
		value += t.grow(b)
		opened += t.opened
		norm += t.norm(b)
	}
	return value, norm, opened
}

// grow finds the cheapest tree under the multipliers and its value.
func (t *part) grow(b *setupBound) (value int) {
	n := len(t.class)
	t.price(b.m.c)
	for v := 1; v < n; v++ {
		c := t.class[v]
		row := t.tree.arcs[v][:0]
		first := none
		if t.entrance[v] < none {
			first = t.entrance[v] + t.out[0] - t.root[c]
		}
		if t.open[v] < none {
			first = min(first, t.open[v]-b.lambda-t.root[c])
		}
		if first < none {
			row = append(row, leg{0, int32(v), first})
		}
		for _, l := range t.base[v] {
			l.cost += t.out[l.from] - t.refund[int(t.class[l.from])*b.m.c+int(c)]
			row = append(row, l)
		}
		t.tree.arcs[v] = row
	}
	value, ok := t.tree.solve()
	if !ok {
		panic("sched: a segment that can't be reached, though the lags have no cycle")
	}
	t.count(b)
	for u := 1; u < n; u++ {
		value -= t.out[u]
	}
	value -= t.out[0] * b.degree
	for _, r := range t.rules {
		value += r.mu * r.count
	}
	t.value = value
	t.best = max(t.best, value)
	return value
}

// price adds up what the rules give back for each pair of classes.
func (t *part) price(c int) {
	clear(t.refund)
	clear(t.root)
	for _, r := range t.rules {
		if r.mu == 0 {
			continue
		}
		for v, g := range r.group {
			if g == 0 {
				continue
			}
			t.root[v] += r.mu
			for u, h := range r.group {
				if h != g {
					t.refund[u*c+v] += r.mu
				}
			}
		}
	}
}

// count sees what the tree does.
func (t *part) count(b *setupBound) {
	clear(t.kids)
	for _, r := range t.rules {
		r.seen = 0
	}
	t.opened = 0
	for v := 1; v < len(t.class); v++ {
		u := t.tree.parent[v]
		t.kids[u]++
		for _, r := range t.rules {
			if g := r.group[t.class[v]]; g > 0 && (u == 0 || r.group[t.class[u]] != g) {
				r.seen++
			}
		}
		if u == 0 && t.open[v] < none && t.open[v]-b.lambda <= t.entrance[v] {
			t.opened++
		}
	}
}

// norm is the squared length of the direction that move takes.
func (t *part) norm(b *setupBound) int {
	sum := 0
	for u := range t.kids {
		d := t.excess(b, u)
		if d > 0 || t.out[u] > 0 || b.degree == 1 && u == 0 {
			sum += d * d
		}
	}
	for _, r := range t.rules {
		if d := r.count - r.seen; d > 0 || r.mu > 0 {
			sum += d * d
		}
	}
	return sum
}

// excess is by how much node u has too many children.
func (t *part) excess(b *setupBound, u int) int {
	if u > 0 {
		return t.kids[u] - 1
	}
	if b.degree == 0 {
		return 0
	}
	return t.kids[0] - b.degree
}

func (t *part) move(b *setupBound, step int) {
	for u := range t.kids {
		t.out[u] += step * t.excess(b, u)
		if u > 0 || b.degree != 1 { // one worker: the root has exactly one child
			t.out[u] = max(t.out[u], 0)
		}
	}
	for _, r := range t.rules {
		r.mu = max(r.mu+step*(r.count-r.seen), 0)
	}
}
