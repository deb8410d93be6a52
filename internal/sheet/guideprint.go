package sheet

import (
	"fmt"
	"slices"
)

// Measures of a printed guide in mm: em sizes of its letters, and its margins.
const (
	guideMargin = 14.0
	guideHead   = 7.0 // from the top margin to the text
	guideFoot   = 7.0 // from the text to the bottom margin

	bodyMM    = 3.2
	smallMM   = 2.6
	headingMM = 4.2
	chapterMM = 6.4
	titleMM   = 10.5
	leading   = 1.32
)

var (
	softGrey = RGB{90, 90, 90}
	hairline = RGB{175, 175, 175}
)

// flow sets blocks one under another on as many pages as they need.
type flow struct {
	d       *Document
	paper   Paper
	in      Box // where text may stand
	title   string
	chapter string
	y       float64 // mm from the top of in
	items   []Item
	marks   []Mark
	entries []entry // for the table of contents
	fresh   bool    // nothing stands on the page yet
	headed  bool    // a heading was set last
}

// entry is a line of the table of contents.
type entry struct {
	title string
	level int
	page  int // from 0
}

// Print sets the guide on paper.
func (g *Guide) Print(paper Paper) *Document {
	paper.MarginMM = guideMargin
	f := &flow{d: &Document{Title: g.Title}, paper: paper, title: g.Title, in: paper.Inside()}
	f.in.Y0 += guideHead
	f.in.Y1 -= guideFoot
	for i, c := range g.Chapters {
		f.begin(fmt.Sprintf("%d  %s", i+1, c.Title))
		f.setChapter(c.Blocks)
		f.end()
	}
	front := append([]Page{g.titlePage(paper)}, contents(f.entries, paper)...)
	f.d.Pages = append(front, f.d.Pages...)
	for i := range f.d.Pages {
		if i > 0 {
			in := paper.Inside()
			words := fmt.Sprintf("%d of %d", i+1, len(f.d.Pages))
			f.d.Pages[i].Items = append(f.d.Pages[i].Items, rightText(words, in.X1, in.Y1-0.6, smallMM))
		}
	}
	return f.d
}

// begin starts a chapter on a new page.
func (f *flow) begin(title string) {
	f.chapter = title
	f.open()
	f.mark(title, 0)
	f.text(0, f.y+chapterMM, chapterMM, true, Black, title)
	f.y += chapterMM * 1.2
	f.line(f.y, Black, 0.35)
	f.y += 4
}

// mark lists a place in the outline and the table of contents.
func (f *flow) mark(title string, level int) {
	f.marks = append(f.marks, Mark{title, level, f.in.Y0 + f.y})
	f.entries = append(f.entries, entry{title, level, len(f.d.Pages)})
}

// open starts a page.
func (f *flow) open() {
	f.items, f.marks, f.y, f.fresh = nil, nil, 0, true
	in := f.paper.Inside()
	f.items = append(f.items, Text{At: Point{in.X0, in.Y0 + smallMM}, SizeMM: smallMM, Ink: softGrey, Text: Clip(f.title, smallMM, in.W()*0.6, false)})
	right := Clip(f.chapter, smallMM, in.W()*0.38, false)
	f.items = append(f.items, Text{At: Point{in.X1 - TextWidth(right, smallMM, false), in.Y0 + smallMM}, SizeMM: smallMM, Ink: softGrey, Text: right})
}

// end closes the page.
func (f *flow) end() {
	f.d.Pages = append(f.d.Pages, Page{Paper: f.paper, Items: f.items, Marks: f.marks})
}

// need starts a new page when so many mm are not left on this one; it reports
// whether it did.
func (f *flow) need(h float64) bool {
	if f.fresh || f.y+h <= f.in.H()+1e-6 {
		return false
	}
	f.end()
	f.open()
	return true
}

// text sets a line at x, y from the text's corner.
func (f *flow) text(x, y, size float64, bold bool, ink RGB, s string) {
	f.items = append(f.items, Text{At: Point{f.in.X0 + x, f.in.Y0 + y}, SizeMM: size, Bold: bold, Ink: ink, Text: Printable(s)})
	f.fresh = false
}

// line rules across at y.
func (f *flow) line(y float64, c RGB, width float64) {
	f.items = append(f.items, Stroke(Polyline(Point{f.in.X0, f.in.Y0 + y}, Point{f.in.X1, f.in.Y0 + y}), c, width))
}

// put lays items made about (0, 0) at x and the present height.
func (f *flow) put(items []Item, x float64) {
	f.items = append(f.items, Moved(items, Translate(f.in.X0+x, f.in.Y0+f.y))...)
	f.fresh = false
}

