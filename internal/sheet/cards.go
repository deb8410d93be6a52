package sheet

import (
	"fmt"
	"math"
	"strings"

	"facings"
)

// Bench is a plan as its sheets need it.
type Bench struct {
	Project *facings.Project
	Roster  *facings.Roster
	Coats   *facings.Coats
	Order   *facings.Order
}

// Cards prints a card for every pass, eight to a page, to be cut apart and
// kept as a pack in their order. All is told in words and black on white; the
// sample of the colour is only a help. A pass that says more than a card holds
// goes on on another.
func Cards(b *Bench, paper Paper) *Document {
	d := &Document{Title: "Pass cards: " + b.Project.Name}
	const columns, rows = 2, 4
	in := paper.Inside()
	w, h := in.W()/columns, in.H()/rows
	n := 0
	for i := range b.Order.Passes {
		for _, items := range b.card(&b.Order.Passes[i], w, h) {
			if n%(columns*rows) == 0 {
				d.Pages = append(d.Pages, Page{Paper: paper, Items: []Item{cutGrid(in, columns, rows)}})
			}
			slot := n % (columns * rows)
			at := Translate(in.X0+w*float64(slot%columns), in.Y0+h*float64(slot/columns))
			page := &d.Pages[len(d.Pages)-1]
			page.Items = append(page.Items, Moved(items, at)...)
			n++
		}
	}
	return d
}

// cutGrid is the cut lines of a page of cards, the outer edge too.
func cutGrid(in Box, columns, rows int) Item {
	var p Path
	in = in.grown(-0.05) // the line's own width stays inside
	for i := range columns + 1 {
		x := in.X0 + in.W()*float64(i)/float64(columns)
		p.Move(x, in.Y0)
		p.Line(x, in.Y1)
	}
	for i := range rows + 1 {
		y := in.Y0 + in.H()*float64(i)/float64(rows)
		p.Move(in.X0, y)
		p.Line(in.X1, y)
	}
	return Stroke(p, Grey, 0.1)
}

// cardText is one paragraph of a card; heads are set bold.
type cardText struct{ head, text string }

const (
	cardEdge = 4.0 // white around a card's text, mm
	cardHead = 17.0
)

// card sets one pass: a heading, then all paragraphs as large as they fit.
func (b *Bench) card(pass *facings.Pass, w, h float64) [][]Item {
	paragraphs := b.cardWords(pass)
	inner := w - 2*cardEdge
	room := h - cardHead - cardEdge
	var lines []Item
	var size float64
	for _, size = range []float64{4.6, 4.2, 3.8, 3.5, 3.2, 2.9, 2.6} {
		lines = setParagraphs(paragraphs, size, inner)
		if setHeight(lines, size) <= room {
			break
		}
	}
	var out [][]Item
	for first := true; first || len(lines) > 0; first = false {
		items := b.cardHeading(pass, w, !first)
		var rest []Item
		cut := 0.0
		for _, l := range lines {
			t := l.(Text)
			if rest == nil && t.At.Y+0.25*size <= room {
				items = append(items, t.moved(Translate(cardEdge, cardHead)))
				continue
			}
			if rest == nil {
				cut = t.At.Y - size
			}
			rest = append(rest, t.moved(Translate(0, -cut)))
		}
		out = append(out, items)
		lines = rest
	}
	return out
}

// setHeight is how far down set lines reach.
func setHeight(lines []Item, size float64) float64 {
	h := 0.0
	for _, l := range lines {
		h = math.Max(h, l.(Text).At.Y+0.25*size)
	}
	return h
}

// setParagraphs sets paragraphs one under the other, from y = 0.
func setParagraphs(list []cardText, size, width float64) []Item {
	var out []Item
	y := 0.0
	for _, p := range list {
		x := 0.0
		if p.head != "" {
			head := p.head + " "
			out = append(out, Text{At: Point{0, y + size}, SizeMM: size, Bold: true, Ink: Black, Text: p.head})
			x = TextWidth(head, size, true)
		}
		for i, l := range wrapAfter(p.text, size, width, x) {
			at := Point{0, y + size}
			if i == 0 {
				at.X = x
			}
			out = append(out, Text{At: at, SizeMM: size, Ink: Black, Text: l})
			y += size * 1.22
		}
		y += size * 0.28
	}
	return out
}

