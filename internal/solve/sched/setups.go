package sched

import "math/bits"

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
// Ref: held1971, escudero1994.
type setupBound struct {
	m     *model
	parts []*part
	opens int // windows that are sure to be opened; 0 without a calendar
	// lambda is the multiplier of opens: 0 to leastFirst.
	lambda, leastFirst int
	degree             int // the most children of the root; 0: any number
	best               int // 1/1024 s, over all parts
	graph              int // steps used
}

// part is the relaxation of one segment. Node 0 is the root, node v is
// jobs[v-1].
type part struct {
	seg    *segment
	tree   *arborescence
	base   [][]int // base[v][u], 1/1024 s; none: not possible
	open   []int   // what it costs if v opens a window; none without calendar
	class  []int32
	out    []int // node → multiplier of its out-degree
	mu     []int // class → multiplier of its entries
	blocks []int // class → entries that are sure
	kids   []int // node → children in the tree
	enter  []int // class → entries in the tree
	used   []int // classes of the part
	value  int   // of the last tree, 1/1024 s, without lambda
	opened int   // root's children that open a window
	best   int   // the best value so far; for problems without a calendar
	entry  int   // most seconds that the set-up in front of the part can take
}

const unit = 1024 // parts of a second

// maxPart is the largest segment for which trees are grown.
const maxPart = 1500

func newSetupBound(m *model, segs []segment, opens int) *setupBound {
	b := &setupBound{m: m, opens: opens}
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
		if len(segs[i].jobs) <= maxPart {
			b.parts = append(b.parts, b.newPart(before, &segs[i]))
		}
	}
	return b
}

func (b *setupBound) newPart(before, seg *segment) *part {
	m := b.m
	n := len(seg.jobs) + 1
	t := &part{seg: seg, tree: newArborescence(n), out: make([]int, n), kids: make([]int, n)}
	t.base = make([][]int, n)
	t.open = make([]int, n)
	t.class = make([]int32, n)
	t.mu, t.blocks, t.enter = make([]int, m.c), make([]int, m.c), make([]int, m.c)
	isSource := map[int32]bool{}
	for _, j := range seg.sources {
		isSource[j] = true
	}
	for v := range n {
		t.base[v] = make([]int, n)
		for u := range n {
			t.base[v][u] = none
		}
	}
	for v := 1; v < n; v++ {
		j := seg.jobs[v-1]
		t.class[v] = m.class[j]
		t.open[v] = none
		if m.calendar {
			t.open[v] = m.p.First[m.class[j]] * unit
		}
		if isSource[j] || m.m > 1 {
			t.base[v][0] = b.into(before, j)
			t.entry = max(t.entry, t.base[v][0]/unit)
		}
		for u := 1; u < n; u++ {
			i := seg.jobs[u-1]
			if u != v && !m.before(j, i) && (m.m > 1 || !m.reach[i].meets(m.prior[j])) {
				t.base[v][u] = m.switchCost(m.class[i], m.class[j]) * unit
			}
		}
	}
	b.countBlocks(t)
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

// countBlocks finds, for each class, the longest chain of jobs any two of
// which have a job of another class that must come between.
func (b *setupBound) countBlocks(t *part) {
	m := b.m
	chain := map[int32]int{}
	mates := make([][]int32, m.c)
	for _, j := range t.seg.jobs { // topological
		c := m.class[j]
		if len(mates[c]) == 0 {
			t.used = append(t.used, int(c))
		}
		chain[j] = 1
		for _, i := range mates[c] {
			if chain[i] >= chain[j] && m.before(i, j) && m.parted(i, j) {
				chain[j] = chain[i] + 1
			}
		}
		mates[c] = append(mates[c], j)
		t.blocks[c] = max(t.blocks[c], chain[j])
	}
	if m.m > 1 {
		// The job between may be with another worker.
		for c := range t.blocks {
			t.blocks[c] = min(t.blocks[c], 1)
		}
	}
}

// parted reports that a job of another class must come between i and j.
func (m *model) parted(i, j int32) bool {
	for w, x := range m.reach[i] {
		for x &= m.prior[j][w]; x != 0; x &= x - 1 {
			if m.class[w<<6+bits.TrailingZeros64(x)] != m.class[i] {
				return true
			}
		}
	}
	return false
}

// run climbs for the given number of rounds; upper, in seconds, is a value
// that the bound can't exceed (an answer known). It returns the bound in
// seconds.
func (b *setupBound) run(rounds, upper int) int {
	alpha, since := 128, 0 // step length in 1/64
	for range rounds {
		value, norm := 0, 0
		opened := 0
		for _, t := range b.parts {
			v, ok := t.grow(b)
			if !ok {
				return 0 // can't be: the lags have no cycle
			}
			b.graph += len(t.class) * len(t.class)
			value += v
			opened += t.opened
			norm += t.norm(b)
		}
		short := 0
		if b.opens > 0 {
			value += b.lambda * b.opens
			if short = b.opens - opened; short != 0 {
				norm += short * short
			}
		}
		if value > b.best {
			b.best, since = value, 0
		} else if since++; since >= 15 {
			alpha, since = alpha*3/4, 0
		}
		if norm == 0 || alpha == 0 || b.best >= upper*unit {
			break
		}
		step := max(alpha*max(upper*unit-value, unit)/64/norm, 1)
		for _, t := range b.parts {
			t.move(b, step)
		}
		if b.opens > 0 {
			b.lambda = min(max(b.lambda+step*short, 0), b.leastFirst)
		}
	}
	return (b.best + unit - 1) / unit
}

// grow finds the cheapest tree under the multipliers and its value.
func (t *part) grow(b *setupBound) (value int, ok bool) {
	n := len(t.class)
	for v := 1; v < n; v++ {
		row, base, c := t.tree.cost[v], t.base[v], t.class[v]
		for u := 1; u < n; u++ {
			if base[u] >= none {
				row[u] = none
				continue
			}
			x := base[u] + t.out[u]
			if t.class[u] != c {
				x -= t.mu[c]
			}
			row[u] = x
		}
		row[0] = none
		if base[0] < none {
			row[0] = base[0] + t.out[0] - t.mu[c]
		}
		if t.open[v] < none {
			row[0] = min(row[0], t.open[v]-b.lambda-t.mu[c])
		}
	}
	value, ok = t.tree.solve()
	if !ok {
		return 0, false
	}
	t.count(b)
	for u := 1; u < n; u++ {
		value -= t.out[u]
	}
	value -= t.out[0] * b.degree
	for _, c := range t.used {
		value += t.mu[c] * t.blocks[c]
	}
	t.value = value
	t.best = max(t.best, value)
	return value, true
}

// count sees what the tree does.
func (t *part) count(b *setupBound) {
	clear(t.kids)
	for _, c := range t.used {
		t.enter[c] = 0
	}
	t.opened = 0
	for v := 1; v < len(t.class); v++ {
		u := t.tree.parent[v]
		t.kids[u]++
		if u == 0 || t.class[u] != t.class[v] {
			t.enter[t.class[v]]++
		}
		if u == 0 && t.open[v] < none && t.open[v]-b.lambda <= t.base[v][0] {
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
	for _, c := range t.used {
		d := t.blocks[c] - t.enter[c]
		if d > 0 || t.mu[c] > 0 {
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
	for _, c := range t.used {
		t.mu[c] = max(t.mu[c]+step*(t.blocks[c]-t.enter[c]), 0)
	}
}
