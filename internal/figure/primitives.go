package figure

import "math"

// frame is a place and three unit axes at right angles, right-handed.
type frame struct{ o, x, y, z vec }

func world(o vec) frame {
	return frame{o, vec{X: 1}, vec{Y: 1}, vec{Z: 1}}
}

// at returns the point with the given coordinates in f.
func (f frame) at(x, y, z float64) vec { return f.o.Add(f.dir(x, y, z)) }

// dir returns the direction with the given coordinates in f.
func (f frame) dir(x, y, z float64) vec {
	return vec{
		X: float64(f.x.X*x) + float64(f.y.X*y) + float64(f.z.X*z),
		Y: float64(f.x.Y*x) + float64(f.y.Y*y) + float64(f.z.Y*z),
		Z: float64(f.x.Z*x) + float64(f.y.Z*y) + float64(f.z.Z*z),
	}
}

// local returns the coordinates of p in f.
func (f frame) local(p vec) vec {
	q := p.Sub(f.o)
	return vec{X: q.Dot(f.x), Y: q.Dot(f.y), Z: q.Dot(f.z)}
}

// move returns f with its origin at the given point of f.
func (f frame) move(x, y, z float64) frame {
	f.o = f.at(x, y, z)
	return f
}

// turnX, turnY and turnZ turn f about its own axis by degrees.
func (f frame) turnX(deg float64) frame {
	s, c := math.Sincos(deg * math.Pi / 180)
	return frame{f.o, f.x, f.dir(0, c, s), f.dir(0, -s, c)}
}

func (f frame) turnY(deg float64) frame {
	s, c := math.Sincos(deg * math.Pi / 180)
	return frame{f.o, f.dir(c, 0, -s), f.y, f.dir(s, 0, c)}
}

func (f frame) turnZ(deg float64) frame {
	s, c := math.Sincos(deg * math.Pi / 180)
	return frame{f.o, f.dir(c, s, 0), f.dir(-s, c, 0), f.z}
}

// along returns a frame at a whose z axis runs to b and whose y axis is as near
// to front as can be.
func along(a, b, front vec) frame {
	z := b.Sub(a).Unit()
	x := front.Cross(z).Unit()
	if x == (vec{}) {
		x, _ = z.Basis()
	}
	return frame{a, x, z.Cross(x), z}
}

// ball is a sphere.
type ball struct {
	c vec
	r float64
}

func (b *ball) dist(p vec) float64            { return p.Sub(b.c).Len() - b.r }
func (b *ball) prune(w where) (node, float64) { return w.leaf(b, b.dist(w.c)) }

// cone is a capsule with a radius at each end.
type cone struct {
	a, u          vec
	l, ra, rb     float64
	sin, cos, end float64
}

func rod(a, b vec, ra, rb float64) node {
	d := b.Sub(a)
	l := d.Len()
	if l <= math.Abs(ra-rb)+1e-9 {
		if ra >= rb {
			return &ball{a, ra}
		}
		return &ball{b, rb}
	}
	s := (ra - rb) / l
	c := math.Sqrt(1 - float64(s*s))
	return &cone{a, d.Mul(1 / l), l, ra, rb, s, c, c * l}
}

func (k *cone) dist(p vec) float64 {
	q := p.Sub(k.a)
	y := q.Dot(k.u)
	x2 := max(q.Len2()-float64(y*y), 0)
	x := math.Sqrt(x2)
	t := float64(k.cos*y) - float64(k.sin*x)
	switch {
	case t < 0:
		return math.Sqrt(x2+float64(y*y)) - k.ra
	case t > k.end:
		y -= k.l
		return math.Sqrt(x2+float64(y*y)) - k.rb
	}
	return float64(x*k.cos) + float64(y*k.sin) - k.ra
}

func (k *cone) prune(w where) (node, float64) { return w.leaf(k, k.dist(w.c)) }

// chain is a row of rods through the points, radii interpolated, blended by k.
func chain(k float64, pts []vec, radii []float64) node {
	b := &blend{k: k}
	for i := 1; i < len(pts); i++ {
		b.kids = append(b.kids, rod(pts[i-1], pts[i], radii[i-1], radii[i]))
	}
	return b
}

// curve returns n+1 points on the smooth curve through pts (Catmull-Rom), per
// span.
func curve(n int, pts ...vec) []vec {
	at := func(i int) vec {
		switch {
		case i < 0:
			return pts[0].Mul(2).Sub(pts[1])
		case i >= len(pts):
			return pts[len(pts)-1].Mul(2).Sub(pts[len(pts)-2])
		}
		return pts[i]
	}
	out := []vec{pts[0]}
	for i := 0; i+1 < len(pts); i++ {
		p0, p1, p2, p3 := at(i-1), at(i), at(i+1), at(i+2)
		for j := 1; j <= n; j++ {
			t := float64(j) / float64(n)
			out = append(out, vec{
				X: spline(p0.X, p1.X, p2.X, p3.X, t),
				Y: spline(p0.Y, p1.Y, p2.Y, p3.Y, t),
				Z: spline(p0.Z, p1.Z, p2.Z, p3.Z, t),
			})
		}
	}
	return out
}

