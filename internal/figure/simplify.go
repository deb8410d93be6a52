package figure

import (
	"math"

	"facings/internal/geom"
)

// quadric is the sum of squared distances to a set of planes.
//
// Ref: [garland1997].
type quadric struct{ xx, xy, xz, xw, yy, yz, yw, zz, zw, ww float64 }

func planeQuadric(n vec, o vec, w float64) quadric {
	d := -n.Dot(o)
	return quadric{
		w * n.X * n.X, w * n.X * n.Y, w * n.X * n.Z, w * n.X * d,
		w * n.Y * n.Y, w * n.Y * n.Z, w * n.Y * d,
		w * n.Z * n.Z, w * n.Z * d, w * d * d,
	}
}

func (q *quadric) add(o *quadric) {
	q.xx += o.xx
	q.xy += o.xy
	q.xz += o.xz
	q.xw += o.xw
	q.yy += o.yy
	q.yz += o.yz
	q.yw += o.yw
	q.zz += o.zz
	q.zw += o.zw
	q.ww += o.ww
}

func (q *quadric) at(p vec) float64 {
	x, y, z := p.X, p.Y, p.Z
	return float64(q.xx*x*x) + float64(2*q.xy*x*y) + float64(2*q.xz*x*z) + float64(2*q.xw*x) +
		float64(q.yy*y*y) + float64(2*q.yz*y*z) + float64(2*q.yw*y) +
		float64(q.zz*z*z) + float64(2*q.zw*z) + q.ww
}

// thinner merges the ends of edges, the harmless ones first, until a mesh is
// small enough. Borders of areas keep their line.
type thinner struct {
	m      *geom.Mesh
	q      []quadric
	faces  [][]int32 // faces at each vertex; may name dead ones
	dead   []bool
	busy   []bool    // faces touched in this pass
	least  []float32 // what the cheapest merge at a face costs, mm²; 0 where that is to be found out
	border []uint8
	alive  int
	lax    bool // take slivers and folds, to be rid of faces that are worse
	mark   []int32
	stamp  int32
}

// simplify reduces m to about target faces. m must be closed and two-manifold,
// and stays so; next are its neighbours.
func simplify(m *geom.Mesh, next [][3]int32, target int) {
	t := &thinner{m: m, alive: len(m.F)}
	t.start(next)
	limit := 4e-7 // mm², of squared distances from the planes merged
	for pass := 0; pass < 40 && t.alive > target; pass++ {
		limit *= 1.7
		clear(t.busy)
		for i := range m.F {
			if t.alive <= target {
				break
			}
			if !t.dead[i] && !t.busy[i] && float64(t.least[i]) < limit {
				t.tryFace(int32(i), limit)
			}
		}
	}
	t.mend()
	keep := 0
	for i, f := range m.F {
		if !t.dead[i] {
			m.F[keep], m.Label[keep] = f, m.Label[i]
			keep++
		}
	}
	m.F, m.Label = m.F[:keep], m.Label[:keep]
	compact(m)
}

func (t *thinner) start(next [][3]int32) {
	m := t.m
	t.q = make([]quadric, len(m.V))
	t.dead = make([]bool, len(m.F))
	t.busy = make([]bool, len(m.F))
	t.least = make([]float32, len(m.F))
	t.border = make([]uint8, len(m.V))
	t.mark = make([]int32, len(m.V))
	start, around := fans(m)
	t.faces = make([][]int32, len(m.V))
	for v := range t.faces {
		t.faces[v] = around[start[v]:start[v+1]:start[v+1]]
	}
	for i, f := range m.F {
		n := m.FaceNormal(i)
		q := planeQuadric(n, m.V[f[0]], 1)
		for _, v := range f {
			t.q[v].add(&q)
		}
		for k, o := range next[i] {
			if o < 0 || m.Label[o] == m.Label[i] {
				continue
			}
			a, b := f[k], f[(k+1)%3]
			side := n.Cross(m.V[b].Sub(m.V[a])).Unit()
			q := planeQuadric(side, m.V[a], 1)
			t.q[a].add(&q)
			t.q[b].add(&q)
			if int32(i) < o {
				t.border[a] = min(t.border[a]+1, 3)
				t.border[b] = min(t.border[b]+1, 3)
			}
		}
	}
}

// mend merges away faces with next to no area.
func (t *thinner) mend() {
	clear(t.busy)
	t.lax = true
	for i := range t.m.F {
		if t.dead[i] || t.m.FaceArea(i) > 1e-6 {
			continue
		}
		for k := range 3 {
			f := t.m.F[i]
			a, b := f[k], f[(k+1)%3]
			to := t.m.V[a]
			if t.border[b] > t.border[a] {
				to = t.m.V[b]
			}
			if t.m.V[a].Sub(t.m.V[b]).Len() < 0.02 && t.merge(a, b, to) {
				break
			}
		}
	}
}

