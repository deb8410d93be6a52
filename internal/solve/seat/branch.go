package seat

import "slices"

// branch is depth-first branch and bound over the places in sweep order. The
// bound of a node adds what is settled, for each trait the best its table
// still allows, and the preferences still in reach. Breaches, runs and repeats
// among the places settled are charged in full; of those ahead only the runs
// that lines (runs.go) cannot avoid. Points the memory knows are passed over.
type branch struct {
	p      *prover
	m      *model
	w      Weights
	steps  []step
	tables []*table
	value  []uint8 // [trait*n+place]
	combo  []int   // by place
	passed []bool
	left   [][]int32 // [trait][step]: number of the leftovers, by table
	states [][]int   // [trait][step]
	remain [][]int   // [trait][value] the most places that can still get it
	exact  [][]bool  // [trait][value] whether that many must
	wanted int       // bound of all preferences
	room   []int     // by step: how often a combination can still be preferred
	alike  []bool    // by preference: whether its places would be alike
	target int       // objective to be exceeded
	memory *memory
	lines  *lines
	cut    bool
}

// branch searches exhaustively. When it is done the value returned is the
// best there is.
func (p *prover) branch(steps []step, tables []*table) (value int, done bool) {
	m := p.m
	backs := m.lookBack(steps)
	widths := make([]int, len(backs))
	for i := range backs {
		widths[i] = backs[i].main
	}
	b := &branch{p: p, m: m, w: m.p.Weights, steps: steps, tables: tables, passed: make([]bool, m.n), target: p.value,
		value: make([]uint8, m.t*m.n), combo: make([]int, m.n), memory: newMemory(m, backs),
		lines: newLines(m, steps, widths, p.work)}
	for t := range m.t {
		b.left = append(b.left, make([]int32, len(steps)+1))
		b.states = append(b.states, make([]int, len(steps)+1))
		remain := make([]int, m.values[t])
		for v := range remain {
			remain[v] = m.n
		}
		b.remain = append(b.remain, remain)
		b.exact = append(b.exact, make([]bool, m.values[t]))
	}
	for _, c := range m.p.Counts {
		if len(m.placesOf(c.Places)) == m.n {
			b.remain[c.Trait][c.Value] = min(c.N, b.remain[c.Trait][c.Value])
			b.exact[c.Trait][c.Value] = true
		}
	}
	b.wanted = p.wanted
	apart := false
	if p.bySums(p.wanted)-b.w.Breach <= b.target {
		b.wanted, apart = p.wantedApart, true // with a breach nothing can be gained
	}
	for _, pr := range m.p.Prefer {
		b.alike = append(b.alike, apart && m.decide(pr.TraitA, pr.TraitB))
	}
	for i := range len(steps) + 1 {
		b.room = append(b.room, m.tiles(steps[i:]))
	}
	b.place(0, 0, Terms{})
	return max(b.target, p.value), !b.cut
}

// ahead is the most that trait t can still earn when step i is reached.
func (b *branch) ahead(t, i int) int {
	tb := b.tables[t]
	return int(tb.best[i][int(b.left[t][i])*tb.states[i]+b.states[t][i]])
}

// place settles step i. Earned is the distance earned so far.
func (b *branch) place(i, earned int, terms Terms) {
	if !b.p.work(1) {
		b.cut = true
		return
	}
	b.target = max(b.target, b.p.value)
	if i == len(b.steps) {
		terms.Distance = earned
		if v := b.w.Objective(terms); v > b.target {
			b.target = v
			b.p.found = slices.Clone(b.value)
		}
		return
	}
	ahead := 0
	for t := range b.m.t {
		ahead += b.ahead(t, i)
	}
	b.trait(i, 0, earned, ahead, terms)
}

// option is one value of a trait at a step, with what it earns and leaves.
type option struct{ v, gain, then int }

