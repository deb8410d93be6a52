package light

import (
	"math"
	"testing"

	"facings/internal/colour"
	"facings/internal/geom"
)

// blocks is a large cube with a small one on its back, each with its label.
func blocks() *geom.Mesh {
	m := &geom.Mesh{Labels: []string{"", "large", "small"}}
	add := func(label string, lo, hi geom.Vec3) {
		box := geom.NewBox(lo, hi)
		id := box.LabelID(label)
		for i := range box.F {
			box.SetLabel(i, id)
		}
		m.Append(box)
	}
	add("large", geom.Vec3{X: -10, Y: -10}, geom.Vec3{X: 10, Y: 10, Z: 20})
	add("small", geom.Vec3{X: -2, Y: -14, Z: 8}, geom.Vec3{X: 2, Y: -10, Z: 12})
	return m
}

// What one side hides the other shows, at the size that geometry gives: the
// small cube's face is 4 × 4 of the large one's 20 × 20 (from memory: parallel
// projection keeps the ratio of areas in one plane).
func TestSeen(t *testing.T) {
	m := blocks()
	sides := map[float64][]Extent{}
	for _, azimuth := range []float64{0, 90, 180, 270} {
		seen, err := Seen(m, Camera{AzimuthDeg: azimuth, Margin: 0.1}, 100, 100)
		if err != nil {
			t.Fatal(err)
		}
		sides[azimuth] = seen
	}
	hidden, shown := 0.0, 180.0
	if sides[0][2].Samples > 0 {
		hidden, shown = 180, 0
	}
	if n := sides[hidden][2].Samples; n != 0 {
		t.Errorf("%d samples of the cube behind are seen", n)
	}
	small, large := sides[shown][2], sides[shown][1]
	if got := float64(small.Samples) / float64(small.Samples+large.Samples); math.Abs(got-0.04) > 0.004 {
		t.Errorf("the small cube fills %.3f of the face, not 0.04", got)
	}
	if w := small.X1 - small.X0; math.Abs(w-0.2*(large.X1-large.X0)) > 0.02 {
		t.Errorf("the small cube is %.3f wide, the large one %.3f", w, large.X1-large.X0)
	}
}

// Coming close magnifies about the place that is kept in the middle.
func TestCloseUp(t *testing.T) {
	m := blocks()
	far := Camera{AzimuthDeg: 180, Margin: 0.1}
	near := far
	near.Close = &Frame{X: 0.5, Y: 0.5, Times: 3}
	a, err := Seen(m, far, 150, 150)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Seen(m, near, 150, 150)
	if err != nil {
		t.Fatal(err)
	}
	if a[2].Samples == 0 {
		t.Skip("the small cube is on the other side")
	}
	if got := (b[2].X1 - b[2].X0) / (a[2].X1 - a[2].X0); math.Abs(got-3) > 0.1 {
		t.Errorf("three times as near shows it %.2f times as wide", got)
	}
	if mid := (b[2].X0 + b[2].X1) / 2; math.Abs(mid-0.5) > 0.02 {
		t.Errorf("the middle went to %.3f", mid)
	}
}

// A stage taken to another place draws what one set up there draws.
func TestAtIsTheSameScene(t *testing.T) {
	m := blocks()
	first := Camera{AzimuthDeg: 35, ElevationDeg: 12, Margin: 0.05}
	st, err := NewStage(Scene{Mesh: m, Camera: first, Studio: Bench(), Width: 60, Height: 60, GroundShadow: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []Camera{{AzimuthDeg: 35, ElevationDeg: 30, Margin: 0.2}, {AzimuthDeg: 200, ElevationDeg: 12, Close: &Frame{0.4, 0.6, 2}}} {
		moved, err := st.At(c, 80, 40)
		if err != nil {
			t.Fatal(err)
		}
		fresh, err := NewStage(Scene{Mesh: m, Camera: c, Studio: Bench(), Width: 80, Height: 40, GroundShadow: true})
		if err != nil {
			t.Fatal(err)
		}
		white := colour.Linear{R: 1, G: 1, B: 1}
		a, err := moved.Draw(Paint{Background: &white})
		if err != nil {
			t.Fatal(err)
		}
		b, err := fresh.Draw(Paint{Background: &white})
		if err != nil {
			t.Fatal(err)
		}
		for i := range a.Pix {
			if a.Pix[i] != b.Pix[i] {
				t.Fatalf("azimuth %g: pixel %d differs", c.AzimuthDeg, i)
			}
		}
	}
	if _, err := st.At(first, 0, 10); err == nil {
		t.Error("a picture without width is drawn")
	}
}
