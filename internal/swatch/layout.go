package swatch

import "fmt"

// Version of the layout, printed in the corner marks. A reader refuses a card
// of a version it does not know.
const Version = 1

// Limits of the number of cells.
const (
	MostCells    = 24
	DefaultCells = 12
)

// PaperWhite is the luminance factor that the card's white is taken to have:
// L* 94, ordinary office paper (from memory; papers run from L* 92 to 96).
const PaperWhite = 0.853

// The card in millimetres. It fits on A4 and on Letter with the margins that
// printers leave.
const (
	cardW      = 186.0
	cardH      = 254.0
	module     = 2.0        // side of one square of a corner mark
	markSide   = 7 * module // a black border around 5 × 5 squares
	dotSide    = 4.0        // black squares between the corners, against lens distortion
	gridLeft   = 8.0        // the cells' area
	gridTop    = 33.0
	gridW      = 170.0
	gridH      = 193.0
	cellHead   = 14.5 // above the field: number, name, lot and date
	cellFoot   = 4.0  // below it
	cellSide   = 5.0  // beside it
	fieldMostW = 58.0
	fieldMostH = 26.0
	pitchMostH = 50.0
	ringAway   = 1.7 // from the field to the white that is measured around it
	rampTop    = 19.0
	rampLeft   = 23.0
	rampW      = 14.0
	rampH      = 8.0
	rampPitch  = 18.0
)

// rampGrey are the sRGB values of the grey ramp.
var rampGrey = [...]uint8{0, 40, 75, 110, 145, 180, 210, 235}

// Box is an upright rectangle on the card.
type Box struct{ X, Y, W, H float64 }

// Centre returns the middle of the box.
func (b Box) Centre() Point { return Point{b.X + b.W/2, b.Y + b.H/2} }

// inset returns the box made smaller on its sides.
func (b Box) inset(dx, dy float64) Box { return Box{b.X + dx, b.Y + dy, b.W - 2*dx, b.H - 2*dy} }

// Point is a place on the card (mm) or in a photograph (pixels).
type Point struct{ X, Y float64 }

// Cell is the place of one paint: a field whose left half is printed black and
// whose right half is bare white, and the band across both that is to be
// painted.
type Cell struct {
	Number       int
	Whole        Box
	Field        Box
	Black, White Box
	Band         Box
}

// Layout says where everything is on a card.
type Layout struct {
	CellCount int
	Cells     []Cell
	Marks     [4]Box // corner marks, clockwise from top left
	Dots      [4]Box // top, right, bottom, left
	Ramp      []Box
}

// NewLayout lays out a card with so many cells, 1 to MostCells.
func NewLayout(cells int) (*Layout, error) {
	if cells < 1 || cells > MostCells {
		return nil, fmt.Errorf("a swatch card has 1 to %d cells, not %d", MostCells, cells)
	}
	l := &Layout{CellCount: cells}
	far, low := cardW-markSide, cardH-markSide
	l.Marks = [4]Box{{0, 0, markSide, markSide}, {far, 0, markSide, markSide}, {far, low, markSide, markSide}, {0, low, markSide, markSide}}
	mid := func(x, y float64) Box { return Box{x - dotSide/2, y - dotSide/2, dotSide, dotSide} }
	l.Dots = [4]Box{mid(cardW/2, dotSide/2), mid(cardW-dotSide/2, cardH/2), mid(cardW/2, cardH-dotSide/2), mid(dotSide/2, cardH/2)}
	for i := range rampGrey {
		l.Ramp = append(l.Ramp, Box{rampLeft + float64(i)*rampPitch, rampTop, rampW, rampH})
	}
	columns := 4
	switch {
	case cells <= 8:
		columns = 2
	case cells <= 15:
		columns = 3
	}
	rows := (cells + columns - 1) / columns
	w, h := gridW/float64(columns), min(gridH/float64(rows), pitchMostH)
	for i := range cells {
		whole := Box{gridLeft + float64(i%columns)*w, gridTop + float64(i/columns)*h, w, h}
		l.Cells = append(l.Cells, newCell(i+1, whole))
	}
	return l, nil
}

func newCell(number int, whole Box) Cell {
	w := min(whole.W-2*cellSide, fieldMostW)
	h := min(whole.H-cellHead-cellFoot, fieldMostH)
	f := Box{whole.X + (whole.W-w)/2, whole.Y + cellHead, w, h}
	band := min(10, 0.45*h)
	return Cell{
		Number: number, Whole: whole, Field: f,
		Black: Box{f.X, f.Y, w / 2, h}, White: Box{f.X + w/2, f.Y, w / 2, h},
		Band: Box{f.X, f.Y + (h-band)/2, w, band},
	}
}

// window is the part of a half that is measured: the middle of its band, away
// from the ends and from the other half.
func (c *Cell) window(half Box) Box {
	return Box{half.X + 2.5, c.Band.Y + 0.2*c.Band.H, half.W - 5, 0.6 * c.Band.H}
}

// bare are the parts of a half that no paint should reach, above and below the
// band.
func (c *Cell) bare(half Box) []Box {
	free := c.Band.Y - c.Field.Y
	h := free - 2.2
	return []Box{
		{half.X + 2, c.Field.Y + 0.9, half.W - 4, h},
		{half.X + 2, c.Field.Y + c.Field.H - 0.9 - h, half.W - 4, h},
	}
}

// ring returns places of bare white around a box that printed text and marks
// keep clear of; sides says whether to use the left and right too, beside the
// corners only, where no brush overshoots.
func ring(b Box, away float64) []Point {
	var out []Point
	n := max(3, int(b.W/4))
	for i := range n + 1 {
		x := b.X + float64(i)*b.W/float64(n)
		out = append(out, Point{x, b.Y - away}, Point{x, b.Y + b.H + away})
	}
	for _, y := range []float64{0.03, 0.97} {
		out = append(out, Point{b.X - away, b.Y + y*b.H}, Point{b.X + b.W + away, b.Y + y*b.H})
	}
	return out
}

// rampRing returns places of bare white around a patch of the ramp; its label
// is below.
func rampRing(b Box) []Point {
	var out []Point
	for i := range 5 {
		t := float64(i) / 4
		out = append(out, Point{b.X + t*b.W, b.Y - ringAway}, Point{b.X - ringAway, b.Y + t*b.H}, Point{b.X + b.W + ringAway, b.Y + t*b.H})
	}
	return out
}
