package figure

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// The surface is found by dual contouring: one vertex for each sheet of surface
// that passes a grid cell, placed where the tangent planes of the crossings
// meet, one quad for each grid edge that crosses. Only bricks of cells that the
// surface can reach are sampled, each with the few parts that matter there.
//
// Ref: [ju2002] vertex placement; [nielson2004] one vertex per sheet.

const (
	brickCells = 2 // cells along a brick's edge
	inBrick    = brickCells * brickCells * brickCells
	rootCells  = 32 // cells along the edge of the cubes the search starts from
)

// grid is a lattice of cells over a box, seen through a lens, the sampled
// distances at its corners, and the bricks near the surface.
type grid struct {
	h          float64 // usual cell size, mm
	lo         vec     // lowest corner, in the lattice
	lens       lens
	nx, ny, nz int // cells, multiples of rootCells
	val        []float32
	bricks     []*brickOf
	index      []int32 // brick number + 1 by position, 0 where none
	fall       *scene  // the whole scene, for points far from any brick
	under      under
	underTop   int    // the first layer of cells that is not near the underside
	mem        arena  // of what is found after the search
	baseIn     []bool // whether the base's middle is inside at a layer of corners
}

// brickOf is a cube of brickCells³ cells with the pruned scene for it.
type brickOf struct {
	x, y, z int // lowest cell
	sc      *scene
	edge    [inBrick * 3]int8 // crossing number + 1
	pattern [inBrick]uint8    // which corners of a cell are inside
	cross   []crossing
	cell    [inBrick]int8 // first vertex, local; -1 for a cell that was left out
	verts   []vec
	first   int32 // number of verts[0] in the mesh
}

type crossing struct{ p, n vec }

// newGrid lays a lattice over the scene's box, finer where the face is.
func newGrid(s *sculpture, q quality) *grid {
	g := &grid{h: q.cell, lens: newLens(s.face, s.faceR, q.fine/q.cell), fall: &s.scene}
	lo, hi := g.lens.cover(s.lo, s.hi)
	g.lo = lo
	g.underside(s.under)
	cells := func(lo, hi float64) int {
		n := int(math.Ceil((hi - lo) / g.h))
		return (n + rootCells - 1) / rootCells * rootCells
	}
	g.nx, g.ny, g.nz = cells(lo.X, hi.X), cells(lo.Y, hi.Y), cells(lo.Z, hi.Z)
	g.val = make([]float32, (g.nx+1)*(g.ny+1)*(g.nz+1))
	g.index = make([]int32, g.nx*g.ny*g.nz/inBrick)
	return g
}

func (g *grid) at(x, y, z int) int { return (z*(g.ny+1)+y)*(g.nx+1) + x }

func (g *grid) point(x, y, z int) vec { return g.lens.through(g.lattice(x, y, z)) }

func (g *grid) lattice(x, y, z int) vec {
	return vec{X: g.lo.X + float64(float64(x)*g.h), Y: g.lo.Y + float64(float64(y)*g.h), Z: g.lo.Z + float64(float64(z)*g.h)}
}

func (g *grid) brickAt(x, y, z int) *brickOf {
	if x < 0 || y < 0 || z < 0 || x >= g.nx || y >= g.ny || z >= g.nz {
		return nil
	}
	i := g.index[((z/brickCells)*(g.ny/brickCells)+y/brickCells)*(g.nx/brickCells)+x/brickCells]
	if i == 0 {
		return nil
	}
	return g.bricks[i-1]
}

// near returns the scene to ask about points near p.
func (g *grid) near(p vec) *scene {
	u := g.lens.back(p).Sub(g.lo).Mul(1 / g.h)
	if b := g.brickAt(int(math.Floor(u.X)), int(math.Floor(u.Y)), int(math.Floor(u.Z))); b != nil && len(b.sc.parts) > 0 {
		return b.sc
	}
	return g.fall
}

// each runs f(0..n-1) on all processors; f must only write what is its own.
func each(n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				f(i)
			}
		})
	}
	wg.Wait()
}