// trait settles trait t at step i; ahead is the bound of all traits not yet
// settled here, and of what lies ahead for those that are.
func (b *branch) trait(i, t, earned, ahead int, terms Terms) {
	if t == b.m.t {
		b.settle(i, earned, terms)
		return
	}
	tb := b.tables[t]
	q := b.steps[i].place
	left, s := int(b.left[t][i]), b.states[t][i]
	mine := b.ahead(t, i)
	var room [MaxValues]option
	options := room[:0]
	for v := range tb.values {
		to := tb.next[i][left*tb.values+v]
		if to < 0 || !b.free(q, t, v) {
			continue
		}
		gain := int(tb.gain[i][s*tb.values+v])
		then := int(tb.best[i+1][int(to)*tb.states[i+1]+(s*tb.values+v)%tb.states[i+1]])
		if then > never/2 {
			options = append(options, option{v, gain, then})
		}
	}
	slices.SortStableFunc(options, func(x, y option) int { return y.gain + y.then - x.gain - x.then })
	for _, o := range options {
		rest := ahead - mine + o.gain + o.then
		terms.Distance = earned + rest
		if b.w.Objective(terms)+b.w.Prefer*b.hope(i, terms.Preferred) <= b.target {
			return
		}
		b.left[t][i+1] = tb.next[i][left*tb.values+o.v]
		b.states[t][i+1] = (s*tb.values + o.v) % tb.states[i+1]
		b.value[t*b.m.n+q] = uint8(o.v)
		b.trait(i, t+1, earned+o.gain, rest-o.gain, terms)
		if b.cut {
			return
		}
	}
}

// free says whether value v of trait t may stand beside the traits before it.
func (b *branch) free(q, t, v int) bool {
	if b.m.allow[t][q]>>v&1 == 0 {
		return false
	}
	for _, bar := range b.m.bar[t][v] {
		if bar.trait < t && bar.mask>>b.value[bar.trait*b.m.n+q]&1 != 0 {
			return false
		}
	}
	return true
}

// hope bounds the preferences to come from step i on: no pair more often than
// both its values are left, nor than places ahead can be alike without
// touching; all together no more than at the root.
func (b *branch) hope(i, got int) int {
	sum := 0
	for j, w := range b.m.p.Prefer {
		n := min(b.remain[w.TraitA][w.A], b.remain[w.TraitB][w.B])
		if b.alike[j] {
			n = min(n, b.room[i])
		}
		sum += w.Weight * max(0, n)
	}
	return min(sum, b.wanted-got)
}

// settle charges what place and passed places make together, and goes on.
func (b *branch) settle(i, earned int, terms Terms) {
	m, q := b.m, b.steps[i].place
	combo := 0
	for t := range m.t {
		combo += int(b.value[t*m.n+q]) * m.radix[t]
	}
	b.combo[q] = combo
	for _, r := range m.near[q] {
		if b.passed[r] && b.combo[r] == combo {
			terms.Breaches++
		}
	}
	for _, f := range m.away[q] {
		if b.passed[f.place] && b.combo[f.place] == combo {
			terms.Repeats += int(f.cost)
		}
	}
	for _, w := range m.p.Prefer {
		if int(b.value[w.TraitA*m.n+q]) == w.A && int(b.value[w.TraitB*m.n+q]) == w.B {
			terms.Preferred += w.Weight
		}
	}
	if m.p.Main >= 0 {
		col := b.value[m.p.Main*m.n:]
		for _, l := range m.through[q] {
			if b.passed[l[0]] && b.passed[l[1]] && col[l[0]] == col[q] && col[l[1]] == col[q] {
				terms.Runs++
			}
		}
	}
	rest := earned
	for t := range m.t {
		rest += b.ahead(t, i+1)
	}
	terms.Distance = rest
	for t := range m.t {
		b.remain[t][b.value[t*m.n+q]]--
	}
	most := b.w.Objective(terms) + b.w.Prefer*b.hope(i+1, terms.Preferred)
	if most > b.target && b.lines != nil {
		main := b.w.Neighbour * b.ahead(m.p.Main, i+1)
		most += min(0, b.lines.ahead(b, i+1)-main)
	}
	if most > b.target && b.supplied() {
		terms.Distance = earned
		if b.memory == nil || i+1 == len(b.steps) || !b.memory.seen(b, i+1, b.w.Objective(terms)) {
			b.passed[q] = true
			b.place(i+1, earned, terms)
			b.passed[q] = false
		}
	}
	for t := range m.t {
		b.remain[t][b.value[t*m.n+q]]++
	}
}

// supplied says whether each value still owed to places ahead has enough
// values of every other trait it may stand with.
func (b *branch) supplied() bool {
	for t, values := range b.m.bar {
		for v, bars := range values {
			if !b.exact[t][v] {
				continue
			}
			for _, bar := range bars {
				free := 0
				for u, r := range b.remain[bar.trait] {
					if bar.mask>>u&1 == 0 {
						free += max(0, r)
					}
				}
				if b.remain[t][v] > free {
					return false
				}
			}
		}
	}
	return true
}
