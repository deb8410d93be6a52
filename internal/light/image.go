package light

import (
	"bytes"
	"image"
	"image/png"
	"math"

	"facings/internal/colour"
)

// Image is a picture in linear light with premultiplied alpha, rows from the top.
type Image struct {
	W, H int
	Pix  []colour.Linear
	A    []float64
}

// NewImage returns a transparent picture.
func NewImage(w, h int) *Image {
	return &Image{W: w, H: h, Pix: make([]colour.Linear, w*h), A: make([]float64, w*h)}
}

// blend lays a premultiplied colour over the pixel.
func (m *Image) blend(x, y int, c colour.Linear, alpha float64) {
	i := y*m.W + x
	m.Pix[i] = addRGB(c, scaleRGB(m.Pix[i], 1-alpha))
	m.A[i] = alpha + m.A[i]*(1-alpha)
}

// Over lays the picture over an opaque colour.
func (m *Image) Over(c colour.Linear) {
	for i := range m.Pix {
		m.Pix[i] = addRGB(m.Pix[i], scaleRGB(c, 1-m.A[i]))
		m.A[i] = 1
	}
}

// Draw lays src over the picture with its upper left corner at (x, y).
func (m *Image) Draw(src *Image, x, y int) {
	for j := range src.H {
		for i := range src.W {
			if x+i >= 0 && y+j >= 0 && x+i < m.W && y+j < m.H {
				m.blend(x+i, y+j, src.Pix[j*src.W+i], src.A[j*src.W+i])
			}
		}
	}
}

// coder turns linear values into sRGB codes.
type coder struct {
	steps [255]float64 // the linear values half-way between codes: the code of a value is the number of steps below it
	first [4096]uint8  // the code of i/4096
}

func newCoder() *coder {
	c := &coder{}
	for i := range c.steps {
		v := (float64(i) + 0.5) / 255
		c.steps[i] = colour.SRGB{R: v}.Decode().R
	}
	code := 0
	for i := range c.first {
		for code < 255 && c.steps[code] < float64(i)/4096 {
			code++
		}
		c.first[i] = uint8(code)
	}
	return c
}

func (c *coder) code(v float64) uint8 {
	if !(v > 0) {
		return 0
	}
	if v >= 1 {
		return 255
	}
	code := c.first[int(v*4096)]
	for code < 255 && c.steps[code] < v {
		code++
	}
	return code
}

// NRGBA encodes the picture as sRGB with straight alpha. Values above 1 clip.
func (m *Image) NRGBA() *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, m.W, m.H))
	table := newCoder()
	for i, c := range m.Pix {
		a := m.A[i]
		if i > 0 && c == m.Pix[i-1] && a == m.A[i-1] { // paper, most of it
			copy(out.Pix[4*i:4*i+4], out.Pix[4*i-4:])
			continue
		}
		if a <= 0 {
			continue
		}
		if a != 1 {
			c = scaleRGB(c, 1/a)
		}
		out.Pix[4*i] = table.code(c.R)
		out.Pix[4*i+1] = table.code(c.G)
		out.Pix[4*i+2] = table.code(c.B)
		out.Pix[4*i+3] = uint8(math.Round(min(a, 1) * 255))
	}
	return out
}

// PNG returns the picture as a PNG file; the same picture gives the same bytes.
func (m *Image) PNG() ([]byte, error) {
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&out, m.NRGBA()); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