// block sets one block. A heading stays with what follows.
func (f *flow) block(b Block, rest []Block) {
	defer func() { _, f.headed = b.(Heading) }()
	switch b := b.(type) {
	case Heading:
		f.heading(b, rest)
	case Words:
		f.words(b, rest)
	case Caution:
		items, h := cautionBox(b.Text, f.in.W())
		f.need(h + 2)
		f.put(items, 0)
		f.y += h + 2
	case Chips:
		f.chips(b)
	case Gallery:
		f.gallery(b)
	case Rows:
		f.rows(b)
	case Step:
		f.step(b)
	}
}

// ahead is how much room the beginning of what follows takes: the paragraphs up
// to a picture, a table or a pass, and the first of that.
func (f *flow) ahead(rest []Block) float64 {
	room := 0.0
	for _, b := range rest {
		switch b := b.(type) {
		case Words:
			room += float64(len(paragraph(b, bodyMM, f.in.W())))*bodyMM*leading + 1.5
			continue
		case Step:
			room += f.stepHeight(b)
		case Gallery:
			room += f.rowHeight(b, 0)
		case Heading:
		default:
			room += 18
		}
		break
	}
	return min(room, f.in.H()*0.75)
}

func (f *flow) heading(b Heading, rest []Block) {
	room := f.ahead(rest)
	above := 4.0
	f.need(above + headingMM*1.5 + room)
	if f.fresh {
		above = 0
	}
	f.y += above
	f.mark(b.Text, 1)
	for _, l := range Wrap(b.Text+b.Rest, headingMM, f.in.W(), true) {
		f.text(0, f.y+headingMM, headingMM, true, Black, l)
		f.y += headingMM * 1.25
	}
	f.y += 1.8
}

// words sets a paragraph; it is cut between lines where a page ends, never to
// leave one line alone.
func (f *flow) words(b Words, rest []Block) {
	lines := paragraph(b, bodyMM, f.in.W())
	lead := bodyMM * leading
	keep := 0.0
	if len(rest) > 0 {
		switch rest[0].(type) { // what names a picture or a table stays with it
		case Gallery, Rows:
			keep = f.ahead(rest[:1])
		}
	}
	if len(lines) <= 4 {
		f.need(float64(len(lines))*lead + keep)
	}
	for i, l := range lines {
		if i == 0 || i == len(lines)-2 {
			f.need(2 * lead)
		}
		f.need(lead)
		f.put(Moved(l, Translate(0, bodyMM)), 0)
		f.y += lead
	}
	f.y += 1.5
}

// paragraph breaks words into lines, each made about the start of its baseline.
func paragraph(b Words, size, width float64) [][]Item {
	var out [][]Item
	x := 0.0
	var first []Item
	if b.Head != "" {
		heads := Wrap(b.Head, size, width, true)
		for _, h := range heads[:max(0, len(heads)-1)] {
			out = append(out, []Item{Text{SizeMM: size, Bold: true, Ink: Black, Text: h}})
		}
		if len(heads) > 0 {
			last := heads[len(heads)-1]
			first = append(first, Text{SizeMM: size, Bold: true, Ink: Black, Text: last})
			x = TextWidth(last+"  ", size, true)
		}
	}
	for i, l := range wrapAfter(b.Text, size, width, x) {
		var line []Item
		at := 0.0
		if i == 0 {
			line, at = first, x
		}
		if l != "" {
			line = append(line, Text{At: Point{at, 0}, SizeMM: size, Ink: Black, Text: l})
		}
		if len(line) > 0 {
			out = append(out, line)
		}
	}
	return out
}

// titlePage is the name of the project, its figures in line, and its note.
func (g *Guide) titlePage(paper Paper) Page {
	in := paper.Inside()
	page := Page{Paper: paper, Marks: []Mark{{g.Title, 0, 0}}}
	y := in.Y0 + 14
	put := func(size float64, bold bool, ink RGB, s string, most int) {
		lines := Wrap(s, size, in.W(), bold)
		for len(lines) > most && size > 3 { // a long one is set smaller
			size *= 0.9
			lines = Wrap(s, size, in.W(), bold)
		}
		for _, l := range lines[:min(most, len(lines))] {
			y += size * 1.2
			page.Items = append(page.Items, Text{At: Point{in.X0, y}, SizeMM: size, Bold: bold, Ink: ink, Text: l})
		}
	}
	put(titleMM, true, Black, g.Title, 3)
	y += 3
	put(4, false, softGrey, "A painting guide", 1)
	for _, s := range g.Subtitle {
		put(4, false, softGrey, s, 2)
	}
	note := Wrap(g.Note, bodyMM+0.4, in.W()*0.8, false)
	note = note[:min(len(note), 14)]
	foot := in.Y1 - 1.2 - float64(len(note))*(bodyMM+0.4)*leading // room for what hangs below the last line
	y += 10
	page.Items = append(page.Items, coverRows(g.Cover, Box{in.X0, y, in.X1, foot - 8})...)
	for _, l := range note {
		foot += (bodyMM + 0.4) * leading
		page.Items = append(page.Items, Text{At: Point{in.X0, foot}, SizeMM: bodyMM + 0.4, Ink: Black, Text: l})
	}
	return page
}

