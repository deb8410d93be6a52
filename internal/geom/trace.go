package geom

import "math"

// Ray goes from O along the unit vector D and sees what lies more than Near and
// less than Far ahead, in mm. Far 0 means without end.
type Ray struct {
	O, D      Vec3
	Near, Far float64
}

// Hit is where a ray meets a face: at distance T, with the barycentric weights
// of the face's three corners.
type Hit struct {
	Face int
	T    float64
	W    [3]float64
}

// probe is a ray made ready: projected as Parallel does it, so that both give
// the same verdict on each triangle bit for bit.
type probe struct {
	d, ux, uy Vec3
	at        Vec3 // the origin, projected
	o, inv    [3]float64
	near, far float64
}

func newProbe(r Ray) probe {
	p := probe{d: r.D, near: r.Near, far: r.Far}
	p.ux, p.uy = r.D.Basis()
	p.at = p.project(r.O)
	p.o = [3]float64{r.O.X, r.O.Y, r.O.Z}
	p.inv = [3]float64{1 / r.D.X, 1 / r.D.Y, 1 / r.D.Z}
	if p.far <= 0 {
		p.far = math.Inf(1)
	}
	return p
}

func (p *probe) project(q Vec3) Vec3 { return Vec3{q.Dot(p.ux), q.Dot(p.uy), q.Dot(p.d)} }

func (p *probe) covered(b *BVH, face int32) bool {
	f := b.f[face]
	v0, v1, v2 := p.project(b.v[f[0]]), p.project(b.v[f[1]]), p.project(b.v[f[2]])
	return covers(&v0, &v1, &v2, p.at.X, p.at.Y, p.at.Z, p.near, p.far)
}

// boxed reports whether the ray passes the box before distance far.
func (p *probe) boxed(n *bvhNode, far float64) bool {
	enter, leave := 0.0, far
	for k := range 3 {
		a, b := (float64(n.min[k])-p.o[k])*p.inv[k], (float64(n.max[k])-p.o[k])*p.inv[k]
		if a > b {
			a, b = b, a
		}
		// A NaN (origin on the side of a box the ray runs along) changes nothing.
		if a > enter {
			enter = a
		}
		if b < leave {
			leave = b
		}
	}
	return enter <= leave*(1+1e-6)
}

// Any reports whether anything blocks the ray.
func (b *BVH) Any(r Ray) bool {
	if len(b.nodes) == 0 {
		return false
	}
	p := newProbe(r)
	var stack [2 * maxBVHDepth]int32
	top := 1
	for top > 0 {
		top--
		n := &b.nodes[stack[top]]
		if !p.boxed(n, p.far) {
			continue
		}
		for _, face := range b.faces[n.first : n.first+n.count] {
			if p.covered(b, face) {
				return true
			}
		}
		if n.count == 0 {
			stack[top], stack[top+1] = n.first, n.second
			top += 2
		}
	}
	return false
}

// Closest returns the nearest thing that the ray meets. Of several at the same
// distance, the face with the smallest number.
func (b *BVH) Closest(r Ray) (Hit, bool) {
	best := Hit{Face: -1}
	if len(b.nodes) == 0 {
		return best, false
	}
	p := newProbe(r)
	best.T = p.far
	var stack [2 * maxBVHDepth]int32
	top := 1
	for top > 0 {
		top--
		n := &b.nodes[stack[top]]
		if !p.boxed(n, best.T) {
			continue
		}
		for _, face := range b.faces[n.first : n.first+n.count] {
			p.closer(b, face, &best)
		}
		if n.count == 0 { // the child on the near side last, so that it comes first
			first, second := n.first, n.second
			if p.inv[n.axis] >= 0 {
				first, second = second, first
			}
			stack[top], stack[top+1] = first, second
			top += 2
		}
	}
	return best, best.Face >= 0
}

func (p *probe) closer(b *BVH, face int32, best *Hit) {
	f := b.f[face]
	v0, v1, v2 := p.project(b.v[f[0]]), p.project(b.v[f[1]]), p.project(b.v[f[2]])
	if !covers(&v0, &v1, &v2, p.at.X, p.at.Y, p.at.Z, p.near, p.far) {
		return
	}
	v0, v1, v2 = v0.Sub(p.at), v1.Sub(p.at), v2.Sub(p.at)
	w0 := float64(v1.X*v2.Y) - float64(v1.Y*v2.X)
	w1 := float64(v2.X*v0.Y) - float64(v2.Y*v0.X)
	w2 := float64(v0.X*v1.Y) - float64(v0.Y*v1.X)
	det := w0 + w1 + w2
	w0, w1, w2 = w0/det, w1/det, w2/det
	t := float64(w0*v0.Z) + float64(w1*v1.Z) + float64(w2*v2.Z)
	if best.Face < 0 || t < best.T || t == best.T && int(face) < best.Face {
		*best = Hit{int(face), t, [3]float64{w0, w1, w2}}
	}
}

// Nearest returns the face closest to p among those that accept allows (nil
// allows all), the closest point on it and its distance in mm; face is -1 when
// nothing is closer than reach.
func (b *BVH) Nearest(p Vec3, reach float64, accept func(face int) bool) (face int, q Vec3, distance float64) {
	face = -1
	best := reach * reach
	if len(b.nodes) == 0 {
		return face, q, reach
	}
	var stack [2 * maxBVHDepth]int32
	top := 1
	for top > 0 {
		top--
		n := &b.nodes[stack[top]]
		if n.distance2(p) > best {
			continue
		}
		for _, k := range b.faces[n.first : n.first+n.count] {
			if accept != nil && !accept(int(k)) {
				continue
			}
			f := b.f[k]
			c := closestOnTriangle(p, b.v[f[0]], b.v[f[1]], b.v[f[2]])
			if d := c.Sub(p).Len2(); d < best || d == best && int(k) < face {
				face, q, best = int(k), c, d
			}
		}
		if n.count == 0 {
			first, second := n.first, n.second
			if b.nodes[first].distance2(p) < b.nodes[second].distance2(p) {
				first, second = second, first
			}
			stack[top], stack[top+1] = first, second
			top += 2
		}
	}
	return face, q, math.Sqrt(best)
}

func (n *bvhNode) distance2(p Vec3) float64 {
	sum := 0.0
	for k := range 3 {
		x := along(p, k)
		d := max(float64(n.min[k])-x, x-float64(n.max[k]), 0)
		sum += float64(d * d)
	}
	return sum
}

// closestOnTriangle returns the point of triangle abc nearest to p.
//
// Ref: ericson2005.
func closestOnTriangle(p, a, b, c Vec3) Vec3 {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := float64(d1*d4) - float64(d3*d2)
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Add(ab.Mul(safeDiv(d1, d1-d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := float64(d5*d2) - float64(d1*d6)
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Add(ac.Mul(safeDiv(d2, d2-d6)))
	}
	va := float64(d3*d6) - float64(d5*d4)
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Add(c.Sub(b).Mul(safeDiv(d4-d3, (d4-d3)+(d5-d6))))
	}
	sum := va + vb + vc
	return a.Add(ab.Mul(safeDiv(vb, sum))).Add(ac.Mul(safeDiv(vc, sum)))
}

func safeDiv(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}
