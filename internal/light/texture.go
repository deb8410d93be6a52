package light

import (
	"image"
	"math"

	"facings/internal/colour"
)

// Texture is a picture that is laid on a surface, kept at its full size and
// halved again and again, so that it can be shown small without sparkling.
type Texture struct{ levels []level }

type level struct {
	w, h int
	pix  []colour.Linear
}

// NewTexture takes an opaque picture in sRGB.
func NewTexture(img image.Image) *Texture {
	var linear [256]float64 // of each code
	for code := range linear {
		linear[code] = colour.RGB8{R: uint8(code)}.SRGB().Decode().R
	}
	b := img.Bounds()
	l := level{w: b.Dx(), h: b.Dy(), pix: make([]colour.Linear, b.Dx()*b.Dy())}
	for y := range l.h {
		for x := range l.w {
			r, g, bl, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			l.pix[y*l.w+x] = colour.Linear{R: linear[r>>8], G: linear[g>>8], B: linear[bl>>8]}
		}
	}
	t := &Texture{levels: []level{l}}
	for l.w > 1 && l.h > 1 {
		l = l.halved()
		t.levels = append(t.levels, l)
	}
	return t
}

// halved averages four pixels to one in linear light.
func (l *level) halved() level {
	out := level{w: l.w / 2, h: l.h / 2}
	for y := range out.h {
		for x := range out.w {
			i := 2*y*l.w + 2*x
			sum := addRGB(addRGB(l.pix[i], l.pix[i+1]), addRGB(l.pix[i+l.w], l.pix[i+l.w+1]))
			out.pix = append(out.pix, scaleRGB(sum, 0.25))
		}
	}
	return out
}

// Around is the mean colour around a place across and down, 0 to 1, so many pixels
// to either side.
func (t *Texture) Around(u, v float64, pixels int) colour.Linear {
	l := &t.levels[0]
	x, y := int(u*float64(l.w)), int(v*float64(l.h))
	var sum colour.Linear
	n := 0.0
	for j := max(0, y-pixels); j < min(l.h, y+pixels+1); j++ {
		for i := max(0, x-pixels); i < min(l.w, x+pixels+1); i++ {
			sum, n = addRGB(sum, l.pix[j*l.w+i]), n+1
		}
	}
	return scaleRGB(sum, 1/max(n, 1))
}

// at is the colour at a place across and down, 0 to 1, as seen where so many of
// its pixels fall on one of the picture's.
func (t *Texture) at(u, v, shrunk float64) colour.Linear {
	k := min(max(math.Log2(max(shrunk, 1e-9)), 0), float64(len(t.levels)-1))
	i := int(k)
	c := t.levels[i].at(u, v)
	if i+1 < len(t.levels) && k > float64(i) {
		c = mixRGB(c, t.levels[i+1].at(u, v), k-float64(i))
	}
	return c
}

// at blends the four nearest pixels.
func (l *level) at(u, v float64) colour.Linear {
	x := min(max(u*float64(l.w)-0.5, 0), float64(l.w-1))
	y := min(max(v*float64(l.h)-0.5, 0), float64(l.h-1))
	i, j := int(x), int(y)
	i1, j1 := min(i+1, l.w-1), min(j+1, l.h-1)
	top := mixRGB(l.pix[j*l.w+i], l.pix[j*l.w+i1], x-float64(i))
	low := mixRGB(l.pix[j1*l.w+i], l.pix[j1*l.w+i1], x-float64(i))
	return mixRGB(top, low, y-float64(j))
}

// shrunk is how many of a texture's pixels fall, along a side, on one of the
// picture's at a face.
func (t *Texture) shrunk(p, q, r corner, a, b, c [2]float64) float64 {
	screen := math.Abs((q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x))
	laid := math.Abs((b[0]-a[0])*(c[1]-a[1])-(b[1]-a[1])*(c[0]-a[0])) * float64(t.levels[0].w) * float64(t.levels[0].h)
	return math.Sqrt(laid / max(screen, 1e-12))
}
