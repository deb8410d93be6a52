package swatch

import (
	"image"
	"testing"
)

// A place that is understood lies in the photograph or is refused there, and
// no number of it is out of all bounds.
func FuzzParseSpot(f *testing.F) {
	for _, s := range []string{"10,20", "10%,20%,3", "50%,50%,2%", " 1e3 , 2 ,1%", "NaN,1", "-1,2", "0x1p3,1", "1,2,3,4", "0,0,0%"} {
		f.Add(s)
	}
	img := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for i := range img.Pix {
		img.Pix[i] = 200
	}
	photo := newPhoto(img)
	f.Fuzz(func(t *testing.T, s string) {
		spot, err := ParseSpot(s)
		if err != nil {
			return
		}
		if spot.Given != s {
			t.Fatalf("%q became %q", s, spot.Given)
		}
		list, err := ReadSpots(photo, []Spot{spot}, &spot)
		if err != nil {
			return
		}
		if r := list[0]; len(list) != 1 || !(r.X >= 0 && r.X <= 40 && r.Y >= 0 && r.Y <= 30 && r.Radius <= 20) {
			t.Fatalf("%q was read at %+v", s, r)
		}
	})
}
