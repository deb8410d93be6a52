package figure

import (
	"math"

	"facings/internal/geom"
)

// vec is a point or direction in millimetres.
type vec = geom.Vec3

// A node is a solid given by its signed distance: negative inside, zero on the
// surface, in millimetres. Distances may be bounds, not exact ones, but they
// grow no faster than lipschitz times the step.
type node interface {
	dist(p vec) float64
	// prune returns a node with the same distances within r of c, built of
	// fewer pieces where some can not matter there.
	prune(c vec, r float64) node
}

// lipschitz bounds how fast a node's distance may change per millimetre;
// ellipsoids and lofts are a little steeper than 1 in places.
const lipschitz = 1.1

// smin is the least of a and b, rounded where they differ by less than k. It is
// exactly the minimum elsewhere, so that far pieces can be dropped.
func smin(a, b, k float64) float64 {
	if b < a {
		a, b = b, a
	}
	if h := k - (b - a); h > 0 {
		return a - float64(h*h)/(4*k)
	}
	return a
}

func smax(a, b, k float64) float64 { return -smin(-a, -b, k) }

// blend is the union of its pieces, with fillets of radius about k.
type blend struct {
	k    float64
	kids []node
}

func join(k float64, kids ...node) node { return &blend{k, kids} }

func (b *blend) dist(p vec) float64 {
	d := math.Inf(1)
	for _, n := range b.kids {
		d = smin(d, n.dist(p), b.k)
	}
	return d
}

func (b *blend) prune(c vec, r float64) node {
	reach := lipschitz * r
	var buf [64]float64
	ds := buf[:0]
	least := math.Inf(1)
	for _, n := range b.kids {
		d := n.dist(c)
		ds = append(ds, d)
		least = min(least, d)
	}
	kept := make([]node, 0, 4)
	for i, n := range b.kids {
		if ds[i]-reach <= least+reach+b.k {
			kept = append(kept, n.prune(c, r))
		}
	}
	if len(kept) == 1 {
		return kept[0]
	}
	return &blend{b.k, kept}
}

// cut is the common part of a and b, rounded by k.
type cut struct {
	k    float64
	a, b node
}

func common(k float64, a, b node) node { return &cut{k, a, b} }

func (c *cut) dist(p vec) float64 {
	b := c.b.dist(p)
	if b > 2+c.k {
		return b // far outside; a bound is enough
	}
	return smax(c.a.dist(p), b, c.k)
}

func (c *cut) prune(o vec, r float64) node {
	reach := 2*lipschitz*r + c.k
	switch da, db := c.a.dist(o), c.b.dist(o); {
	case da-db > reach:
		return c.a.prune(o, r)
	case db-da > reach:
		return c.b.prune(o, r)
	}
	return &cut{c.k, c.a.prune(o, r), c.b.prune(o, r)}
}

// offset grows a solid by t (shrinks it where t is negative).
type offset struct {
	t float64
	n node
}

func grow(t float64, n node) node { return &offset{t, n} }

func (o *offset) dist(p vec) float64          { return o.n.dist(p) - o.t }
func (o *offset) prune(c vec, r float64) node { return &offset{o.t, o.n.prune(c, r)} }

// zoomed is n made k times as large about c.
type zoomed struct {
	n node
	c vec
	k float64
}

func (z *zoomed) dist(p vec) float64 {
	return z.k * z.n.dist(z.c.Add(p.Sub(z.c).Mul(1/z.k)))
}

func (z *zoomed) prune(c vec, r float64) node {
	return &zoomed{z.n.prune(z.c.Add(c.Sub(z.c).Mul(1/z.k)), r/z.k), z.c, z.k}
}

// inverse is everything outside n.
type inverse struct{ n node }

func outside(n node) node { return &inverse{n} }

func (v *inverse) dist(p vec) float64          { return -v.n.dist(p) }
func (v *inverse) prune(c vec, r float64) node { return &inverse{v.n.prune(c, r)} }

// carve takes the tool out of n, rounding the edge by k.
func carve(k float64, n, tool node) node { return common(k, n, outside(tool)) }

