package sheet

import (
	"math"
)

// Measures of blocks, mm.
const (
	chipColumns = 3
	chipWidth   = 15.0 // of the colours
	chipHeight  = 9.0
	stepPicture = 68.0 // edge of a pass's picture
	smallStep   = 46.0 // and of one that takes little room
	stepGap     = 5.0
	stepAfter   = 4.6 // white under it
	cellGap     = 2.0
)

// sampleBox is one colour, or two side by side, in a thin frame.
func sampleBox(samples []Sample, b Box) []Item {
	var out []Item
	w := b.W() / float64(max(1, len(samples)))
	for i, s := range samples {
		if c, err := ParseHex(s.Look.Hex); err == nil {
			out = append(out, Fill(Rect(b.X0+w*float64(i), b.Y0, b.X0+w*float64(i+1), b.Y1), c))
		}
	}
	return append(out, Stroke(Rect(b.X0, b.Y0, b.X1, b.Y1), Black, 0.15))
}

// cautionBox is a caution in a frame.
func cautionBox(text string, width float64) ([]Item, float64) {
	const edge = 2.2
	lines := paragraph(Words{"CAUTION", text}, smallMM+0.2, width-2*edge-1.2)
	lead := (smallMM + 0.2) * leading
	h := float64(len(lines))*lead + 2*edge - 0.6
	out := []Item{Stroke(Rect(0.15, 0.15, width-0.15, h-0.15), Black, 0.3), Fill(Rect(0, 0, 1.2, h), Black)}
	for i, l := range lines {
		out = append(out, Moved(l, Translate(edge+1.2, edge+smallMM*0.85+float64(i)*lead))...)
	}
	return out, h
}

// chips sets samples three in a row.
func (f *flow) chips(b Chips) {
	column := (f.in.W() + cellGap*2) / chipColumns
	for i := 0; i < len(b.List); i += chipColumns {
		var items []Item
		tall := 0.0
		for k, c := range b.List[i:min(i+chipColumns, len(b.List))] {
			made, h := chipItems(c, column-cellGap*2)
			items = append(items, Moved(made, Translate(float64(k)*column, 0))...)
			tall = max(tall, h)
		}
		f.need(tall)
		f.put(items, 0)
		f.y += tall + 2.6
	}
	f.y += 1
}

func chipItems(c Chip, width float64) ([]Item, float64) {
	items := sampleBox(c.Samples, Box{0.1, 0.1, chipWidth, chipHeight})
	x, y := chipWidth+2.2, 0.0
	for _, l := range Wrap(c.Name, bodyMM, width-x, true) {
		items = append(items, Text{At: Point{x, y + bodyMM*0.85}, SizeMM: bodyMM, Bold: true, Ink: Black, Text: l})
		y += bodyMM * 1.2
	}
	small := smallMM - 0.2
	put := func(s string, ink RGB) {
		for _, l := range Wrap(s, small, width-x, false) {
			items = append(items, Text{At: Point{x, y + small*0.9}, SizeMM: small, Ink: ink, Text: l})
			y += small * 1.2
		}
	}
	put(c.Note, softGrey)
	for _, s := range c.Samples {
		put(s.Where+": "+shownAs(s.Look), Black)
	}
	return items, max(chipHeight, y)
}

// cell is the size of a gallery's pictures on paper and the height of a row with
// its captions.
func (f *flow) cell(g Gallery) (column, width float64) {
	column = f.in.W() / float64(max(1, g.Columns))
	return column, min(column-cellGap, g.MostMM)
}

func (f *flow) rowHeight(g Gallery, from int) float64 {
	_, width := f.cell(g)
	tall, lines := 0.0, 0
	for _, s := range g.Shots[min(from, len(g.Shots)):min(from+max(1, g.Columns), len(g.Shots))] {
		tall = max(tall, width*float64(s.H)/float64(max(1, s.W)))
		lines = max(lines, len(Wrap(s.Caption, smallMM, width, false)))
	}
	return tall + float64(lines)*smallMM*1.2 + 1.5
}

