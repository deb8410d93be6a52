package sheet

import (
	"fmt"
	"math"
	"slices"
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
	var cards [][]Item
	for i := range b.Order.Passes {
		cards = append(cards, b.card(&b.Order.Passes[i], w, h)...)
	}
	for page := range slices.Chunk(cards, columns*rows) {
		used := Box{in.X0, in.Y0, in.X1, in.Y0 + h*float64((len(page)+columns-1)/columns)}
		items := []Item{cutGrid(used, columns, (len(page)+columns-1)/columns)}
		for slot, card := range page {
			at := Translate(in.X0+w*float64(slot%columns), in.Y0+h*float64(slot/columns))
			items = append(items, Moved(card, at)...)
		}
		d.Pages = append(d.Pages, Page{Paper: paper, Items: items})
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

const (
	cardEdge = 4.0 // white around a card's text, mm
	cardHead = 17.0
)

// card sets one pass: a heading, then all paragraphs as large as they fit.
func (b *Bench) card(pass *facings.Pass, w, h float64) [][]Item {
	paragraphs := b.cardWords(pass)
	inner := w - 2*cardEdge
	if title, _ := cardTitle(pass, w); len(title) > 2 {
		paragraphs = append([]Words{{"Paint", pass.Name()}}, paragraphs...)
	}
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
func setParagraphs(list []Words, size, width float64) []Item {
	var out []Item
	y := 0.0
	for _, p := range list {
		for _, l := range paragraph(p, size, width) {
			out = append(out, Moved(l, Translate(0, y+size))...)
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

const cardNumber = 7.5 // em of a card's number, mm

// cardNumberBox is how wide the box of a card's number is.
func cardNumberBox(pass *facings.Pass) float64 {
	return math.Max(14, TextWidth(itoa(pass.Number), cardNumber, true)+4)
}

// cardTitle is what a card is called: on one line as large as it fits, or on
// several small ones, of which a card has room for two.
func cardTitle(pass *facings.Pass, w float64) (lines []string, size float64) {
	room := w - 2*cardEdge - cardNumberBox(pass) - 2.5
	if pass.Look.Hex != "" {
		room -= 12.5 // for the sample
	}
	for size = 4.8; size > 3.4; size -= 0.2 {
		if lines = Wrap(pass.Name(), size, room, true); len(lines) < 2 {
			return lines, size
		}
	}
	const small = 3.0
	return Wrap(pass.Name(), small, room, true), small
}

// cardHeading is the number, the paint, the tool and the minutes.
func (b *Bench) cardHeading(pass *facings.Pass, w float64, again bool) []Item {
	number := itoa(pass.Number)
	box := cardNumberBox(pass)
	items := []Item{
		Fill(Rect(cardEdge, 3.5, cardEdge+box, 14), Black),
		Text{At: Point{cardEdge + box/2 - TextWidth(number, cardNumber, true)/2, 11.4}, SizeMM: cardNumber, Bold: true, Ink: White, Text: number},
	}
	x := cardEdge + box + 2.5
	right := w - cardEdge
	if c, err := ParseHex(pass.Look.Hex); err == nil {
		sample := Fill(Rect(right-10.5, 3.6, right-0.1, 9.4), c)
		sample.Stroke, sample.WidthMM = &RGB{}, 0.2
		items = append(items, sample)
	}
	title, size := cardTitle(pass, w)
	y := 8.0
	if len(title) > 1 {
		y = 5.9
	}
	for i, l := range title[:min(2, len(title))] {
		if i == 1 && len(title) > 2 {
			l += "…"
		}
		items = append(items, Text{At: Point{x, y}, SizeMM: size, Bold: true, Ink: Black, Text: l})
		y += size * 1.15
	}
	continued := ""
	if again {
		continued = "continued"
	}
	line := strings.Join(nonEmpty(continued, pass.Tool, howWords(pass.Technique), duration(pass.Minutes), b.when(pass)), " · ")
	size = 3.2
	for size > 2.4 && TextWidth(Printable(line), size, false) > w-cardEdge-x {
		size -= 0.1
	}
	return append(items, Text{At: Point{x, 13.4}, SizeMM: size, Ink: Black, Text: Clip(line, size, w-cardEdge-x, false)})
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
func (b *Bench) cardWords(pass *facings.Pass) []Words {
	var out []Words
	add := func(head, text string) {
		if text != "" {
			out = append(out, Words{head, text})
		}
	}
	shows := ""
	if pass.Look.Name != "" {
		shows = "; shows " + strings.ToLower(pass.Look.Name)
	}
	add("CAUTION", cautionOf(pass))
	switch {
	case len(pass.Mix) > 0:
		add("Mix", mixDrops(pass.Mix, pass.Drops)+" (drops)"+shows)
	case pass.Drops > 0:
		add("Put out", b.dropWords(pass)+shows)
	default:
		add("Shows", strings.TrimPrefix(shows, "; shows "))
	}
	for _, on := range byAreas(b.Coats, pass) {
		add(strings.Join(on.areas, ", ")+":", figureWords(b.Roster, on.figures))
	}
	add("Strew on", strings.Join(b.strewn(pass), ", "))
	if len(pass.AlsoCover) > 0 {
		add("Go over too", "where the same colour is wanted: "+strings.Join(pass.AlsoCover, ", "))
	}
	add("KEEP OFF", strings.Join(pass.KeepOff, ", "))
	if pass.Wait >= 0.5 {
		add("Wait", duration(pass.Wait)+" before this")
	}
	return out
}

// dropWords is how many drops to put out, in mL too where nobody counts them.
func (b *Bench) dropWords(pass *facings.Pass) string {
	const counted = 40
	n := int(math.Ceil(pass.Drops))
	words := many(n, "drop", "drops")
	if n <= counted {
		return words
	}
	paint, _ := b.Project.FindPaint(pass.Medium)
	per := paint.DropsPerML
	if per <= 0 {
		per = facings.DefaultDropsPerMillilitre
	}
	return fmt.Sprintf("%s (%.0f mL)", words, math.Ceil(float64(n)/per))
}

// howWords says how a technique lays paint on, "" where its tool says it all.
func howWords(t facings.Technique) string {
	words, known := map[facings.Technique]string{facings.Brush: "brushed on", facings.WashOn: "as a wash", facings.Drybrush: "drybrushed", facings.Dot: "dotted on",
		facings.Line: "in thin lines", facings.Glaze: "as a glaze", facings.Spray: "sprayed", facings.GlueOn: "glued", facings.Prepare: "", facings.Fit: ""}[t]
	if !known {
		return string(t)
	}
	return words
}

// cautionOf adds to a pass's own caution what mounting and gluing calls for.
func cautionOf(pass *facings.Pass) string {
	if pass.Stage == facings.StagePrepare || strings.Contains(strings.ToLower(pass.Medium), "cyano") {
		return strings.TrimSpace(pass.Caution + " " + facings.CautionCyano)
	}
	return pass.Caution
}

// strewn is what goes on the glue of the bases in a pass.
func (b *Bench) strewn(pass *facings.Pass) []string {
	if pass.Stage != facings.StageBase || pass.Technique != facings.GlueOn {
		return nil
	}
	var out []string
	for _, step := range b.Project.Ending {
		if step.Step == facings.EndBase {
			out = append(out, step.Materials...)
		}
	}
	return out
}
