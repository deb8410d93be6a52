package sheet

import "strings"

// column of a printed table.
type column struct {
	title string
	width float64 // mm; one column may have 0, which takes what is left
	right bool    // set to the right
	box   bool    // a box to tick, without text
}

// section is rows under a heading of their own.
type section struct {
	heading string
	before  []string // lines above the rows
	rows    [][]string
	notes   []string // lines under the rows
}

// table prints sections of rows on as many pages as they need, columns titled
// on each.
type table struct {
	title, subtitle string
	columns         []column
	sections        []section
	size            float64 // em of the rows, mm
	wrap            bool    // long cells take more lines, rather than an ellipsis
}

// gap is the white at the right of a column, mm: more where a number ends at it,
// none at the margin.
func (t *table) gap(i int) float64 {
	switch {
	case i == len(t.columns)-1 && t.columns[i].right:
		return 0
	case t.columns[i].right:
		return 3.5
	}
	return 1.5
}

type pager struct {
	d     *Document
	paper Paper
	t     *table
	y     float64
	items []Item
}

// print sets the table.
func (t *table) print(paper Paper) *Document {
	d, _ := t.set(paper)
	return d
}

// set sets the table and says how far down it reaches on its last page, mm from
// the margin. A few rows left for a page of their own are taken in by setting all
// a little smaller, where that is enough.
func (t *table) set(paper Paper) (*Document, float64) {
	d, y := t.setAs(paper)
	for _, k := range []float64{0.97, 0.94} {
		if len(d.Pages) < 2 || y > paper.Inside().H()/4 {
			break
		}
		smaller := *t
		smaller.size *= k
		if fewer, at := smaller.setAs(paper); len(fewer.Pages) < len(d.Pages) {
			return fewer, at
		}
	}
	return d, y
}

func (t *table) setAs(paper Paper) (*Document, float64) {
	g := &pager{d: &Document{Title: t.title}, paper: paper, t: t}
	left := paper.Inside().W()
	for _, c := range t.columns {
		left -= c.width
	}
	for i := range t.columns {
		if t.columns[i].width == 0 {
			t.columns[i].width = left
		}
	}
	g.begin()
	for _, s := range t.sections {
		if s.heading != "" {
			first := t.size * 1.4
			if len(s.rows) > 0 {
				_, first = g.cells(s.rows[0])
			}
			g.need(t.size*(2.9+1.4*float64(len(s.before))) + first) // never a heading alone
			g.y += t.size * 1.1
			g.put(0, t.size*1.15, true, Clip(s.heading, t.size*1.15, paper.Inside().W(), true))
			g.y += t.size * 1.8
		}
		g.notes(s.before)
		for _, row := range s.rows {
			g.row(row)
		}
		g.notes(s.notes)
	}
	g.end()
	n := len(g.d.Pages)
	for i := range g.d.Pages {
		if n == 1 {
			break
		}
		in := paper.Inside()
		g.d.Pages[i].Items = append(g.d.Pages[i].Items, rightText("page "+itoa(i+1)+" of "+itoa(n), in.X1, in.Y0+3.6, 2.6))
	}
	return g.d, g.y
}

// put sets text at x from the margin, on the line at y.
func (g *pager) put(x, size float64, bold bool, s string) {
	in := g.paper.Inside()
	g.items = append(g.items, Text{At: Point{in.X0 + x, in.Y0 + g.y + size}, SizeMM: size, Bold: bold, Ink: Black, Text: s})
}

// notes sets lines that have the width of the page.
func (g *pager) notes(list []string) {
	for _, n := range list {
		for _, l := range Wrap(n, g.t.size, g.paper.Inside().W(), false) {
			g.need(g.t.size * 1.4)
			g.put(0, g.t.size, false, l)
			g.y += g.t.size * 1.4
		}
	}
}

func (g *pager) begin() {
	in := g.paper.Inside()
	g.items, g.y = nil, 0
	size := titleSize(g.t.title, 4.2, in.W()-25)
	g.put(0, size, true, Clip(g.t.title, size, in.W()-25, true))
	g.y = 6.6
	for _, l := range Wrap(g.t.subtitle, 2.6, in.W(), false) {
		g.put(0, 2.6, false, l)
		g.y += 3.5
	}
	g.y += 1
	x := 0.0
	for i, c := range g.t.columns {
		if c.right {
			end := in.X0 + x + c.width - g.t.gap(i)
			g.items = append(g.items, Text{At: Point{end - TextWidth(c.title, 2.6, true), in.Y0 + g.y + 2.6}, SizeMM: 2.6, Bold: true, Ink: Black, Text: c.title})
		} else {
			g.put(x, 2.6, true, c.title)
		}
		x += c.width
	}
	g.y += 3.8
	g.rule(0.25)
}

func (g *pager) rule(width float64) {
	in := g.paper.Inside()
	y := in.Y0 + g.y
	g.items = append(g.items, Stroke(Polyline(Point{in.X0, y}, Point{in.X1, y}), Black, width))
	g.y += 0.4
}

func (g *pager) end() {
	g.d.Pages = append(g.d.Pages, Page{Paper: g.paper, Items: g.items})
}

// need starts a new page if so many mm are not left.
func (g *pager) need(h float64) {
	if g.y+h > g.paper.Inside().H() {
		g.end()
		g.begin()
	}
}

// cells breaks a row's cells into lines, and says how tall it is.
func (g *pager) cells(cells []string) ([][]string, float64) {
	size := g.t.size
	lines := make([][]string, len(cells))
	most := 1
	for i, s := range cells {
		w := g.t.columns[i].width - g.t.gap(i)
		if g.t.wrap && !g.t.columns[i].right {
			lines[i] = Wrap(s, size, w, false)
		} else {
			lines[i] = []string{Clip(s, size, w, false)}
		}
		most = max(most, len(lines[i]))
	}
	return lines, (float64(most)*rowLead + 0.55) * size
}

// rowLead is from line to line of a cell, ems.
const rowLead = 1.25

func (g *pager) row(cells []string) {
	size := g.t.size
	in := g.paper.Inside()
	lines, tall := g.cells(cells)
	g.need(tall)
	x := 0.0
	for i, c := range g.t.columns {
		switch {
		case c.box:
			y := in.Y0 + g.y + size*0.3
			box := Stroke(Rect(in.X0+x+0.2, y, in.X0+x+0.2+size, y+size), Black, 0.25)
			g.items = append(g.items, box)
		case i < len(lines):
			for j, l := range lines[i] {
				at := in.Y0 + g.y + size*1.15 + float64(j)*rowLead*size
				if c.right {
					g.items = append(g.items, rightText(l, in.X0+x+c.width-g.t.gap(i), at, size))
				} else if strings.TrimSpace(l) != "" {
					g.items = append(g.items, Text{At: Point{in.X0 + x, at}, SizeMM: size, Ink: Black, Text: l})
				}
			}
		}
		x += c.width
	}
	g.y += tall
	y := in.Y0 + g.y
	g.items = append(g.items, Stroke(Polyline(Point{in.X0, y}, Point{in.X1, y}), RGB{170, 170, 170}, 0.08))
}
