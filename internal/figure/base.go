package figure

import "math"

// baseHigh is the thickness of a base; the ground the feet stand on.
const baseHigh = 1.6

// ground is a base's upper side, a little uneven.
type ground struct {
	n    node
	rise float64
}

func (g *ground) dist(p vec) float64 {
	d := g.n.dist(p)
	if d > 1 {
		return d
	}
	s := func(f, x, y, ph float64) float64 {
		return math.Sin(float64(f*x) + ph + 1.3*math.Sin(float64(f*0.7*y)+2*ph))
	}
	bump := s(0.9, p.X, p.Y, 0.3) + s(1.1, p.Y, p.X, 1.9) + 0.6*s(2.3, p.X+p.Y, p.X-p.Y, 0.7) + 0.35*s(4.1, p.Y, p.X, 2.6)
	lift := min(max((p.Z-baseHigh+0.5)/0.5, 0), 1)
	return d - float64(g.rise*lift)*bump*0.4
}

func (g *ground) prune(c vec, r float64) node { return g }

// roundBase is a disc of the given diameter, squareBase a rectangle.
func (s *sculpture) roundBase(diameter float64) {
	r := diameter / 2
	s.addSoft("base", 0, &ground{cylinder(world(vec{Z: 0.5}), baseHigh-0.5, r-0.35, r-0.5, 0.2), 0.16})
	s.addSoft("base rim", 0, cylinder(world(vec{}), baseHigh-0.25, r, r-0.3, 0.12))
	s.fit(r, r)
}

func (s *sculpture) squareBase(width, depth float64) {
	f := world(vec{Z: (baseHigh + 0.5) / 2})
	s.addSoft("base", 0, &ground{box(f, width/2-0.35, depth/2-0.35, (baseHigh-0.5)/2, 0.2), 0.16})
	s.addSoft("base rim", 0, box(world(vec{Z: (baseHigh - 0.25) / 2}), width/2, depth/2, (baseHigh-0.25)/2, 0.12))
	s.fit(width/2, depth/2)
}

// fit widens the sculpture's box.
func (s *sculpture) fit(x, y float64) {
	s.lo = s.lo.Min(vec{X: -x, Y: -y})
	s.hi = s.hi.Max(vec{X: x, Y: y})
}