// gallery sets pictures row by row, each in the middle of its column.
func (f *flow) gallery(g Gallery) {
	columns := max(1, g.Columns)
	_, width := f.cell(g)
	column := width + cellGap
	if len(g.Shots) >= columns { // spread full rows over the width
		column = (f.in.W() - width) / float64(max(1, columns-1))
		column = min(column, width*1.25+cellGap)
	}
	for i := 0; i < len(g.Shots); i += columns {
		h := f.rowHeight(g, i)
		f.need(h)
		var items []Item
		row := g.Shots[i:min(i+columns, len(g.Shots))]
		foot := 0.0
		for _, s := range row {
			foot = max(foot, width*float64(s.H)/float64(max(1, s.W)))
		}
		for k, s := range row {
			x := float64(k) * column
			tall := width * float64(s.H) / float64(max(1, s.W))
			items = append(items, s.at(Box{x, foot - tall, x + width, foot}))
			for n, l := range Wrap(s.Caption, smallMM, width, false) {
				at := x + (width-TextWidth(l, smallMM, false))/2
				items = append(items, Text{At: Point{at, foot + smallMM + float64(n)*smallMM*1.2}, SizeMM: smallMM, Ink: softGrey, Text: l})
			}
		}
		f.put(items, 0)
		f.y += h + 1
	}
	f.y += 1.5
}

// rows sets a table, its columns titled anew on every page.
func (f *flow) rows(b Rows) {
	const size = smallMM + 0.1
	head := func() {
		x := 0.0
		for _, c := range b.Columns {
			w := c.Share * f.in.W()
			title := Clip(c.Title, smallMM-0.1, w-cellGap, true)
			at := x
			if c.Right {
				at = x + w - cellGap - TextWidth(title, smallMM-0.1, true)
			}
			f.text(at, f.y+smallMM, smallMM-0.1, true, Black, title)
			x += w
		}
		f.y += smallMM * 1.5
		f.line(f.y, Black, 0.25)
		f.y += 0.6
	}
	for i, line := range b.Lines {
		cells, h := tableLine(b.Columns, line, size, f.in.W())
		room := h
		if i == 0 {
			room += smallMM*1.5 + 8 // never the titles alone
		}
		if f.need(room) || i == 0 {
			head()
		}
		f.put(cells, 0)
		f.y += h
		f.line(f.y, hairline, 0.08)
	}
	f.y += 3
}

// tableLine sets the cells of one line about (0, 0).
func tableLine(columns []Column, line []Cell, size, width float64) ([]Item, float64) {
	const sampleW = 6.0
	lead := size * 1.22
	var items []Item
	most := 1
	x := 0.0
	for i, c := range columns {
		w := c.Share * width
		if i >= len(line) {
			break
		}
		cell, at, room := line[i], x, w-cellGap
		if cell.Look != nil {
			items = append(items, sampleBox([]Sample{{Look: *cell.Look}}, Box{x, 0.75, x + sampleW, 0.75 + size*1.15})...)
			at, room = x+sampleW+1.4, room-sampleW-1.4
		}
		lines := Wrap(cell.Text, size, room, false)
		for k, l := range lines {
			lx := at
			if c.Right {
				lx = x + w - cellGap - TextWidth(l, size, false)
			}
			items = append(items, Text{At: Point{lx, size*1.2 + float64(k)*lead}, SizeMM: size, Ink: Black, Text: l})
		}
		most = max(most, len(lines))
		x += w
	}
	return items, float64(most)*lead + size*0.55
}

// stepLayout is a pass ready to be put on a page: what stands beside its picture,
// and its height.
type stepLayout struct {
	head  []Item   // number, title, sample, tool
	lines [][]Item // the paragraphs' lines, each about its baseline's start
	box   []Item   // the caution
	boxMM float64
	headY float64
}

const (
	stepText = 2.95
	numberMM = 5.2
)

// picture is the edge of a pass's picture.
func (s Step) picture() float64 {
	if s.Small {
		return smallStep
	}
	return stepPicture
}

