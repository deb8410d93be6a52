package light

import (
	"image"
	"image/color"
	"math"
	"testing"

	"facings/internal/colour"
	"facings/internal/geom"
)

// board is a picture of four colours: red and green above, blue and white below.
func board() image.Image {
	img := image.NewRGBA(image.Rect(0, 0, 64, 64))
	for y := range 64 {
		for x := range 64 {
			img.SetRGBA(x, y, []color.RGBA{{200, 20, 20, 255}, {20, 160, 20, 255}, {20, 20, 200, 255}, {240, 240, 240, 255}}[x/32+2*(y/32)])
		}
	}
	return img
}

// A square with a picture on it, seen from the front, shows the picture the
// right way up and round.
func TestTextureLiesRight(t *testing.T) {
	// Facing the camera at +Y; seen from there +X is at the left.
	m := &geom.Mesh{V: []geom.Vec3{{X: 10, Z: 20}, {X: 10}, {X: -10}, {X: -10, Z: 20}}, F: [][3]int32{{0, 1, 2}, {0, 2, 3}}}
	st, err := NewStage(Scene{Mesh: m, Camera: Camera{}, Studio: Bench(), Width: 80, Height: 80})
	if err != nil {
		t.Fatal(err)
	}
	looks := []Look{{Texture: NewTexture(board())}}
	if _, err := st.Draw(Paint{Looks: looks}); err == nil {
		t.Error("a texture without places is drawn")
	}
	img, err := st.Draw(Paint{Looks: looks, UV: [][2]float64{{0, 0}, {0, 1}, {1, 1}, {1, 0}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, at := range [][2]int{{20, 20}, {60, 20}, {20, 60}, {60, 60}} {
		c := img.Pix[at[1]*80+at[0]]
		most := max(c.R, c.G, c.B)
		want := []bool{c.R == most && c.R > 2*c.B, c.G == most && c.G > 2*c.R, c.B == most && c.B > 2*c.R, min(c.R, c.G, c.B) > 0.6*most}[i]
		if !want {
			t.Errorf("corner %d shows %v", i, c)
		}
	}
}

// Seen small, a chequer of black and white is the mean of their light, which is
// 0.5; sRGB's code for it is 188 (IEC 61966-2-1).
func TestTextureSeenSmall(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 64, 64))
	for i := range img.Pix {
		img.Pix[i] = uint8(255 * ((i + i/64) % 2))
	}
	tex := NewTexture(img)
	for _, shrunk := range []float64{2, 5, 64, 1e6} {
		if c := tex.at(0.3, 0.7, shrunk); math.Abs(c.R-0.5) > 1e-9 {
			t.Errorf("shrunk %g times: %v", shrunk, c)
		}
	}
	if c := tex.at((10.5)/64, (3.5)/64, 1); c != (colour.Linear{R: 1, G: 1, B: 1}) && c != (colour.Linear{}) {
		t.Errorf("a pixel by itself is %v", c)
	}
}
