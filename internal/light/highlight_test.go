package light

import (
	"slices"
	"testing"
)

// A glimpse of what is under way beside much of it is not outlined; small areas
// that are all there is, such as buttons, are.
func TestSlivers(t *testing.T) {
	const w, h = 80, 60
	fill := func(v []float64, x0, y0, x1, y1 int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				v[y*w+x] = 0.5
			}
		}
	}
	big := make([]float64, w*h)
	fill(big, 10, 10, 60, 50) // 2000 pixels
	fill(big, 64, 20, 70, 30) // 60
	want := slices.Clone(big)
	fill(big, 75, 5, 77, 7) // 4
	new(Easel).slivers(big, w, h)
	if !slices.Equal(big, want) {
		t.Error("of three bits under way, the smallest and no other is to go")
	}
	small := make([]float64, w*h)
	for i := range 5 {
		fill(small, 10*i, 10, 10*i+2, 12)
	}
	want = slices.Clone(small)
	new(Easel).slivers(small, w, h)
	if !slices.Equal(small, want) {
		t.Error("buttons are taken for slivers")
	}
}
