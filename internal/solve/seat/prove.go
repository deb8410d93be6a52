package seat

// prover lowers the proved upper bound. It runs as a coroutine: between two
// yields it does as much work as its quota allows, so that a round is the
// same on every machine. One unit of work is about one exchange of a lane.
type prover struct {
	m      *model
	upper  int // no assignment has a higher objective
	wanted int // nor more preferred pairs
	// wantedApart is the same for assignments without breaches.
	wantedApart int
	sums        []int // nor, by trait, a larger sum of distances

	value int     // objective of the best assignment heard of
	heard []uint8 // that assignment
	found []uint8 // a better one found by branching

	every       []int // all places, block by block
	quota, used int
	calls       int
	stop        func() bool
	yield       func(struct{}) bool
	dead        bool
}

func newProver(m *model) *prover {
	p := &prover{m: m, wanted: m.wanted(m.n)}
	for _, b := range m.blocks() {
		p.every = append(p.every, b...)
	}
	p.wantedApart = m.wanted(m.tiles(m.sweep(p.every)))
	for t := range m.p.Traits {
		p.sums = append(p.sums, len(m.edges)*m.p.Traits[t].farthest())
	}
	p.upper = p.separately()
	return p
}

// bySums is the bound that treats every term by itself.
func (p *prover) bySums(wanted int) int {
	u := p.m.p.Weights.Prefer * wanted
	for _, s := range p.sums {
		u += p.m.p.Weights.Neighbour * s
	}
	return u
}

// separately is bySums, told apart by whether there is a breach.
func (p *prover) separately() int {
	return max(p.bySums(p.wantedApart), p.bySums(p.wanted)-p.m.p.Weights.Breach)
}

// hear is told the best assignment of all between rounds.
func (p *prover) hear(value int, best []uint8) {
	p.value = value
	p.heard = append(p.heard[:0], best...)
}

// work books units of work and waits for the next round when the quota is
// used up. It returns false when the search is over.
func (p *prover) work(units int) bool {
	p.used += units
	for p.used >= p.quota && !p.dead {
		p.dead = !p.yield(struct{}{})
	}
	p.calls++
	p.dead = p.dead || p.calls&255 == 0 && p.stop()
	return !p.dead
}

// closed says whether nothing is left to prove.
func (p *prover) closed() bool { return p.dead || p.value >= p.upper }

// stripLimit and comboLimit bound the states of a sweep for one trait, and
// for combinations of several.
const (
	stripLimit = 4_096
	comboLimit = 100_000
)

func (p *prover) run(yield func(struct{}) bool) {
	p.yield = yield
	m := p.m
	steps := m.sweep(p.every)
	tables := make([]*table, m.t)
	room, complete := tableLimit, true
	for t := range m.t {
		if tables[t] = m.newTable(t, steps, room, p.work); tables[t] != nil {
			room -= tables[t].entries()
			p.sums[t] = min(p.sums[t], int(tables[t].best[0][0]))
		} else if p.sums[t] > 0 {
			p.oneTrait(t)
		}
		complete = complete && tables[t] != nil
		p.upper = min(p.upper, p.separately())
		if p.closed() {
			return
		}
	}
	if !complete {
		p.together()
	} else if value, done := p.branch(steps, tables); done {
		p.upper = min(p.upper, value)
	}
}

// oneTrait lowers the bound of one trait by prices.
func (p *prover) oneTrait(t int) {
	r := p.m.newRelax([]int{t}, Weights{Neighbour: 1}, stripLimit, p.work)
	if r == nil {
		return
	}
	grain := 0
	for _, d := range p.m.dist[t] {
		grain = gcd(grain, int(d))
	}
	p.tighten(r, func() int { return p.heardSum(t) }, func(bound int) {
		if bound -= bound % max(1, grain); bound < p.sums[t] {
			p.sums[t] = bound
			p.upper = min(p.upper, p.separately())
		}
	})
}

// together lowers the bound of all traits at once, if they have few enough
// combinations.
func (p *prover) together() {
	var every []int
	for t := range p.m.t {
		every = append(every, t)
	}
	w := p.m.p.Weights
	top := 0
	for t := range p.m.p.Traits {
		top += p.m.p.Traits[t].farthest() * w.Neighbour
	}
	if w.Breach = min(w.Breach, 4*top); p.upper > 1<<36 {
		return
	}
	r := p.m.newRelax(every, w, comboLimit, p.work)
	if r == nil {
		return
	}
	p.tighten(r, func() int { return p.value }, func(bound int) { p.upper = min(p.upper, bound) })
}

// tighten moves prices until the bound comes down to the target, or hardly
// moves any more. Hope is the part of the gap that a move aims to close.
func (p *prover) tighten(r *relax, target func() int, lower func(bound int)) {
	best, since := 1<<62, 0
	for hope := 1.0; hope > 1.0/64; {
		b, ok := r.bound()
		if !ok {
			return
		}
		if b < best {
			best, since = b, 0
			lower(floorDiv(b, whole))
		} else if since++; since == 10 {
			hope, since = hope/2, 0
		}
		goal := target()
		if p.closed() || floorDiv(best, whole) <= goal {
			return
		}
		if !r.move(hope * float64(b-goal*whole)) {
			return
		}
	}
}

// heardSum is the sum of distances of one trait in the best heard of.
func (p *prover) heardSum(t int) int {
	m := p.m
	col := p.heard[t*m.n:]
	sum := 0
	for _, e := range m.edges {
		sum += int(m.dist[t][int(col[e[0]])*m.values[t]+int(col[e[1]])])
	}
	return sum
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
