package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"strconv"
)

// Point is a place in millimetres; x to the right, y down.
type Point struct{ X, Y float64 }

// Matrix maps (x, y) to (a·x + c·y + e, b·x + d·y + f), in SVG's order.
type Matrix struct{ A, B, C, D, E, F float64 }

// Identity moves nothing.
func Identity() Matrix { return Matrix{A: 1, D: 1} }

// Translate moves by (x, y) millimetres.
func Translate(x, y float64) Matrix { return Matrix{A: 1, D: 1, E: x, F: y} }

// ScaleBy stretches about the origin.
func ScaleBy(x, y float64) Matrix { return Matrix{A: x, D: y} }

// Turn turns clockwise about the origin (y runs down), in degrees.
func Turn(deg float64) Matrix {
	s, c := math.Sincos(deg * math.Pi / 180)
	switch math.Mod(deg, 360) { // exact where it matters for lines along the axes
	case 0:
		s, c = 0, 1
	case 90, -270:
		s, c = 1, 0
	case 180, -180:
		s, c = 0, -1
	case 270, -90:
		s, c = -1, 0
	}
	return Matrix{A: c, B: s, C: -s, D: c}
}

// Then is m first and n after it.
func (m Matrix) Then(n Matrix) Matrix {
	return Matrix{
		A: float64(n.A*m.A) + float64(n.C*m.B), B: float64(n.B*m.A) + float64(n.D*m.B),
		C: float64(n.A*m.C) + float64(n.C*m.D), D: float64(n.B*m.C) + float64(n.D*m.D),
		E: float64(n.A*m.E) + float64(n.C*m.F) + n.E, F: float64(n.B*m.E) + float64(n.D*m.F) + n.F,
	}
}

// Apply maps one point.
func (m Matrix) Apply(p Point) Point {
	return Point{float64(m.A*p.X) + float64(m.C*p.Y) + m.E, float64(m.B*p.X) + float64(m.D*p.Y) + m.F}
}

// Scale is the factor by which lengths grow on average: the square root of the
// determinant's size.
func (m Matrix) Scale() float64 {
	return math.Sqrt(math.Abs(float64(m.A*m.D) - float64(m.B*m.C)))
}

// RGB is an sRGB colour.
type RGB struct{ R, G, B uint8 }

// The inks of a sheet itself.
var (
	Black = RGB{}
	Grey  = RGB{110, 110, 110}
	White = RGB{255, 255, 255}
)

// ParseHex reads "#rrggbb".
func ParseHex(s string) (RGB, error) {
	if len(s) == 7 && s[0] == '#' {
		if v, err := strconv.ParseUint(s[1:], 16, 24); err == nil {
			return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
		}
	}
	return RGB{}, fmt.Errorf("%q is no colour; write #rrggbb", s)
}

// Hex is "#rrggbb".
func (c RGB) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Document is pages to be printed.
type Document struct {
	Title string
	Pages []Page
}

// Page is one sheet of paper.
type Page struct {
	Paper Paper
	Items []Item
	// Marks are places to find again: a PDF lists them as its outline.
	Marks []Mark
}

// Mark names a place on a page; Level is 0 for chapters, 1 for their parts.
type Mark struct {
	Title string
	Level int
	Y     float64
}

// Jump is an area that leads to another page, counted from 0, in a PDF.
type Jump struct {
	Area Box
	Page int
}

// Item is something drawn: a Shape, Text, Picture or Group; or a Jump, which
// shows nothing.
type Item interface {
	moved(Matrix) Item
}

// Shape is a path filled, stroked or both. Overlaps count by the non-zero rule,
// or by the even-odd one.
type Shape struct {
	Path    Path
	Fill    *RGB
	EvenOdd bool
	Stroke  *RGB
	WidthMM float64 // of the stroke; butt ends, round joins
	// Alpha is the opacity of fill and stroke, 0 to 1; 0 means 1.
	Alpha float64
}

// Text is one line of lettering. It is turned and moved, never mirrored.
type Text struct {
	At      Point // left end of the baseline
	TurnDeg float64
	SizeMM  float64 // the em
	Bold    bool
	Ink     RGB
	Text    string
}

// Picture is an image on the unit square mapped by Place.
type Picture struct {
	Image image.Image
	// Encoded, if given, is the picture as a PNG or JPEG file. It is put into PDF
	// and SVG as it is, and Image may be nil.
	Encoded []byte
	Place   Matrix
}

// file is the picture as a file and its kind, "png" or "jpeg".
func (p Picture) file() ([]byte, string, error) {
	if len(p.Encoded) > 2 && p.Encoded[0] == 0xff && p.Encoded[1] == 0xd8 {
		return p.Encoded, "jpeg", nil
	}
	if p.Encoded != nil {
		return p.Encoded, "png", nil
	}
	var b bytes.Buffer
	err := png.Encode(&b, p.Image)
	return b.Bytes(), "png", err
}

// pixels is the picture decoded.
func (p Picture) pixels() (image.Image, error) {
	if p.Image != nil {
		return p.Image, nil
	}
	img, _, err := image.Decode(bytes.NewReader(p.Encoded))
	return img, err
}

// Group is items seen through a hole, the whole page if Clip is nil.
type Group struct {
	Clip  *Path
	Items []Item
}

func (s Shape) moved(m Matrix) Item {
	s.Path = s.Path.Moved(m)
	s.WidthMM *= m.Scale()
	return s
}

func (t Text) moved(m Matrix) Item {
	// The baseline follows the mapping; a mirrored one is turned to read again
	// from the same middle.
	width := TextWidth(t.Text, t.SizeMM, t.Bold)
	turn := Turn(t.TurnDeg)
	end := turn.Then(Translate(t.At.X, t.At.Y)).Apply(Point{width, 0})
	a, b := m.Apply(t.At), m.Apply(end)
	if float64(m.A*m.D)-float64(m.B*m.C) < 0 {
		a, b = b, a
	}
	t.SizeMM *= m.Scale()
	if width > 0 {
		t.TurnDeg = math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi
	}
	t.At = a
	return t
}

func (j Jump) moved(m Matrix) Item {
	a, b := m.Apply(Point{j.Area.X0, j.Area.Y0}), m.Apply(Point{j.Area.X1, j.Area.Y1})
	j.Area = Box{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)}
	return j
}

func (p Picture) moved(m Matrix) Item {
	p.Place = p.Place.Then(m)
	return p
}

func (g Group) moved(m Matrix) Item {
	out := Group{Items: Moved(g.Items, m)}
	if g.Clip != nil {
		clip := g.Clip.Moved(m)
		out.Clip = &clip
	}
	return out
}

// Moved maps all items.
func Moved(items []Item, m Matrix) []Item {
	out := make([]Item, len(items))
	for i, it := range items {
		out[i] = it.moved(m)
	}
	return out
}

// Fill is a filled path.
func Fill(p Path, c RGB) Shape { return Shape{Path: p, Fill: &c} }

// Stroke is a drawn line.
func Stroke(p Path, c RGB, width float64) Shape { return Shape{Path: p, Stroke: &c, WidthMM: width} }
