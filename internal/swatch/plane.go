package swatch

import "math"

// homography maps the card's plane to a picture's, or any plane to another.
type homography [9]float64

func (h *homography) apply(p Point) Point {
	w := h[6]*p.X + h[7]*p.Y + h[8]
	return Point{(h[0]*p.X + h[1]*p.Y + h[2]) / w, (h[3]*p.X + h[4]*p.Y + h[5]) / w}
}

// fitHomography returns the map that takes each from to its to, in the least
// squares of the linear equations; false if the points do not settle it. Four
// points or more, no three of them in line, are needed. Both sets are shifted
// and scaled first, which keeps the equations well conditioned.
//
// Ref: hartley2003 (section 4.4).
func fitHomography(from, to []Point) (homography, bool) {
	f, fs := normalise(from)
	t, ts := normalise(to)
	var m [8][9]float64
	add := func(row [8]float64, value float64) {
		for i := range 8 {
			for j := range 8 {
				m[i][j] += row[i] * row[j]
			}
			m[i][8] += row[i] * value
		}
	}
	for i := range f {
		x, y, u, v := f[i].X, f[i].Y, t[i].X, t[i].Y
		add([8]float64{x, y, 1, 0, 0, 0, -u * x, -u * y}, u)
		add([8]float64{0, 0, 0, x, y, 1, -v * x, -v * y}, v)
	}
	sol, ok := solve8(&m)
	if !ok {
		return homography{}, false
	}
	n := homography{sol[0], sol[1], sol[2], sol[3], sol[4], sol[5], sol[6], sol[7], 1}
	// Undo the scaling: T⁻¹ · n · F.
	forward := homography{fs.k, 0, -fs.k * fs.x, 0, fs.k, -fs.k * fs.y, 0, 0, 1}
	back := homography{1 / ts.k, 0, ts.x, 0, 1 / ts.k, ts.y, 0, 0, 1}
	out := times(&back, &n)
	return times(&out, &forward), true
}

func times(a, b *homography) (out homography) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}

type shift struct{ x, y, k float64 }

func normalise(ps []Point) ([]Point, shift) {
	var s shift
	for _, p := range ps {
		s.x += p.X / float64(len(ps))
		s.y += p.Y / float64(len(ps))
	}
	var far float64
	for _, p := range ps {
		far += math.Hypot(p.X-s.x, p.Y-s.y) / float64(len(ps))
	}
	s.k = 1
	if far > 0 {
		s.k = math.Sqrt2 / far
	}
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = Point{s.k * (p.X - s.x), s.k * (p.Y - s.y)}
	}
	return out, s
}

// solve8 solves eight equations by elimination with pivoting.
func solve8(m *[8][9]float64) (x [8]float64, ok bool) {
	for c := range 8 {
		best := c
		for r := c + 1; r < 8; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[best][c]) {
				best = r
			}
		}
		if !(math.Abs(m[best][c]) > 1e-10) {
			return x, false
		}
		m[c], m[best] = m[best], m[c]
		for r := c + 1; r < 8; r++ {
			k := m[r][c] / m[c][c]
			for j := c; j < 9; j++ {
				m[r][j] -= k * m[c][j]
			}
		}
	}
	for r := 7; r >= 0; r-- {
		x[r] = m[r][8]
		for j := r + 1; j < 8; j++ {
			x[r] -= m[r][j] * x[j]
		}
		x[r] /= m[r][r]
	}
	return x, true
}

// view maps places on the card to places in the photograph: a homography, then
// the lens, which moves a point away from the middle of the picture by the
// share k of its distance, at half the picture's diagonal.
type view struct {
	h      homography
	k      float64
	middle Point
	radius float64
}

// straighten undoes the lens.
func (v *view) straighten(p Point) Point {
	dx, dy := p.X-v.middle.X, p.Y-v.middle.Y
	s := 1 + v.k*(dx*dx+dy*dy)/(v.radius*v.radius)
	return Point{v.middle.X + s*dx, v.middle.Y + s*dy}
}

// photo returns where a place on the card is in the photograph.
func (v *view) photo(p Point) Point {
	q := v.h.apply(p)
	dx, dy := q.X-v.middle.X, q.Y-v.middle.Y
	x, y := dx, dy
	for range 6 {
		s := 1 + v.k*(x*x+y*y)/(v.radius*v.radius)
		x, y = dx/s, dy/s
	}
	return Point{v.middle.X + x, v.middle.Y + y}
}

// mostBend bounds the lens: an ordinary one bends by a few hundredths.
const mostBend = 0.2

// fitView finds homography and lens together: for each bend the homography is
// the least-squares one, and the bend with the smallest misfit is sought by
// golden section.
func fitView(card, photo []Point, w, h int) (view, float64, bool) {
	base := view{middle: Point{float64(w) / 2, float64(h) / 2}, radius: math.Hypot(float64(w), float64(h)) / 2}
	try := func(k float64) (view, float64, bool) {
		v := base
		v.k = k
		straight := make([]Point, len(photo))
		for i, p := range photo {
			straight[i] = v.straighten(p)
		}
		var ok bool
		if v.h, ok = fitHomography(card, straight); !ok {
			return v, math.Inf(1), false
		}
		var sum float64
		for i, p := range card {
			q := v.h.apply(p)
			sum += (q.X-straight[i].X)*(q.X-straight[i].X) + (q.Y-straight[i].Y)*(q.Y-straight[i].Y)
		}
		return v, math.Sqrt(sum / float64(len(card))), true
	}
	golden := (math.Sqrt(5) - 1) / 2
	low, high := -mostBend, mostBend
	for range 24 {
		a, b := high-golden*(high-low), low+golden*(high-low)
		_, fa, _ := try(a)
		_, fb, _ := try(b)
		if fa < fb {
			high = b
		} else {
			low = a
		}
	}
	return try((low + high) / 2)
}
