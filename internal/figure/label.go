package figure

import (
	"math"
	"slices"

	"facings/internal/geom"
)

// closeEnough is a distance nobody will see, mm.
const closeEnough = 0.001

// toSurface moves p onto the surface, at most reach away, in so many steps along
// one line.
func (g *grid) toSurface(p vec, reach float64, steps int) vec {
	var along vec
	for i := range steps {
		s := g.near(p)
		d := s.dist(p)
		if math.Abs(d) < closeEnough {
			break
		}
		d = min(max(d, -reach), reach)
		if i == 0 {
			along = s.normal(p, 0.02*g.h)
		}
		p = p.Sub(along.Mul(d))
	}
	return p
}

// label gives every face of m the area of the part it belongs to. Vertices near
// a border of areas are first moved onto it, so that borders run smooth.
func (g *grid) label(m *geom.Mesh, next [][3]int32) {
	id := make(map[string]uint16)
	for _, p := range g.fall.parts {
		id[p.area] = m.LabelID(p.area)
	}
	of := make([]uint16, len(m.V))
	g.chunks(len(m.V), func(i int) { of[i] = id[g.near(m.V[i]).area(m.V[i])] })
	g.snap(m, of, id)
	m.Label = make([]uint16, len(m.F))
	g.chunks(len(m.F), func(i int) {
		f := m.F[i]
		if l := of[f[0]]; l != mixed && l == of[f[1]] && l == of[f[2]] {
			m.Label[i] = l
			return
		}
		c := m.FaceCenter(i)
		m.Label[i] = id[g.near(c).area(c)]
	})
	for range 2 {
		dropIslands(m, next, 0.05)
		g.smoothBorders(m, next)
	}
	dropIslands(m, next, 0.05)
}

// chunks runs f(0..n-1) on all processors in runs long enough to be worth it.
func (g *grid) chunks(n int, f func(i int)) {
	each((n+chunkRun-1)/chunkRun, func(c int) {
		for i := c * chunkRun; i < min(n, (c+1)*chunkRun); i++ {
			f(i)
		}
	})
}

const chunkRun = 1024

// mixed marks a vertex on a border; no area has this number.
const mixed = geom.MaxLabels - 1

// snap moves, for each mesh edge whose ends have different areas, the nearer
// end to where the area changes.
func (g *grid) snap(m *geom.Mesh, of []uint16, id map[string]uint16) {
	type change struct {
		v  int32
		d  float64
		to vec
	}
	found := make([][]change, len(m.F)/chunkRun+1)
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
			found[i/chunkRun] = append(found[i/chunkRun], change{v, t * l, p})
		}
	})
	best := make(map[int32]change)
	for _, list := range found {
		for _, c := range list {
			if was, ok := best[c.v]; !ok || c.d < was.d {
				best[c.v] = c
			}
		}
	}
	moved := make([]change, 0, len(best))
	for _, c := range best {
		moved = append(moved, c)
	}
	g.chunks(len(moved), func(i int) {
		v := moved[i].v
		m.V[v] = g.toSurface(moved[i].to, 0.3*g.h, 1)
		of[v] = mixed
	})
}

// fans returns the faces around each vertex: those of vertex v are
// around[start[v]:start[v+1]].
func fans(m *geom.Mesh) (start, around []int32) {
	start = make([]int32, len(m.V)+1)
	for _, f := range m.F {
		for _, v := range f {
			start[v+1]++
		}
	}
	for i := range m.V {
		start[i+1] += start[i]
	}
	at := slices.Clone(start[:len(m.V)])
	around = make([]int32, 3*len(m.F))
	for i, f := range m.F {
		for _, v := range f {
			around[at[v]] = int32(i)
			at[v]++
		}
	}
	return start, around
}

// runs reports whether face f has the edge from a to b.
func runs(f [3]int32, a, b int32) bool {
	return (f[0] == a && f[1] == b) || (f[1] == a && f[2] == b) || (f[2] == a && f[0] == b)
}

// neighbours returns for each face the faces across its three edges, -1 where
// there is none.
func neighbours(m *geom.Mesh) [][3]int32 {
	out := make([][3]int32, len(m.F))
	start, around := fans(m)
	for i, f := range m.F {
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			out[i][k] = -1
			for _, o := range around[start[a]:start[a+1]] {
				if runs(m.F[o], b, a) {
					out[i][k] = o
				}
			}
		}
	}
	return out
}

// dropIslands gives patches of one area smaller than least mm² to the area they
// share the longest border with.
func dropIslands(m *geom.Mesh, next [][3]int32, least float64) {
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
func (g *grid) smoothBorders(m *geom.Mesh, next [][3]int32) {
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
			to[i] = g.toSurface(p, 0.3*g.h, 1)
		}
	})
	m.V = to
}
