package seat

// state is an assignment with its terms kept up to date move by move.
type state struct {
	m     *model
	value []uint8 // [trait*n+place]
	combo []int   // by place, over the traits not hidden
	terms Terms   // all but Closest
	local []local // by place
	// field[t][q*values+v] is the distance in trait t from place q to its
	// neighbours, were its value v.
	field [][]int32
}

// local is a place's part in what costs: pairs, lines and repeats it is in.
type local struct{ breaches, runs, repeats int32 }

func newState(m *model) *state {
	s := &state{m: m, value: make([]uint8, m.t*m.n), combo: make([]int, m.n), local: make([]local, m.n)}
	for t := range m.t {
		s.field = append(s.field, make([]int32, m.n*m.values[t]))
	}
	return s
}

// load takes over a whole assignment.
func (s *state) load(value []uint8) {
	m := s.m
	copy(s.value, value)
	clear(s.combo)
	clear(s.local)
	for t := range m.t {
		col := s.value[t*m.n:][:m.n]
		k := m.values[t]
		clear(s.field[t])
		for q := range m.n {
			s.combo[q] += int(col[q]) * m.radix[t]
			for _, r := range m.near[q] {
				for v := range k {
					s.field[t][q*k+v] += m.dist[t][v*k+int(col[r])]
				}
			}
		}
		if t == m.p.Main {
			for _, l := range m.lines {
				if col[l[0]] == col[l[1]] && col[l[0]] == col[l[2]] {
					s.line(int(l[0]), l[1], l[2], 1)
				}
			}
		}
	}
	for q := range m.n {
		for _, r := range m.near[q] {
			if s.combo[q] == s.combo[r] {
				s.local[q].breaches++
			}
		}
		for _, f := range m.away[q] {
			if s.combo[q] == s.combo[f.place] {
				s.local[q].repeats += f.cost
			}
		}
	}
	s.terms, _ = Score(m.p, unpack(m, value))
}

// line books or strikes out a run of three.
func (s *state) line(q int, a, b, n int32) {
	s.local[q].runs += n
	s.local[a].runs += n
	s.local[b].runs += n
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
	s.terms.Distance += int(s.field[t][q*k+int(v)] - s.field[t][q*k+int(old)])
	before, after := m.dist[t][int(old)*k:][:k], m.dist[t][int(v)*k:][:k]
	for _, r := range m.near[q] {
		f := s.field[t][int(r)*k:][:k]
		for u := range f {
			f[u] += after[u] - before[u]
		}
	}
	if m.radix[t] != 0 {
		s.recombine(q, s.combo[q]+(int(v)-int(old))*m.radix[t])
	}
	if t == m.p.Main {
		for _, l := range m.through[q] {
			if c := col[l[0]]; c == col[l[1]] {
				switch c {
				case old:
					s.terms.Runs--
					s.line(q, l[0], l[1], -1)
				case v:
					s.terms.Runs++
					s.line(q, l[0], l[1], 1)
				}
			}
		}
	}
	s.terms.Preferred += s.wish(q, t, v) - s.wish(q, t, old)
	col[q] = v
}

// wish is what value v of trait t would meet of the preferences at place q.
func (s *state) wish(q, t int, v uint8) int {
	sum := 0
	for _, w := range s.m.wishes[t][v] {
		if int(s.value[w.trait*s.m.n+q]) == w.value {
			sum += w.weight
		}
	}
	return sum
}

// recombine changes a place's combination: breaches and repeats.
func (s *state) recombine(q, combo int) {
	old := s.combo[q]
	for _, r := range s.m.near[q] {
		switch s.combo[r] {
		case old:
			s.terms.Breaches--
			s.local[q].breaches--
			s.local[r].breaches--
		case combo:
			s.terms.Breaches++
			s.local[q].breaches++
			s.local[r].breaches++
		}
	}
	for _, f := range s.m.away[q] {
		switch s.combo[f.place] {
		case old:
			s.terms.Repeats -= int(f.cost)
			s.local[q].repeats -= f.cost
			s.local[f.place].repeats -= f.cost
		case combo:
			s.terms.Repeats += int(f.cost)
			s.local[q].repeats += f.cost
			s.local[f.place].repeats += f.cost
		}
	}
	s.combo[q] = combo
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

// swapGain is how much the distance grows if places q and r exchange their
// values a and b of trait t.
func (s *state) swapGain(q, r, t int, a, b uint8) int {
	k := s.m.values[t]
	f := s.field[t]
	gain := f[q*k+int(b)] - f[q*k+int(a)] + f[r*k+int(a)] - f[r*k+int(b)]
	if s.m.touch(q, r) {
		gain += 2 * s.m.dist[t][int(a)*k+int(b)]
	}
	return int(gain)
}

// touch says whether two places are neighbours or the same.
func (m *model) touch(q, r int) bool {
	a, b := &m.at[q], &m.at[r]
	return a.block == b.block && uint32(a.rank-b.rank+1) < 3 && uint32(a.file-b.file+1) < 3
}