// tryFace makes the first merge at a face that costs less than limit. Each edge
// is left to one of the two faces at it.
func (t *thinner) tryFace(i int32, limit float64) {
	least := math.Inf(1)
	for k := range 3 {
		f := t.m.F[i]
		a, b := f[k], f[(k+1)%3]
		if a > b {
			continue
		}
		to, cost := t.target(a, b)
		if cost < limit && t.merge(a, b, to) {
			return
		}
		least = min(least, cost)
	}
	t.least[i] = float32(least)
}

// target returns where a and b may merge and what that costs, mm², +Inf where
// they may not; vertices on a border of areas stay on it, corners of borders stay
// where they are.
func (t *thinner) target(a, b int32) (vec, float64) {
	ba, bb := t.border[a], t.border[b]
	if ba != 0 && bb != 0 && (ba != 2 || bb != 2 || !t.borderEdge(a, b)) {
		return vec{}, math.Inf(1)
	}
	va, vb := t.m.V[a], t.m.V[b]
	q := t.q[a]
	q.add(&t.q[b])
	switch {
	case ba != 0 && bb == 0:
		return va, q.at(va)
	case bb != 0 && ba == 0:
		return vb, q.at(vb)
	}
	mid := va.Lerp(vb, 0.5)
	best, at := q.at(mid), mid
	for _, p := range [2]vec{va, vb} {
		if e := q.at(p); e < 0.7*best {
			best, at = e, p
		}
	}
	return at, best
}

func (t *thinner) borderEdge(a, b int32) bool {
	first := uint16(0)
	n := 0
	for _, f := range t.faces[a] {
		if t.dead[f] || !has(t.m.F[f], b) {
			continue
		}
		if n > 0 && t.m.Label[f] != first {
			return true
		}
		first = t.m.Label[f]
		n++
	}
	return false
}

func has(f [3]int32, v int32) bool { return f[0] == v || f[1] == v || f[2] == v }

// merge moves a and b to one place if the mesh stays sound, and tells if it did.
func (t *thinner) merge(a, b int32, to vec) bool {
	m := t.m
	// Link condition: exactly two vertices are neighbours of both.
	t.stamp += 2
	for _, f := range t.faces[a] {
		if !t.dead[f] {
			for _, v := range m.F[f] {
				t.mark[v] = t.stamp
			}
		}
	}
	t.mark[a], t.mark[b] = 0, 0
	both := 0
	for _, f := range t.faces[b] {
		if t.dead[f] {
			continue
		}
		if t.busy[f] {
			return false
		}
		for _, v := range m.F[f] {
			if t.mark[v] == t.stamp {
				both++
				t.mark[v] = t.stamp + 1
			}
		}
	}
	if both != 2 || !t.sound(a, b, to) || !t.sound(b, a, to) {
		return false
	}
	m.V[a] = to
	t.q[a].add(&t.q[b])
	t.border[a] = max(t.border[a], t.border[b])
	kept := make([]int32, 0, len(t.faces[a])+len(t.faces[b]))
	for _, f := range t.faces[b] {
		if t.dead[f] {
			continue
		}
		if has(m.F[f], a) {
			t.dead[f] = true
			t.alive--
			continue
		}
		for k, v := range m.F[f] {
			if v == b {
				m.F[f][k] = a
			}
		}
		kept = append(kept, f)
	}
	for _, f := range t.faces[a] {
		if !t.dead[f] {
			kept = append(kept, f)
		}
	}
	for _, f := range kept {
		t.busy[f], t.least[f] = true, 0
	}
	t.faces[a], t.faces[b] = kept, nil
	return true
}

// sound reports whether moving v to p leaves its faces, but those it shares with
// other, facing the same way and of decent shape.
func (t *thinner) sound(v, other int32, p vec) bool {
	m := t.m
	for _, f := range t.faces[v] {
		if t.dead[f] {
			continue
		}
		if t.busy[f] {
			return false
		}
		q := m.F[f]
		if has(q, other) {
			continue
		}
		k := 0
		for q[k] != v {
			k++
		}
		b, c := m.V[q[(k+1)%3]], m.V[q[(k+2)%3]]
		was := b.Sub(m.V[v]).Cross(c.Sub(m.V[v]))
		now := b.Sub(p).Cross(c.Sub(p))
		l := now.Len()
		if t.lax {
			if l < 1e-6 {
				return false
			}
			continue
		}
		if now.Dot(was) < 0.5*l*was.Len() || l == 0 {
			return false
		}
		longest := max(b.Sub(p).Len2(), c.Sub(p).Len2(), b.Sub(c).Len2())
		if l < 0.12*longest {
			return false
		}
	}
	return true
}
