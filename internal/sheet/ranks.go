package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"facings"
)

// Ranks prints each unit as it stands, its bases at their true size, and who
// is who. A unit wider than the paper is drawn in parts.
func Ranks(p *facings.Project, r *facings.Roster, paper Paper) *Document {
	d := &Document{Title: "Ranks: " + p.Name}
	for i := range p.Units {
		u := &p.Units[i]
		for j := range r.Units {
			if r.Units[j].Unit == u.Name {
				y := planUnit(d, p, u, r, paper)
				rosterUnit(d, p, u, r, paper, y)
			}
		}
	}
	return d
}

// members are a unit's figures by rank and file.
func members(r *facings.Roster, unit string) []facings.Figure {
	var out []facings.Figure
	for _, f := range r.Figures {
		if f.ID.Unit == unit {
			out = append(out, f)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Rank != out[j].Rank {
			return out[i].Rank < out[j].Rank
		}
		return out[i].File < out[j].File
	})
	return out
}

// planUnit draws a unit's bases, and says how far down the last page they reach.
func planUnit(d *Document, p *facings.Project, u *facings.Unit, r *facings.Roster, paper Paper) float64 {
	in := paper.Inside()
	figures := members(r, u.Name)
	if len(figures) == 0 {
		return math.Inf(1)
	}
	s := stand(p, u, figures)
	const head, foot, between = 17.0, planFoot, 9.0
	var items []Item
	y := math.Inf(1)
	for _, files := range runs(s.wide, in.W()-0.4) {
		for _, ranks := range runs(s.deep, in.H()-head-foot) {
			corner := s.corner(files[0], ranks[0])
			tall := total(s.deep[ranks[0]:ranks[1]]) + between
			if y+tall > in.Y1-foot+between {
				if items != nil {
					d.Pages = append(d.Pages, Page{Paper: paper, Items: items})
				}
				items = planHeading(u, s, paper)
				items = append(items, Ruler(Point{in.X0, in.Y1 - 6.5}, 50)...)
				y = in.Y0 + head
			}
			items = append(items, Text{At: Point{in.X0, y + 2.6}, SizeMM: 2.6, Ink: Black,
				Text: fmt.Sprintf("%s, %s (front above)", stretch("file", files), stretch("rank", ranks))})
			for _, b := range s.bases {
				if f := b.figure; f.File > files[0] && f.File <= files[1] && f.Rank > ranks[0] && f.Rank <= ranks[1] {
					at := Point{in.X0 + 0.1 + b.at.X - corner.X, y + 4 + b.at.Y - corner.Y}
					items = append(items, baseBox(p, u, f, at, b.size)...)
				}
			}
			y += tall
		}
	}
	d.Pages = append(d.Pages, Page{Paper: paper, Items: items})
	return y
}

// planFoot is left to the ruler under a plan.
const planFoot = 12.0

func planHeading(u *facings.Unit, s *standing, paper Paper) []Item {
	in := paper.Inside()
	line := fmt.Sprintf("%s, %s, %s at their true size; frontage %s mm, depth %s mm. Seen from behind the unit, left is left.",
		counted(len(s.bases), "figure"), s.words(), s.baseWords(), mm(s.width()), mm(s.depth()))
	title := "Ranks: " + u.Name
	size := titleSize(title, 4.6, in.W())
	items := []Item{Text{At: Point{in.X0, in.Y0 + 4.2}, SizeMM: size, Bold: true, Ink: Black, Text: Clip(title, size, in.W(), true)}}
	y := in.Y0 + 8.6
	for _, l := range Wrap(line, 2.6, in.W(), false) {
		items = append(items, Text{At: Point{in.X0, y}, SizeMM: 2.6, Ink: Black, Text: l})
		y += 3.3
	}
	return items
}

// shownTrait is the value of a figure's trait, or "" if it can show none: a gun
// has no hair.
func shownTrait(p *facings.Project, f facings.Figure, name string) string {
	for _, t := range p.Traits {
		if t.Name != name {
			continue
		}
		touched := 0
		for _, v := range t.Values {
			for area := range v.Scheme {
				if _, ok := f.Body.Area(area); ok {
					return f.Traits[name]
				}
				touched++
			}
		}
		if touched > 0 {
			return ""
		}
	}
	return f.Traits[name]
}

// baseBox is one base with its figure's name and traits; command has a
// heavier edge.
func baseBox(p *facings.Project, u *facings.Unit, f facings.Figure, at Point, b facings.BaseSize) []Item {
	width := 0.15
	if facings.IsCommand(f.ID.Role) {
		width = 0.6
	}
	inset := width / 2
	items := []Item{Stroke(Rect(at.X+inset, at.Y+inset, at.X+b.WidthMM-inset, at.Y+b.DepthMM-inset), Black, width)}
	size := math.Max(1.6, math.Min(2.4, b.WidthMM/10))
	y := at.Y + 1 + size
	put := func(s string, bold bool) {
		for _, l := range Wrap(s, size, b.WidthMM-2, bold) {
			if y > at.Y+b.DepthMM-0.7 {
				return
			}
			items = append(items, Text{At: Point{at.X + 1, y}, SizeMM: size, Bold: bold, Ink: Black, Text: l})
			y += size * 1.2
		}
	}
	put(facings.SingleName(f.ID.Role, f.ID.Number), true)
	for _, t := range u.Traits {
		if v := shownTrait(p, f, t); v != "" {
			put(t+": "+v, false)
		}
	}
	return items
}

// rosterUnit lists who is who, under the unit's plan, which reaches down to y, if
// there is room for all of it.
func rosterUnit(d *Document, p *facings.Project, u *facings.Unit, r *facings.Roster, paper Paper, y float64) {
	t := &table{title: "Roster: " + u.Name, size: 3, wrap: true,
		columns: []column{{title: "", width: 6, box: true}, {title: "rank", width: 12}, {title: "file", width: 11}, {title: "figure", width: 38}}}
	var about []string
	if u.Source != "" {
		about = append(about, "Source: "+u.Source+".")
	}
	if u.Uncertain != "" {
		about = append(about, "Uncertain: "+u.Uncertain+".")
	}
	t.subtitle = strings.Join(about, " ")
	left := paper.Inside().W() - 67
	n := max(1, len(u.Traits))
	for _, name := range u.Traits {
		t.columns = append(t.columns, column{title: name, width: left / float64(n)})
	}
	var rows [][]string
	for _, f := range members(r, u.Name) {
		row := []string{"", itoa(f.Rank), itoa(f.File), facings.SingleName(f.ID.Role, f.ID.Number)}
		for _, name := range u.Traits {
			row = append(row, shownTrait(p, f, name))
		}
		rows = append(rows, row)
	}
	t.sections = []section{{rows: rows}}
	list, tall := t.set(paper)
	if in := paper.Inside(); len(list.Pages) == 1 && y+tall < in.Y1-planFoot {
		page := &d.Pages[len(d.Pages)-1]
		page.Items = append(page.Items, Moved(list.Pages[0].Items, Translate(0, y-in.Y0))...)
		return
	}
	d.Pages = append(d.Pages, list.Pages...)
}