// sample finds the bricks and fills the corner values: the distance in bricks,
// +1 or −1 elsewhere.
func (g *grid) sample() {
	for i := range g.val {
		g.val[i] = 1
	}
	type cube struct{ x, y, z int }
	var roots []cube
	for z := 0; z < g.nz; z += rootCells {
		for y := 0; y < g.ny; y += rootCells {
			for x := 0; x < g.nx; x += rootCells {
				roots = append(roots, cube{x, y, z})
			}
		}
	}
	found := make([][]*brickOf, len(roots))
	each(len(roots), func(i int) {
		r := roots[i]
		g.search(&arena{}, g.fall, r.x, r.y, r.z, rootCells, &found[i])
	})
	for _, list := range found {
		for _, b := range list {
			g.enter(b)
		}
	}
	g.complete()
}

func (g *grid) search(mem *arena, s *scene, x, y, z, size int, out *[]*brickOf) {
	mid, r := g.ball(x, y, z, size)
	reach := lipschitz * r
	if d := s.dist(mid); math.Abs(d) > reach {
		if d < 0 {
			g.fill(x, y, z, size)
		}
		return
	}
	if size == brickCells {
		if g.hidden(x, y, z) {
			g.passOver(x, y, z)
			return
		}
		*out = append(*out, g.measure(mem, s, x, y, z))
		return
	}
	half := lipschitz * (r/2 + 0.15*g.h*lensSlope) // what is asked of its parts
	s = s.prune(where{mid, r, -half, half, mem})
	h := size / 2
	for k := 0; k < size; k += h {
		for j := 0; j < size; j += h {
			for i := 0; i < size; i += h {
				g.search(mem, s, x+i, y+j, z+k, h, out)
			}
		}
	}
}

// ball is a ball around a cube of cells and a little beyond.
func (g *grid) ball(x, y, z, size int) (middle vec, r float64) {
	lo, hi := g.lattice(x, y, z), g.lattice(x+size, y+size, z+size)
	u := lo.Lerp(hi, 0.5)
	r = hi.Sub(u).Len()
	k := g.lens.stretch(u, r)
	return g.lens.through(u), k * (r + 0.3*g.h)
}

// measure makes a brick and asks for the distance at its corners.
func (g *grid) measure(mem *arena, s *scene, x, y, z int) *brickOf {
	for k := range brickCells {
		for j := range brickCells {
			for i := range brickCells {
				v := float32(s.dist(g.point(x+i, y+j, z+k)))
				if v == 0 {
					v = 1e-6 // a corner is never on the surface
				}
				g.val[g.at(x+i, y+j, z+k)] = v
			}
		}
	}
	b := &take(&mem.bricks, 1)[0]
	b.x, b.y, b.z, b.sc = x, y, z, s
	return b
}

// narrow leaves in a brick's scene what matters in the brick. It pays only where
// the surface comes through, which is in fewer than half of the bricks.
func (g *grid) narrow(mem *arena, b *brickOf) {
	b.sc = g.within(mem, b.sc, b.x, b.y, b.z)
}

// within is what of a scene matters in a brick.
func (g *grid) within(mem *arena, s *scene, x, y, z int) *scene {
	mid, r := g.ball(x, y, z, brickCells)
	return s.prune(where{mid, r, -0.5 * g.h, 0.5 * g.h, mem})
}

func (g *grid) enter(b *brickOf) {
	g.bricks = append(g.bricks, b)
	g.index[((b.z/brickCells)*(g.ny/brickCells)+b.y/brickCells)*(g.nx/brickCells)+b.x/brickCells] = int32(len(g.bricks))
}

// complete adds the bricks a steep distance made the search pass over: any that
// share a cell the surface crosses with a brick that was found.
func (g *grid) complete() {
	for n := 0; n < len(g.bricks); n++ {
		b := g.bricks[n]
		if g.oneSided(b) {
			continue
		}
		for k := max(b.z-1, 0); k < min(b.z+brickCells, g.nz-1); k++ {
			for j := max(b.y-1, 0); j < min(b.y+brickCells, g.ny-1); j++ {
				for i := max(b.x-1, 0); i < min(b.x+brickCells, g.nx-1); i++ {
					if c := g.patternAt(i, j, k); c != 0 && c != 255 {
						g.want(i, j, k)
					}
				}
			}
		}
	}
}

