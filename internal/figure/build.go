package figure

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"facings/internal/geom"
)

// quality is how finely a body is sampled and how many faces are kept.
type quality struct {
	cell  float64 // mm
	fine  float64 // mm, round the face
	faces int
}

func qualityOf(k Kind) quality {
	if k == Foot {
		return quality{0.18, 0.11, 46000}
	}
	return quality{0.25, 0.13, 60000}
}

// coarser is k times as coarse, round the face less so. Faces grow a little faster
// than cells: most are spent on gentle curves, which small pictures smooth anyway.
func (q quality) coarser(k float64) quality {
	return quality{q.cell * k, q.fine * math.Sqrt(k), int(float64(q.faces) / math.Pow(k, 2.5))}
}

// Build makes the casting that spec describes: a closed mesh of one shell in
// millimetres at 28 mm size (1/56), every face labelled with its area. The same
// spec gives the same mesh.
func Build(spec Spec) (*geom.Mesh, error) { return BuildCoarse(spec, 1) }

// BuildCoarse builds k times as coarsely, from 1 to 2, which is quicker and does
// for small pictures. Blades are thicker then, or they would go missing.
func BuildCoarse(spec Spec, k float64) (*geom.Mesh, error) {
	k = min(max(k, 1), 2)
	s, err := assembleFor(spec, k)
	if err != nil {
		return nil, err
	}
	return polygonise(s, qualityOf(spec.normal().Kind).coarser(k)), nil
}

// polygonise turns a scene into a labelled mesh.
func polygonise(s *sculpture, q quality) *geom.Mesh {
	g := newGrid(s, q)
	g.sample()
	m := g.contour()
	splitFourfold(m)
	splitFans(m)
	largestShell(m)
	next := neighbours(m)
	g.label(m, next)
	simplify(m, next, q.faces)
	g.settle(m)
	return m
}

// settle puts the vertices of a thinned mesh back on the surface, but those
// that would spoil a face.
func (g *grid) settle(m *geom.Mesh) {
	was := slices.Clone(m.V)
	before := make([]vec, len(m.F))
	g.chunks(len(m.F), func(i int) { before[i] = m.FaceCross(i) })
	g.chunks(len(m.V), func(i int) { m.V[i] = g.toSurface(m.V[i], 0.1*g.h, 2) })
	for range 4 {
		spoilt := false
		for i, f := range m.F {
			if now := m.FaceCross(i); now.Dot(before[i]) < 0.3*before[i].Len2() {
				for _, v := range f {
					spoilt = spoilt || m.V[v] != was[v]
					m.V[v] = was[v]
				}
			}
		}
		if !spoilt {
			return
		}
	}
}

// Areas lists the areas of the casting that spec describes, in the order of
// AreaNames.
func Areas(spec Spec) ([]string, error) {
	s, err := assemble(spec)
	if err != nil {
		return nil, err
	}
	have := map[string]bool{}
	for _, p := range s.parts {
		have[p.area] = true
	}
	var out []string
	for _, a := range AreaNames() {
		if have[a] {
			out = append(out, a)
		}
	}
	return out, nil
}

// Cache keeps the castings it has built. It is safe for use by many goroutines;
// the meshes it hands out are shared and must not be changed.
type Cache struct {
	mu   sync.Mutex
	made map[string]*entry
}

type entry struct {
	once sync.Once
	mesh *geom.Mesh
	err  error
}

// Build returns the mesh for spec, building it at the first call only.
func (c *Cache) Build(spec Spec) (*geom.Mesh, error) {
	key := fmt.Sprintf("%+v", spec.normal())
	c.mu.Lock()
	if c.made == nil {
		c.made = map[string]*entry{}
	}
	e := c.made[key]
	if e == nil {
		e = &entry{}
		c.made[key] = e
	}
	c.mu.Unlock()
	e.once.Do(func() { e.mesh, e.err = Build(spec) })
	return e.mesh, e.err
}

// sculpture is a scene under construction and the box it fits in.
type sculpture struct {
	scene
	lo, hi vec
	face   vec     // its middle
	faceR  float64 // mm; 0 where there is none
	lacks  []string
	swell  float64 // mm by which thin blades are thicker
	staff  *Pole
	under  under
	zoom   struct { // larger than life, about c
		c vec
		k float64
	}
}

// add joins a part that belongs to area; areas the casting lacks are left off.
func (s *sculpture) add(area string, n node) { s.addSoft(area, 0.06, n) }

// addSoft joins a part with a fillet of k.
func (s *sculpture) addSoft(area string, k float64, n node) {
	if slices.Contains(s.lacks, area) {
		return
	}
	if s.zoom.k != 0 {
		n = &zoomed{n, s.zoom.c, s.zoom.k}
	}
	s.parts = append(s.parts, part{area: area, k: k, n: n})
}