func spline(a, b, c, d, t float64) float64 {
	m0, m1 := (c-a)/2, (d-b)/2
	t2 := float64(t * t)
	t3 := float64(t2 * t)
	return float64((2*t3-3*t2+1)*b) + float64((t3-2*t2+t)*m0) +
		float64((3*t2-2*t3)*c) + float64((t3-t2)*m1)
}

// cord is a round string of radius r along the smooth curve through pts.
func cord(r float64, pts ...vec) node {
	return taper(r, r, pts...)
}

// taper is a cord whose radius goes from ra to rb.
func taper(ra, rb float64, pts ...vec) node {
	line := curve(3, pts...)
	radii := make([]float64, len(line))
	for i := range radii {
		radii[i] = ra + float64((rb-ra)*float64(i)/float64(len(line)-1))
	}
	return chain(0.05, line, radii)
}

// egg is an ellipsoid with half axes r along the axes of f.
type egg struct {
	f    frame
	r    vec
	over vec // 1/r
}

func ellipsoid(f frame, rx, ry, rz float64) node {
	return &egg{f, vec{X: rx, Y: ry, Z: rz}, vec{X: 1 / rx, Y: 1 / ry, Z: 1 / rz}}
}

func (e *egg) dist(p vec) float64 {
	q := e.f.local(p)
	a := vec{X: q.X * e.over.X, Y: q.Y * e.over.Y, Z: q.Z * e.over.Z}
	b := vec{X: a.X * e.over.X, Y: a.Y * e.over.Y, Z: a.Z * e.over.Z}
	k0, k1 := a.Len(), b.Len()
	if k1 < 1e-9 {
		return -min(e.r.X, e.r.Y, e.r.Z)
	}
	return k0 * (k0 - 1) / k1
}

func (e *egg) prune(w where) (node, float64) { return w.leaf(e, e.dist(w.c)) }

// brick is a box with half edges h, its edges rounded by round.
type brick struct {
	f     frame
	h     vec
	round float64
}

func box(f frame, hx, hy, hz, round float64) node {
	return &brick{f, vec{X: hx - round, Y: hy - round, Z: hz - round}, round}
}

func (b *brick) dist(p vec) float64 {
	q := b.f.local(p)
	x, y, z := math.Abs(q.X)-b.h.X, math.Abs(q.Y)-b.h.Y, math.Abs(q.Z)-b.h.Z
	out := vec{X: max(x, 0), Y: max(y, 0), Z: max(z, 0)}.Len()
	return out + min(max(x, y, z), 0) - b.round
}

func (b *brick) prune(w where) (node, float64) { return w.leaf(b, b.dist(w.c)) }

// ring is a torus about the z axis of f: radius big to the middle of a tube of
// radius small, pressed to the given half height along z.
type ring struct {
	f          frame
	big, small float64
	flat       float64 // half height ÷ small
}

func torus(f frame, big, small, half float64) node { return &ring{f, big, small, half / small} }

func (t *ring) dist(p vec) float64 {
	q := t.f.local(p)
	x := math.Sqrt(float64(q.X*q.X)+float64(q.Y*q.Y)) - t.big
	z := q.Z / t.flat
	return (math.Sqrt(float64(x*x)+float64(z*z)) - t.small) * min(1, t.flat)
}

func (t *ring) prune(w where) (node, float64) { return w.leaf(t, t.dist(w.c)) }

// drum is a cylinder about the z axis of f, from z = 0 to z = l, radius ra at
// the foot and rb at the top, edges rounded.
type drum struct {
	f            frame
	l, ra, slope float64
	cos, round   float64
}

func cylinder(f frame, l, ra, rb, round float64) node {
	s := (rb - ra) / l
	return &drum{f, l, ra, s, 1 / math.Sqrt(1+float64(s*s)), round}
}

func (c *drum) dist(p vec) float64 {
	q := c.f.local(p)
	x := math.Sqrt(float64(q.X*q.X) + float64(q.Y*q.Y))
	side := (x-c.ra-float64(c.slope*q.Z))*c.cos + c.round
	end := max(-q.Z, q.Z-c.l) + c.round
	a, b := max(side, 0), max(end, 0)
	return math.Sqrt(float64(a*a)+float64(b*b)) + min(max(side, end), 0) - c.round
}

func (c *drum) prune(w where) (node, float64) { return w.leaf(c, c.dist(w.c)) }

// half is everything on the side of the plane through o away from n.
type half struct {
	o, n vec
}

func below(o, n vec) node { return &half{o, n.Unit()} }

func (h *half) dist(p vec) float64            { return p.Sub(h.o).Dot(h.n) }
func (h *half) prune(w where) (node, float64) { return w.leaf(h, h.dist(w.c)) }

// slab is everything within half a width of the plane through o.
type slabNode struct {
	o, n vec
	w    float64
}

func slab(o, n vec, width float64) node { return &slabNode{o, n.Unit(), width / 2} }

func (s *slabNode) dist(p vec) float64            { return math.Abs(p.Sub(s.o).Dot(s.n)) - s.w }
func (s *slabNode) prune(w where) (node, float64) { return w.leaf(s, s.dist(w.c)) }

// all is the common part of many solids, with sharp edges.
func all(n ...node) node {
	out := n[0]
	for _, m := range n[1:] {
		out = common(0, out, m)
	}
	return out
}
