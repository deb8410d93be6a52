package light

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"facings/internal/colour"
	"facings/internal/geom"
)

func render(t testing.TB, s Scene, p Paint) *Image {
	t.Helper()
	st, err := NewStage(s)
	if err != nil {
		t.Fatal(err)
	}
	img, err := st.Draw(p)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func ball() Scene {
	return Scene{Mesh: geom.NewSphere(10, 24), Camera: Camera{Margin: 0.1, ElevationDeg: 20}, Studio: Bench(), Width: 120, Height: 150}
}

// A white ball in a uniform white light cannot be told from the light: every
// pixel that it fills is 1. Metal too.
func TestRenderInFurnace(t *testing.T) {
	for _, metal := range []bool{false, true} {
		s := ball()
		s.Studio = Furnace()
		img := render(t, s, Paint{Looks: []Look{{Ramp: []colour.Linear{white}, Metal: metal, Roughness: 0.7}}})
		for i, c := range img.Pix {
			if img.A[i] < 1 {
				continue
			}
			// A few rays graze the facets of the ball itself.
			near(t, "pixel", c.G, 1, 0.03)
		}
	}
}

// Coverage is area: the ball's alphas add up to its disc.
func TestCoverageIsArea(t *testing.T) {
	img := render(t, ball(), Paint{})
	sum := 0.0
	for _, a := range img.A {
		sum += a
	}
	r := 120 * 0.8 / 2
	near(t, "area in pixels", sum/(math.Pi*r*r), 1, 0.01)
}

func TestRenderIsDeterministic(t *testing.T) {
	p := ball()
	p.GroundShadow = true
	p.Threads = 1
	one, err := render(t, p, Paint{}).PNG()
	if err != nil {
		t.Fatal(err)
	}
	p.Threads = 3
	three, _ := render(t, p, Paint{}).PNG()
	if !bytes.Equal(one, three) {
		t.Error("the bytes depend on the number of threads")
	}
	img, err := png.Decode(bytes.NewReader(one))
	if err != nil || img.Bounds().Dx() != 120 {
		t.Errorf("no such PNG: %v", err)
	}
	if _, _, _, a := img.At(0, 0).RGBA(); a != 0 {
		t.Error("the corner is not transparent")
	}
}

// Half a pixel of white over black is half the light, not half the code.
func TestAveragingIsLinear(t *testing.T) {
	img := NewImage(1, 1)
	img.blend(0, 0, scaleRGB(white, 0.5), 0.5)
	img.Over(colour.Linear{})
	// IEC 61966-2-1: linear 0.5 is code 188.
	if got := img.NRGBA().Pix[0]; got != 188 {
		t.Errorf("code %d, want 188", got)
	}
	table := newCoder()
	for code := range 256 {
		v := colour.SRGB{R: float64(code) / 255}.Decode().R
		if got := table.code(v); int(got) != code {
			t.Errorf("code %d comes back as %d", code, got)
		}
	}
}

// The figure stays inside the margins from every side, in both projections.
func TestCameraFrames(t *testing.T) {
	m := geom.NewBox(geom.Vec3{X: -3, Y: -8, Z: 0}, geom.Vec3{X: 3, Y: 8, Z: 30})
	for _, field := range []float64{0, 30, 90} {
		for _, c := range Turntable(7) {
			c.FieldDeg, c.Margin = field, 0.1
			s := c.frame(m.V, 200, 300)
			flat := geom.EmptyBox()
			for _, p := range m.V {
				x, y, n := s.project(p)
				flat = flat.Add(geom.Vec3{X: x, Y: y, Z: n})
			}
			if flat.Min.X < 20-1e-6 || flat.Max.X > 180+1e-6 || flat.Min.Y < 30-1e-6 || flat.Max.Y > 270+1e-6 {
				t.Errorf("%+v: %+v", c, flat)
			}
			if fill := max(flat.Size().X/160, flat.Size().Y/240); fill < 0.999 {
				t.Errorf("%+v fills %.3f of the frame", c, fill)
			}
		}
	}
	// From the front the figure's right hand (+X) is on the left of the picture.
	s := FourSides()[0].frame(m.V, 200, 300)
	a, _, _ := s.project(geom.Vec3{X: 3})
	b, _, _ := s.project(geom.Vec3{X: -3})
	_, head, _ := s.project(geom.Vec3{Z: 30})
	_, foot, _ := s.project(geom.Vec3{})
	if a >= b || head >= foot {
		t.Errorf("right hand at %g, left at %g; head at %g, foot at %g", a, b, head, foot)
	}
}

// In black and white the area under way still stands out: black and white lines
// run around it, the rest is paler than mid-grey.
func TestActiveStandsOutWithoutHue(t *testing.T) {
	p := ball()
	p.Width, p.Height = 240, 300
	m := p.Mesh
	for i := range m.F {
		name := "lower"
		if m.FaceCenter(i).Z > 0 {
			name = "upper"
		}
		m.SetLabel(i, m.LabelID(name))
	}
	id := m.LabelID("upper")
	paint := Paint{Looks: make([]Look, len(m.Labels)), Active: []uint16{id}}
	for i := range paint.Looks {
		paint.Looks[i].Ramp = []colour.Linear{{R: 0.02, G: 0.1, B: 0.02}}
	}
	img := render(t, p, paint)
	black, whites, pale := 0, 0, 0
	for i, c := range img.Pix {
		switch v := luminance(c); {
		case img.A[i] < 1:
		case v < 0.01:
			black++
		case v > 0.95:
			whites++
		case v > 0.38:
			pale++
		}
	}
	if black < 100 || whites < 100 || pale < 5000 {
		t.Errorf("%d black, %d white, %d pale pixels", black, whites, pale)
	}
}

// Under a ball the ground is dark, far from it it is untouched.
func TestGroundShadow(t *testing.T) {
	p := ball()
	p.GroundShadow = true
	p.Camera = Camera{Margin: 0.3, ElevationDeg: 35}
	img := render(t, p, Paint{})
	most := 0.0
	for i, c := range img.Pix {
		if luminance(c) == 0 && img.A[i] > 0 && img.A[i] < 1 {
			most = max(most, img.A[i])
		}
	}
	if most < 0.3 {
		t.Errorf("darkest shadow %.2f", most)
	}
	near(t, "corner", img.A[0], 0, 0.02)
}

func TestRenderFaults(t *testing.T) {
	for i, change := range []func(s *Scene){
		func(s *Scene) { s.Mesh = nil },
		func(s *Scene) { s.Width = 0 },
		func(s *Scene) { s.Width, s.Height = 1<<40, 1<<40 },
		func(s *Scene) { s.Mesh.F[0][0] = -1 },
	} {
		s := ball()
		change(&s)
		if _, err := NewStage(s); err == nil {
			t.Errorf("scene %d is accepted", i)
		}
	}
	st, err := NewStage(ball())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := st.Draw(Paint{Exposure: []float64{1}}); err == nil {
		t.Error("one exposure for many vertices is accepted")
	}
}

// Turning the camera on a stage gives the picture that a new stage would.
func TestStageFromAnotherSide(t *testing.T) {
	s := ball()
	s.GroundShadow = true
	st, err := NewStage(s)
	if err != nil {
		t.Fatal(err)
	}
	turned := st.From(Camera{AzimuthDeg: 90, Margin: 0.2, FieldDeg: 30})
	got, err := turned.Draw(Paint{})
	if err != nil {
		t.Fatal(err)
	}
	s.Camera = Camera{AzimuthDeg: 90, Margin: 0.2, FieldDeg: 30}
	if d := cmp.Diff(render(t, s, Paint{}), got); d != "" {
		t.Errorf("pictures differ:\n%.300s", d)
	}
}

func BenchmarkStage50k(b *testing.B) {
	s := Scene{Mesh: geom.NewSphere(14, 50), Camera: Camera{Margin: 0.05}, Studio: Bench(), Width: 800, Height: 1000, GroundShadow: true, Threads: 1}
	for b.Loop() {
		if _, err := NewStage(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDraw50k(b *testing.B) {
	s := Scene{Mesh: geom.NewSphere(14, 50), Camera: Camera{Margin: 0.05}, Studio: Bench(), Width: 800, Height: 1000, GroundShadow: true, Threads: 1}
	st, err := NewStage(s)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		img, err := st.Draw(Paint{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := img.PNG(); err != nil {
			b.Fatal(err)
		}
	}
}

func TestBlendCovers(t *testing.T) {
	img := NewImage(1, 1)
	img.Over(white)
	img.blend(0, 0, colour.Linear{R: 0.5}, 1)
	if img.Pix[0] != (colour.Linear{R: 0.5}) || img.A[0] != 1 {
		t.Errorf("%v, %v", img.Pix[0], img.A[0])
	}
	img.blend(0, 0, colour.Linear{}, 0.5)
	if img.Pix[0] != (colour.Linear{R: 0.25}) || img.A[0] != 1 {
		t.Errorf("%v, %v", img.Pix[0], img.A[0])
	}
}
