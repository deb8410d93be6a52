package light

import "facings/internal/geom"

// Extent is what a camera sees of one label: how many samples of the picture it
// fills, and the box around them in shares of the picture's width and height.
type Extent struct {
	Samples        int
	X0, Y0, X1, Y1 float64
}

// Seen tells how much of each label can be seen, by label number, in a picture of
// so many pixels. A small picture is enough to compare sides.
func Seen(m *geom.Mesh, c Camera, width, height int) ([]Extent, error) {
	return seen(m, c, width, height, false)
}

// Seen is what Seen tells of the stage's mesh.
func (st *Stage) Seen(c Camera, width, height int) ([]Extent, error) {
	return seen(st.scene.Mesh, c, width, height, st.solid)
}

func seen(m *geom.Mesh, c Camera, width, height int, solid bool) ([]Extent, error) {
	if err := checkSize(m, width*lineScale, height*lineScale); err != nil {
		return nil, err
	}
	b := newSampleGrid(&Drawing{Mesh: m, Camera: c, Width: width, Height: height}, 0, solid)
	out := make([]Extent, max(1, len(m.Labels)))
	for i, f := range b.face {
		if f < 0 {
			continue
		}
		label := int(m.FaceLabel(int(f)))
		if label >= len(out) {
			continue
		}
		e := &out[label]
		x, y := float64(i%b.w)/float64(b.w), float64(i/b.w)/float64(b.h)
		if e.Samples == 0 {
			*e = Extent{X0: x, Y0: y, X1: x, Y1: y}
		}
		e.Samples++
		e.X0, e.X1 = min(e.X0, x), max(e.X1, x)
		e.Y0, e.Y1 = min(e.Y0, y), max(e.Y1, y)
	}
	return out, nil
}

// At returns the same scene as From does, in another size of picture. From the
// same side it costs next to nothing.
func (st *Stage) At(c Camera, width, height int) (*Stage, error) {
	if err := checkSize(st.scene.Mesh, width, height); err != nil {
		return nil, err
	}
	out := *st
	relight := c.AzimuthDeg != st.scene.Camera.AzimuthDeg
	out.scene.Width, out.scene.Height = width, height
	if relight {
		out.look(c)
		return &out, nil
	}
	out.scene.Camera = c
	out.shot = c.frame(out.scene.Mesh.V, width, height)
	out.corners = cornersOf(&out.shot, out.scene.Mesh.V)
	return &out, nil
}
