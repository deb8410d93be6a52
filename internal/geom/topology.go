package geom

import (
	"cmp"
	"math"
	"slices"
)

// Edge is an undirected edge and the faces that use it.
type Edge struct {
	A, B int32    // vertices, A < B
	Face [2]int32 // the first two faces, -1 where there is none
	Uses int32    // how many faces use it: 1 boundary, 2 regular, more non-manifold
	// Opposed is true when the first two faces run along the edge in opposite
	// directions, as neighbours with the same winding do.
	Opposed bool
}

// Edges lists every edge once, ordered by A, then B. Degenerate faces (two equal
// corners) are left out.
func (m *Mesh) Edges() []Edge {
	uses := m.sidesByVertex()
	out := make([]Edge, 0, len(uses)/2)
	for i := 0; i < len(uses); {
		j := i + 1
		for j < len(uses) && uses[j].a == uses[i].a && uses[j].b == uses[i].b {
			j++
		}
		e := Edge{A: uses[i].a, B: uses[i].b, Face: [2]int32{uses[i].face, -1}, Uses: int32(j - i)}
		if j-i >= 2 {
			e.Face[1] = uses[i+1].face
			e.Opposed = uses[i].forward != uses[i+1].forward
		}
		out = append(out, e)
		i = j
	}
	return out
}

type side struct {
	a, b    int32
	face    int32
	forward bool // the face runs from a to b
}

// sidesByVertex returns the three sides of each face sorted by (a, b, face). A
// counting pass by a leaves only a handful to sort at each vertex.
func (m *Mesh) sidesByVertex() []side {
	start := make([]int32, len(m.V)+1)
	each := func(visit func(s side)) {
		for i, f := range m.F {
			if f[0] == f[1] || f[1] == f[2] || f[2] == f[0] {
				continue
			}
			for k := range 3 {
				a, b := f[k], f[(k+1)%3]
				if a < b {
					visit(side{a, b, int32(i), true})
				} else {
					visit(side{b, a, int32(i), false})
				}
			}
		}
	}
	each(func(s side) { start[s.a+1]++ })
	for i := range m.V {
		start[i+1] += start[i]
	}
	out := make([]side, start[len(m.V)])
	next := slices.Clone(start)
	each(func(s side) {
		out[next[s.a]] = s
		next[s.a]++
	})
	for i := range m.V {
		slices.SortFunc(out[start[i]:start[i+1]], func(x, y side) int {
			return cmp.Or(cmp.Compare(x.b, y.b), cmp.Compare(x.face, y.face))
		})
	}
	return out
}

// Dihedral returns the angle by which the surface turns at e, in (-π, π]: 0
// where it is flat, positive at a convex (raised) edge, negative in a groove.
// It is 0 for edges without two faces of the same winding.
func (m *Mesh) Dihedral(e Edge) float64 {
	if e.Uses != 2 || !e.Opposed {
		return 0
	}
	n0, n1 := m.FaceNormal(int(e.Face[0])), m.FaceNormal(int(e.Face[1]))
	angle := n0.Angle(n1)
	// The far corner of the second face lies below the first one's plane where
	// the edge is convex.
	f := m.F[e.Face[1]]
	for _, k := range f {
		if k != e.A && k != e.B {
			if m.V[k].Sub(m.V[e.A]).Dot(n0) > 0 {
				return -angle
			}
		}
	}
	return angle
}

// Creases returns the edges where the surface turns by at least minAngle
// radians, raised or sunken, and those on a boundary.
func (m *Mesh) Creases(minAngle float64) []Edge {
	var out []Edge
	for _, e := range m.Edges() {
		if e.Uses != 2 || !e.Opposed || math.Abs(m.Dihedral(e)) >= minAngle {
			out = append(out, e)
		}
	}
	return out
}

// Neighbours gives, for each face and each side k (from corner k to k+1), the
// face across it, or -1 at a boundary or an edge of more than two faces.
func (m *Mesh) Neighbours() [][3]int32 {
	out := make([][3]int32, len(m.F))
	for i := range out {
		out[i] = [3]int32{-1, -1, -1}
	}
	for _, e := range m.Edges() {
		if e.Uses != 2 {
			continue
		}
		out[e.Face[0]][sideOf(m.F[e.Face[0]], e)] = e.Face[1]
		out[e.Face[1]][sideOf(m.F[e.Face[1]], e)] = e.Face[0]
	}
	return out
}

func sideOf(f [3]int32, e Edge) int {
	for k := range 3 {
		a, b := f[k], f[(k+1)%3]
		if a == e.A && b == e.B || a == e.B && b == e.A {
			return k
		}
	}
	panic("geom: edge is no side of its face")
}

// Solid reports whether the faces bound a solid, or several: along every edge one
// face runs one way and one the other, and every shell looks outward.
func (m *Mesh) Solid() bool {
	start := make([]int32, len(m.V)+1)
	for _, f := range m.F {
		for _, v := range f {
			start[v+1]++
		}
	}
	for i := range m.V {
		start[i+1] += start[i]
	}
	to := make([]int32, 3*len(m.F)) // where the sides that leave each vertex go
	next := slices.Clone(start)
	for _, f := range m.F {
		for k, v := range f {
			to[next[v]] = f[(k+1)%3]
			next[v]++
		}
	}
	for _, f := range m.F {
		for k, a := range f {
			b := f[(k+1)%3]
			if count(to[start[a]:start[a+1]], b) != 1 || count(to[start[b]:start[b+1]], a) != 1 {
				return false
			}
		}
	}
	shell, n := m.Shells()
	volume := make([]float64, n)
	middle := m.Bounds().Center()
	for i := range m.F {
		a, b, c := m.Tri(i)
		a, b, c = a.Sub(middle), b.Sub(middle), c.Sub(middle)
		volume[shell[i]] += a.Dot(b.Cross(c))
	}
	return n > 0 && !slices.ContainsFunc(volume, func(v float64) bool { return v <= 0 })
}

func count(list []int32, v int32) int {
	n := 0
	for _, x := range list {
		if x == v {
			n++
		}
	}
	return n
}

// Shells numbers the connected pieces: the result gives each face's piece, and
// their number. Faces belong together when they share a vertex.
func (m *Mesh) Shells() (of []int32, count int) {
	parent := make([]int32, len(m.V))
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(i int32) int32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, f := range m.F {
		r := find(f[0])
		for _, k := range f[1:] {
			if s := find(k); s != r {
				// The smaller number leads, so that shells come in order.
				r, s = min(r, s), max(r, s)
				parent[s] = r
			}
		}
	}
	number := make([]int32, len(m.V))
	of = make([]int32, len(m.F))
	for i, f := range m.F {
		r := find(f[0])
		if number[r] == 0 {
			count++
			number[r] = int32(count)
		}
		of[i] = number[r] - 1
	}
	return of, count
}
