package swatch

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Limits of the resolution of a PNG, dots per inch.
const (
	leastDPI = 72
	mostDPI  = 1200
)

const mmPerInch = 25.4

// Raster draws the scene at so many pixels per millimetre.
func (s *Scene) Raster(perMM float64) (*image.Gray, error) {
	img := image.NewGray(image.Rect(0, 0, int(math.Round(s.W*perMM)), int(math.Round(s.H*perMM))))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, r := range s.Rects {
		fill(img, Box{r.X * perMM, r.Y * perMM, r.W * perMM, r.H * perMM}, r.Grey)
	}
	for _, l := range s.Lines {
		x, y := min(l.From.X, l.To.X), min(l.From.Y, l.To.Y)
		w, h := math.Abs(l.To.X-l.From.X), math.Abs(l.To.Y-l.From.Y)
		if w == 0 {
			x, w = x-l.Width/2, l.Width
		} else {
			y, h = y-l.Width/2, l.Width
		}
		fill(img, Box{x * perMM, y * perMM, w * perMM, h * perMM}, l.Grey)
	}
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, err
	}
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, err
	}
	for _, t := range s.Texts {
		f := regular
		if t.Bold {
			f = bold
		}
		if err := t.draw(img, f, perMM); err != nil {
			return nil, err
		}
	}
	return img, nil
}

// fill lays a grey over a box in pixels; pixels that it covers in part take
// their share of it.
func fill(img *image.Gray, b Box, grey uint8) {
	share := func(i int, from, size float64) float64 {
		return math.Min(float64(i+1), from+size) - math.Max(float64(i), from)
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for y := max(0, int(b.Y)); y < min(h, int(math.Ceil(b.Y+b.H))); y++ {
		for x := max(0, int(b.X)); x < min(w, int(math.Ceil(b.X+b.W))); x++ {
			p := &img.Pix[y*img.Stride+x]
			c := min(1, share(x, b.X, b.W)) * min(1, share(y, b.Y, b.H))
			*p = uint8(math.Round(float64(*p) + c*(float64(grey)-float64(*p))))
		}
	}
}

func (t *Text) draw(img *image.Gray, f *opentype.Font, perMM float64) error {
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: t.Size * perMM, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return err
	}
	defer face.Close()
	x := fixed.Int26_6(t.At.X * perMM * 64)
	switch width := font.MeasureString(face, t.Text); t.Anchor {
	case Middle:
		x -= width / 2
	case End:
		x -= width
	}
	d := font.Drawer{Dst: img, Src: image.NewUniform(color.Gray{}), Face: face, Dot: fixed.Point26_6{X: x, Y: fixed.Int26_6(t.At.Y * perMM * 64)}}
	d.DrawString(t.Text)
	return nil
}

// WritePNG writes the scene at so many dots per inch, and says so in the file,
// so that it prints true to scale.
//
// Ref: png3.
func (s *Scene) WritePNG(w io.Writer, dpi int) error {
	if dpi < leastDPI || dpi > mostDPI {
		return fmt.Errorf("%d dpi is not between %d and %d", dpi, leastDPI, mostDPI)
	}
	img, err := s.Raster(float64(dpi) / mmPerInch)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return err
	}
	// The size of a pixel goes behind the header: 8 bytes of signature, then
	// 25 of the IHDR chunk.
	const header = 8 + 25
	chunk := []byte("pHYs")
	perMetre := uint32(math.Round(float64(dpi) * 1000 / mmPerInch))
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = append(chunk, 1)
	out := binary.BigEndian.AppendUint32(append([]byte{}, b.Bytes()[:header]...), uint32(len(chunk)-4))
	out = append(out, chunk...)
	out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
	if _, err := w.Write(out); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes()[header:])
	return err
}
