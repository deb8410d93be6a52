package geom

import (
	"fmt"
	"slices"
)

// MaxLabels is the largest number of labels a mesh may carry, 0 included.
const MaxLabels = 1 << 16

// Mesh is a triangle mesh with one area label per face.
//
// Label is either nil (nothing labelled) or as long as F; a value indexes
// Labels. Labels[0] is always "" and means "no area".
type Mesh struct {
	V      []Vec3 // mm
	F      [][3]int32
	Label  []uint16
	Labels []string
}

// Clone returns a deep copy.
func (m *Mesh) Clone() *Mesh {
	return &Mesh{V: slices.Clone(m.V), F: slices.Clone(m.F),
		Label: slices.Clone(m.Label), Labels: slices.Clone(m.Labels)}
}

// Validate tells whether the slices fit together: indices in range, labels as
// many as faces and known, coordinates finite. It does not judge the shape; see
// Inspect for that.
func (m *Mesh) Validate() error {
	n := int32(len(m.V))
	for i, v := range m.V {
		if !v.Finite() {
			return fmt.Errorf("vertex %d is not a finite point: %v", i, v)
		}
	}
	for i, f := range m.F {
		for _, k := range f {
			if k < 0 || k >= n {
				return fmt.Errorf("face %d names vertex %d, there are %d", i, k, n)
			}
		}
	}
	if m.Label == nil {
		return nil
	}
	if len(m.Label) != len(m.F) {
		return fmt.Errorf("%d face labels for %d faces", len(m.Label), len(m.F))
	}
	for i, l := range m.Label {
		if int(l) >= len(m.Labels) {
			return fmt.Errorf("face %d has label %d, there are %d", i, l, len(m.Labels))
		}
	}
	return nil
}

// LabelID returns the number of the named label, adding it if it is new. The
// empty name is 0. It panics when the mesh already holds MaxLabels labels,
// which readers prevent by bounding their input.
func (m *Mesh) LabelID(name string) uint16 {
	if len(m.Labels) == 0 {
		m.Labels = []string{""}
	}
	if i := slices.Index(m.Labels, name); i >= 0 {
		return uint16(i)
	}
	if len(m.Labels) >= MaxLabels {
		panic("geom: too many labels")
	}
	m.Labels = append(m.Labels, name)
	return uint16(len(m.Labels) - 1)
}

// SetLabel gives face i the label id, making the label slice if there is none.
func (m *Mesh) SetLabel(i int, id uint16) {
	if m.Label == nil {
		m.Label = make([]uint16, len(m.F))
		if len(m.Labels) == 0 {
			m.Labels = []string{""}
		}
	}
	m.Label[i] = id
}

// FaceLabel returns the label of face i, 0 where nothing is labelled.
func (m *Mesh) FaceLabel(i int) uint16 {
	if m.Label == nil {
		return 0
	}
	return m.Label[i]
}

// Tri returns the corners of face i.
func (m *Mesh) Tri(i int) (a, b, c Vec3) {
	f := m.F[i]
	return m.V[f[0]], m.V[f[1]], m.V[f[2]]
}

// FaceCross returns the vector product of two edges of face i: its direction is
// the outer normal, its length twice the area.
func (m *Mesh) FaceCross(i int) Vec3 {
	a, b, c := m.Tri(i)
	return b.Sub(a).Cross(c.Sub(a))
}

// FaceNormal returns the unit outer normal of face i, zero for a degenerate face.
func (m *Mesh) FaceNormal(i int) Vec3 { return m.FaceCross(i).Unit() }

// FaceArea returns the area of face i in mm².
func (m *Mesh) FaceArea(i int) float64 { return m.FaceCross(i).Len() / 2 }

// FaceCenter returns the centroid of face i.
func (m *Mesh) FaceCenter(i int) Vec3 {
	a, b, c := m.Tri(i)
	return a.Add(b).Add(c).Mul(1.0 / 3)
}

// Bounds returns the box around all vertices.
func (m *Mesh) Bounds() Box {
	b := EmptyBox()
	for _, v := range m.V {
		b = b.Add(v)
	}
	return b
}

// Transform maps every vertex in place.
func (m *Mesh) Transform(r Rigid) {
	for i, v := range m.V {
		m.V[i] = r.Point(v)
	}
}

// Scale multiplies every coordinate by s in place; s must be positive.
func (m *Mesh) Scale(s float64) {
	for i, v := range m.V {
		m.V[i] = v.Mul(s)
	}
}

// Append adds a copy of o's vertices and faces, joining labels by name.
func (m *Mesh) Append(o *Mesh) {
	base := int32(len(m.V))
	start := len(m.F)
	m.V = append(m.V, o.V...)
	for _, f := range o.F {
		m.F = append(m.F, [3]int32{f[0] + base, f[1] + base, f[2] + base})
	}
	if m.Label == nil && o.Label == nil {
		return
	}
	if m.Label == nil {
		m.Label = make([]uint16, start, len(m.F))
		if len(m.Labels) == 0 {
			m.Labels = []string{""}
		}
	}
	ids := make([]uint16, max(1, len(o.Labels)))
	for i, name := range o.Labels {
		ids[i] = m.LabelID(name)
	}
	for i := range o.F {
		m.Label = append(m.Label, ids[o.FaceLabel(i)])
	}
}

// VertexNormals returns the unit normal at each vertex, the mean of its faces'
// normals weighted by the angle each face takes there, which does not depend on
// how the surface is cut into triangles. Zero where no face gives a direction.
//
// Ref: thurmer1998.
func (m *Mesh) VertexNormals() []Vec3 {
	out := make([]Vec3, len(m.V))
	for i, f := range m.F {
		n := m.FaceNormal(i)
		if n == (Vec3{}) {
			continue
		}
		for k := range 3 {
			p := m.V[f[k]]
			angle := m.V[f[(k+1)%3]].Sub(p).Angle(m.V[f[(k+2)%3]].Sub(p))
			out[f[k]] = out[f[k]].Add(n.Mul(angle))
		}
	}
	for i := range out {
		out[i] = out[i].Unit()
	}
	return out
}

// VertexAreas returns a third of the area of the faces around each vertex, mm²;
// the sum is the area of the mesh.
func (m *Mesh) VertexAreas() []float64 {
	out := make([]float64, len(m.V))
	for i, f := range m.F {
		third := m.FaceArea(i) / 3
		for _, k := range f {
			out[k] += third
		}
	}
	return out
}
