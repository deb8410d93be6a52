package figure

import "math"

// station is one cross-section of a loft: at height t along the z axis, an oval
// about (x, y) with half axes rx and ry.
type station struct{ t, x, y, rx, ry float64 }

// lofted is a body through oval cross-sections, smooth from one to the next.
type lofted struct {
	f      frame
	st     []station
	spans  []span  // between the stations
	square float64 // 2 is an ellipse, more is boxier
	soft   float64 // rounding of the two ends
	cos    float64
}

// loft makes a body through the stations, which must rise in t.
func loft(f frame, square, soft float64, st ...station) node {
	l := &lofted{f: f, st: st, spans: spansOf(st), square: square, soft: soft}
	steep := 0.0
	const probes = 64
	lo, hi := st[0].t, st[len(st)-1].t
	var before station
	for i := 0; i <= probes; i++ {
		s := l.section(lo + (hi-lo)*float64(i)/probes)
		if i > 0 {
			dt := (hi - lo) / probes
			for _, d := range []float64{
				math.Abs(s.rx-before.rx) + math.Abs(s.x-before.x),
				math.Abs(s.ry-before.ry) + math.Abs(s.y-before.y),
			} {
				steep = max(steep, d/dt)
			}
		}
		before = s
	}
	steep = min(steep, 1.5)
	l.cos = 1 / math.Sqrt(1+float64(steep*steep))
	return l
}

// span is a loft between two stations: cubic polynomials in the share of the
// way, lowest power first.
type span struct {
	t, dt        float64
	x, y, rx, ry [4]float64
}

// spansOf lays cubic Hermite curves with slopes over uneven steps through the
// stations, so that sections may lie where the form needs them.
func spansOf(st []station) []span {
	out := make([]span, len(st)-1)
	for i := range out {
		a, b := &st[i], &st[i+1]
		dt := b.t - a.t
		curve := func(of func(s *station) float64) [4]float64 {
			av, bv := of(a), of(b)
			m0, m1 := bv-av, bv-av
			if i > 0 {
				m0 = dt * (bv - of(&st[i-1])) / (b.t - st[i-1].t)
			}
			if i+2 < len(st) {
				m1 = dt * (of(&st[i+2]) - av) / (st[i+2].t - a.t)
			}
			return [4]float64{av, m0, float64(3*(bv-av)) - float64(2*m0) - m1, m0 + m1 - float64(2*(bv-av))}
		}
		out[i] = span{a.t, dt, curve(func(s *station) float64 { return s.x }), curve(func(s *station) float64 { return s.y }),
			curve(func(s *station) float64 { return s.rx }), curve(func(s *station) float64 { return s.ry })}
	}
	return out
}

// at is a polynomial's value.
func at(c *[4]float64, u float64) float64 {
	v := c[2] + float64(u*c[3])
	v = c[1] + float64(u*v)
	return c[0] + float64(u*v)
}

func (l *lofted) section(t float64) station {
	n := len(l.st)
	if t <= l.st[0].t {
		s := l.st[0]
		s.t = t
		return s
	}
	if t >= l.st[n-1].t {
		s := l.st[n-1]
		s.t = t
		return s
	}
	i := 0
	for l.st[i+1].t < t {
		i++
	}
	s := &l.spans[i]
	u := (t - s.t) / s.dt
	return station{t, at(&s.x, u), at(&s.y, u), max(at(&s.rx, u), 0.02), max(at(&s.ry, u), 0.02)}
}

func (l *lofted) dist(p vec) float64 {
	q := l.f.local(p)
	s := l.section(q.Z)
	x, y := math.Abs(q.X-s.x), math.Abs(q.Y-s.y)
	var d float64
	if l.square == 2 {
		ix, iy := 1/s.rx, 1/s.ry
		ax, ay := x*ix, y*iy
		bx, by := ax*ix, ay*iy
		k0 := math.Sqrt(float64(ax*ax) + float64(ay*ay))
		k1 := math.Sqrt(float64(bx*bx) + float64(by*by))
		if k1 < 1e-9 {
			d = -min(s.rx, s.ry)
		} else {
			d = k0 * (k0 - 1) / k1
		}
	} else {
		d = superDist(x, y, s.rx, s.ry)
	}
	lo, hi := l.st[0].t, l.st[len(l.st)-1].t
	return smax(d*l.cos, max(lo-q.Z, q.Z-hi), l.soft)
}

// superDist is about the distance to the superellipse of power 4.
func superDist(x, y, rx, ry float64) float64 {
	ax, ay := x/rx, y/ry
	ax2, ay2 := float64(ax*ax), float64(ay*ay)
	s := math.Sqrt(float64(ax2*ax2) + float64(ay2*ay2))
	k0 := math.Sqrt(s)
	if k0 < 1e-6 {
		return -min(rx, ry)
	}
	gx, gy := ax2*ax/rx, ay2*ay/ry
	g := math.Sqrt(float64(gx*gx)+float64(gy*gy)) / float64(s*k0)
	return (k0 - 1) / g
}

func (l *lofted) prune(w where) (node, float64) { return w.leaf(l, l.dist(w.c)) }

// plate is a flat outline in the x-y plane of f, extruded half a thickness to
// either side, with rounded rim.
type plate struct {
	f           frame
	pts         []vec // z unused
	half, round float64
}

// extrude makes a plate of the closed outline, given as x, y pairs.
func extrude(f frame, thick, round float64, xy ...float64) node {
	p := &plate{f: f, half: thick/2 - round, round: round}
	for i := 0; i+1 < len(xy); i += 2 {
		p.pts = append(p.pts, vec{X: xy[i], Y: xy[i+1]})
	}
	return p
}

// rounded draws a smooth closed curve through the outline, n points per span.
func rounded(n int, xy ...float64) []float64 {
	k := len(xy) / 2
	at := func(i int) (x, y float64) { i = (i + k) % k; return xy[2*i], xy[2*i+1] }
	var out []float64
	for i := range k {
		ax, ay := at(i - 1)
		bx, by := at(i)
		cx, cy := at(i + 1)
		dx, dy := at(i + 2)
		for j := range n {
			t := float64(j) / float64(n)
			out = append(out, spline(ax, bx, cx, dx, t), spline(ay, by, cy, dy, t))
		}
	}
	return out
}

func (e *plate) dist(p vec) float64 {
	q := e.f.local(p)
	d2, inside := math.Inf(1), false
	for i, j := 0, len(e.pts)-1; i < len(e.pts); j, i = i, i+1 {
		a, b := e.pts[j], e.pts[i]
		ex, ey := b.X-a.X, b.Y-a.Y
		wx, wy := q.X-a.X, q.Y-a.Y
		t := (float64(wx*ex) + float64(wy*ey)) / (float64(ex*ex) + float64(ey*ey))
		t = min(max(t, 0), 1)
		dx, dy := wx-float64(ex*t), wy-float64(ey*t)
		d2 = min(d2, float64(dx*dx)+float64(dy*dy))
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+float64(ex*((q.Y-a.Y)/ey)) {
			inside = !inside
		}
	}
	d := math.Sqrt(d2)
	if inside {
		d = -d
	}
	d += e.round
	z := math.Abs(q.Z) - e.half
	a, b := max(d, 0), max(z, 0)
	return math.Sqrt(float64(a*a)+float64(b*b)) + min(max(d, z), 0) - e.round
}

func (e *plate) prune(w where) (node, float64) { return w.leaf(e, e.dist(w.c)) }
