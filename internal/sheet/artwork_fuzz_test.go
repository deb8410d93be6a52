package sheet

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// Whatever the bytes, a flag's picture is read and drawn, or refused.
func FuzzReadArtwork(f *testing.F) {
	img := image.NewNRGBA(image.Rect(0, 0, 9, 7))
	for i := range img.Pix {
		img.Pix[i] = byte(31 * i)
	}
	flat := image.NewPaletted(image.Rect(0, 0, 5, 5), color.Palette{color.White, color.Black})
	var a, b, c bytes.Buffer
	if png.Encode(&a, img) != nil || jpeg.Encode(&b, img, nil) != nil || png.Encode(&c, flat) != nil {
		f.Fatal("no pictures to begin with")
	}
	for _, data := range [][]byte{a.Bytes(), b.Bytes(), c.Bytes(), a.Bytes()[:40], b.Bytes()[:200], {}} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if config, _, err := image.DecodeConfig(bytes.NewReader(data)); err == nil && config.Width*config.Height > 1<<20 {
			return // read in earnest, but too slowly to try many
		}
		art, err := ReadArtwork("a.png", data, 20, 15)
		if (art == nil) == (err == nil) {
			t.Fatalf("artwork %v, error %v", art != nil, err)
		}
		if err != nil {
			return
		}
		d := &Document{Pages: []Page{{Paper: Paper{WidthMM: 20, HeightMM: 15}, Items: Moved(art.items, ScaleBy(20, 15))}}}
		if _, err := d.Raster(0, 60); err != nil {
			t.Fatal(err)
		}
	})
}
