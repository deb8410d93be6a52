package sheet

import (
	"image/color"
	"math"
	"testing"

	"facings"
)

// The cloth is the strip without its marks: nothing white at its edges, the
// reverse at the left. How far it reaches follows its outline: a swallow-tail's
// notch is a quarter of the fly (common practice).
func TestFlagCloth(t *testing.T) {
	for _, shape := range facings.FlagShapes() {
		u := facings.Unit{Name: "First", Flag: &facings.Flag{FlyMM: 1120, HoistMM: 560, Shape: shape,
			Parts: []facings.FlagPart{{Part: "field", Division: "per pale", Colours: []string{"#ff0000", "#0000ff"}}}}}
		c, err := FlagCloth(&u, FlagOptions{Scale: 56}, 254)
		if err != nil {
			t.Fatal(err)
		}
		if c.FaceMM != 20 || c.HeightMM != 10 || math.Abs(c.SleeveMM-Sleeve(0)) > 1e-9 {
			t.Errorf("%s: %v × %v mm, sleeve %v", shape, c.FaceMM, c.HeightMM, c.SleeveMM)
		}
		mid := map[string]float64{"rectangle": 20, "swallow-tail": 15, "guidon": 15, "pennon": 20}[shape]
		if got := c.Reach(5); math.Abs(got-mid) > 0.01 {
			t.Errorf("%s reaches %.2f mm in the middle, not %g", shape, got, mid)
		}
		corner := map[string]float64{"rectangle": 20, "swallow-tail": 20, "guidon": 14.15, "pennon": 0}[shape]
		if got := c.Reach(0); math.Abs(got-corner) > 0.1 {
			t.Errorf("%s reaches %.2f mm at the top, not %g", shape, got, corner)
		}
		w := c.Strip.Bounds().Dx()
		blue, red := color.RGBA{0, 0, 255, 255}, color.RGBA{255, 0, 0, 255}
		for x, want := range map[int]color.RGBA{1: blue, w - 2: blue, w/2 - 25: red, w / 2: red, w/2 + 25: red} {
			if shape == "rectangle" || x > 20 && x < w-20 {
				if got := c.Strip.RGBAAt(x, 50); got != want {
					t.Errorf("%s: %v at %d of %d", shape, got, x, w)
				}
			}
		}
	}
	if _, err := FlagCloth(&facings.Unit{Flag: &facings.Flag{Design: "a lion"}}, FlagOptions{Scale: 56}, 254); err == nil {
		t.Error("a flag in words was drawn")
	}
}
