package swatch

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The map between two quadrilaterals takes corners to corners, and back again
// is the identity anywhere.
func TestHomographyInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jitter := func(label string) float64 { return rapid.Float64Range(-20, 20).Draw(t, label) }
		from := []Point{{0, 0}, {186, 0}, {186, 254}, {0, 254}}
		var to []Point
		for _, p := range from {
			to = append(to, Point{1000 + 5*(p.X+jitter("x")), 300 + 5*(p.Y+jitter("y"))})
		}
		h, ok := fitHomography(from, to)
		back, ok2 := fitHomography(to, from)
		if !ok || !ok2 {
			t.Fatal("no map found")
		}
		for i, p := range from {
			if q := h.apply(p); math.Hypot(q.X-to[i].X, q.Y-to[i].Y) > 1e-6 {
				t.Fatalf("corner %d lands at %v, not %v", i, q, to[i])
			}
		}
		p := Point{rapid.Float64Range(0, 186).Draw(t, "px"), rapid.Float64Range(0, 254).Draw(t, "py")}
		if q := back.apply(h.apply(p)); math.Hypot(q.X-p.X, q.Y-p.Y) > 1e-4 {
			t.Fatalf("%v there and back is %v", p, q)
		}
	})
	if _, ok := fitHomography([]Point{{0, 0}, {1, 0}, {2, 0}, {3, 0}}, []Point{{0, 0}, {1, 0}, {2, 0}, {3, 0}}); ok {
		t.Error("four points in line make a map")
	}
}

func TestLensInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := view{h: homography{1, 0, 0, 0, 1, 0, 0, 0, 1}, k: rapid.Float64Range(-0.1, 0.1).Draw(t, "k"), middle: Point{500, 400}, radius: 640}
		p := Point{rapid.Float64Range(0, 1000).Draw(t, "x"), rapid.Float64Range(0, 800).Draw(t, "y")}
		if q := v.straighten(v.photo(p)); math.Hypot(q.X-p.X, q.Y-p.Y) > 0.05 {
			t.Fatalf("%v comes back as %v", p, q)
		}
	})
}

// A lens and a tilt that made the points are found again.
func TestFitViewFindsLens(t *testing.T) {
	l, _ := NewLayout(12)
	truth := view{h: homography{5, 0.3, 200, -0.2, 5.1, 150, 1e-4, -2e-4, 1}, k: 0.04, middle: Point{700, 900}, radius: 1140}
	var card, photo []Point
	for _, b := range l.Marks {
		card = append(card, Point{b.X, b.Y}, Point{b.X + b.W, b.Y}, Point{b.X + b.W, b.Y + b.H}, Point{b.X, b.Y + b.H})
	}
	for _, b := range l.Dots {
		card = append(card, b.Centre())
	}
	for _, p := range card {
		photo = append(photo, truth.photo(p))
	}
	v, misfit, ok := fitView(card, photo, 1400, 1800)
	if !ok || misfit > 0.1 || math.Abs(v.k-truth.k) > 0.004 {
		t.Fatalf("k %.4f, misfit %.3f pixels, ok %v", v.k, misfit, ok)
	}
	for i := range l.Cells {
		p := l.Cells[i].Field.Centre()
		a, b := v.photo(p), truth.photo(p)
		if d := math.Hypot(a.X-b.X, a.Y-b.Y); d > 0.5 {
			t.Errorf("cell %d is %.2f pixels off", i+1, d)
		}
	}
}
