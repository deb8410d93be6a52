package swatch

import "fmt"

// Scene is a drawing in millimetres, y down, in greys: what a printer needs of
// the card.
type Scene struct {
	W, H  float64
	Rects []Rect
	Lines []Line
	Texts []Text
}

// Rect is a filled rectangle of a grey, an sRGB value of 0..255.
type Rect struct {
	Box
	Grey uint8
}

// Line is an upright or level stroke of a width in millimetres.
type Line struct {
	From, To Point
	Width    float64
	Grey     uint8
}

// Anchor is the part of a text that lies at its place.
type Anchor string

// Anchors.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Text is a line of text: At is on its baseline, Size the height of the type
// in millimetres.
type Text struct {
	At     Point
	Size   float64
	Anchor Anchor
	Bold   bool
	Text   string
}

// Paper is a sheet's size in millimetres.
type Paper struct {
	Name string
	W, H float64
}

// Papers the card can be printed on.
//
// Ref: iso216.
func Papers() []Paper { return []Paper{{"a4", 210, 297}, {"letter", 215.9, 279.4}} }

// PaperNamed returns a paper by name.
func PaperNamed(name string) (Paper, error) {
	for _, p := range Papers() {
		if p.Name == name {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("paper %q is not known; say a4 or letter", name)
}

// Draw returns the card in the middle of a sheet of paper.
func (l *Layout) Draw(p Paper) *Scene {
	s := &Scene{W: p.W, H: p.H}
	l.drawMarks(s)
	l.drawHead(s)
	l.drawFoot(s)
	for i := range l.Cells {
		l.Cells[i].draw(s)
	}
	o := l.Offset(p)
	s.move(o.X, o.Y)
	return s
}

// Offset returns where the card's top left corner lies on a sheet.
func (l *Layout) Offset(p Paper) Point { return Point{(p.W - cardW) / 2, (p.H - cardH) / 2} }

func (s *Scene) move(dx, dy float64) {
	for i := range s.Rects {
		s.Rects[i].X += dx
		s.Rects[i].Y += dy
	}
	for i := range s.Lines {
		l := &s.Lines[i]
		l.From, l.To = Point{l.From.X + dx, l.From.Y + dy}, Point{l.To.X + dx, l.To.Y + dy}
	}
	for i := range s.Texts {
		t := &s.Texts[i]
		t.At = Point{t.At.X + dx, t.At.Y + dy}
	}
}

func (s *Scene) rect(b Box, grey uint8) { s.Rects = append(s.Rects, Rect{b, grey}) }

func (s *Scene) line(x1, y1, x2, y2, width float64, grey uint8) {
	s.Lines = append(s.Lines, Line{Point{x1, y1}, Point{x2, y2}, width, grey})
}

func (s *Scene) text(x, y, size float64, anchor Anchor, bold bool, text string) {
	s.Texts = append(s.Texts, Text{Point{x, y}, size, anchor, bold, text})
}

const seam = 0.2

func (l *Layout) drawMarks(s *Scene) {
	for corner, b := range l.Marks {
		s.rect(b, 0)
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
					s.rect(Box{b.X + float64(from+1)*module, b.Y + float64(y+1)*module, float64(x-from) * module, module}, 255)
				}
				for i := from; i < x && y > 0; i++ {
					if !bits[y-1][i] {
						s.rect(Box{b.X + float64(i+1)*module, b.Y + float64(y+1)*module - seam, module, 2 * seam}, 255)
					}
				}
			}
		}
	}
	for _, d := range l.Dots {
		s.rect(d, 0)
	}
}

func (l *Layout) drawHead(s *Scene) {
	s.text(19, 5.2, 5.6, Start, true, "Swatch card")
	s.text(167, 5.2, 2.6, End, false, fmt.Sprintf("Layout %d, %d cells. Print at 100 %%.", Version, l.CellCount))
	s.text(19, 10.2, 2.6, Start, false, "Brush one even coat across black and white, between the marks, and let it dry. Leave the white around the fields bare.")
	s.text(19, 13.8, 2.6, Start, false, "Photograph it square on, the whole card in view and sharp, in even daylight: no flash, no shadow, no shine on the paint.")
	for i, b := range l.Ramp {
		s.rect(b, rampGrey[i])
		s.text(b.Centre().X, b.Y+b.H+3, 2, Middle, false, fmt.Sprint(rampGrey[i]))
	}
}

func (l *Layout) drawFoot(s *Scene) {
	const x, y = 20.0, 241.0
	s.line(x, y, x+50, y, 0.25, 0)
	for i := range 11 {
		tick := 1.6
		if i%2 == 0 {
			tick = 2.8
			s.text(x+float64(5*i), y+6.2, 2.4, Middle, false, fmt.Sprint(5*i))
		}
		s.line(x+float64(5*i), y, x+float64(5*i), y+tick, 0.25, 0)
	}
	s.text(x, y+11, 2.6, Start, false, "This rule must measure 50 mm.")
	for i, label := range []string{"printer and paper", "brush, thinning", "notes"} {
		ruled(s, 100, 241+5.6*float64(i), 66, label)
	}
}

// ruled draws a label and a line to write on.
func ruled(s *Scene, x, y, w float64, label string) {
	s.text(x, y, 2.3, Start, false, label)
	from := x + 1.2 + 1.12*float64(len(label))
	s.line(from, y+0.4, x+w, y+0.4, 0.15, 120)
}

func (c *Cell) draw(s *Scene) {
	f := c.Field
	s.text(f.X, c.Whole.Y+5.6, 4.2, Start, true, fmt.Sprint(c.Number))
	ruled(s, f.X+7, c.Whole.Y+5.6, f.W-7, "paint")
	ruled(s, f.X, c.Whole.Y+11, f.W*0.48, "lot")
	ruled(s, f.X+f.W*0.52, c.Whole.Y+11, f.W*0.48, "date")
	s.rect(c.Black, 0)
	w := c.White
	const hair, pale = 0.15, 190
	for _, y := range []float64{w.Y, w.Y + w.H} {
		s.line(w.X, y, w.X+w.W, y, hair, pale)
	}
	s.line(w.X+w.W, w.Y, w.X+w.W, w.Y+w.H, hair, pale)
	for _, y := range []float64{c.Band.Y, c.Band.Y + c.Band.H} {
		s.line(f.X-3, y, f.X-0.8, y, 0.25, 0)
		s.line(f.X+f.W+0.8, y, f.X+f.W+3, y, 0.25, 0)
	}
}
