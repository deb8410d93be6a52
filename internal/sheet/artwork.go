package sheet

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the readers that pictures beside a project may need
	_ "image/png"
	"math"
	"path/filepath"
	"strings"

	xdraw "golang.org/x/image/draw"
)

// Bounds of the user's own pictures.
const (
	MaxPictureBytes  = 20 << 20
	MaxPicturePixels = 40_000_000
	printDPI         = 600 // pictures finer than this are made smaller
)

// Artwork is a flag's design drawn elsewhere, on the unit square: x from the
// pole to the fly, y from top to foot.
type Artwork struct {
	items []Item
	// ground fills the bleed, taken from the picture's corner; nil for an SVG,
	// which runs past the edge by itself where it is drawn so.
	ground *RGB
}

// ReadArtwork reads an SVG (see ReadSVG for what it may hold), PNG or JPEG of
// a face of so many mm.
func ReadArtwork(name string, data []byte, widthMM, heightMM float64) (*Artwork, error) {
	if len(data) > MaxPictureBytes {
		return nil, fmt.Errorf("%s holds more than %d MB", name, MaxPictureBytes>>20)
	}
	if strings.EqualFold(filepath.Ext(name), ".svg") {
		items, err := ReadSVG(name, data)
		if err != nil {
			return nil, err
		}
		return &Artwork{items: items}, nil
	}
	c, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read as PNG or JPEG: %w", name, err)
	}
	if c.Width < 1 || c.Height < 1 || c.Width > MaxPicturePixels/c.Height {
		return nil, fmt.Errorf("%s has %d × %d pixels; at most %d million can be read", name, c.Width, c.Height, MaxPicturePixels/1_000_000)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s is damaged (%s): %w", name, kind, err)
	}
	small := fit(img, widthMM, heightMM)
	r, g, b, _ := small.At(small.Bounds().Min.X, small.Bounds().Min.Y).RGBA()
	ground := RGB{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}
	return &Artwork{items: []Item{Picture{Image: small, Place: Identity()}}, ground: &ground}, nil
}

// fit gives a picture the pixels that a print of a size can show, on white
// where it is transparent.
func fit(img image.Image, widthMM, heightMM float64) *image.RGBA {
	size := img.Bounds()
	w := min(size.Dx(), max(1, int(math.Ceil(widthMM/25.4*printDPI))))
	h := min(size.Dy(), max(1, int(math.Ceil(heightMM/25.4*printDPI))))
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	xdraw.Draw(out, out.Bounds(), image.White, image.Point{}, xdraw.Src)
	xdraw.CatmullRom.Scale(out, out.Bounds(), img, size, xdraw.Over, nil)
	return out
}

// on lays the artwork over a face, mapped by m. The bleed gets the picture's
// own colour.
func (a *Artwork) on(p *painter, m Matrix) []Item {
	var out []Item
	if a.ground != nil {
		out = append(out, Fill(p.all().Moved(p.m), *a.ground))
	}
	return append(out, Moved(a.items, ScaleBy(p.fly, p.hoist).Then(m))...)
}
