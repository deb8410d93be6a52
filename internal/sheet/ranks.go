package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"facings"
)

// baseOf is a figure's base, mm, where a unit gives none: 20 × 20 on
// foot and 25 × 50 mounted at 28 mm, in proportion to the figures' size
// (common practice).
func baseOf(p *facings.Project, u *facings.Unit) facings.BaseSize {
	if u.Base.WidthMM > 0 && u.Base.DepthMM > 0 {
		return u.Base
	}
	k := p.Size() / facings.NominalSize
	b, ok := p.FindBody(u.Body)
	if _, mounted := b.Area("horse coat"); ok && mounted {
		return facings.BaseSize{WidthMM: 25 * k, DepthMM: 50 * k}
	}
	return facings.BaseSize{WidthMM: 20 * k, DepthMM: 20 * k}
}

// Ranks prints each unit as it stands, its bases at their true size, and who
// is who. A unit wider than the paper is drawn in parts.
func Ranks(p *facings.Project, r *facings.Roster, paper Paper) *Document {
	d := &Document{Title: "Ranks: " + p.Name}
	for i := range p.Units {
		u := &p.Units[i]
		for j := range r.Units {
			if r.Units[j].Unit == u.Name {
				planUnit(d, p, u, r, &r.Units[j], paper)
				rosterUnit(d, u, r, paper)
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

func planUnit(d *Document, p *facings.Project, u *facings.Unit, r *facings.Roster, ur *facings.UnitRoster, paper Paper) {
	in := paper.Inside()
	base := baseOf(p, u)
	figures := members(r, u.Name)
	files, ranks := 0, 0
	for _, f := range figures {
		files, ranks = max(files, f.File), max(ranks, f.Rank)
	}
	if files == 0 {
		return
	}
	const head, foot, between = 17.0, 12.0, 9.0
	across := max(1, int((in.W()-0.4)/base.WidthMM))
	deep := max(1, int((in.H()-head-foot)/base.DepthMM))
	var items []Item
	y := math.Inf(1)
	for f0 := 1; f0 <= files; f0 += across {
		for r0 := 1; r0 <= ranks; r0 += deep {
			f1, r1 := min(files, f0+across-1), min(ranks, r0+deep-1)
			tall := float64(r1-r0+1)*base.DepthMM + between
			if y+tall > in.Y1-foot+between {
				if items != nil {
					d.Pages = append(d.Pages, Page{Paper: paper, Items: items})
				}
				items = planHeading(u, ur, base, files, ranks, len(figures), paper)
				items = append(items, Ruler(Point{in.X0, in.Y1 - 6.5}, 50)...)
				y = in.Y0 + head
			}
			items = append(items, Text{At: Point{in.X0, y + 2.6}, SizeMM: 2.6, Ink: Black,
				Text: fmt.Sprintf("files %d to %d, %s to %d (front above)", f0, f1, "ranks "+itoa(r0), r1)})
			for _, f := range figures {
				if f.File >= f0 && f.File <= f1 && f.Rank >= r0 && f.Rank <= r1 {
					at := Point{in.X0 + 0.1 + float64(f.File-f0)*base.WidthMM, y + 4 + float64(f.Rank-r0)*base.DepthMM}
					items = append(items, baseBox(u, f, at, base)...)
				}
			}
			y += tall
		}
	}
	d.Pages = append(d.Pages, Page{Paper: paper, Items: items})
}

func planHeading(u *facings.Unit, ur *facings.UnitRoster, base facings.BaseSize, files, ranks, n int, paper Paper) []Item {
	in := paper.Inside()
	line := fmt.Sprintf("%d figures, %d ranks of %d files. Bases %s × %s mm at their true size; frontage %s mm, depth %s mm. Seen from behind the unit, left is left.",
		n, ranks, files, mm(base.WidthMM), mm(base.DepthMM), mm(base.WidthMM*float64(files)), mm(base.DepthMM*float64(ranks)))
	items := []Item{Text{At: Point{in.X0, in.Y0 + 4.2}, SizeMM: 4.6, Bold: true, Ink: Black, Text: Clip("Ranks: "+u.Name, 4.6, in.W(), true)}}
	y := in.Y0 + 8.6
	for _, l := range Wrap(line, 2.6, in.W(), false) {
		items = append(items, Text{At: Point{in.X0, y}, SizeMM: 2.6, Ink: Black, Text: l})
		y += 3.3
	}
	return items
}

// baseBox is one base with its figure's name and traits; command has a
// heavier edge.
func baseBox(u *facings.Unit, f facings.Figure, at Point, b facings.BaseSize) []Item {
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
		if v := f.Traits[t]; v != "" {
			put(t+": "+v, false)
		}
	}
	return items
}

// rosterUnit lists who is who.
func rosterUnit(d *Document, u *facings.Unit, r *facings.Roster, paper Paper) {
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
			row = append(row, f.Traits[name])
		}
		rows = append(rows, row)
	}
	t.sections = []section{{rows: rows}}
	d.Pages = append(d.Pages, t.print(paper).Pages...)
}
