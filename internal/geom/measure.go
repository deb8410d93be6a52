package geom

import (
	"cmp"
	"slices"
)

// Measures are the size and make-up of a mesh.
type Measures struct {
	Area       float64 // mm²
	Volume     float64 // mm³; positive when faces wind outwards, meaningless unless Watertight
	Centroid   Vec3    // of the solid when Watertight, else of the surface
	Box        Box
	Shells     int
	Triangles  int
	Vertices   int
	Watertight bool // every edge has exactly two faces, of the same winding
}

// Measure computes the measures of a mesh whose shared vertices are welded.
//
// The volume is the sum of the signed tetrahedra from the middle of the box,
// the divergence theorem for flat faces.
//
// Ref: eberly2002.
func Measure(m *Mesh) Measures {
	out := Measures{Box: m.Bounds(), Triangles: len(m.F), Vertices: len(m.V), Watertight: len(m.F) > 0}
	_, out.Shells = m.Shells()
	for _, e := range m.Edges() {
		if e.Uses != 2 || !e.Opposed {
			out.Watertight = false
			break
		}
	}
	origin := out.Box.Center()
	var solid, surface Vec3
	for i := range m.F {
		a, b, c := m.Tri(i)
		a, b, c = a.Sub(origin), b.Sub(origin), c.Sub(origin)
		area := b.Sub(a).Cross(c.Sub(a)).Len() / 2
		volume := a.Dot(b.Cross(c)) / 6
		sum := a.Add(b).Add(c)
		out.Area += area
		out.Volume += volume
		surface = surface.Add(sum.Mul(area / 3))
		solid = solid.Add(sum.Mul(volume / 4))
	}
	switch {
	case out.Watertight && out.Volume != 0:
		out.Centroid = origin.Add(solid.Mul(1 / out.Volume))
	case out.Area > 0:
		out.Centroid = origin.Add(surface.Mul(1 / out.Area))
	default:
		out.Centroid = origin
	}
	return out
}

// LabelAreas returns the area of each label in mm², indexed like Labels; entry
// 0 is what nothing labels. The length is at least 1.
func (m *Mesh) LabelAreas() []float64 {
	out := make([]float64, max(1, len(m.Labels)))
	for i := range m.F {
		out[m.FaceLabel(i)] += m.FaceArea(i)
	}
	return out
}

// Border is the line along which two labels meet.
type Border struct {
	A, B   uint16  // A < B
	Length float64 // mm
}

// Borders returns the length of the common border of each pair of labels that
// touch, ordered by A, then B. Vertices must be welded.
func (m *Mesh) Borders() []Border {
	if m.Label == nil {
		return nil
	}
	sum := map[[2]uint16]float64{}
	for _, e := range m.Edges() {
		if e.Face[1] < 0 {
			continue
		}
		a, b := m.Label[e.Face[0]], m.Label[e.Face[1]]
		if a != b {
			sum[[2]uint16{min(a, b), max(a, b)}] += m.V[e.A].Sub(m.V[e.B]).Len()
		}
	}
	out := make([]Border, 0, len(sum))
	for k, l := range sum {
		out = append(out, Border{k[0], k[1], l})
	}
	slices.SortFunc(out, func(x, y Border) int {
		return cmp.Or(cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B))
	})
	return out
}
