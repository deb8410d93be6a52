package figure

import (
	"math"
	"runtime"
	"sort"
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
	brickCells = 4  // cells along a brick's edge
	rootCells  = 32 // cells along the edge of the cubes the search starts from
)

// grid is a lattice of cells over a box, the sampled distances at its corners,
// and the bricks near the surface.
type grid struct {
	h          float64      // usual cell size, mm
	line       [3][]float64 // coordinates of the lattice planes
	nx, ny, nz int          // cells, multiples of rootCells
	val        []float32
	bricks     []*brickOf
	index      []int32 // brick number + 1 by position, 0 where none
	fall       *scene  // the whole scene, for points far from any brick
}

// brickOf is a cube of brickCells³ cells with the pruned scene for it.
type brickOf struct {
	x, y, z int // lowest cell
	sc      *scene
	edge    [brickCells * brickCells * brickCells * 3]int16 // crossing number + 1
	cross   []crossing
	cell    [brickCells * brickCells * brickCells]int32 // first vertex, local; -1 none
	verts   []vec
	first   int32 // number of verts[0] in the mesh
}

type crossing struct{ p, n vec }

// lines places lattice planes from lo to at least hi, h apart, and fine apart
// between f0 and f1; their number less one is a multiple of rootCells.
func lines(lo, hi, h, f0, f1, fine float64) []float64 {
	out := []float64{lo}
	for x := lo; x < hi || (len(out)-1)%rootCells != 0; {
		step := h
		if x+h > f0 && x < f1 {
			step = fine
		}
		x += step
		out = append(out, x)
	}
	return out
}

// newGrid lays a lattice over the scene's box, finer where the face is.
func newGrid(s *sculpture, q quality) *grid {
	g := &grid{h: q.cell, fall: &s.scene}
	f0, f1 := s.fineLo, s.fineHi
	g.line[0] = lines(s.lo.X, s.hi.X, q.cell, f0.X, f1.X, q.fine)
	g.line[1] = lines(s.lo.Y, s.hi.Y, q.cell, f0.Y, f1.Y, q.fine)
	g.line[2] = lines(s.lo.Z, s.hi.Z, q.cell, f0.Z, f1.Z, q.fine)
	g.nx, g.ny, g.nz = len(g.line[0])-1, len(g.line[1])-1, len(g.line[2])-1
	g.val = make([]float32, (g.nx+1)*(g.ny+1)*(g.nz+1))
	g.index = make([]int32, g.nx*g.ny*g.nz/(brickCells*brickCells*brickCells))
	return g
}

func (g *grid) at(x, y, z int) int { return (z*(g.ny+1)+y)*(g.nx+1) + x }

func (g *grid) point(x, y, z int) vec {
	return vec{X: g.line[0][x], Y: g.line[1][y], Z: g.line[2][z]}
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
	cell := func(a float64, line []float64) int { return sort.SearchFloat64s(line, a) - 1 }
	if b := g.brickAt(cell(p.X, g.line[0]), cell(p.Y, g.line[1]), cell(p.Z, g.line[2])); b != nil {
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
		g.search(g.fall, r.x, r.y, r.z, rootCells, &found[i])
	})
	for _, list := range found {
		for _, b := range list {
			g.enter(b)
		}
	}
	g.complete()
}

func (g *grid) search(s *scene, x, y, z, size int, out *[]*brickOf) {
	lo, hi := g.point(x, y, z), g.point(x+size, y+size, z+size)
	mid := lo.Lerp(hi, 0.5)
	r := hi.Sub(mid).Len() + 0.3*g.h
	s = s.prune(mid, r)
	if d := s.dist(mid); math.Abs(d) > lipschitz*r {
		if d < 0 {
			g.fill(x, y, z, size)
		}
		return
	}
	if size == brickCells {
		*out = append(*out, g.measure(s, x, y, z))
		return
	}
	h := size / 2
	for k := 0; k < size; k += h {
		for j := 0; j < size; j += h {
			for i := 0; i < size; i += h {
				g.search(s, x+i, y+j, z+k, h, out)
			}
		}
	}
}

// measure makes a brick and asks for the distance at its corners.
func (g *grid) measure(s *scene, x, y, z int) *brickOf {
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
	return &brickOf{x: x, y: y, z: z, sc: s}
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
		for k := -1; k < brickCells; k++ {
			for j := -1; j < brickCells; j++ {
				for i := -1; i < brickCells; i++ {
					rim := i < 0 || j < 0 || k < 0 || i == brickCells-1 || j == brickCells-1 || k == brickCells-1
					x, y, z := b.x+i, b.y+j, b.z+k
					if !rim || x < 0 || y < 0 || z < 0 || x+1 >= g.nx || y+1 >= g.ny || z+1 >= g.nz {
						continue
					}
					if c := g.pattern(x, y, z); c != 0 && c != 255 {
						g.want(x, y, z)
					}
				}
			}
		}
	}
}

// want sees to it that all bricks at a cell are there.
func (g *grid) want(x, y, z int) {
	for v := range 8 {
		cx, cy, cz := x+v&1, y+v>>1&1, z+v>>2
		if g.brickAt(cx, cy, cz) != nil {
			continue
		}
		cx, cy, cz = cx/brickCells*brickCells, cy/brickCells*brickCells, cz/brickCells*brickCells
		lo, hi := g.point(cx, cy, cz), g.point(cx+brickCells, cy+brickCells, cz+brickCells)
		mid := lo.Lerp(hi, 0.5)
		g.enter(g.measure(g.fall.prune(mid, 2*hi.Sub(mid).Len()+g.h), cx, cy, cz))
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
func (g *grid) crossings(b *brickOf) {
	next := [3][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for k := range brickCells {
		for j := range brickCells {
			for i := range brickCells {
				x, y, z := b.x+i, b.y+j, b.z+k
				v0 := g.val[g.at(x, y, z)]
				ends := [3]float32{g.val[g.at(x+1, y, z)], g.val[g.at(x, y+1, z)], g.val[g.at(x, y, z+1)]}
				for a, v1 := range ends {
					if (v0 < 0) == (v1 < 0) {
						continue
					}
					p0 := g.point(x, y, z)
					p := cutPoint(b.sc, p0, g.point(x+next[a][0], y+next[a][1], z+next[a][2]), float64(v0), float64(v1))
					b.cross = append(b.cross, crossing{p, b.sc.normal(p, 0.05*g.h)})
					b.edge[((k*brickCells+j)*brickCells+i)*3+a] = int16(len(b.cross))
				}
			}
		}
	}
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
	return b.cross[b.edge[(((z-b.z)*brickCells+y-b.y)*brickCells+x-b.x)*3+axis]-1]
}
