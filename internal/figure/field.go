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
	// prune returns a node with the same distances where w wants to know them,
	// built of fewer pieces where some can not matter there, and the distance of
	// w's middle. There is no node where all of it is further than w.hi, or
	// deeper than w.lo; the distance is then one of those, or nearer to them.
	prune(w where) (node, float64)
}

// where says which distances matter: those from lo to hi, within r of c. What
// is more than hi may come out as anything that is more, what is less than lo
// as anything that is less.
type where struct {
	c         vec
	r, lo, hi float64
	mem       *arena
}

// reached reports whether a solid that is d from the middle may have distances
// that matter.
func (w where) reached(d float64) bool {
	reach := lipschitz * w.r
	return d-reach <= w.hi && d+reach >= w.lo
}

// leaf prunes a solid that has no pieces.
func (w where) leaf(n node, d float64) (node, float64) {
	if w.reached(d) {
		return n, d
	}
	return nil, d
}

// grown is w with the distances moved by t and widened.
func (w where) grown(t, below, above float64) where {
	w.lo += t - below
	w.hi += t + above
	return w
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

// blend is the union of its pieces, with fillets of radius about k. Of one that
// was pruned it is known how far the pieces are from the middle of the ball it
// was pruned for, so that near another most of them need not be asked.
type blend struct {
	k    float64
	kids []node
	c    vec
	from []float64 // distances from c; nil where they are not known
}

func join(k float64, kids ...node) node { return &blend{k: k, kids: kids} }

func (b *blend) dist(p vec) float64 {
	d := math.Inf(1)
	if b.from == nil {
		for _, n := range b.kids {
			d = smin(d, n.dist(p), b.k)
		}
		return d
	}
	away := lipschitz * p.Sub(b.c).Len()
	for i, n := range b.kids {
		if b.from[i]-away < d+b.k { // else it is further than matters
			d = smin(d, n.dist(p), b.k)
		}
	}
	return d
}

func (b *blend) prune(w where) (node, float64) {
	// A fillet reaches k beyond, and one fillet into the next.
	inner := w.grown(0, 0, 2*b.k)
	var nodes [16]node
	var dists [16]float64
	kept, ds := nodes[:0], dists[:0]
	all, least := math.Inf(1), math.Inf(1)
	away := 0.0
	if b.from != nil {
		away = lipschitz * w.c.Sub(b.c).Len()
	}
	for i, n := range b.kids {
		if b.from != nil && b.from[i]-away-lipschitz*w.r > inner.hi {
			all = smin(all, b.from[i]-away, b.k)
			continue
		}
		n, d := n.prune(inner)
		all = smin(all, d, b.k)
		switch {
		case n != nil:
			kept, ds = append(kept, n), append(ds, d)
			least = min(least, d)
		case d < w.lo:
			return nil, d
		}
	}
	if len(kept) == 0 || !w.reached(all) {
		return nil, all
	}
	// What another piece is nearer than throughout does not matter either.
	most := least + 2*lipschitz*w.r + b.k
	n := 0
	for i := range kept {
		if ds[i] <= most {
			kept[n], ds[n] = kept[i], ds[i]
			n++
		}
	}
	if n == 1 {
		return kept[0], all
	}
	return w.mem.blend(b.k, kept[:n], w.c, ds[:n]), all
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

func (c *cut) prune(w where) (node, float64) {
	inner := w.grown(0, 2*c.k, 0)
	b, db := c.b.prune(inner)
	if b == nil && db > w.hi {
		return nil, db
	}
	a, da := c.a.prune(inner)
	if a == nil && da > w.hi {
		return nil, da
	}
	d := smax(da, db, c.k)
	reach := 2*lipschitz*w.r + c.k
	switch {
	case a == nil && b == nil, !w.reached(d):
		return nil, d
	case b == nil, a != nil && da-db > reach:
		return a, d
	case a == nil, db-da > reach:
		return b, d
	case a == c.a && b == c.b:
		return c, d
	}
	return w.mem.cut(c.k, a, b), d
}

// offset grows a solid by t (shrinks it where t is negative).
type offset struct {
	t float64
	n node
}

func grow(t float64, n node) node { return &offset{t, n} }

func (o *offset) dist(p vec) float64 { return o.n.dist(p) - o.t }

func (o *offset) prune(w where) (node, float64) {
	n, d := o.n.prune(w.grown(o.t, 0, 0))
	return wrap(o, n, o.n, func() node { return &offset{o.t, n} }), d - o.t
}

// wrap is the node around a pruned one: none where there is none, the old one
// where nothing was pruned.
func wrap(was, n, inner node, made func() node) node {
	switch n {
	case nil:
		return nil
	case inner:
		return was
	}
	return made()
}

// zoomed is n made k times as large about c.
type zoomed struct {
	n node
	c vec
	k float64
}

func (z *zoomed) dist(p vec) float64 {
	return z.k * z.n.dist(z.c.Add(p.Sub(z.c).Mul(1/z.k)))
}

func (z *zoomed) prune(w where) (node, float64) {
	inner := where{z.c.Add(w.c.Sub(z.c).Mul(1 / z.k)), w.r / z.k, w.lo / z.k, w.hi / z.k, w.mem}
	n, d := z.n.prune(inner)
	return wrap(z, n, z.n, func() node { return &zoomed{n, z.c, z.k} }), z.k * d
}

// inverse is everything outside n.
type inverse struct{ n node }

func outside(n node) node { return &inverse{n} }

func (v *inverse) dist(p vec) float64 { return -v.n.dist(p) }

func (v *inverse) prune(w where) (node, float64) {
	w.lo, w.hi = -w.hi, -w.lo
	n, d := v.n.prune(w)
	return wrap(v, n, v.n, func() node { return &inverse{n} }), -d
}

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

func (w *wave) dist(p vec) float64 { return w.at(p, w.n.dist(p)) }

// at is the distance at p, d from the smooth solid.
func (w *wave) at(p vec, d float64) float64 {
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

func (w *wave) prune(at where) (node, float64) {
	steep := 1 + w.high*2*math.Pi/w.length
	n, d := w.n.prune(at.under(w.high, steep))
	if n == nil {
		return nil, bound(d, w.high, steep)
	}
	return wrap(w, n, w.n, func() node { v := *w; v.n = n; return &v }), w.at(at.c, d)
}

// under says which distances matter of a solid that is to be roughened by up to
// high, and then made steep times as large.
func (w where) under(high, steep float64) where {
	w.lo, w.hi = min(w.lo, w.lo*steep)-high, max(w.hi, w.hi*steep)+high
	return w
}

// bound is the distance, or one nearer to the surface, of such a solid.
func bound(d, high, steep float64) float64 {
	if d > 0 {
		return (d - high) / steep
	}
	return (d + high) / steep
}

// tufts roughens a solid like fur or feathers: bumps length mm apart across
// the z axis of f, drawn out along it by 1/stretch.
type tufts struct {
	n            node
	f            frame
	length, high float64
	stretch      float64
}

func (t *tufts) dist(p vec) float64 { return t.at(p, t.n.dist(p)) }

// at is the distance at p, d from the smooth solid.
func (t *tufts) at(p vec, d float64) float64 {
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

func (t *tufts) prune(at where) (node, float64) {
	most := 1.6 * t.high
	steep := 1 + most*2*math.Pi/t.length
	n, d := t.n.prune(at.under(most, steep))
	if n == nil {
		return nil, bound(d, most, steep)
	}
	return wrap(t, n, t.n, func() node { v := *t; v.n = n; return &v }), t.at(at.c, d)
}

// part is a solid with the area its surface belongs to. It joins the parts
// before it with a fillet of k.
type part struct {
	area string
	k    float64
	n    node
	from float64 // its distance from the scene's c
}

// scene is a whole casting: the union of its parts.
type scene struct {
	parts []part
	far   float64 // what is further counts as so far, mm; 0 where that is told
	// Of a pruned scene, as of a blend: how far the parts are from c is known.
	c      vec
	pruned bool
}

// away is by how much nearer than to c parts may be to p.
func (s *scene) away(p vec) float64 {
	if !s.pruned {
		return math.Inf(1)
	}
	return lipschitz * p.Sub(s.c).Len()
}

func (s *scene) dist(p vec) float64 {
	d := s.far
	if d == 0 {
		d = math.Inf(1)
	}
	away := s.away(p)
	for i := range s.parts {
		if q := &s.parts[i]; q.from-away < d+q.k {
			d = smin(d, q.n.dist(p), q.k)
		}
	}
	return d
}

// owner returns the number of the part whose surface is nearest to p.
func (s *scene) owner(p vec) int {
	best, at := math.Inf(1), 0
	away := s.away(p)
	for i := range s.parts {
		if s.parts[i].from-away >= best {
			continue
		}
		if d := s.parts[i].n.dist(p); d < best {
			best, at = d, i
		}
	}
	return at
}

// area returns the area of the part whose surface is nearest to p.
func (s *scene) area(p vec) string {
	first := s.parts[0].area
	for i := range s.parts {
		if s.parts[i].area != first {
			return s.parts[s.owner(p)].area
		}
	}
	return first
}

func (s *scene) prune(w where) *scene {
	k := 0.0
	for i := range s.parts {
		k = max(k, s.parts[i].k)
	}
	inner := w.grown(0, 0, 2*k)
	parts := w.mem.room(len(s.parts))
	var dists [16]float64
	ds := dists[:0]
	least := math.Inf(1)
	away := s.away(w.c)
	for _, p := range s.parts {
		if p.from-away-lipschitz*w.r > inner.hi {
			continue
		}
		n, d := p.n.prune(inner)
		switch {
		case n != nil:
			p.n, p.from = n, d
			parts, ds = append(parts, p), append(ds, d)
			least = min(least, d)
		case d < w.lo: // deep inside a part: that is enough
			return w.mem.scene(scene{}, append(parts[:0], p))
		}
	}
	most := least + 2*lipschitz*w.r + k
	n := 0
	for i := range parts {
		if ds[i] <= most {
			parts[n] = parts[i]
			n++
		}
	}
	return w.mem.scene(scene{far: w.hi + 3*k, c: w.c, pruned: true}, parts[:n])
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
