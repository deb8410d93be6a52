package light

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"facings/internal/colour"
	"facings/internal/geom"
)

// striped is a ball in two areas that stands in its shadow.
func striped() Scene {
	s := ball()
	s.GroundShadow = true
	for i := range s.Mesh.F {
		name := "lower"
		if s.Mesh.FaceCenter(i).Z > 2 {
			name = "upper"
		}
		s.Mesh.SetLabel(i, s.Mesh.LabelID(name))
	}
	return s
}

func stripes(m *geom.Mesh, upper colour.Linear) Paint {
	p := Paint{Looks: make([]Look, len(m.Labels)), Background: &white, Keep: 0.5}
	for i := range p.Looks {
		p.Looks[i] = Look{Ramp: []colour.Linear{{R: 0.5, G: 0.1, B: 0.1}}}
	}
	p.Looks[m.LabelID("upper")].Ramp[0] = upper
	return p
}

// An easel draws what a stage draws, whatever was on it before: the same stage
// painted in another way, or another stage of another size.
func TestEaselDrawsAsTheStage(t *testing.T) {
	s := striped()
	s.ByVertex = true
	one, err := NewStage(s)
	if err != nil {
		t.Fatal(err)
	}
	two, err := one.At(Camera{AzimuthDeg: 40, Margin: 0.2}, 90, 70)
	if err != nil {
		t.Fatal(err)
	}
	upper := s.Mesh.LabelID("upper")
	plain, active := stripes(s.Mesh, colour.Linear{G: 0.6}), stripes(s.Mesh, colour.Linear{B: 0.6})
	active.Active = []uint16{upper}
	clear := plain
	clear.Background = nil
	var e Easel
	for i, c := range []struct {
		st *Stage
		p  Paint
	}{{one, plain}, {one, active}, {one, clear}, {two, active}, {two, plain}, {one, clear}, {one, active}} {
		want, err := c.st.Draw(c.p)
		if err != nil {
			t.Fatal(err)
		}
		got, err := e.Draw(c.st, c.p)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("picture %d:\n%.300s", i, d)
		}
	}
}

// Light worked out at the vertices looks like light worked out in every pixel, in
// both areas and where they meet.
func TestByVertexLooksTheSame(t *testing.T) {
	s := striped()
	for _, active := range [][]uint16{nil, {s.Mesh.LabelID("upper")}} {
		p := stripes(s.Mesh, colour.Linear{G: 0.6})
		p.Active = active
		s.ByVertex = false
		want := render(t, s, p).NRGBA()
		s.ByVertex = true
		got := render(t, s, p).NRGBA()
		sum, most := 0.0, 0.0
		for i := range want.Pix {
			d := math.Abs(float64(want.Pix[i]) - float64(got.Pix[i]))
			sum, most = sum+d, max(most, d)
		}
		if mean := sum / float64(len(want.Pix)); mean > 0.5 || most > 12 || sum == 0 {
			t.Errorf("active %v: %.2f steps apart in the mean, %.0f at most", active, mean, most)
		}
	}
}

// Evened-out values keep what is even and what lies on the two sides of an edge.
func TestSmooth(t *testing.T) {
	m := geom.NewSphere(10, 24)
	v := make([]float64, len(m.V))
	for i, p := range m.V {
		v[i] = 0.5 + 0.2*p.Z/10
		if i%2 == 0 {
			v[i] += 0.05
		} else {
			v[i] -= 0.05
		}
	}
	got := Smooth(m, m.VertexNormals(), v)
	rough, smooth := 0.0, 0.0
	for i, p := range m.V {
		rough += math.Abs(v[i] - 0.5 - 0.2*p.Z/10)
		smooth += math.Abs(got[i] - 0.5 - 0.2*p.Z/10)
	}
	if smooth > 0.8*rough {
		t.Errorf("from %.2f to %.2f only", rough, smooth)
	}
	// No normal of a lone face's three corners leans away from another's, those of
	// two faces back to back do.
	flat := &geom.Mesh{V: []geom.Vec3{{}, {X: 1}, {Y: 1}}, F: [][3]int32{{0, 1, 2}}}
	up := geom.Vec3{Z: 1}
	if got := Smooth(flat, []geom.Vec3{up, up, up.Neg()}, []float64{1, 1, 0}); got[0] != 1 || got[2] != 0 {
		t.Errorf("smoothed across an edge: %v", got)
	}
}
