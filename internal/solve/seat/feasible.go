package seat

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
)

// Feasibility is a question of numbers, not of positions: how many places of
// each class get which combination of values. Traits tied by Forbid (directly
// or through others) are asked about together, all other traits by themselves.
// The unknowns are whole numbers with two families of sums: each class is
// used up, each Count is met. Narrowing the ranges through these sums, and
// trying numbers where that is not enough, decides the question exactly; flows
// between two traits (flow.go, glue.go) decide most cases at once.

// rule points at one entry of Counts, Forbid or Allow.
type rule struct{ family, index int }

const (
	countRule = iota
	forbidRule
	allowRule
)

// without tells which rules to leave out.
type without map[rule]bool

// class is a set of places that nothing tells apart, for some traits.
type class struct {
	places []int
	allow  []uint64 // by trait of the part
}

// part is one group of tied traits with its unknowns.
type part struct {
	traits  []int
	values  []int // how many, by trait of the part
	places  int
	pairs   [][2]int // of traits with a forbidden pair between them
	classes []class
	cells   []cell
	sums    []sum
	order   []int           // of the cells, small classes first
	failed  map[string]bool // rests that cannot be met
}

// cell is one unknown: how many places of a class get a combination.
type cell struct {
	class  int
	values []int // by trait of the part
	sums   []int
	lo, hi int
}

// sum is a class (used up) or a Count (met). For a Count, slot and value say
// of what, and whole that it takes in all places.
type sum struct {
	cells       []int
	total       int
	slot, value int
	whole       bool
}

// answer of a feasibility test.
type answer int

const (
	no answer = iota
	yes
	undecided
)

// tied groups traits by the pairs of Forbid that stand.
func (m *model) tied(out without) [][]int {
	group := make([]int, m.t)
	for t := range group {
		group[t] = t
	}
	for i, f := range m.p.Forbid {
		if out[rule{forbidRule, i}] || group[f.TraitA] == group[f.TraitB] {
			continue
		}
		from, to := group[f.TraitA], group[f.TraitB]
		for t := range group {
			if group[t] == from {
				group[t] = to
			}
		}
	}
	var parts [][]int
	for g := range m.t {
		var traits []int
		for t := range group {
			if group[t] == g {
				traits = append(traits, t)
			}
		}
		if traits != nil {
			parts = append(parts, traits)
		}
	}
	return parts
}

// newPart lays out the unknowns of a group of traits.
func (m *model) newPart(traits []int, out without) (*part, error) {
	pt := &part{traits: traits, places: m.n}
	slot := map[int]int{}
	combos := 1
	for i, t := range traits {
		slot[t] = i
		pt.values = append(pt.values, m.values[t])
		if combos *= m.values[t]; combos > maxCombos {
			return nil, fmt.Errorf("forbid: the traits tied together have more than %d combinations of values", maxCombos)
		}
	}
	allow, under := m.marks(slot, out)
	index := map[string]int{}
	for q := range m.n {
		key := fmt.Sprint(allow[q], under[q])
		c, ok := index[key]
		if !ok {
			c = len(pt.classes)
			index[key] = c
			pt.classes = append(pt.classes, class{allow: allow[q]})
		}
		pt.classes[c].places = append(pt.classes[c].places, q)
	}
	if combos*len(pt.classes) > 4*maxCombos {
		return nil, fmt.Errorf("rules: too many different places (%d) times combinations of values (%d)", len(pt.classes), combos)
	}
	sumOf := map[int]int{}
	for range pt.classes {
		pt.sums = append(pt.sums, sum{})
	}
	for i, c := range m.p.Counts {
		if s, mine := slot[c.Trait]; mine && !out[rule{countRule, i}] {
			sumOf[i] = len(pt.sums)
			pt.sums = append(pt.sums, sum{
				total: c.N, slot: s, value: c.Value,
				whole: len(m.placesOf(c.Places)) == m.n,
			})
		}
	}
	barred := m.barred(slot, out)
	for s := range traits {
		for r := range s {
			if slices.ContainsFunc(barred[s], func(b []uint64) bool { return b[r] != 0 }) {
				pt.pairs = append(pt.pairs, [2]int{r, s})
			}
		}
	}
	for c := range pt.classes {
		pt.sums[c].total = len(pt.classes[c].places)
		for values := range pt.combinations(c, barred) {
			cl := cell{class: c, values: values, sums: []int{c}, hi: len(pt.classes[c].places)}
			for _, i := range under[pt.classes[c].places[0]] {
				if values[slot[m.p.Counts[i].Trait]] == m.p.Counts[i].Value {
					cl.sums = append(cl.sums, sumOf[i])
				}
			}
			for _, s := range cl.sums {
				pt.sums[s].cells = append(pt.sums[s].cells, len(pt.cells))
			}
			pt.cells = append(pt.cells, cl)
		}
	}
	return pt, nil
}

