package light

import (
	"fmt"
	"math"

	"facings/internal/colour"
	"facings/internal/geom"
)

// Callout is an area to point at, and what to write there: "3 cuffs".
type Callout struct {
	Label uint16
	Text  string
}

// Drawing is a line drawing: outlines, borders between areas, creases, and a
// leader to each area called out.
type Drawing struct {
	Mesh          *geom.Mesh
	Camera        Camera
	Width, Height int
	Callouts      []Callout
	CreaseDeg     float64         // angle from which a fold is drawn; 0 for 50
	Fill          []colour.Linear // flat colour by label; nil leaves paper
	Paper         colour.Linear
	Ink           colour.Linear
	TextPixels    float64 // size of the lettering; 0 for 1/45 of the height
}

// lineScale is how many samples a pixel's edge has in a line drawing.
const lineScale = 3

// DrawLines makes the drawing. The second result lists the callouts whose area cannot
// be seen from this side; they get no leader.
func DrawLines(d Drawing) (*Image, []Callout, error) {
	if err := checkSize(d.Mesh, d.Width*lineScale, d.Height*lineScale); err != nil {
		return nil, nil, err
	}
	if d.TextPixels == 0 {
		d.TextPixels = max(float64(d.Height)/45, 9)
	}
	text, err := NewLettering(d.TextPixels)
	if err != nil {
		return nil, nil, err
	}
	column := 0
	for _, c := range d.Callouts {
		column = max(column, text.Width(c.Text)+text.Height)
	}
	if 2*column > d.Width*2/3 {
		return nil, nil, fmt.Errorf("a drawing %d pixels wide has no room for lettering of %d pixels on both sides: make it wider or the texts shorter", d.Width, column)
	}
	b := newSampleGrid(&d, column, d.Mesh.Solid())
	b.normals = make([]geom.Vec3, len(d.Mesh.F))
	for i := range b.normals {
		b.normals[i] = d.Mesh.FaceNormal(i)
	}
	img := b.paint(&d)
	var hidden []Callout
	if len(d.Callouts) > 0 {
		hidden = b.callOut(img, &d, text, column)
	}
	return img, hidden, nil
}

// sampleGrid holds, for every sample of the drawing, the face seen and its depth.
type sampleGrid struct {
	m       *geom.Mesh
	w, h    int // samples
	face    []int32
	depth   []float64   // mm towards the eye
	normals []geom.Vec3 // of the faces; for drawing
	jump    float64     // mm; a step in depth from which there is an outline
}

// newSampleGrid finds the face seen at every sample. Of a solid only the faces
// that look at the camera are asked, since no other can be seen.
func newSampleGrid(d *Drawing, column int, solid bool) *sampleGrid {
	m := d.Mesh
	b := &sampleGrid{m: m, w: d.Width * lineScale, h: d.Height * lineScale, jump: 0.012 * m.Bounds().Size().Len()}
	b.face, b.depth = make([]int32, b.w*b.h), make([]float64, b.w*b.h)
	for i := range b.face {
		b.face[i] = -1
	}
	s := d.Camera.frame(m.V, b.w-2*column*lineScale, b.h)
	s.cx += float64(column * lineScale)
	corners := cornersOf(&s, m.V)
	for i, f := range m.F {
		b.fill(int32(i), corners[f[0]], corners[f[1]], corners[f[2]], solid)
	}
	if !math.IsInf(s.distance, 1) {
		for i, near := range b.depth {
			b.depth[i] = s.distance - s.distance/near
		}
	}
	return b
}

// fill puts a triangle into the samples where it is nearest; of a solid, one that
// looks away is left out.
func (b *sampleGrid) fill(face int32, p, q, r corner, solid bool) {
	det := float64((q.x-p.x)*(r.y-p.y)) - float64((q.y-p.y)*(r.x-p.x))
	if det == 0 || math.IsNaN(det) || solid && det > 0 {
		return
	}
	if det < 0 {
		q, r, det = r, q, -det
	}
	ep, eq, er := edgeOf(q, r), edgeOf(r, p), edgeOf(p, q)
	kp, kq, kr := p.near/det, q.near/det, r.near/det
	x0, x1 := max(int(min(p.x, q.x, r.x)), 0), min(int(max(p.x, q.x, r.x)), b.w-1)
	for y := max(int(min(p.y, q.y, r.y)), 0); y <= min(int(max(p.y, q.y, r.y)), b.h-1); y++ {
		fy := float64(y) + 0.5
		rp, rq, rr := float64(ep.b*fy)+ep.c, float64(eq.b*fy)+eq.c, float64(er.b*fy)+er.c
		for x := x0; x <= x1; x++ {
			fx := float64(x) + 0.5
			wp, wq, wr := float64(ep.a*fx)+rp, float64(eq.a*fx)+rq, float64(er.a*fx)+rr
			if wp < 0 || wq < 0 || wr < 0 {
				continue
			}
			i := y*b.w + x
			if n := float64(wp*kp) + float64(wq*kq) + float64(wr*kr); b.face[i] < 0 || n > b.depth[i] {
				b.depth[i], b.face[i] = n, face
			}
		}
	}
}

