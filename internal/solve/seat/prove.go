package seat

// prover lowers the proved upper bound. It runs as a coroutine: between two
// yields it does as much work as its quota allows, so that a round is the
// same on every machine.
type prover struct {
	m     *model
	parts []*part
	upper int // no assignment has a higher objective

	value int     // objective of the best assignment heard of
	heard []uint8 // that assignment
	found []uint8 // a better one found by branching

	quota, used int
	stop        func() bool
	yield       func(struct{}) bool
	dead        bool
}

func newProver(m *model, parts []*part) *prover {
	p := &prover{m: m, parts: parts}
	w := m.p.Weights
	p.upper = w.Prefer*p.preferred() + w.Neighbour*len(m.edges)*p.widest()
	return p
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
	p.dead = p.dead || p.stop()
	return !p.dead
}

// widest is the largest distance of one neighbour pair.
func (p *prover) widest() int {
	top := 0
	for i := range p.m.p.Traits {
		top += p.m.p.Traits[i].farthest()
	}
	return top
}

// preferred bounds the sum of preferences: each pair at most as often as both
// its values can occur.
func (p *prover) preferred() int {
	total := 0
	for _, pr := range p.m.p.Prefer {
		total += pr.Weight * p.m.n
	}
	return total
}

func (p *prover) run(yield func(struct{}) bool) {
	p.yield = yield
}