// overlay is a layer of thickness t over base wherever volume reaches: a strap,
// a lapel, a cuff. It follows whatever it is laid on.
func overlay(base node, t float64, volume node) node {
	return common(0.14, grow(t, base), volume)
}

// wave adds gentle folds to a solid: a small periodic displacement along axis,
// faded out away from a centre.
type wave struct {
	n            node
	axis         vec
	length, high float64 // mm between folds, mm deep
	centre       vec
	reach        float64
}

func (w *wave) dist(p vec) float64 {
	d := w.n.dist(p)
	q := p.Sub(w.centre)
	k := 2 * math.Pi / w.length
	f := 1 - q.Len2()/float64(w.reach*w.reach)
	switch {
	case d > 1+w.high: // far outside; a bound is enough
		d -= w.high
	case f > 0:
		d += float64(float64(f*f) * w.high * math.Sin(k*w.axis.Dot(q)))
	}
	return d / (1 + float64(k*w.high)) // no steeper than before
}

func (w *wave) prune(c vec, r float64) node {
	v := *w
	v.n = w.n.prune(c, r)
	return &v
}

// tufts roughens a solid like fur or feathers: bumps length mm apart across
// the z axis of f, drawn out along it by 1/stretch.
type tufts struct {
	n            node
	f            frame
	length, high float64
	stretch      float64
}

func (t *tufts) dist(p vec) float64 {
	d := t.n.dist(p)
	k := 2 * math.Pi / t.length
	if most := 1.6 * t.high; d > 1+most { // far outside; a bound is enough
		return (d - most) / (1 + float64(1.6*k*t.high))
	}
	q := t.f.local(p)
	x, y, z := k*q.X, k*q.Y, k*t.stretch*q.Z
	b := math.Sin(x+1.2*math.Sin(0.7*z+1)) * math.Sin(y+1.2*math.Sin(0.8*z))
	d += float64(t.high * (b + 0.6*math.Sin(z+0.9*math.Sin(x)+1.1*math.Sin(y))))
	return d / (1 + float64(1.6*k*t.high)) // no steeper than before
}

func (t *tufts) prune(c vec, r float64) node {
	v := *t
	v.n = t.n.prune(c, r)
	return &v
}

// part is a solid with the area its surface belongs to. It joins the parts
// before it with a fillet of k.
type part struct {
	area string
	k    float64
	n    node
}

// scene is a whole casting: the union of its parts.
type scene struct{ parts []part }

func (s *scene) dist(p vec) float64 {
	d := math.Inf(1)
	for i := range s.parts {
		d = smin(d, s.parts[i].n.dist(p), s.parts[i].k)
	}
	return d
}

// owner returns the number of the part whose surface is nearest to p.
func (s *scene) owner(p vec) int {
	best, at := math.Inf(1), 0
	for i := range s.parts {
		if d := s.parts[i].n.dist(p); d < best {
			best, at = d, i
		}
	}
	return at
}

// area returns the area of the part whose surface is nearest to p.
func (s *scene) area(p vec) string { return s.parts[s.owner(p)].area }

func (s *scene) prune(c vec, r float64) *scene {
	reach := lipschitz * r
	ds := make([]float64, len(s.parts))
	least, k := math.Inf(1), 0.0
	for i := range s.parts {
		ds[i] = s.parts[i].n.dist(c)
		least = min(least, ds[i])
		k = max(k, s.parts[i].k)
	}
	out := &scene{}
	for i, p := range s.parts {
		if ds[i]-reach <= least+reach+k {
			p.n = p.n.prune(c, r)
			out.parts = append(out.parts, p)
		}
	}
	return out
}

// normal returns the unit gradient of the distance at p, from four probes e
// apart.
func (s *scene) normal(p vec, e float64) vec {
	a := s.dist(vec{X: p.X + e, Y: p.Y - e, Z: p.Z - e})
	b := s.dist(vec{X: p.X - e, Y: p.Y - e, Z: p.Z + e})
	c := s.dist(vec{X: p.X - e, Y: p.Y + e, Z: p.Z - e})
	d := s.dist(vec{X: p.X + e, Y: p.Y + e, Z: p.Z + e})
	return vec{X: a - b - c + d, Y: -a - b + c + d, Z: -a + b - c + d}.Unit()
}
