package figure

import (
	"math"

	"facings/internal/geom"
)

// The underside of a base is flat and as large as half of a figure, and nobody
// looks at it. It is left out of the lattice but for its rim, and the hole filled
// with faces that grow towards the middle.

// underHigh is how much of a base over its underside is solid all through, mm.
const underHigh = 1.1

// under is half the width and depth of a rectangle within a base, about its middle.
type under struct{ x, y float64 }

// underside works out what may be left out: all but three cells to a side.
func (g *grid) underside(u under) {
	g.under = under{u.x - 3*g.h, u.y - 3*g.h}
	if min(g.under.x, g.under.y) <= 0 {
		return
	}
	g.underTop = int(math.Ceil((underHigh - g.lo.Z) / g.h))
	for z := range g.underTop + brickCells {
		g.baseIn = append(g.baseIn, g.fall.dist(vec{Z: g.lattice(0, 0, z).Z}) < 0)
	}
}

// hidden reports whether a brick holds nothing but the underside that is left out.
func (g *grid) hidden(x, y, z int) bool {
	if z >= g.underTop {
		return false
	}
	lo, hi := g.lattice(x, y, z), g.lattice(x+brickCells, y+brickCells, z+brickCells)
	mid := lo.Lerp(hi, 0.5)
	return hi.Z <= underHigh && max(-lo.X, hi.X) <= g.under.x && max(-lo.Y, hi.Y) <= g.under.y &&
		g.lens.stretch(mid, hi.Sub(mid).Len()) == 1
}

// passOver marks the corners of a hidden brick as inside or outside, all of a
// level alike.
func (g *grid) passOver(x, y, z int) {
	for k := range brickCells {
		if !g.baseIn[z+k] {
			continue // they count as outside already
		}
		for j := range brickCells {
			for i := range brickCells {
				g.val[g.at(x+i, y+j, z+k)] = -1
			}
		}
	}
}

// open reports whether a cell is next to a hidden brick: some of its edges were
// not asked about.
func (g *grid) open(x, y, z int) bool {
	if z >= g.underTop {
		return false
	}
	for v := 1; v < 8; v++ {
		if g.brickAt(x+v&1, y+v>>1&1, z+v>>2) == nil {
			return true
		}
	}
	return false
}

// closeUnder fills the hole in the underside: rings of half as many vertices each,
// and a fan in the middle.
func (g *grid) closeUnder(m *geom.Mesh) {
	ring := g.holeIn(m)
	for len(ring) > 8 {
		var middle vec
		long := 0.0
		for i, v := range ring {
			middle = middle.Add(m.V[v].Mul(1 / float64(len(ring))))
			long += m.V[v].Sub(m.V[ring[(i+1)%len(ring)]]).Len()
		}
		least := math.Inf(1)
		for _, v := range ring {
			d := m.V[v].Sub(middle)
			least = min(least, max(math.Abs(d.X), math.Abs(d.Y)))
		}
		share := 1 - 2*long/float64(len(ring))/least
		if share < 0.3 {
			break
		}
		inner := make([]int32, (len(ring)+1)/2)
		for j := range inner {
			inner[j] = int32(len(m.V))
			m.V = append(m.V, middle.Lerp(m.V[ring[2*j]], share))
		}
		for j, q := range inner {
			p, last, r := ring[2*j], ring[(2*j+2)%len(ring)], inner[(j+1)%len(inner)]
			if 2*j+1 == len(ring) {
				m.F = append(m.F, [3]int32{p, ring[0], r}, [3]int32{p, r, q})
				continue
			}
			mid := ring[2*j+1]
			m.F = append(m.F, [3]int32{p, mid, q}, [3]int32{mid, last, r}, [3]int32{mid, r, q})
		}
		ring = inner
	}
	if len(ring) == 0 {
		return
	}
	var middle vec
	for _, v := range ring {
		middle = middle.Add(m.V[v].Mul(1 / float64(len(ring))))
	}
	m.V = append(m.V, middle)
	for i, v := range ring {
		m.F = append(m.F, [3]int32{v, ring[(i+1)%len(ring)], int32(len(m.V) - 1)})
	}
}

// holeIn lists the vertices round the hole in the underside, each run of two
// against the face beside it; none where there is no hole.
func (g *grid) holeIn(m *geom.Mesh) []int32 {
	if g.underTop == 0 {
		return nil
	}
	side := map[[2]int32]bool{} // of faces, down there
	low := func(v int32) bool { return m.V[v].Z < 0.1*g.h }
	for _, f := range m.F {
		for k, v := range f {
			if w := f[(k+1)%3]; low(v) && low(w) {
				side[[2]int32{v, w}] = true
			}
		}
	}
	next := map[int32]int32{}
	first := int32(math.MaxInt32)
	for e := range side {
		if !side[[2]int32{e[1], e[0]}] {
			next[e[1]] = e[0]
			first = min(first, e[1])
		}
	}
	var ring []int32
	for v := first; len(ring) < len(next); v = next[v] {
		ring = append(ring, v)
	}
	return ring
}
