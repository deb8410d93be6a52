package light

import (
	"math"
	"sync"

	"facings/internal/geom"
)

// Relief tells how raised each vertex is above its surroundings within radius
// (mm): about +1/4 on a ball of that radius, 0 on a flat, negative in a groove.
// Dry-brushing catches where it is high. It is the mean depth of the surface
// around, weighted by area, below the vertex's tangent plane, divided by radius;
// on a sphere of radius R it tends to radius/(4R).
//
// Surface that faces away by more than 120° is not counted, so that the back of
// a thin cloak does not make its front look raised.
func Relief(m *geom.Mesh, radius float64, opt Options) []float64 {
	out := make([]float64, len(m.V))
	if !(radius > 0) {
		return out
	}
	normals, areas := m.VertexNormals(), m.VertexAreas()
	grid := newVertexGrid(m.V, radius)
	threads := opt.threads()
	chunk := max(1, (len(m.V)+threads-1)/threads)
	var wait sync.WaitGroup
	for from := 0; from < len(m.V); from += chunk {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := from; i < min(from+chunk, len(m.V)); i++ {
				out[i] = grid.relief(i, m.V, normals, areas, radius)
			}
		}()
	}
	wait.Wait()
	return out
}

// vertexGrid lists the vertices of each cell of edge radius.
type vertexGrid struct {
	cells map[[3]int32][]int32
	size  float64
}

// maxPerCell bounds the work when the radius is large for the mesh: only every
// so many vertices of a crowded cell are looked at.
const maxPerCell = 256

func newVertexGrid(v []geom.Vec3, size float64) *vertexGrid {
	g := &vertexGrid{cells: make(map[[3]int32][]int32, len(v)/8+1), size: size}
	for i, p := range v {
		c := g.at(p)
		g.cells[c] = append(g.cells[c], int32(i))
	}
	return g
}

func (g *vertexGrid) at(p geom.Vec3) [3]int32 {
	cell := func(x float64) int32 {
		return int32(math.Floor(min(max(x/g.size, math.MinInt32/2), math.MaxInt32/2)))
	}
	return [3]int32{cell(p.X), cell(p.Y), cell(p.Z)}
}

func (g *vertexGrid) relief(i int, v, normals []geom.Vec3, areas []float64, radius float64) float64 {
	p, n := v[i], normals[i]
	c := g.at(p)
	depth, area := 0.0, 0.0
	for dx := int32(-1); dx <= 1; dx++ {
		for dy := int32(-1); dy <= 1; dy++ {
			for dz := int32(-1); dz <= 1; dz++ {
				list := g.cells[[3]int32{c[0] + dx, c[1] + dy, c[2] + dz}]
				stride := 1 + len(list)/maxPerCell
				for k := 0; k < len(list); k += stride {
					j := list[k]
					d := v[j].Sub(p)
					if d.Len2() > radius*radius || normals[j].Dot(n) < -0.5 {
						continue
					}
					w := areas[j] * float64(stride)
					depth -= float64(w * d.Dot(n))
					area += w
				}
			}
		}
	}
	if area == 0 {
		return 0
	}
	return depth / (area * radius)
}
