package geom

// Part returns the faces with the named label as a mesh of their own, with
// unused vertices dropped; empty if there are none.
func (m *Mesh) Part(name string) *Mesh {
	out := &Mesh{V: m.V}
	for i, f := range m.F {
		l := m.FaceLabel(i)
		if int(l) < len(m.Labels) && m.Labels[l] == name || m.Labels == nil && name == "" {
			out.F = append(out.F, f)
		}
	}
	out, _ = Weld(out, 0)
	if name != "" {
		id := out.LabelID(name)
		for i := range out.F {
			out.SetLabel(i, id)
		}
	}
	return out
}
