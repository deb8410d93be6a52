package figure

import (
	"math"
	"slices"

	"facings/internal/geom"
)

// A cell's corners are numbered by bits x=1, y=2, z=4, its edges by axis*4 +
// the two other bits of their lower corner.

type sheets struct {
	count int
	of    [12]int8 // sheet of each crossing edge, -1 where it does not cross
}

// edgeEnds returns the corners of edge e; the first is the lower one.
func edgeEnds(e int) (int, int) {
	axis, r := e/4, e%4
	a := [3][2]int{{2, 4}, {1, 4}, {1, 2}}[axis]
	lo := (r&1)*a[0] + (r>>1)*a[1]
	return lo, lo | 1<<axis
}

// sheetTable tells for each pattern of inside corners which crossing edges
// belong to one sheet of surface. Where two opposite corners of a cell's face
// are inside they are held apart, in both cells alike.
func sheetTable() *[256]sheets {
	var edgeAt [8][8]int
	for e := range 12 {
		a, b := edgeEnds(e)
		edgeAt[a][b], edgeAt[b][a] = e, e
	}
	faces := [6][4]int{{0, 1, 3, 2}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 3, 7, 5}}
	t := new([256]sheets)
	for c := range 256 {
		var root [12]int
		for e := range root {
			root[e] = e
		}
		find := func(e int) int {
			for root[e] != e {
				e = root[e]
			}
			return e
		}
		inside := func(v int) bool { return c>>v&1 == 1 }
		for _, f := range faces {
			var cut []int
			for i := range 4 {
				if a, b := f[i], f[(i+1)%4]; inside(a) != inside(b) {
					cut = append(cut, edgeAt[a][b])
				}
			}
			if len(cut) == 2 {
				root[find(cut[0])] = find(cut[1])
			}
			if len(cut) == 4 {
				for i := range 4 {
					if v := f[i]; inside(v) {
						root[find(edgeAt[f[(i+3)%4]][v])] = find(edgeAt[v][f[(i+1)%4]])
					}
				}
			}
		}
		s := &t[c]
		number := map[int]int8{}
		for e := range 12 {
			s.of[e] = -1
			a, b := edgeEnds(e)
			if inside(a) == inside(b) {
				continue
			}
			r := find(e)
			if _, ok := number[r]; !ok {
				number[r] = int8(s.count)
				s.count++
			}
			s.of[e] = number[r]
		}
	}
	return t
}

// patternAt tells which corners of a cell are inside.
func (g *grid) patternAt(x, y, z int) uint8 {
	at := g.at(x, y, z)
	up := (g.nx + 1) * (g.ny + 1)
	c := uint8(0)
	for v, i := range [8]int{at, at + 1, at + g.nx + 1, at + g.nx + 2, at + up, at + up + 1, at + up + g.nx + 1, at + up + g.nx + 2} {
		if g.val[i] < 0 {
			c |= 1 << v
		}
	}
	return c
}

// place makes the vertices of the cells of brick b.
func (g *grid) place(mem *arena, b *brickOf, table *[256]sheets) {
	var verts [inBrick * 4]vec
	n := 0
	for at, c := range b.pattern {
		x, y, z := b.cellAt(at)
		if c == 0 || c == 255 || x == g.nx-1 || y == g.ny-1 || z == g.nz-1 {
			continue // the grid's rim is outside
		}
		if g.open(x, y, z) {
			b.cell[at] = -1
			continue
		}
		b.cell[at] = int8(n)
		sh := &table[c]
		lo, hi := g.around(x, y, z)
		for s := range sh.count {
			var set [12]crossing
			m := 0
			for e := range 12 {
				if int(sh.of[e]) == s {
					lo, _ := edgeEnds(e)
					set[m] = g.crossingOf(x+lo&1, y+lo>>1&1, z+lo>>2, e/4)
					m++
				}
			}
			verts[n] = meet(set[:m], lo, hi)
			n++
		}
	}
	b.verts = kept(&mem.verts, verts[:n])
}

// around is a box around a cell.
func (g *grid) around(x, y, z int) (lo, hi vec) {
	lo = g.point(x, y, z)
	hi = lo
	for v := 1; v < 8; v++ {
		p := g.point(x+v&1, y+v>>1&1, z+v>>2)
		lo, hi = lo.Min(p), hi.Max(p)
	}
	return lo, hi
}

