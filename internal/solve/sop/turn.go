package sop

// move is an exchange of two blocks one of which may be turned round.
type move struct {
	swap
	l, r int32 // the block to turn after the exchange, if r > 0
}

// turnCap bounds the length of a block that is turned round.
const turnCap = 50

// make applies a move.
func (s *search) make(m move) {
	t := s.t
	if m.i != m.j {
		i, j, k := int(m.i), int(m.j), int(m.k)
		s.apply(i, j, k, t.gain(i, j, k))
	}
	if m.r > 0 {
		l, r := int(m.l), int(m.r)
		for _, q := range [4]int{l - 1, l, r, r + 1} {
			s.push(t.p[q])
		}
		t.reverse(l, r)
		s.steps += (r - l) * 3
		s.done = append(s.done, swap{m.l - 1, m.l - 1, m.r})
	}
}

// turned takes note of a move if it beats the best one so far.
func turned(gain, best int, m *move, i, j, k, l, r int) int {
	if gain > best {
		*m = move{swap{int32(i), int32(j), int32(k)}, int32(l), int32(r)}
		return gain
	}
	return best
}

// turnLater tries moves with a turned block that make the later node p[y]
// follow p[q]. Here and below g is the old less the new cost of what follows
// p[q], and A, B, C, D are the stretches before, in and after the two blocks.
func (s *search) turnLater(q, y, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	c, p := t.in.c, t.p
	b := int(p[q+1])

	// A B* D with B = q+1..y, and A C B* D with B = q+1..y-1, C = y..k.
	diff, z := 0, q+1
	for ; z < y && z-q <= turnCap && t.lp[p[z]] <= int32(q); z++ {
		if z < y-1 {
			diff += int(t.w[z]) - int(t.wr[z])
		}
	}
	s.steps += z - q
	if z == y && y < n-1 {
		if t.lp[p[y]] <= int32(q) {
			gain := g + diff + int(t.w[y-1]) - int(t.wr[y-1]) + int(t.w[y]) - int(c[b*n+int(p[y+1])])
			best = turned(gain, best, m, 0, 0, 0, q+1, y)
		}
		last := t.in.ct[int(p[y-1])*n : int(p[y-1])*n+n]
		first := c[b*n : b*n+n]
		base := g + diff + int(t.w[y-1])
		k := y
		for ; k < n-1 && k-y < turnCap && t.mayFollow(p[k], int32(q), int32(y-1)); k++ {
			gain := base + int(t.w[k]) - int(last[p[k]]) - int(first[p[k+1]])
			best = turned(gain, best, m, q, y-1, k, q+k-y+2, k)
		}
		s.steps += k - y
	}
	if y < n-1 {
		best = s.turnToFront(q, y, g, best, m)
	}
	if q > 0 {
		best = s.turnHere(q, y, g, best, m)
	}
	return best
}

// turnToFront tries A C* B D with B = q+1..j and C = j+1..y, for every j.
func (s *search) turnToFront(q, y, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	c, p := t.in.c, t.p
	start := t.in.ct[int(p[q+1])*n : int(p[q+1])*n+n]
	g += int(t.w[y])
	j := y - 1
	for ; j > q && y-j <= turnCap; j-- {
		v := p[j+1]
		if t.lp[v] > int32(q) {
			break
		}
		if j+1 < y {
			g += int(t.w[j+1]) - int(t.wr[j+1])
		}
		gain := g + int(t.w[j]) - int(start[v]) - int(c[int(p[j])*n+int(p[y+1])])
		best = turned(gain, best, m, q, j, y, q+1, q+y-j)
	}
	s.steps += y - j
	return best
}

// turnHere tries A B* D with B = q..y-1, so that p[q] ends B and p[y] follows.
func (s *search) turnHere(q, y, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	p := t.p
	g -= int(t.w[q])
	z := q
	for ; z < y && z-q <= turnCap && t.lp[p[z]] < int32(q); z++ {
		if z < y-1 {
			g += int(t.w[z]) - int(t.wr[z])
		}
	}
	s.steps += z - q
	if z < y {
		return best
	}
	gain := g + int(t.w[q-1]) + int(t.w[y-1]) - int(t.in.c[int(p[q-1])*n+int(p[y-1])])
	return turned(gain, best, m, 0, 0, 0, q, y-1)
}

// turnEarlier tries moves with a turned block that make the earlier node p[y]
// follow p[q].
func (s *search) turnEarlier(q, y, g, best int, m *move) int {
	t, n := s.t, s.t.in.n
	c, p := t.in.c, t.p

	// A C* B D with B = y..q-1 and C = q..k: p[q] ends C*, p[y] begins B.
	before := c[int(p[y-1])*n : int(p[y-1])*n+n]
	end := c[int(p[q-1])*n : int(p[q-1])*n+n]
	base := g - int(t.w[q]) + int(t.w[y-1]) + int(t.w[q-1])
	k := q
	for ; k < n-1 && k-q < turnCap && t.lp[p[k]] < int32(y); k++ {
		if k > q {
			base += int(t.w[k-1]) - int(t.wr[k-1])
			gain := base + int(t.w[k]) - int(before[p[k]]) - int(end[p[k+1]])
			best = turned(gain, best, m, y-1, q-1, k, y, y+k-q)
		}
	}
	s.steps += k - q

	// A C B* D with B = i+1..y and C = y+1..q: p[q] ends C, p[y] begins B*.
	head := t.in.ct[int(p[y+1])*n : int(p[y+1])*n+n]
	tail := t.in.ct[int(p[q+1])*n : int(p[q+1])*n+n]
	base = g + int(t.w[y])
	i := y - 1
	for ; i >= 0 && y-i <= turnCap; i-- {
		v := p[i+1]
		if t.fs[v] <= int32(q) {
			break
		}
		if i+1 < y {
			base += int(t.w[i+1]) - int(t.wr[i+1])
		}
		gain := base + int(t.w[i]) - int(head[p[i]]) - int(tail[v])
		best = turned(gain, best, m, i, y, q, i+1+q-y, q)
	}
	s.steps += y - i
	return best
}
