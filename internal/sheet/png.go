package sheet

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/math/f64"
)

// Bounds of a picture's resolution, dots per inch.
const (
	MinDPI = 36
	MaxDPI = 1200
)

// WritePNG writes one page as PNG with its resolution in it, so that it prints
// at its size. Ref: png3.
func (d *Document) WritePNG(w io.Writer, page int, dpi float64) error {
	img, err := d.Raster(page, dpi)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, img); err != nil {
		return err
	}
	_, err = w.Write(withResolution(b.Bytes(), dpi))
	return err
}

// withResolution puts a pHYs chunk (pixels per metre) after the header.
func withResolution(data []byte, dpi float64) []byte {
	const header = 8 + 25 // signature, and IHDR with length, name and sum
	per := uint32(math.Round(dpi / 0.0254))
	chunk := make([]byte, 21)
	binary.BigEndian.PutUint32(chunk, 9)
	copy(chunk[4:], "pHYs")
	binary.BigEndian.PutUint32(chunk[8:], per)
	binary.BigEndian.PutUint32(chunk[12:], per)
	chunk[16] = 1 // the unit is the metre
	binary.BigEndian.PutUint32(chunk[17:], crc32.ChecksumIEEE(chunk[4:17]))
	out := append([]byte{}, data[:header]...)
	out = append(out, chunk...)
	return append(out, data[header:]...)
}

// Raster draws one page at a resolution in dots per inch, MinDPI to MaxDPI.
func (d *Document) Raster(page int, dpi float64) (*image.RGBA, error) {
	if !(dpi >= MinDPI && dpi <= MaxDPI) {
		return nil, fmt.Errorf("%g dots per inch are out of range; give %d to %d", dpi, MinDPI, MaxDPI)
	}
	p := d.Pages[page]
	k := dpi / 25.4
	img := image.NewRGBA(image.Rect(0, 0, int(math.Round(p.Paper.WidthMM*k)), int(math.Round(p.Paper.HeightMM*k))))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	r := &raster{img: img, k: k}
	r.items(p.Items, nil)
	return img, r.err
}

// raster draws with the hole it looks through: nil, or how much shows per pixel.
type raster struct {
	img *image.RGBA
	k   float64 // pixels per mm
	err error   // the first picture that cannot be read
}

func (r *raster) items(items []Item, hole *image.Alpha) {
	for _, it := range items {
		switch it := it.(type) {
		case Shape:
			r.shape(it, hole)
		case Text:
			m := Turn(it.TurnDeg).Then(Translate(it.At.X, it.At.Y))
			r.shape(Fill(outline(it.Text, it.SizeMM, it.Bold).Moved(m), it.Ink), hole)
		case Picture:
			r.picture(it, hole)
		case upright:
			r.items(it.items, hole)
		case Group:
			if it.Clip == nil {
				r.items(it.Items, hole)
			} else if mask := r.mask(it.Clip.flat(0.1/r.k), false, nil); mask != nil {
				r.items(it.Items, hard(mask, hole))
			}
		}
	}
}

func (r *raster) shape(s Shape, hole *image.Alpha) {
	alpha := s.Alpha
	if alpha == 0 {
		alpha = 1
	}
	if s.Fill != nil {
		r.paint(r.mask(s.Path.flat(0.1/r.k), s.EvenOdd, hole), *s.Fill, alpha)
	}
	if s.Stroke != nil {
		r.paint(r.mask(stroked(s.Path.flat(0.1/r.k), s.WidthMM), false, hole), *s.Stroke, alpha)
	}
}

func (r *raster) paint(mask *image.Alpha, c RGB, alpha float64) {
	if mask == nil {
		return
	}
	if alpha < 1 {
		for i, v := range mask.Pix {
			mask.Pix[i] = uint8(math.Round(float64(v) * alpha))
		}
	}
	src := image.NewUniform(color.RGBA{c.R, c.G, c.B, 255})
	draw.DrawMask(r.img, mask.Bounds(), src, image.Point{}, mask, mask.Bounds().Min, draw.Over)
}

