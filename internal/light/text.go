package light

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"facings/internal/colour"
)

// Lettering writes text into pictures, in one size of the Go font.
type Lettering struct {
	face   font.Face
	Height int // pixels from one line to the next
	ascent int
}

// NewLettering prepares the font at so many pixels per em.
func NewLettering(pixels float64) (*Lettering, error) {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, err
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: min(max(pixels, 4), 400), DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, err
	}
	m := face.Metrics()
	return &Lettering{face: face, Height: (m.Ascent + m.Descent).Ceil(), ascent: m.Ascent.Ceil()}, nil
}

// Width returns how many pixels the text takes.
func (l *Lettering) Width(text string) int { return font.MeasureString(l.face, text).Ceil() }

// Draw writes text with the upper left corner of its line at (x, y).
func (l *Lettering) Draw(img *Image, x, y int, text string, ink colour.Linear) {
	w := l.Width(text) + 2
	mask := image.NewAlpha(image.Rect(0, 0, w, l.Height))
	d := font.Drawer{Dst: mask, Src: image.NewUniform(color.Alpha{A: 255}), Face: l.face, Dot: fixed.P(1, l.ascent)}
	d.DrawString(text)
	for j := range l.Height {
		for i := range w {
			px, py := x-1+i, y+j
			if a := mask.AlphaAt(i, j).A; a > 0 && px >= 0 && py >= 0 && px < img.W && py < img.H {
				alpha := float64(a) / 255
				img.blend(px, py, scaleRGB(ink, alpha), alpha)
			}
		}
	}
}

// Fit shortens the text with an ellipsis until it takes at most width pixels.
func (l *Lettering) Fit(text string, width int) string {
	if l.Width(text) <= width {
		return text
	}
	r := []rune(text)
	for len(r) > 0 && l.Width(string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// line draws a straight line of the given width, its coverage worked out from the
// distance to its middle.
func line(img *Image, x0, y0, x1, y1, width float64, ink colour.Linear) {
	pad := width/2 + 1
	lx, ly := int(math.Floor(min(x0, x1)-pad)), int(math.Floor(min(y0, y1)-pad))
	hx, hy := int(math.Ceil(max(x0, x1)+pad)), int(math.Ceil(max(y0, y1)+pad))
	dx, dy := x1-x0, y1-y0
	l2 := dx*dx + dy*dy
	for y := max(ly, 0); y <= min(hy, img.H-1); y++ {
		for x := max(lx, 0); x <= min(hx, img.W-1); x++ {
			px, py := float64(x)+0.5-x0, float64(y)+0.5-y0
			t := 0.0
			if l2 > 0 {
				t = min(max((px*dx+py*dy)/l2, 0), 1)
			}
			d := math.Hypot(px-t*dx, py-t*dy)
			if a := min(max(width/2+0.5-d, 0), 1); a > 0 {
				img.blend(x, y, scaleRGB(ink, a), a)
			}
		}
	}
}
