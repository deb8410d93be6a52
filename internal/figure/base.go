package figure

import "math"

// baseHigh is the thickness of a base; the ground the feet stand on.
const baseHigh = 1.6

// ground is a base's upper side, a little uneven.
type ground struct{ n node }

// bump is a hash of a lattice point, −1 to 1.
func bump(x, y int32) float64 {
	h := uint32(x)*0x9E3779B1 ^ uint32(y)*0x85EBCA77
	h ^= h >> 15
	h *= 0x2C1B3C6D
	h ^= h >> 12
	h *= 0x297A2D39
	h ^= h >> 15
	return float64(h&0xFFFF)/32767.5 - 1
}

// rough is smooth noise with features about 1 apart, −1 to 1.
func rough(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int32(fx), int32(fy)
	u, v := x-fx, y-fy
	u = float64(u*u) * (3 - 2*u)
	v = float64(v*v) * (3 - 2*v)
	a := bump(ix, iy) + float64(u*(bump(ix+1, iy)-bump(ix, iy)))
	b := bump(ix, iy+1) + float64(u*(bump(ix+1, iy+1)-bump(ix, iy+1)))
	return a + float64(v*(b-a))
}

func (g *ground) dist(p vec) float64 {
	d := g.n.dist(p)
	if d > 1 {
		return d - 0.25
	}
	lift := min((p.Z-baseHigh+0.5)/0.5, 1)
	if lift <= 0 {
		return d
	}
	h := 0.22*rough(0.23*p.X, 0.23*p.Y+7) + 0.12*rough(0.6*p.X+0.3*p.Y, 0.6*p.Y-0.3*p.X) + 0.08*rough(1.3*p.X-0.5*p.Y, 1.3*p.Y+0.5*p.X)
	return d - float64(lift*h)
}

func (g *ground) prune(w where) (node, float64) { return w.leaf(g, g.dist(w.c)) }

// stones are pebbles half sunk in a base that reaches x and y from its middle.
func stones(x, y float64, count int) node {
	b := &blend{k: 0.15}
	for i := range int32(count) {
		f := world(vec{X: 0.86 * x * bump(i, 71), Y: 0.88 * y * bump(i, 72), Z: baseHigh - 0.08})
		r := 0.55 + 0.3*bump(i, 73)
		b.kids = append(b.kids, ellipsoid(f.turnZ(180*bump(i, 74)).turnX(12*bump(i, 75)), r*1.25, r, r*0.62))
	}
	return b
}

// roundBase is a disc of the given diameter, squareBase a rectangle.
func (s *sculpture) roundBase(diameter float64) {
	r := diameter / 2
	s.addSoft("base", 0, join(0.2, &ground{cylinder(world(vec{Z: 0.5}), baseHigh-0.5, r-0.35, r-0.5, 0.2)}, stones(0.66*r, 0.66*r, 9)))
	s.addSoft("base rim", 0, cylinder(world(vec{}), baseHigh-0.25, r, r-0.3, 0.12))
	s.fit(r, r)
	s.under = under{0.7 * r, 0.7 * r}
}

func (s *sculpture) squareBase(width, depth float64) {
	f := world(vec{Z: (baseHigh + 0.5) / 2})
	s.addSoft("base", 0, join(0.2, &ground{box(f, width/2-0.35, depth/2-0.35, (baseHigh-0.5)/2, 0.2)}, stones(width/2, depth/2, int(width*depth/60))))
	s.addSoft("base rim", 0, box(world(vec{Z: (baseHigh - 0.25) / 2}), width/2, depth/2, (baseHigh-0.25)/2, 0.12))
	s.fit(width/2, depth/2)
	s.under = under{width / 2, depth / 2}
}

// fit widens the sculpture's box.
func (s *sculpture) fit(x, y float64) {
	s.lo = s.lo.Min(vec{X: -x, Y: -y})
	s.hi = s.hi.Max(vec{X: x, Y: y})
}