// marks gives for each place what it allows and which Counts it falls under.
func (m *model) marks(slot map[int]int, out without) (allow [][]uint64, under [][]int) {
	allow = make([][]uint64, m.n)
	under = make([][]int, m.n)
	for q := range allow {
		allow[q] = make([]uint64, len(slot))
		for t, i := range slot {
			allow[q][i] = all(m.values[t])
		}
	}
	for i, a := range m.p.Allow {
		if s, mine := slot[a.Trait]; mine && !out[rule{allowRule, i}] {
			for _, q := range a.Places {
				allow[q][s] &= maskOf(a.Values)
			}
		}
	}
	for i, c := range m.p.Counts {
		if _, mine := slot[c.Trait]; mine && !out[rule{countRule, i}] {
			for _, q := range m.placesOf(c.Places) {
				under[q] = append(under[q], i)
			}
		}
	}
	return allow, under
}

// barred gives, by slot and value, the values of every other slot forbidden.
func (m *model) barred(slot map[int]int, out without) [][][]uint64 {
	b := make([][][]uint64, len(slot))
	for t, s := range slot {
		b[s] = make([][]uint64, m.values[t])
		for v := range b[s] {
			b[s][v] = make([]uint64, len(slot))
		}
	}
	for i, f := range m.p.Forbid {
		s, mine := slot[f.TraitA]
		r, too := slot[f.TraitB]
		if mine && too && !out[rule{forbidRule, i}] {
			b[s][f.A][r] |= 1 << f.B
			b[r][f.B][s] |= 1 << f.A
		}
	}
	return b
}

// combinations walks all value combinations a class may have.
func (pt *part) combinations(c int, barred [][][]uint64) func(yield func([]int) bool) {
	return func(yield func([]int) bool) {
		values := make([]int, len(pt.traits))
		var walk func(s int) bool
		walk = func(s int) bool {
			if s == len(values) {
				return yield(slices.Clone(values))
			}
			mask := pt.classes[c].allow[s]
			for r := range s {
				mask &^= barred[r][values[r]][s]
			}
			for v := 0; mask>>v != 0 && v < 64; v++ {
				if mask>>v&1 == 0 {
					continue
				}
				values[s] = v
				if !walk(s + 1) {
					return false
				}
			}
			return true
		}
		walk(0)
	}
}

// decide looks for whole numbers; with yes the cells hold them in lo.
func (pt *part) decide(steps *int) answer {
	queue := make([]int, len(pt.sums))
	for i := range queue {
		queue[i] = i
	}
	if !pt.narrow(queue, steps) {
		return no
	}
	pt.failed = map[string]bool{}
	for i := range pt.cells {
		pt.order = append(pt.order, i)
	}
	size := func(i int) int { return len(pt.classes[pt.cells[i].class].places) }
	slices.SortStableFunc(pt.order, func(i, j int) int { return size(i) - size(j) })
	return pt.split(steps)
}

// narrow tightens ranges through the sums in the queue until nothing moves.
func (pt *part) narrow(queue []int, steps *int) bool {
	waiting := make([]bool, len(pt.sums))
	for _, s := range queue {
		waiting[s] = true
	}
	for len(queue) > 0 {
		s := queue[0]
		queue = queue[1:]
		waiting[s] = false
		lo, hi := 0, 0
		for _, c := range pt.sums[s].cells {
			lo += pt.cells[c].lo
			hi += pt.cells[c].hi
		}
		total := pt.sums[s].total
		if lo > total || hi < total {
			return false
		}
		for _, c := range pt.sums[s].cells {
			x := &pt.cells[c]
			*steps--
			high := min(x.hi, total-(lo-x.lo))
			low := max(x.lo, total-(hi-x.hi))
			if high == x.hi && low == x.lo {
				continue
			}
			lo, hi = lo+low-x.lo, hi+high-x.hi
			x.lo, x.hi = low, high
			for _, r := range x.sums {
				if !waiting[r] {
					waiting[r] = true
					queue = append(queue, r)
				}
			}
		}
	}
	return true
}

// split closes classes that stand apart, then tries every number for the
// first open cell, those of small classes coming first.
func (pt *part) split(steps *int) answer {
	closed := make([]answer, len(pt.classes)) // no: not tried yet
	for at, i := range pt.order {
		cl := &pt.cells[i]
		if cl.lo == cl.hi {
			continue
		}
		if closed[cl.class] == no {
			if closed[cl.class] = undecided; pt.apart(cl.class) {
				if a := pt.close(cl.class); a != undecided {
					closed[cl.class] = a
				}
				if closed[cl.class] == no {
					return no
				}
			}
		}
		if cl.lo < cl.hi {
			return pt.number(at, steps)
		}
	}
	return yes
}

