package figure

import (
	"slices"

	"facings/internal/geom"
)

// splitFourfold makes the mesh two-manifold: where four faces share an edge
// (two sheets that touch) one sheet gets a vertex of its own in the middle.
func splitFourfold(m *geom.Mesh) {
	list := edgeFaces(m)
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && list[j].e == list[i].e {
			j++
		}
		if j-i > 2 {
			splitEdge(m, list[i:j])
		}
		i = j
	}
}

// splitFans gives each fan of faces that meets others in one vertex only a
// vertex of its own.
func splitFans(m *geom.Mesh) {
	next := neighbours(m)
	around := make([][]int32, len(m.V))
	for i, f := range m.F {
		for _, v := range f {
			around[v] = append(around[v], int32(i))
		}
	}
	for v := range around {
		left := around[v]
		for fans := 0; len(left) > 0; fans++ {
			// Walk the fan that left[0] belongs to.
			fan := []int32{left[0]}
			for n := 0; n < len(fan); n++ {
				f := fan[n]
				for k, o := range next[f] {
					a, b := m.F[f][k], m.F[f][(k+1)%3]
					if o >= 0 && (a == int32(v) || b == int32(v)) && !slices.Contains(fan, o) {
						fan = append(fan, o)
					}
				}
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

func splitEdge(m *geom.Mesh, at []edgeFace) {
	e := at[0].e
	forward := func(f [3]int32) bool {
		return (f[0] == e.a && f[1] == e.b) || (f[1] == e.a && f[2] == e.b) || (f[2] == e.a && f[0] == e.b)
	}
	var up, down []int32
	for _, x := range at {
		f := m.F[x.f]
		hits := 0
		for _, v := range f {
			if v == e.a || v == e.b {
				hits++
			}
		}
		if hits != 2 {
			continue
		}
		if forward(f) {
			up = append(up, x.f)
		} else {
			down = append(down, x.f)
		}
	}
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
		m.V = append(m.V, m.V[e.a].Lerp(m.V[e.b], 0.5).Add(in))
		for _, x := range []int32{f, g} {
			face := m.F[x]
			for face[2] == e.a || face[2] == e.b {
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
