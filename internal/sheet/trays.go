package sheet

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"facings"
)

// TrayOptions say how movement-tray labels are printed.
type TrayOptions struct {
	Paper  Paper
	EdgeMM float64 // of tray around the bases, on all sides, 0 to MaxEdgeMM
	// Colours gives what each finish, mix and paint shows as "#rrggbb".
	Colours map[string]string
}

// MaxEdgeMM bounds a tray's edge.
const MaxEdgeMM = 30

// TraySize is one label as printed, mm, the edge counted in.
type TraySize struct {
	Unit    string  `json:"unit"`
	WidthMM float64 `json:"width_mm"`
	DepthMM float64 `json:"depth_mm"`
	Figures int     `json:"figures"`
	Ranks   int     `json:"ranks"`
	Files   int     `json:"files"`
	Parts   int     `json:"parts"` // that it is printed in
}

// ErrNoTrays says that there is nothing to print.
var ErrNoTrays = errors.New("no unit of the project has figures to stand on a tray")

// Trays prints a label for the movement tray of every unit: as large as the
// unit's bases in its formation and the tray's edge, nested on pages. A label
// larger than the paper comes in parts that meet between two bases.
func Trays(p *facings.Project, r *facings.Roster, o TrayOptions) (*Document, []TraySize, error) {
	if !(o.EdgeMM >= 0 && o.EdgeMM <= MaxEdgeMM) {
		return nil, nil, fmt.Errorf("an edge of %g mm is out of range; give 0 to %d", o.EdgeMM, MaxEdgeMM)
	}
	var blocks []block
	var sizes []TraySize
	for i := range p.Units {
		u := &p.Units[i]
		figures := members(r, u.Name)
		if len(figures) == 0 {
			continue
		}
		t := &tray{unit: u, s: stand(p, u, figures), edge: o.EdgeMM, colour: colours(o.Colours)}
		parts := t.parts(o.Paper)
		for n, part := range parts {
			blocks = append(blocks, t.block(part, n, len(parts)))
		}
		sizes = append(sizes, TraySize{u.Name, t.width(), t.depth(), len(figures), len(t.s.deep), len(t.s.wide), len(parts)})
	}
	if len(blocks) == 0 {
		return nil, nil, ErrNoTrays
	}
	d, err := nest(blocks, o.Paper, "Movement trays: "+p.Name, trayKey)
	if errors.Is(err, ErrTooBig) {
		err = fmt.Errorf("%w with its marks and text; one base, or the edge, is wider than the paper", err)
	}
	return d, sizes, err
}

const trayKey = "Print at 100 %, never “fit to page”: the ruler must measure 50 mm. Cut along the outline; the marks stand clear of it. " +
	"Pale lines are the bases. Glue the label to the tray, or to thin card, its front to the front. " + facings.CautionBlade

// tray is a unit's label to be.
type tray struct {
	unit   *facings.Unit
	s      *standing
	edge   float64
	colour func(string) RGB
}

func (t *tray) width() float64 { return t.s.width() + 2*t.edge }
func (t *tray) depth() float64 { return t.s.depth() + 2*t.edge }

// trayPart is the files and ranks of one piece, counted from 0, from and up to.
type trayPart struct{ files, ranks [2]int }

const trayMarks = markGap + markLength

// parts cuts a tray that no page holds, upright or on its side, between files
// and then between ranks.
func (t *tray) parts(paper Paper) []trayPart {
	in := paper.Inside()
	across := in.W() - 2*trayMarks
	down := in.H() - headerMM - footerMM - 2*trayMarks - 3*captionTall
	cut := func(w, h float64) (out []trayPart) {
		for _, ranks := range runs(t.s.deep, h-2*t.edge) {
			for _, files := range runs(t.s.wide, w-2*t.edge) {
				out = append(out, trayPart{files, ranks})
			}
		}
		return out
	}
	upright, aside := cut(across, down), cut(down, across)
	if len(aside) < len(upright) {
		return aside
	}
	return upright
}

// box is a part's place on the whole label, its outer edges counted in.
func (t *tray) box(p trayPart) Box {
	a, b := t.s.corner(p.files[0], p.ranks[0]), t.s.corner(p.files[1], p.ranks[1])
	out := Box{a.X + t.edge, a.Y + t.edge, b.X + t.edge, b.Y + t.edge}
	if p.files[0] == 0 {
		out.X0 = 0
	}
	if p.ranks[0] == 0 {
		out.Y0 = 0
	}
	if p.files[1] == len(t.s.wide) {
		out.X1 = t.width()
	}
	if p.ranks[1] == len(t.s.deep) {
		out.Y1 = t.depth()
	}
	return out
}

