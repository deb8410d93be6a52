package light

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"facings/internal/colour"
	"facings/internal/geom"
)

// banded is a ball cut into so many labelled bands from bottom to top.
func banded(n int) *geom.Mesh {
	m := geom.NewSphere(10, 30)
	for i := range m.F {
		k := min(n-1, int((m.FaceCenter(i).Z+10)/20*float64(n)))
		m.SetLabel(i, m.LabelID(fmt.Sprintf("band %d", k)))
	}
	return m
}

func TestDrawing(t *testing.T) {
	m := banded(5)
	d := Drawing{Mesh: m, Width: 400, Height: 300, Camera: Camera{Margin: 0.05}, Paper: white}
	for l := 1; l < len(m.Labels); l++ {
		d.Callouts = append(d.Callouts, Callout{uint16(l), fmt.Sprintf("%d %s", l, m.Labels[l])})
	}
	d.Callouts = append(d.Callouts, Callout{uint16(m.LabelID("nowhere")), "9 nowhere"})
	_, hidden, err := DrawLines(d)
	if err != nil {
		t.Fatal(err)
	}
	if len(hidden) != 1 || hidden[0].Text != "9 nowhere" {
		t.Errorf("hidden: %v", hidden)
	}
	// Down the middle of the ball there are two outlines and four borders; the
	// column is off the leaders, which start at the bands' broadest places.
	d.Callouts = nil
	img, _, err := DrawLines(d)
	if err != nil {
		t.Fatal(err)
	}
	lines, dark := 0, false
	for y := range img.H {
		v := img.Pix[y*img.W+img.W/2].G < 0.6
		if v && !dark {
			lines++
		}
		dark = v
	}
	if lines != 6 {
		t.Errorf("%d lines down the middle, want 6", lines)
	}
}

func TestCreaseIsDrawn(t *testing.T) {
	box := geom.NewBox(geom.Vec3{}, geom.Vec3{X: 10, Y: 10, Z: 10})
	d := Drawing{Mesh: box, Width: 200, Height: 200, Camera: Camera{AzimuthDeg: 45, ElevationDeg: 0, Margin: 0.1}, Paper: white}
	img, _, err := DrawLines(d)
	if err != nil {
		t.Fatal(err)
	}
	if v := img.Pix[100*200+100].G; v > 0.8 && img.Pix[100*200+99].G > 0.8 {
		t.Errorf("no line along the cube's near edge: %g", v)
	}
	d.CreaseDeg = 120
	img, _, _ = DrawLines(d)
	if v := img.Pix[100*200+100].G; v < 0.99 {
		t.Errorf("a line along the cube's edge although only folds of 120° are wanted: %g", v)
	}
}

func TestLeadersDoNotCross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		all := make([]leader, rapid.IntRange(1, 40).Draw(t, "n"))
		for i := range all {
			all[i].x, all[i].y = 200+200*r.Float64(), 600*r.Float64()
		}
		placeLeaders(all, 100, 12, 600)
		for i := range all {
			if all[i].ty < 0 || all[i].ty > 600 {
				t.Fatalf("a text at %g", all[i].ty)
			}
			for j := range i {
				if crosses(&all[i], &all[j]) {
					t.Fatalf("%+v crosses %+v", all[i], all[j])
				}
				if math.Abs(all[i].ty-all[j].ty) < 12-1e-6 {
					t.Fatalf("texts at %g and %g", all[i].ty, all[j].ty)
				}
			}
		}
	})
}

func TestDrawingFaults(t *testing.T) {
	if _, _, err := DrawLines(Drawing{Mesh: banded(2), Width: 60, Height: 60, Callouts: []Callout{{1, "a very long text indeed"}}}); err == nil {
		t.Error("a text wider than the drawing is accepted")
	}
	if _, _, err := DrawLines(Drawing{Width: 60, Height: 60}); err == nil {
		t.Error("a drawing of nothing is accepted")
	}
}

func TestContactSheet(t *testing.T) {
	img := render(t, ball(), Paint{})
	sheet, err := ContactSheet([]Cell{{img, "front"}, {img, "a caption far too long for its cell, so cut"}, {img, ""}}, 2, 14, white, colour.Linear{})
	if err != nil {
		t.Fatal(err)
	}
	if sheet.W < 2*img.W || sheet.H < 2*img.H {
		t.Errorf("%d × %d for four of %d × %d", sheet.W, sheet.H, img.W, img.H)
	}
	ink := 0
	for _, c := range sheet.Pix {
		if c.G < 0.05 {
			ink++
		}
	}
	if ink < 50 {
		t.Errorf("%d dark pixels: no captions?", ink)
	}
	for _, bad := range [][]Cell{nil} {
		if _, err := ContactSheet(bad, 2, 14, white, colour.Linear{}); err == nil {
			t.Error("an empty sheet is accepted")
		}
	}
}