// coverRows lays rows of pictures into a box, all to one scale.
func coverRows(rows []Gallery, box Box) []Item {
	const most, largest = 5, 0.14 // rows, and mm to a pixel
	rows = rows[:min(len(rows), most)]
	sizes := make([]Size, len(rows)) // pixels
	k, tall := largest, 0.0
	for i, r := range rows {
		for _, s := range r.Shots {
			sizes[i].W += float64(s.W)
			sizes[i].H = max(sizes[i].H, float64(s.H))
		}
		k = min(k, box.W()/max(1, sizes[i].W))
		tall += sizes[i].H
	}
	k = min(k, box.H()/max(1, tall))
	var out []Item
	y := box.Y0 + (box.H()-k*tall)/2
	for i, r := range rows {
		x := box.X0 + (box.W()-k*sizes[i].W)/2
		y += k * sizes[i].H
		for _, s := range r.Shots {
			w, h := k*float64(s.W), k*float64(s.H)
			out = append(out, s.at(Box{x, y - h, x + w, y}))
			x += w
		}
	}
	return out
}

// at is the picture in a box.
func (s Shot) at(b Box) Item {
	return Picture{Encoded: s.Data, Place: ScaleBy(b.W(), b.H()).Then(Translate(b.X0, b.Y0))}
}

// contents is the table of contents, each line leading to its page; parts of
// chapters stand in two columns. What does not fit on the page is left to the
// PDF's outline.
func contents(entries []entry, paper Paper) []Page {
	in := paper.Inside()
	in.Y0 += guideHead
	in.Y1 -= guideFoot
	page := Page{Paper: paper, Items: []Item{Text{At: Point{in.X0, in.Y0 + chapterMM}, SizeMM: chapterMM, Bold: true, Ink: Black, Text: "Contents"}}}
	const front, line = 2, 4.6 // pages before the chapters: title and contents
	put := func(e entry, x, width, y, size float64, bold bool) {
		number := itoa(e.page + front + 1)
		title := Clip(e.title, size, width-12, bold)
		page.Items = append(page.Items, Text{At: Point{x, y}, SizeMM: size, Bold: bold, Ink: Black, Text: title},
			rightText(number, x+width, y, size), leader(x+TextWidth(title, size, bold)+2, x+width-TextWidth(number, size, false)-2, y),
			Jump{Box{x, y - size, x + width, y + size*0.3}, e.page + front})
	}
	y := in.Y0 + 18
	for i := 0; i < len(entries); {
		j := i + 1
		for j < len(entries) && entries[j].level > 0 {
			j++
		}
		put(entries[i], in.X0, in.W(), y, bodyMM+0.6, true)
		y += line + 1.2
		parts := entries[i+1 : j]
		later := float64(len(chaptersIn(entries[j:]))) * (line + 4)
		half := (len(parts) + 1) / 2
		if half = min(half, int((in.Y1-y-later)/line)); half > 0 {
			const gap = 8
			width := (in.W() - gap) / 2
			for k, e := range parts[:min(len(parts), 2*half)] {
				put(e, in.X0+float64(k/half)*(width+gap), width, y+float64(k%half)*line, smallMM+0.2, false)
			}
			y += float64(half) * line
		}
		y += 2.8
		i = j
	}
	return []Page{page}
}

func chaptersIn(entries []entry) []entry {
	return slices.DeleteFunc(slices.Clone(entries), func(e entry) bool { return e.level > 0 })
}

// leader is the dots between a title and its page.
func leader(x0, x1, y float64) Item {
	var dots Path
	for x := x1; x > x0; x -= 1.6 {
		dots.Add(Rect(x-0.2, y-0.4, x, y-0.2))
	}
	return Fill(dots, softGrey)
}
