package figure

import "math"

// lens draws a lattice together round a middle, so that cells are small there
// without being small anywhere else: k times as large as usual up to in mm from
// it, wider than usual on the way to out mm, as usual beyond. Both distances are
// in the lattice. The zero lens leaves everything where it is.
type lens struct {
	c          vec
	k, in, out float64
	slope      float64 // width of a cell between in and out, outward
}

const lensSlope = 1.4

// newLens makes cells k times as large within r mm of c.
func newLens(c vec, r, k float64) lens {
	if r <= 0 || k >= 1 {
		return lens{}
	}
	in := r / k
	return lens{c, k, in, (lensSlope*in - r) / (lensSlope - 1), lensSlope}
}

// through is the place of a point of the lattice.
func (l *lens) through(u vec) vec {
	d := u.Sub(l.c)
	ρ := d.Len()
	switch {
	case ρ >= l.out:
		return u
	case ρ <= l.in:
		return l.c.Add(d.Mul(l.k))
	}
	return l.c.Add(d.Mul(l.from(ρ) / ρ))
}

// from is how far from the middle that is which lies ρ from it in the lattice.
func (l *lens) from(ρ float64) float64 {
	switch {
	case ρ >= l.out:
		return ρ
	case ρ <= l.in:
		return l.k * ρ
	}
	return float64(l.k*l.in) + float64(l.slope*(ρ-l.in))
}

// to is the inverse of from.
func (l *lens) to(r float64) float64 {
	switch {
	case r >= l.out:
		return r
	case r <= l.k*l.in:
		return r / l.k
	}
	return l.in + (r-float64(l.k*l.in))/l.slope
}

// back is the point of the lattice that is seen at p.
func (l *lens) back(p vec) vec {
	d := p.Sub(l.c)
	r := d.Len()
	if r >= l.out || r == 0 {
		return p
	}
	return l.c.Add(d.Mul(l.to(r) / r))
}

// stretch bounds how much longer steps within r of u become.
func (l *lens) stretch(u vec, r float64) float64 {
	d := u.Sub(l.c).Len()
	switch {
	case d-r >= l.out:
		return 1
	case d+r <= l.in:
		return l.k
	}
	return l.slope
}

// cover returns a box of the lattice that covers a box about the middle.
func (l *lens) cover(lo, hi vec) (vec, vec) {
	if l.out == 0 {
		return lo, hi
	}
	// Points of a side are drawn out most where it is nearest to the middle.
	side := func(at, c float64) float64 {
		return c + math.Copysign(l.to(math.Abs(at-c)), at-c)
	}
	return lo.Min(vec{X: side(lo.X, l.c.X), Y: side(lo.Y, l.c.Y), Z: side(lo.Z, l.c.Z)}),
		hi.Max(vec{X: side(hi.X, l.c.X), Y: side(hi.Y, l.c.Y), Z: side(hi.Z, l.c.Z)})
}
