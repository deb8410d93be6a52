package seat

// state is an assignment with its terms kept up to date move by move.
type state struct {
	m     *model
	value []uint8 // [trait*n+place]
	combo []int   // by place, over the traits not hidden
	terms Terms   // all but Closest
}

func newState(m *model) *state {
	return &state{m: m, value: make([]uint8, m.t*m.n), combo: make([]int, m.n)}
}

// load takes over a whole assignment.
func (s *state) load(value []uint8) {
	m := s.m
	copy(s.value, value)
	for q := range m.n {
		s.combo[q] = 0
		for t := range m.t {
			s.combo[q] += int(value[t*m.n+q]) * m.radix[t]
		}
	}
	s.terms, _ = Score(m.p, unpack(m, value))
}

// unpack turns [trait*n+place] into [place][trait].
func unpack(m *model, value []uint8) [][]int {
	out := make([][]int, m.n)
	for q := range out {
		out[q] = make([]int, m.t)
		for t := range out[q] {
			out[q][t] = int(value[t*m.n+q])
		}
	}
	return out
}

// set gives place q value v of trait t and corrects the terms.
func (s *state) set(q, t int, v uint8) {
	m := s.m
	col := s.value[t*m.n : (t+1)*m.n]
	old := col[q]
	k := m.values[t]
	before, after := m.dist[t][int(old)*k:][:k], m.dist[t][int(v)*k:][:k]
	d := int32(0)
	for _, r := range m.near[q] {
		d += after[col[r]] - before[col[r]]
	}
	s.terms.Distance += int(d)
	if m.radix[t] != 0 {
		s.recombine(q, s.combo[q]+(int(v)-int(old))*m.radix[t])
	}
	if t == m.p.Main {
		for _, l := range m.through[q] {
			if c := col[l[0]]; c == col[l[1]] {
				switch c {
				case old:
					s.terms.Runs--
				case v:
					s.terms.Runs++
				}
			}
		}
	}
	for _, w := range m.wishes[t][old] {
		if int(s.value[w.trait*m.n+q]) == w.value {
			s.terms.Preferred -= w.weight
		}
	}
	for _, w := range m.wishes[t][v] {
		if int(s.value[w.trait*m.n+q]) == w.value {
			s.terms.Preferred += w.weight
		}
	}
	col[q] = v
}

// recombine changes a place's combination: breaches and repeats.
func (s *state) recombine(q, combo int) {
	old := s.combo[q]
	for _, r := range s.m.near[q] {
		switch s.combo[r] {
		case old:
			s.terms.Breaches--
		case combo:
			s.terms.Breaches++
		}
	}
	for _, f := range s.m.away[q] {
		switch s.combo[f.place] {
		case old:
			s.terms.Repeats -= int(f.cost)
		case combo:
			s.terms.Repeats += int(f.cost)
		}
	}
	s.combo[q] = combo
}

// put writes a value back without touching the terms (the caller restores
// them from a copy).
func (s *state) put(q, t int, v uint8) {
	i := t*s.m.n + q
	s.combo[q] += (int(v) - int(s.value[i])) * s.m.radix[t]
	s.value[i] = v
}

// fits says whether place q may have value v of trait t beside its others.
func (s *state) fits(q, t int, v uint8) bool {
	m := s.m
	if m.allow[t][q]>>v&1 == 0 {
		return false
	}
	for _, b := range m.bar[t][v] {
		if b.mask>>s.value[b.trait*m.n+q]&1 != 0 {
			return false
		}
	}
	return true
}