// meet returns the point where the tangent planes of the crossings come
// nearest to meeting, drawn to their middle where they leave it open, and kept
// in the cell.
func meet(set []crossing, lo, hi vec) vec {
	const pull = 0.25
	var mid vec
	for _, c := range set {
		mid = mid.Add(c.p)
	}
	mid = mid.Mul(1 / float64(len(set)))
	var a00, a01, a02, a11, a12, a22 float64
	var b vec
	a00, a11, a22 = pull, pull, pull
	for _, c := range set {
		n := c.n
		d := n.Dot(c.p.Sub(mid))
		a00 += float64(n.X * n.X)
		a01 += float64(n.X * n.Y)
		a02 += float64(n.X * n.Z)
		a11 += float64(n.Y * n.Y)
		a12 += float64(n.Y * n.Z)
		a22 += float64(n.Z * n.Z)
		b = b.Add(vec{X: float64(n.X * d), Y: float64(n.Y * d), Z: float64(n.Z * d)})
	}
	r0, r1, r2 := vec{X: a00, Y: a01, Z: a02}, vec{X: a01, Y: a11, Z: a12}, vec{X: a02, Y: a12, Z: a22}
	det := r0.Dot(r1.Cross(r2))
	x := mid
	if math.Abs(det) > 1e-12 {
		x = mid.Add(vec{X: b.Dot(r1.Cross(r2)), Y: b.Dot(r2.Cross(r0)), Z: b.Dot(r0.Cross(r1))}.Mul(1 / det))
	}
	return x.Max(lo).Min(hi)
}

// runs runs f over the bricks on all processors, in runs of neighbours with their
// own memory and number.
func (g *grid) runs(f func(run int, mem *arena, b *brickOf)) {
	each((len(g.bricks)+brickRun-1)/brickRun, func(i int) {
		mem := &arena{}
		for _, b := range g.bricks[i*brickRun : min((i+1)*brickRun, len(g.bricks))] {
			f(i, mem, b)
		}
	})
}

const brickRun = 512

// contour turns the sampled grid into a closed triangle mesh without labels.
func (g *grid) contour() *geom.Mesh {
	table := sheetTable()
	g.runs(func(_ int, mem *arena, b *brickOf) { g.crossings(mem, b) })
	g.runs(func(_ int, mem *arena, b *brickOf) { g.place(mem, b, table) })
	m := &geom.Mesh{}
	n := 0
	for _, b := range g.bricks {
		b.first = int32(n)
		n += len(b.verts)
	}
	m.V = make([]vec, 0, n)
	for _, b := range g.bricks {
		m.V = append(m.V, b.verts...)
	}
	faces := make([][][3]int32, len(g.bricks)/brickRun+1)
	g.runs(func(run int, _ *arena, b *brickOf) { faces[run] = g.quads(faces[run], b, table, m.V) })
	m.F = slices.Concat(faces...)
	g.closeUnder(m)
	return m
}

// quads adds the two triangles around each crossing edge that starts in b.
func (g *grid) quads(out [][3]int32, b *brickOf, table *[256]sheets, v []vec) [][3]int32 {
	// The four cells around an edge, counter-clockwise seen from its upper end,
	// as bits of the two other axes taken in cyclic order, and the place of the
	// edge in that cell.
	for at, e := range b.edge {
		if e == 0 {
			continue
		}
		axis, c := at%3, at/3
		x, y, z := b.cellAt(c)
		p := [3]int{x, y, z}
		u, w := (axis+1)%3, (axis+2)%3
		var q [4]int32
		for n, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			cell := p
			cell[u] -= d[0]
			cell[w] -= d[1]
			q[n] = g.vertexOf(cell, axis, u, d[0], w, d[1], table)
		}
		if min(q[0], q[1], q[2], q[3]) < 0 {
			continue // beside what is left out
		}
		if g.val[g.at(p[0], p[1], p[2])] >= 0 {
			q[1], q[3] = q[3], q[1]
		}
		// The shorter diagonal makes the better triangles.
		if v[q[0]].Sub(v[q[2]]).Len2() <= v[q[1]].Sub(v[q[3]]).Len2() {
			out = append(out, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
		} else {
			out = append(out, [3]int32{q[0], q[1], q[3]}, [3]int32{q[1], q[2], q[3]})
		}
	}
	return out
}

// vertexOf is the vertex of a cell for the edge at the given bits of it; -1 for a
// cell that was left out.
func (g *grid) vertexOf(cell [3]int, axis, u, du, w, dw int, table *[256]sheets) int32 {
	b := g.brickAt(cell[0], cell[1], cell[2])
	if b == nil {
		return -1
	}
	lo := du<<u | dw<<w
	e := axis * 4
	others := [3][2]int{{2, 4}, {1, 4}, {1, 2}}[axis]
	if lo&others[0] != 0 {
		e++
	}
	if lo&others[1] != 0 {
		e += 2
	}
	at := b.number(cell[0], cell[1], cell[2])
	if b.cell[at] < 0 {
		return -1
	}
	return b.first + int32(b.cell[at]) + int32(table[b.pattern[at]].of[e])
}