// wrapAfter breaks a text whose first line starts after a heading of x mm.
func wrapAfter(s string, size, width, x float64) []string {
	words := wordsOf(s)
	first := ""
	for len(words) > 0 {
		next := strings.TrimSpace(first + " " + words[0])
		if x+TextWidth(next, size, false) > width {
			break
		}
		first, words = next, words[1:]
	}
	return append([]string{first}, wrap(words, size, width, false)...)
}

// cardHeading is the number, the paint, the tool and the minutes.
func (b *Bench) cardHeading(pass *facings.Pass, w float64, again bool) []Item {
	number := fmt.Sprint(pass.Number)
	box := math.Max(14, TextWidth(number, 7.5, true)+4)
	items := []Item{
		Fill(Rect(cardEdge, 3.5, cardEdge+box, 14), Black),
		Text{At: Point{cardEdge + box/2 - TextWidth(number, 7.5, true)/2, 11.4}, SizeMM: 7.5, Bold: true, Ink: White, Text: number},
	}
	x := cardEdge + box + 2.5
	right := w - cardEdge
	if c, err := ParseHex(pass.Look.Hex); err == nil {
		sample := Fill(Rect(right-10.5, 3.6, right-0.1, 9.4), c)
		sample.Stroke, sample.WidthMM = &RGB{}, 0.2
		items = append(items, sample)
		right -= 12.5
	}
	title := pass.Name()
	if again {
		title += ", continued"
	}
	size := 4.8
	for size > 3.4 && TextWidth(Printable(title), size, true) > right-x {
		size -= 0.2
	}
	items = append(items, Text{At: Point{x, 8}, SizeMM: size, Bold: true, Ink: Black, Text: Clip(title, size, right-x, true)})
	line := strings.Join(nonEmpty(pass.Tool, string(pass.Technique), fmt.Sprintf("%.0f min", math.Ceil(float64(pass.Minutes)-1e-9)), b.when(pass)), " · ")
	size = 3.2
	for size > 2.4 && TextWidth(Printable(line), size, false) > w-cardEdge-x {
		size -= 0.1
	}
	items = append(items, Text{At: Point{x, 13.4}, SizeMM: size, Ink: Black, Text: Clip(line, size, w-cardEdge-x, false)})
	return items
}

func nonEmpty(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// when says in which sitting a pass starts.
func (b *Bench) when(pass *facings.Pass) string {
	if s := b.sittingOf(pass.Number); s != nil {
		return "sitting " + fmt.Sprint(s.Number) + ", " + s.Start.Format("Mon 2 Jan")
	}
	return ""
}

// sittingOf is the first sitting that a pass is worked on in.
func (b *Bench) sittingOf(number int) *facings.Sitting {
	for i := range b.Order.Sittings {
		for _, n := range b.Order.Sittings[i].Passes {
			if n == number {
				return &b.Order.Sittings[i]
			}
		}
	}
	return nil
}

// cardWords are a card's paragraphs, the most needed first; the caution stands
// at the very top.
func (b *Bench) cardWords(pass *facings.Pass) []cardText {
	var out []cardText
	add := func(head, text string) {
		if text != "" {
			out = append(out, cardText{head, text})
		}
	}
	if pass.Caution != "" {
		add("CAUTION", pass.Caution)
	}
	if len(pass.Mix) > 0 {
		add("Mix", mixDrops(pass.Mix, pass.Drops)+" (drops)")
	} else if pass.Drops > 0 {
		add("Put out", fmt.Sprintf("%.0f drops", math.Ceil(pass.Drops)))
	}
	for _, on := range byAreas(b.Coats, pass) {
		add(strings.Join(on.areas, ", ")+":", figureWords(b.Roster, on.figures))
	}
	if len(pass.AlsoCover) > 0 {
		add("Go over too", "where the same colour is wanted: "+strings.Join(pass.AlsoCover, ", "))
	}
	add("KEEP OFF", strings.Join(pass.KeepOff, ", "))
	if pass.Wait >= 0.5 {
		add("Wait", fmt.Sprintf("%.0f min before this", float64(pass.Wait)))
	}
	if pass.Look.Name != "" {
		add("Shows", pass.Look.Name)
	}
	return out
}