// mask is how much of each pixel lines cover, seen through a hole; nil when
// nothing shows. Its bounds are pixels of the page.
func (r *raster) mask(lines []line, even bool, hole *image.Alpha) *image.Alpha {
	b := emptyBox()
	for _, l := range lines {
		for _, p := range l.points {
			b = b.with(p)
		}
	}
	if b.X0 > b.X1 {
		return nil
	}
	within := r.img.Bounds()
	if hole != nil {
		within = hole.Bounds()
	}
	clampInt := func(v float64, hi int) int { return int(math.Max(-1, math.Min(v, float64(hi+1)))) }
	box := image.Rect(clampInt(math.Floor(b.X0*r.k), within.Max.X), clampInt(math.Floor(b.Y0*r.k), within.Max.Y),
		clampInt(math.Ceil(b.X1*r.k), within.Max.X), clampInt(math.Ceil(b.Y1*r.k), within.Max.Y)).Intersect(within)
	if box.Empty() {
		return nil
	}
	out := covered(lines, even, r.k, box)
	if hole != nil {
		for y := box.Min.Y; y < box.Max.Y; y++ {
			o, h := out.PixOffset(box.Min.X, y), hole.PixOffset(box.Min.X, y)
			for i := range box.Dx() {
				out.Pix[o+i] = uint8((uint32(out.Pix[o+i])*uint32(hole.Pix[h+i]) + 127) / 255)
			}
		}
	}
	return out
}

// hard makes a hole's edge fall between pixels: through a soft one, the layers
// below would shine through those above. Inside another hole it is narrowed.
func hard(mask, hole *image.Alpha) *image.Alpha {
	b := mask.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			i := mask.PixOffset(x, y)
			if mask.Pix[i] < 128 || (hole != nil && hole.AlphaAt(x, y).A == 0) {
				mask.Pix[i] = 0
			} else {
				mask.Pix[i] = 255
			}
		}
	}
	return mask
}

// picture draws an image through its mapping, seen through a hole.
func (r *raster) picture(p Picture, hole *image.Alpha) {
	from, err := p.pixels()
	if err != nil {
		r.err = err
		return
	}
	size := from.Bounds()
	m := Translate(-float64(size.Min.X), -float64(size.Min.Y)).Then(ScaleBy(1/float64(size.Dx()), 1/float64(size.Dy()))).Then(p.Place).Then(ScaleBy(r.k, r.k))
	options := &xdraw.Options{}
	if hole != nil {
		options.DstMask = hole
	}
	xdraw.ApproxBiLinear.Transform(r.img, f64.Aff3{m.A, m.C, m.E, m.B, m.D, m.F}, from, size, xdraw.Over, options)
}

// stroked is the outline of drawn lines: a rectangle per stretch and a disc
// per inner joint, all running the same way round so that they add up.
func stroked(lines []line, width float64) []line {
	var out []line
	h := width / 2
	for _, l := range lines {
		points := l.points
		if l.closed && len(points) > 1 {
			points = append(append([]Point{}, points...), points[0])
		}
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			d := math.Hypot(b.X-a.X, b.Y-a.Y)
			if d == 0 {
				continue
			}
			nx, ny := -(b.Y-a.Y)/d*h, (b.X-a.X)/d*h
			out = append(out, line{points: []Point{{a.X - nx, a.Y - ny}, {b.X - nx, b.Y - ny}, {b.X + nx, b.Y + ny}, {a.X + nx, a.Y + ny}}, closed: true})
			if i+1 < len(points) || l.closed {
				out = append(out, disc(b, h))
			}
		}
	}
	return out
}

func disc(c Point, r float64) line {
	const sides = 16
	l := line{closed: true}
	for i := range sides {
		s, k := math.Sincos(2 * math.Pi * float64(i) / sides)
		l.points = append(l.points, Point{c.X + r*k, c.Y + r*s})
	}
	return l
}