// number tries the numbers of the cell at a point of the order. What is left
// of the sums there is all that matters to the cells behind, so a rest that
// has failed once is not tried again.
func (pt *part) number(at int, steps *int) answer {
	key := pt.rest(at)
	if pt.failed[key] {
		return no
	}
	saved := make([][2]int, len(pt.cells))
	for i := range pt.cells {
		saved[i] = [2]int{pt.cells[i].lo, pt.cells[i].hi}
	}
	cl := &pt.cells[pt.order[at]]
	lo, hi := cl.lo, cl.hi
	for x := hi; x >= lo; x-- {
		if *steps <= 0 {
			return undecided
		}
		cl.lo, cl.hi = x, x
		if pt.narrow(slices.Clone(cl.sums), steps) {
			if a := pt.split(steps); a != no {
				return a
			}
		}
		for i := range pt.cells {
			pt.cells[i].lo, pt.cells[i].hi = saved[i][0], saved[i][1]
		}
	}
	pt.failed[key] = true
	return no
}

// rest tells a point of the order and what is left of every sum there.
func (pt *part) rest(at int) string {
	left := make([]int, len(pt.sums)+1)
	for s := range pt.sums {
		left[s] = pt.sums[s].total
	}
	for _, i := range pt.order[:at] {
		for _, s := range pt.cells[i].sums {
			left[s] -= pt.cells[i].lo
		}
	}
	left[len(pt.sums)] = at
	return fmt.Sprint(left)
}

// feasibleSteps bounds one feasibility test, in ranges looked at.
const feasibleSteps = 40_000_000

// parts decides every group of traits. With no or undecided it returns the
// group concerned alone.
func (m *model) parts(out without) ([]*part, answer, error) {
	var done []*part
	for _, traits := range m.tied(out) {
		pt, err := m.newPart(traits, out)
		if err != nil {
			return nil, no, err
		}
		steps := feasibleSteps
		if a := pt.test(&steps); a != yes {
			return []*part{pt}, a, nil
		}
		done = append(done, pt)
	}
	return done, yes, nil
}

// conflict finds rules that touch the traits of an infeasible part and cannot
// hold together, none of which can be spared. It thins them out in several
// orders and takes the smallest remainder; smaller ones may exist. It is
// minimal unless some test was undecided.
func (m *model) conflict(traits []int) (ids []string, minimal bool) {
	touches := func(t int) bool { return slices.Contains(traits, t) }
	out := without{}
	var rules []rule
	for i, c := range m.p.Counts {
		rules = addRule(rules, out, rule{countRule, i}, touches(c.Trait))
	}
	for i, a := range m.p.Allow {
		rules = addRule(rules, out, rule{allowRule, i}, touches(a.Trait))
	}
	for i, f := range m.p.Forbid {
		rules = addRule(rules, out, rule{forbidRule, i}, touches(f.TraitA))
	}
	best := rules
	for order := range thinnings {
		switch {
		case order == 1:
			slices.Reverse(rules)
		case order > 1:
			rng := rand.New(rand.NewPCG(uint64(order), 0))
			rng.Shuffle(len(rules), func(i, j int) { rules[i], rules[j] = rules[j], rules[i] })
		}
		if left, sure := m.thin(rules, maps.Clone(out)); order == 0 || sure && len(left) < len(best) {
			best, minimal = left, sure
		}
		if !minimal {
			break // tests are too hard to repeat
		}
	}
	slices.SortFunc(best, func(a, b rule) int {
		return cmp.Or(a.family-b.family, a.index-b.index)
	})
	for _, r := range best {
		switch r.family {
		case countRule:
			ids = append(ids, m.p.Counts[r.index].ID)
		case allowRule:
			ids = append(ids, m.p.Allow[r.index].ID)
		default:
			ids = append(ids, m.p.Forbid[r.index].ID)
		}
	}
	return ids, minimal
}

// thinnings is in how many orders a conflict is thinned out.
const thinnings = 6

// thin leaves out one rule after another, for good if the rest still cannot
// hold (a deletion filter).
//
// Ref: chinneck1991.
func (m *model) thin(rules []rule, out without) (left []rule, minimal bool) {
	minimal = true
	for _, r := range rules {
		out[r] = true
		_, a, err := m.parts(out)
		if a == no && err == nil {
			continue
		}
		minimal = minimal && a != undecided && err == nil
		delete(out, r)
		left = append(left, r)
	}
	return left, minimal
}

// addRule lists a rule to be tried, or leaves it out for good.
func addRule(rules []rule, out without, r rule, touches bool) []rule {
	if touches {
		return append(rules, r)
	}
	out[r] = true
	return rules
}