// caption is the lines under a pass's picture. They may be as long as those of a
// large picture: what a small one shows has no shorter name.
func (s Step) caption() []string { return Wrap(s.Shot.Caption, smallMM-0.1, stepPicture, false) }

// below is how far a pass's picture reaches down with its caption.
func (s Step) below() float64 {
	return s.picture() + float64(max(1, len(s.caption())))*1.2*smallMM + 0.6
}

func (f *flow) layStep(s Step) stepLayout {
	width := f.in.W() - stepPicture - stepGap
	var l stepLayout
	number := itoa(s.Number)
	box := math.Max(10, TextWidth(number, numberMM, true)+3)
	l.head = append(l.head, Fill(Rect(0, 0, box, 7.6), Black),
		Text{At: Point{box/2 - TextWidth(number, numberMM, true)/2, 5.7}, SizeMM: numberMM, Bold: true, Ink: White, Text: number})
	y := 0.0
	const size = 3.9
	for i, line := range Wrap(upperFirst(s.Title), size, width-box-2.5, true) {
		l.head = append(l.head, Text{At: Point{box + 2.5, size + 0.4 + float64(i)*size*1.2}, SizeMM: size, Bold: true, Ink: Black, Text: line})
		y = float64(i+1) * size * 1.2
	}
	y = math.Max(y+1.2, 8.8)
	if s.Shows != "" {
		l.head = append(l.head, sampleBox([]Sample{{Look: s.Look}}, Box{0.1, y, 14, y + 5})...)
		l.head = append(l.head, Text{At: Point{16, y + 3.6}, SizeMM: stepText, Ink: Black, Text: Clip("shows "+s.Shows, stepText, width-16, false)})
		y += 6.6
	}
	for _, line := range Wrap(s.Meta, stepText, width, false) {
		l.head = append(l.head, Text{At: Point{0, y + stepText*0.9}, SizeMM: stepText, Ink: softGrey, Text: line})
		y += stepText * leading
	}
	l.headY = y + 0.9
	if s.Caution != "" {
		l.box, l.boxMM = cautionBox(s.Caution, width)
		l.boxMM += 1.6
	}
	for _, w := range s.Words {
		l.lines = append(l.lines, paragraph(w, stepText, width)...)
	}
	return l
}

// stepHeight is how much of a page a pass takes, at most a whole one, without the
// white after it, which a page's foot gives anyway.
func (f *flow) stepHeight(s Step) float64 {
	l := f.layStep(s)
	text := l.headY + l.boxMM + float64(len(l.lines))*stepText*leading
	return math.Min(f.in.H(), math.Max(s.below(), text))
}

// step sets a pass: its picture on the left, what is to be done on the right. One
// that says more than a page holds goes on on the next.
func (f *flow) step(s Step) {
	l := f.layStep(s)
	f.need(f.stepHeight(s))
	if !f.fresh && !f.headed {
		f.line(f.y-2.2, hairline, 0.1)
	}
	edge := s.picture()
	x := stepPicture + stepGap
	if len(s.Shot.Data) > 0 {
		k := edge / float64(max(s.Shot.W, s.Shot.H, 1))
		f.put([]Item{s.Shot.at(Box{0, 0, k * float64(s.Shot.W), k * float64(s.Shot.H)}), Stroke(Rect(0.05, 0.05, edge-0.05, edge-0.05), hairline, 0.1)}, 0)
		for i, l := range s.caption() {
			f.text(0, f.y+edge+float64(i+1)*smallMM*1.2, smallMM-0.1, false, softGrey, l)
		}
	}
	f.put(l.head, x)
	foot := math.Min(f.y+s.below(), f.in.H()) // of the picture
	f.y += l.headY
	if l.boxMM > 0 {
		f.put(l.box, x)
		f.y += l.boxMM
	}
	lead := stepText * leading
	for _, line := range l.lines {
		if f.need(lead) {
			foot = 0
		}
		f.put(Moved(line, Translate(0, stepText)), x)
		f.y += lead
	}
	f.y = math.Max(f.y, foot) + stepAfter
}