// block draws a part with its marks, and its sizes under it.
func (t *tray) block(p trayPart, n, parts int) block {
	b := t.box(p)
	w := math.Max(b.W()+2*trayMarks, narrowestCap)
	items := Moved(t.draw(p, b, n, parts), Translate((w-b.W())/2, trayMarks))
	caption := fmt.Sprintf("%s: %s × %s mm", t.unit.Name, mm(t.width()), mm(t.depth()))
	if t.edge > 0 {
		caption += fmt.Sprintf(" with an edge of %s mm", mm(t.edge))
	}
	if parts > 1 {
		caption += fmt.Sprintf(", part %d of %d, this one %s × %s mm; join at the dashed line", n+1, parts, mm(b.W()), mm(b.H()))
	}
	return newBlock(items, caption+".", w, b.H()+2*trayMarks, true)
}

// pale is the ink of lines that words stand on.
var pale = RGB{205, 205, 205}

// draw draws one part from its own top left corner.
func (t *tray) draw(p trayPart, b Box, n, parts int) []Item {
	var bases Path
	for _, x := range t.s.bases {
		if f := x.figure; f.File > p.files[0] && f.File <= p.files[1] && f.Rank > p.ranks[0] && f.Rank <= p.ranks[1] {
			at := Point{x.at.X + t.edge - b.X0, x.at.Y + t.edge - b.Y0}
			bases.Add(Rect(at.X, at.Y, at.X+x.size.WidthMM, at.Y+x.size.DepthMM))
		}
	}
	items := []Item{Stroke(bases, pale, 0.1)}
	if n == 0 {
		items = append(items, t.label(b.W(), b.H())...)
	} else {
		text := fmt.Sprintf("%s, part %d of %d", t.unit.Name, n+1, parts)
		words := []Item{centred(Clip(text, 3, b.W()-2*t.inset(), true), 0, 1.5, 3, true)}
		items = append(items, Moved(onWhite(words, 3), Translate(b.W()/2, b.H()/2-1.5))...)
	}
	items = append(items, t.outline(p, b)...)
	return append(items, Stroke(cropMarks(b.W(), b.H(), markGap, trayMarks), Black, markWidth))
}

// outline is the line to cut along: the middle of the stroke is the tray's
// edge. Where the next part is joined it is dashed.
func (t *tray) outline(p trayPart, b Box) []Item {
	var cut Path
	side := func(x0, y0, x1, y1 float64, whole bool) {
		long := math.Hypot(x1-x0, y1-y0)
		step, dash := long, long
		if !whole {
			step, dash = 2.5, 1.5
		}
		for s := 0.0; s < long-1e-9; s += step {
			e := math.Min(s+dash, long)
			cut.Move(x0+(x1-x0)*s/long, y0+(y1-y0)*s/long)
			cut.Line(x0+(x1-x0)*e/long, y0+(y1-y0)*e/long)
		}
	}
	side(0, 0, b.W(), 0, p.ranks[0] == 0)
	side(b.W(), 0, b.W(), b.H(), p.files[1] == len(t.s.wide))
	side(b.W(), b.H(), 0, b.H(), p.ranks[1] == len(t.s.deep))
	side(0, b.H(), 0, 0, p.files[0] == 0)
	items := []Item{Stroke(cut, Black, 0.15)}
	if p.ranks[0] == 0 { // an arrow to the front
		x := b.W()/2 - 2.5
		items = append(items, Fill(Rect(x-1.8, 0.4, x+7.2, 3.2), White),
			Fill(Polygon(Point{x, 0.9}, Point{x + 1.1, 2.6}, Point{x - 1.1, 2.6}), Black),
			Text{At: Point{x + 1.8, 2.6}, SizeMM: 1.9, Ink: Black, Text: "front"})
	}
	return items
}

// inset is the white around a label's words, mm.
func (t *tray) inset() float64 { return t.edge + 2 }

// centred is a line of text about x, its middle near y.
func centred(s string, x, y, size float64, bold bool) Item {
	return Text{At: Point{x - TextWidth(s, size, bold)/2, y + 0.35*size}, SizeMM: size, Bold: bold, Ink: Black, Text: s}
}

// label sets what is to be read on a tray, as large as fits: the name, the arms
// and figures, the facings with samples, the sizes. Words that find no room in
// the smallest type are left out, the last first.
func (t *tray) label(w, h float64) []Item {
	for size := math.Min(5, h/7); ; size *= 0.92 {
		items, tall := t.set(size, w-2*t.inset(), math.Inf(1))
		if smallest := size < 1.7; tall <= h-2*t.inset() || smallest {
			if smallest {
				items, tall = t.set(1.7, w-2*t.inset(), h-2*t.inset())
			}
			return Moved(onWhite(items, tall), Translate(w/2, (h-tall)/2))
		}
	}
}

