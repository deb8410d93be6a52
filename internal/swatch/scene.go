package swatch

import (
	"fmt"
	"math"

	"facings/internal/sheet"
)

// Print says what a card is printed with.
type Print struct {
	Paper sheet.Paper
	// Names are the paints of the cells, in their order, where they are known.
	Names []string
	// Card and Of number several cards of one rack; zero for a card by itself.
	Card, Of int
}

// Draw returns the card in the middle of a sheet of paper, true to scale.
func (l *Layout) Draw(p Print) sheet.Page {
	d := &drawing{}
	l.drawMarks(d)
	l.drawHead(d, p)
	l.drawFoot(d)
	for i := range l.Cells {
		name := ""
		if i < len(p.Names) {
			name = p.Names[i]
		}
		l.Cells[i].draw(d, name)
	}
	o := l.Offset(p.Paper)
	return sheet.Page{Paper: p.Paper, Items: sheet.Moved(d.items, sheet.Translate(o.X, o.Y))}
}

// Offset returns where the card's top left corner lies on a sheet.
func (l *Layout) Offset(p sheet.Paper) Point {
	return Point{(p.WidthMM - cardW) / 2, (p.HeightMM - cardH) / 2}
}

// drawing gathers what is drawn, in millimetres of the card and in greys, sRGB
// values of 0..255.
type drawing struct{ items []sheet.Item }

func (d *drawing) rect(b Box, grey uint8) {
	d.items = append(d.items, sheet.Fill(sheet.Rect(b.X, b.Y, b.X+b.W, b.Y+b.H), sheet.RGB{R: grey, G: grey, B: grey}))
}

func (d *drawing) line(x1, y1, x2, y2, width float64, grey uint8) {
	d.items = append(d.items, sheet.Stroke(sheet.Polyline(sheet.Point{X: x1, Y: y1}, sheet.Point{X: x2, Y: y2}), sheet.RGB{R: grey, G: grey, B: grey}, width))
}

// anchor is the share of a text's width that lies left of its place.
type anchor float64

const (
	start  anchor = 0
	middle anchor = 0.5
	end    anchor = 1
)

func (d *drawing) text(x, y, size float64, a anchor, bold bool, text string) {
	at := sheet.Point{X: x - float64(a)*sheet.TextWidth(text, size, bold), Y: y}
	d.items = append(d.items, sheet.Text{At: at, SizeMM: size, Bold: bold, Ink: sheet.Black, Text: text})
}

const seam = 0.2

func (l *Layout) drawMarks(d *drawing) {
	for corner, b := range l.Marks {
		d.rect(b, 0)
		// White squares are laid on the black one. Neighbours are one piece or
		// overlap, so that no hairline shows between them.
		bits := squares(codeWord(corner, Version, l.CellCount))
		for y := range markBits {
			for x := 0; x < markBits; x++ {
				from := x
				for x < markBits && !bits[y][x] {
					x++
				}
				if x > from {
					d.rect(Box{b.X + float64(from+1)*module, b.Y + float64(y+1)*module, float64(x-from) * module, module}, 255)
				}
				for i := from; i < x && y > 0; i++ {
					if !bits[y-1][i] {
						d.rect(Box{b.X + float64(i+1)*module, b.Y + float64(y+1)*module - seam, module, 2 * seam}, 255)
					}
				}
			}
		}
	}
	for _, b := range l.Dots {
		d.rect(b, 0)
	}
}

func (l *Layout) drawHead(d *drawing, p Print) {
	d.text(19, 5.2, 5.6, start, true, "Swatch card")
	which := ""
	if p.Of > 1 {
		which = fmt.Sprintf("Card %d of %d. ", p.Card, p.Of)
	}
	d.text(167, 5.2, 2.6, end, false, fmt.Sprintf("%sLayout %d, %d cells. Print at 100 %%.", which, Version, l.CellCount))
	d.text(19, 10.2, 2.6, start, false, "Brush one even coat across black and white, between the marks, and let it dry. Leave the white around the fields bare.")
	d.text(19, 13.8, 2.6, start, false, "Photograph it square on, the whole card in view and sharp, in even daylight: no flash, no shadow, no shine on the paint.")
	for i, b := range l.Ramp {
		d.rect(b, rampGrey[i])
		d.text(b.Centre().X, b.Y+b.H+3, 2, middle, false, fmt.Sprint(rampGrey[i]))
	}
}

func (l *Layout) drawFoot(d *drawing) {
	const x, y = 20.0, 241.0
	d.line(x, y, x+50, y, 0.25, 0)
	for i := range 11 {
		tick := 1.6
		if i%2 == 0 {
			tick = 2.8
			d.text(x+float64(5*i), y+6.2, 2.4, middle, false, fmt.Sprint(5*i))
		}
		d.line(x+float64(5*i), y, x+float64(5*i), y+tick, 0.25, 0)
	}
	d.text(x, y+11, 2.6, start, false, "This rule must measure 50 mm.")
	for i, label := range []string{"printer and paper", "brush, thinning", "notes"} {
		ruled(d, 100, 241+5.6*float64(i), 66, label)
	}
}

// ruled draws a label and a line to write on.
func ruled(d *drawing, x, y, w float64, label string) {
	d.text(x, y, 2.3, start, false, label)
	from := x + 0.9 + sheet.TextWidth(label, 2.3, false)
	d.line(from, y+0.4, x+w, y+0.4, 0.15, 120)
}

func (c *Cell) draw(d *drawing, name string) {
	f := c.Field
	d.text(f.X, c.Whole.Y+5.6, 4.2, start, true, fmt.Sprint(c.Number))
	if name == "" {
		ruled(d, f.X+7, c.Whole.Y+5.6, f.W-7, "paint")
	} else {
		size := 3.4
		for size > 2.3 && sheet.TextWidth(sheet.Printable(name), size, false) > f.W-7 {
			size = math.Max(2.3, size-0.1)
		}
		d.text(f.X+7, c.Whole.Y+5.6, size, start, false, sheet.Clip(name, size, f.W-7, false))
	}
	ruled(d, f.X, c.Whole.Y+11, f.W*0.48, "lot")
	ruled(d, f.X+f.W*0.52, c.Whole.Y+11, f.W*0.48, "date")
	d.rect(c.Black, 0)
	w := c.White
	const hair, pale = 0.15, 190
	for _, y := range []float64{w.Y, w.Y + w.H} {
		d.line(w.X, y, w.X+w.W, y, hair, pale)
	}
	d.line(w.X+w.W, w.Y, w.X+w.W, w.Y+w.H, hair, pale)
	for _, y := range []float64{c.Band.Y, c.Band.Y + c.Band.H} {
		d.line(f.X-3, y, f.X-0.8, y, 0.25, 0)
		d.line(f.X+f.W+0.8, y, f.X+f.W+3, y, 0.25, 0)
	}
}
