package figure

import (
	"slices"

	"facings/internal/geom"
)

// splitFourfold makes the mesh two-manifold: where four faces share an edge
// (two sheets that touch) one sheet gets a vertex of its own in the middle.
func splitFourfold(m *geom.Mesh) {
	start, around := fans(m)
	type crowd struct {
		a, b     int32
		up, down []int32 // faces that run from a to b, from b to a
	}
	var found []crowd
	for i, f := range m.F {
		for k := range 3 {
			c := crowd{a: f[k], b: f[(k+1)%3]}
			if c.a > c.b {
				continue
			}
			n := 0
			for _, o := range around[start[c.a]:start[c.a+1]] {
				if runs(m.F[o], c.a, c.b) {
					n++
				}
			}
			if n < 2 {
				continue
			}
			for _, o := range around[start[c.a]:start[c.a+1]] {
				if runs(m.F[o], c.a, c.b) {
					c.up = append(c.up, o)
				} else if runs(m.F[o], c.b, c.a) {
					c.down = append(c.down, o)
				}
			}
			if c.up[0] == int32(i) { // once for each edge
				found = append(found, c)
			}
		}
	}
	for _, c := range found {
		splitEdge(m, c.a, c.b, c.up, c.down)
	}
}

// splitFans gives each fan of faces that meets others in one vertex only a
// vertex of its own.
func splitFans(m *geom.Mesh) {
	next := neighbours(m)
	start, around := fans(m)
	var fan []int32
	for v := range start[:len(start)-1] {
		left := around[start[v]:start[v+1]]
		for fans := 0; len(left) > 0; fans++ {
			fan = fanOf(m, next, int32(v), left[0], fan[:0])
			if fans == 0 && len(fan) == len(left) {
				break
			}
			left = slices.DeleteFunc(slices.Clone(left), func(f int32) bool { return slices.Contains(fan, f) })
			if fans == 0 {
				continue
			}
			for _, f := range fan {
				for k := range 3 {
					if m.F[f][k] == int32(v) {
						m.F[f][k] = int32(len(m.V))
					}
				}
			}
			m.V = append(m.V, m.V[v])
		}
	}
}

// fanOf appends the faces around v that hang together with one of them.
func fanOf(m *geom.Mesh, next [][3]int32, v, first int32, fan []int32) []int32 {
	fan = append(fan, first)
	for n := 0; n < len(fan); n++ {
		f := fan[n]
		for k, o := range next[f] {
			a, b := m.F[f][k], m.F[f][(k+1)%3]
			if o >= 0 && (a == v || b == v) && !slices.Contains(fan, o) {
				fan = append(fan, o)
			}
		}
	}
	return fan
}

// splitEdge pairs the faces at an edge into sheets and gives all sheets but one
// a vertex in the middle of it.
func splitEdge(m *geom.Mesh, a, b int32, up, down []int32) {
	// An earlier split may have taken a face off this edge.
	gone := func(f int32) bool { return !runs(m.F[f], a, b) && !runs(m.F[f], b, a) }
	up, down = slices.DeleteFunc(up, gone), slices.DeleteFunc(down, gone)
	for len(up) > 1 && len(down) > 1 {
		// Take the pair that bends least as one sheet.
		f := up[0]
		bi, best := 0, -2.0
		for i, o := range down {
			if d := m.FaceNormal(int(f)).Dot(m.FaceNormal(int(o))); d > best {
				bi, best = i, d
			}
		}
		g := down[bi]
		up = up[1:]
		down = append(down[:bi], down[bi+1:]...)
		mid := int32(len(m.V))
		in := m.FaceNormal(int(f)).Add(m.FaceNormal(int(g))).Unit().Mul(-0.004)
		m.V = append(m.V, m.V[a].Lerp(m.V[b], 0.5).Add(in))
		for _, x := range []int32{f, g} {
			face := m.F[x]
			for face[2] == a || face[2] == b {
				face = [3]int32{face[1], face[2], face[0]}
			}
			m.F[x] = [3]int32{face[0], mid, face[2]}
			m.F = append(m.F, [3]int32{mid, face[1], face[2]})
		}
	}
}

// largestShell keeps the connected piece with the most faces and drops the
// rest: bubbles inside, and bits that hang in the air.
func largestShell(m *geom.Mesh) {
	root := make([]int32, len(m.V))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(v int32) int32 {
		for root[v] != v {
			root[v] = root[root[v]]
			v = root[v]
		}
		return v
	}
	for _, f := range m.F {
		a := find(f[0])
		root[find(f[1])] = a
		root[find(f[2])] = a
	}
	size := make(map[int32]int)
	best := int32(-1)
	for _, f := range m.F {
		r := find(f[0])
		size[r]++
		if best < 0 || size[r] > size[best] {
			best = r
		}
	}
	keep := 0
	for i, f := range m.F {
		if find(f[0]) == best {
			m.F[keep] = f
			if m.Label != nil {
				m.Label[keep] = m.Label[i]
			}
			keep++
		}
	}
	m.F = m.F[:keep]
	if m.Label != nil {
		m.Label = m.Label[:keep]
	}
	compact(m)
}

// compact drops vertices no face uses.
func compact(m *geom.Mesh) {
	to := make([]int32, len(m.V))
	for i := range to {
		to[i] = -1
	}
	var v []vec
	for i, f := range m.F {
		for k, n := range f {
			if to[n] < 0 {
				to[n] = int32(len(v))
				v = append(v, m.V[n])
			}
			m.F[i][k] = to[n]
		}
	}
	m.V = v
}