// onWhite puts white under items about x = 0 that reach down to tall, so that the
// lines of the bases stop short of the words.
func onWhite(items []Item, tall float64) []Item {
	w := wordsWidth(items)/2 + 1
	return append([]Item{Fill(Rect(-w, -0.6, w, tall+0.6), White)}, items...)
}

// wordsWidth is how wide items about x = 0 are.
func wordsWidth(items []Item) float64 {
	w := 0.0
	for _, it := range items {
		switch it := it.(type) {
		case Text:
			w = math.Max(w, math.Max(-it.At.X, it.At.X+TextWidth(it.Text, it.SizeMM, it.Bold)))
		case Shape:
			w = math.Max(w, -it.Path.Bounds().X0)
		}
	}
	return 2 * w
}

// set sets the label's lines about x = 0 from y = 0 down, no further than most,
// and says how far they reach.
func (t *tray) set(size, width, most float64) (items []Item, y float64) {
	line := func(text string, size float64, bold bool) {
		lines := Wrap(text, size, width, bold)
		if y+1.3*size*float64(len(lines)) > most {
			return
		}
		for _, l := range lines {
			items = append(items, centred(l, 0, y+0.65*size, size, bold))
			y += 1.3 * size
		}
	}
	name := 1.7 * size
	for name > 1.7 && TextWidth(Printable(t.unit.Name), name, true) > width {
		name *= 0.95
	}
	line(t.unit.Name, name, true)
	var figures []facings.Figure
	for _, b := range t.s.bases {
		figures = append(figures, b.figure)
	}
	line(armsOf(figures)+", "+counted(len(figures), "figure"), size, false)
	line(t.roles(), 0.8*size, false)
	y += 0.4 * size
	for _, row := range t.swatchRows(size, width) {
		if y+1.9*size > most {
			break
		}
		items = append(items, Moved(row, Translate(0, y))...)
		y += 1.9 * size
	}
	y += 0.2 * size
	line(t.s.words()+", "+t.s.baseWords(), 0.8*size, false)
	return items, y
}

// roles counts a unit's figures by role, in the project's order.
func (t *tray) roles() string {
	var out []string
	for _, r := range t.unit.Roles {
		n := 0
		for _, b := range t.s.bases {
			if b.figure.ID.Role == r.Name {
				n++
			}
		}
		switch {
		case n == 1:
			out = append(out, r.Name)
		case n > 1:
			out = append(out, fmt.Sprintf("%d × %s", n, r.Name))
		}
	}
	return strings.Join(out, ", ")
}

// facing is one finish of the coat and its facings, and where it goes.
type facing struct {
	finish string
	areas  []string
}

// facings lists a unit's coat and facings, those alike together.
func (t *tray) facings() []facing {
	var out []facing
	for _, area := range []string{"jacket", "over-jacket", "collar", "cuffs", "lapels", "turnbacks"} {
		finish := t.unit.Scheme[area]
		if finish == "" || finish == "leave" {
			continue
		}
		if i := slices.IndexFunc(out, func(f facing) bool { return f.finish == finish }); i >= 0 {
			out[i].areas = append(out[i].areas, area)
		} else {
			out = append(out, facing{finish, []string{area}})
		}
	}
	return out
}

// swatchRows are the samples with their names, as many side by side as fit,
// each row about x = 0 with its top at y = 0.
func (t *tray) swatchRows(size, width float64) [][]Item {
	var rows [][]Item
	var row []Item
	x := 0.0
	end := func() {
		if len(row) > 0 {
			rows = append(rows, Moved(row, Translate(-(x-size)/2, 0)))
		}
		row, x = nil, 0
	}
	for _, f := range t.facings() {
		sample := 2.2 * size
		text := Clip(strings.Join(f.areas, ", ")+": "+f.finish, size, width-sample-0.5*size, false)
		wide := sample + 0.5*size + TextWidth(text, size, false)
		if x > 0 && x+wide > width {
			end()
		}
		box := Fill(Rect(x, 0.1*size, x+sample, 1.5*size), t.colour(f.finish))
		box.Stroke, box.WidthMM = &RGB{}, 0.15
		row = append(row, box, Text{At: Point{x + sample + 0.5*size, 1.15 * size}, SizeMM: size, Ink: Black, Text: text})
		x += wide + size
	}
	end()
	return rows
}