// The kinds of line, thin to thick.
const (
	noLine = iota
	crease
	border
	outlineLine
)

// between tells which line runs between two neighbouring samples that see
// different faces; before and beyond are the
// samples one further on either side, which tell a step from a slope.
func (b *sampleGrid) between(before, i, j, beyond int, creaseCos float64) int {
	fi, fj := b.face[i], b.face[j]
	if fi < 0 || fj < 0 {
		return outlineLine
	}
	step := b.depth[j] - b.depth[i]
	slope := 0.0
	if b.face[before] >= 0 {
		slope = max(slope, math.Abs(b.depth[i]-b.depth[before]))
	}
	if b.face[beyond] >= 0 {
		slope = max(slope, math.Abs(b.depth[beyond]-b.depth[j]))
	}
	if math.Abs(step) > b.jump+2*slope {
		return outlineLine
	}
	if b.m.FaceLabel(int(fi)) != b.m.FaceLabel(int(fj)) {
		return border
	}
	if fb, fe := b.face[before], b.face[beyond]; fb >= 0 && fe >= 0 && b.normals[fb].Dot(b.normals[fe]) < creaseCos {
		return crease
	}
	return noLine
}

// paint finds the lines, thickens them and averages samples to pixels in linear
// light.
func (b *sampleGrid) paint(d *Drawing) *Image {
	angle := d.CreaseDeg
	if angle == 0 {
		angle = 50
	}
	cos := math.Cos(angle * math.Pi / 180)
	kind := make([]uint8, len(b.face))
	mark := func(i, step, at, n int) {
		if at+1 >= n {
			return
		}
		if b.face[i] == b.face[i+step] {
			return
		}
		k := b.between(i-step*min(at, 1), i, i+step, i+step*min(n-1-at, 2), cos)
		kind[i] = max(kind[i], uint8(k))
	}
	for y := range b.h {
		for x := range b.w {
			mark(y*b.w+x, 1, x, b.w)
			mark(y*b.w+x, b.w, y, b.h)
		}
	}
	ink := b.thicken(kind)
	img := NewImage(d.Width, d.Height)
	const share = 1.0 / (lineScale * lineScale)
	for to := range img.Pix {
		corner := to/d.Width*lineScale*b.w + to%d.Width*lineScale
		if f, plain := b.plain(ink, corner); plain {
			img.Pix[to], img.A[to] = b.flat(d, f), 1
			continue
		}
		var sum colour.Linear
		for k := range lineScale * lineScale {
			i := corner + k/lineScale*b.w + k%lineScale
			c := b.flat(d, b.face[i])
			if ink[i] != noLine {
				c = mixRGB(c, d.Ink, darkness(ink[i]))
			}
			sum = addRGB(sum, scaleRGB(c, share))
		}
		img.Pix[to], img.A[to] = sum, 1
	}
	return img
}

// plain reports whether all samples of a pixel see one face, or none, and no line
// runs there.
func (b *sampleGrid) plain(ink []uint8, corner int) (face int32, ok bool) {
	face = b.face[corner]
	for k := range lineScale {
		row := corner + k*b.w
		for i, f := range b.face[row : row+lineScale] {
			if f != face || ink[row+i] != noLine {
				return face, false
			}
		}
	}
	return face, true
}

// flat is the colour a face is filled with; below 0 it is paper.
func (b *sampleGrid) flat(d *Drawing, face int32) colour.Linear {
	if face >= 0 {
		if l := int(b.m.FaceLabel(int(face))); l < len(d.Fill) {
			return d.Fill[l]
		}
	}
	return d.Paper
}

// darkness of a kind of line.
func darkness(kind uint8) float64 {
	if kind == crease {
		return 0.75
	}
	return 1
}

// thicken gives each kind of line its width.
func (b *sampleGrid) thicken(kind []uint8) []uint8 {
	out := make([]uint8, len(kind))
	for y := range b.h {
		for x := range b.w {
			k := kind[y*b.w+x]
			if k == noLine {
				continue
			}
			radius := int(k) - crease // a crease is one sample wide, a border three, an outline five
			for v := max(y-radius, 0); v <= min(y+radius, b.h-1); v++ {
				for u := max(x-radius, 0); u <= min(x+radius, b.w-1); u++ {
					out[v*b.w+u] = max(out[v*b.w+u], k)
				}
			}
		}
	}
	return out
}