// oneSided reports whether all corners of the cells in and next to a brick are
// on one side of the surface.
func (g *grid) oneSided(b *brickOf) bool {
	in, out := false, false
	for z := max(b.z-1, 0); z <= b.z+brickCells; z++ {
		for y := max(b.y-1, 0); y <= b.y+brickCells; y++ {
			row := g.at(0, y, z)
			for _, v := range g.val[row+max(b.x-1, 0) : row+b.x+brickCells+1] {
				in, out = in || v < 0, out || v >= 0
			}
			if in && out {
				return false
			}
		}
	}
	return true
}

// want sees to it that all bricks at a cell are there.
func (g *grid) want(x, y, z int) {
	for v := range 8 {
		cx, cy, cz := x+v&1, y+v>>1&1, z+v>>2
		if g.brickAt(cx, cy, cz) != nil {
			continue
		}
		cx, cy, cz = cx/brickCells*brickCells, cy/brickCells*brickCells, cz/brickCells*brickCells
		if !g.hidden(cx, cy, cz) {
			g.enter(g.measure(&g.mem, g.within(&g.mem, g.fall, cx, cy, cz), cx, cy, cz))
		}
	}
}

func (g *grid) fill(x, y, z, size int) {
	for k := range size {
		for j := range size {
			for i := range size {
				g.val[g.at(x+i, y+j, z+k)] = -1
			}
		}
	}
}

// crossings finds, for the edges that start in brick b, where the surface cuts
// them and its normal there.
func (g *grid) crossings(mem *arena, b *brickOf) {
	next := [3][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	var found [inBrick * 3]crossing
	n := 0
	for at := range inBrick {
		x, y, z := b.cellAt(at)
		b.pattern[at] = g.patternAt(x, y, z)
		v0 := g.val[g.at(x, y, z)]
		ends := [3]float32{g.val[g.at(x+1, y, z)], g.val[g.at(x, y+1, z)], g.val[g.at(x, y, z+1)]}
		for a, v1 := range ends {
			if (v0 < 0) == (v1 < 0) {
				continue
			}
			if n == 0 {
				g.narrow(mem, b)
			}
			p := cutPoint(b.sc, g.point(x, y, z), g.point(x+next[a][0], y+next[a][1], z+next[a][2]), float64(v0), float64(v1))
			found[n] = crossing{p, b.sc.normal(p, 0.05*g.h)}
			n++
			b.edge[at*3+a] = int8(n)
		}
	}
	b.cross = kept(&mem.cross, found[:n])
}

// cellAt is the cell with a number in the brick.
func (b *brickOf) cellAt(at int) (x, y, z int) {
	return b.x + at%brickCells, b.y + at/brickCells%brickCells, b.z + at/(brickCells*brickCells)
}

// number is the opposite of cellAt.
func (b *brickOf) number(x, y, z int) int {
	return ((z-b.z)*brickCells+y-b.y)*brickCells + x - b.x
}

// cutPoint narrows down the crossing between p0 and p1.
func cutPoint(s *scene, p0, p1 vec, v0, v1 float64) vec {
	for range 3 {
		t := min(max(v0/(v0-v1), 0.05), 0.95)
		p := p0.Lerp(p1, t)
		v := s.dist(p)
		if math.Abs(v) < closeEnough/2 {
			return p
		}
		if (v < 0) == (v0 < 0) {
			p0, v0 = p, v
		} else {
			p1, v1 = p, v
		}
	}
	return p0.Lerp(p1, v0/(v0-v1))
}

func (g *grid) crossingOf(x, y, z, axis int) crossing {
	b := g.brickAt(x, y, z)
	return b.cross[b.edge[b.number(x, y, z)*3+axis]-1]
}
