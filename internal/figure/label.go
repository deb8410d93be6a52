package figure

import (
	"cmp"
	"slices"

	"facings/internal/geom"
)

// edgeKey is an undirected edge, lower vertex first.
type edgeKey struct{ a, b int32 }

func keyOf(a, b int32) edgeKey {
	if a > b {
		a, b = b, a
	}
	return edgeKey{a, b}
}

// toSurface moves p onto the surface, at most reach away.
func (g *grid) toSurface(p vec, reach float64) vec {
	for range 2 {
		s := g.near(p)
		d := s.dist(p)
		d = min(max(d, -reach), reach)
		p = p.Sub(s.normal(p, 0.02*g.h).Mul(d))
	}
	return p
}

// label gives every face of m the area of the part it belongs to. Vertices near
// a border of areas are first moved onto it, so that borders run smooth.
func (g *grid) label(m *geom.Mesh) {
	id := make(map[string]uint16)
	for _, p := range g.fall.parts {
		id[p.area] = m.LabelID(p.area)
	}
	of := make([]uint16, len(m.V))
	g.chunks(len(m.V), func(i int) { of[i] = id[g.near(m.V[i]).area(m.V[i])] })
	g.snap(m, of, id)
	m.Label = make([]uint16, len(m.F))
	g.chunks(len(m.F), func(i int) {
		c := m.FaceCenter(i)
		m.Label[i] = id[g.near(c).area(c)]
	})
	for range 2 {
		dropIslands(m, 0.05)
		g.smoothBorders(m)
	}
	dropIslands(m, 0.05)
}

// chunks runs f(0..n-1) on all processors in runs long enough to be worth it.
func (g *grid) chunks(n int, f func(i int)) {
	const run = 1024
	each((n+run-1)/run, func(c int) {
		for i := c * run; i < min(n, (c+1)*run); i++ {
			f(i)
		}
	})
}

// snap moves, for each mesh edge whose ends have different areas, the nearer
// end to where the area changes.
func (g *grid) snap(m *geom.Mesh, of []uint16, id map[string]uint16) {
	type change struct {
		v    int32
		d    float64
		to   vec
		okay bool
	}
	found := make([][3]change, len(m.F))
	g.chunks(len(m.F), func(i int) {
		f := m.F[i]
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			if a > b || of[a] == of[b] {
				continue // the neighbour face sees this edge the other way round
			}
			lo, hi := 0.0, 1.0
			for range 5 {
				t := (lo + hi) / 2
				p := m.V[a].Lerp(m.V[b], t)
				if id[g.near(p).area(p)] == of[a] {
					lo = t
				} else {
					hi = t
				}
			}
			t, v := (lo+hi)/2, a
			p, l := m.V[a].Lerp(m.V[b], t), m.V[a].Sub(m.V[b]).Len()
			if t > 0.5 {
				t, v = 1-t, b
			}
			found[i][k] = change{v, t * l, p, true}
		}
	})
	best := make(map[int32]change)
	for i := range found {
		for _, c := range found[i] {
			if !c.okay {
				continue
			}
			if was, ok := best[c.v]; !ok || c.d < was.d {
				best[c.v] = c
			}
		}
	}
	moved := make([]change, 0, len(best))
	for _, c := range best {
		moved = append(moved, c)
	}
	g.chunks(len(moved), func(i int) { m.V[moved[i].v] = g.toSurface(moved[i].to, 0.3*g.h) })
}

// edgeFaces lists the edges of m with the faces at them, in a settled order.
func edgeFaces(m *geom.Mesh) []edgeFace {
	out := make([]edgeFace, 0, 3*len(m.F))
	for i, f := range m.F {
		for k := range 3 {
			out = append(out, edgeFace{keyOf(f[k], f[(k+1)%3]), int32(i)})
		}
	}
	slices.SortFunc(out, func(a, b edgeFace) int {
		return cmp.Or(cmp.Compare(a.e.a, b.e.a), cmp.Compare(a.e.b, b.e.b), cmp.Compare(a.f, b.f))
	})
	return out
}

type edgeFace struct {
	e edgeKey
	f int32
}

// neighbours returns for each face the faces across its three edges; m must be
// closed with two faces at every edge.
func neighbours(m *geom.Mesh) [][3]int32 {
	out := make([][3]int32, len(m.F))
	start := make([]int32, len(m.V)+1)
	for _, f := range m.F {
		for _, v := range f {
			start[v+1]++
		}
	}
	for i := range m.V {
		start[i+1] += start[i]
	}
	at := slices.Clone(start[:len(m.V)])
	around := make([]int32, 3*len(m.F))
	for i, f := range m.F {
		for _, v := range f {
			around[at[v]] = int32(i)
			at[v]++
		}
	}
	for i, f := range m.F {
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			out[i][k] = -1
			for _, o := range around[start[a]:start[a+1]] {
				q := m.F[o]
				if (q[0] == b && q[1] == a) || (q[1] == b && q[2] == a) || (q[2] == b && q[0] == a) {
					out[i][k] = o
				}
			}
		}
	}
	return out
}

// dropIslands gives patches of one area smaller than least mm² to the area they
// share the longest border with.
func dropIslands(m *geom.Mesh, least float64) {
	next := neighbours(m)
	seen := make([]bool, len(m.F))
	for i := range m.F {
		if seen[i] {
			continue
		}
		l, size := m.Label[i], 0.0
		patch := []int32{int32(i)}
		seen[i] = true
		border := map[uint16]float64{}
		for n := 0; n < len(patch); n++ {
			f := patch[n]
			size += m.FaceArea(int(f))
			for k, o := range next[f] {
				if o < 0 {
					continue
				}
				if m.Label[o] != l {
					border[m.Label[o]] += m.V[m.F[f][k]].Sub(m.V[m.F[f][(k+1)%3]]).Len()
				} else if !seen[o] {
					seen[o] = true
					patch = append(patch, o)
				}
			}
		}
		if size >= least || len(border) == 0 {
			continue
		}
		to, most := l, 0.0
		for o := range m.Labels {
			if w := border[uint16(o)]; w > most {
				to, most = uint16(o), w
			}
		}
		for _, f := range patch {
			m.Label[f] = to
		}
	}
}

// smoothBorders draws the vertices inside a border line towards their two
// neighbours on it.
func (g *grid) smoothBorders(m *geom.Mesh) {
	next := neighbours(m)
	type pair struct {
		n    int8
		a, b int32
	}
	line := make([]pair, len(m.V))
	for i, f := range m.F {
		for k, o := range next[i] {
			if o < 0 || m.Label[o] == m.Label[i] {
				continue
			}
			// Each border edge is met from both faces; take it once.
			if int32(i) < o {
				for _, e := range [2][2]int32{{f[k], f[(k+1)%3]}, {f[(k+1)%3], f[k]}} {
					p := &line[e[0]]
					switch p.n {
					case 0:
						p.a = e[1]
					case 1:
						p.b = e[1]
					}
					p.n = min(p.n+1, 3)
				}
			}
		}
	}
	to := slices.Clone(m.V)
	g.chunks(len(m.V), func(i int) {
		if l := line[i]; l.n == 2 {
			p := m.V[i].Mul(0.5).Add(m.V[l.a].Mul(0.25)).Add(m.V[l.b].Mul(0.25))
			to[i] = g.toSurface(p, 0.3*g.h)
		}
	})
	m.V = to
}
