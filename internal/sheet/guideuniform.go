package sheet

import (
	"fmt"
	"slices"
	"strings"

	"facings"
)

// uniforms is, unit by unit, sources and doubts, a numbered key, and what every
// area gets.
func (g *guideMaker) uniforms() []Block {
	out := []Block{Words{"", "Numbers in the tables are those in the drawings above them; an area without one is not on the figure drawn. Where a colour goes over the light from above it is named as it shows on the whole area; an asterisk marks a guess."}}
	for i := range g.Project.Units {
		u := &g.Project.Units[i]
		out = append(out, Heading{Text: u.Name})
		out = append(out, g.unitWords(u)...)
		var names []string
		if i < len(g.shots.Units) {
			bodies := g.shots.Units[i].Bodies
			for k, b := range bodies {
				if len(bodies) > 1 {
					id := g.Roster.Figures[b.Figure].ID
					out = append(out, Words{upperFirst(facings.SingleName(id.Role, id.Number)), ""})
				}
				out = append(out, Gallery{Shots: b.Keys, Columns: 2, MostMM: 84})
				if len(bodies) > 1 { // numbers count anew for each body: a table of its own
					out = append(out, g.scheme(u, b.Names, g.Roster.Figures[b.Figure].Body.Name)...)
				}
				if k == 0 {
					names = b.Names
				}
			}
			if len(bodies) > 1 {
				continue
			}
		}
		out = append(out, g.scheme(u, names, "")...)
	}
	return out
}

func (g *guideMaker) unitWords(u *facings.Unit) []Block {
	var roles []string
	for _, r := range u.Roles {
		roles = append(roles, facings.CountedRole(r.Count, r.Name))
	}
	out := []Block{Words{"Who", list(roles) + "."}}
	sentence := func(s string) string { return upperFirst(strings.TrimRight(s, ".")) + "." }
	add := func(head, text string) {
		if text != "" {
			out = append(out, Words{head, sentence(text)})
		}
	}
	add("Source", u.Source)
	add("Doubts", u.Uncertain)
	if f := u.Flag; f != nil {
		size := fmt.Sprintf("%.0f × %.0f mm on the model", f.FlyMM/g.Project.FlagScale(), f.HoistMM/g.Project.FlagScale())
		if f.Design != "" {
			size = strings.TrimRight(f.Design, ".") + "; " + size
		}
		add("Flag", size)
		add("Source of the flag", f.Source)
	}
	return out
}

// schemeRow is one finish of one area and the figures that get it.
type schemeRow struct {
	area    string
	finish  facings.Finish
	figures []int
	from    map[string]bool // what decided: "unit", "role", "trait", "figure"
}

// scheme is the table of what every area of a unit gets; body, if not "", keeps
// to figures of that kind.
func (g *guideMaker) scheme(u *facings.Unit, names []string, body string) []Block {
	rows, figures := g.schemeRows(u, body)
	table := Rows{Caption: "Scheme of " + u.Name, Columns: []Column{{"no.", 0.045, true}, {"area", 0.145, false}, {"finish and its coats", 0.41, false}, {"shows", 0.19, false}, {"who", 0.21, false}}}
	var notes []Block
	noted := map[string]bool{}
	last := ""
	for _, r := range rows {
		number, area := "", ""
		if r.area != last {
			if k := slices.Index(names, r.area); k >= 0 {
				number = itoa(k + 1)
			}
			area = r.area
		}
		last = r.area
		look, known := g.finalLook(r)
		cell := Cell{Text: shownAs(look)}
		if known {
			cell.Look = &look
		}
		table.Lines = append(table.Lines, []Cell{{Text: number}, {Text: area}, {Text: finishWords(r.finish)}, cell, {Text: g.schemeWho(u, r, figures)}})
		if f := r.finish; (f.Source != "" || f.Uncertain != "") && !noted[f.Name] {
			noted[f.Name] = true
			notes = append(notes, Words{upperFirst(f.Name), strings.Join(nonEmpty(prefixed("source: ", f.Source), prefixed("doubts: ", f.Uncertain)), "; ") + "."})
		}
	}
	return append([]Block{table}, notes...)
}

func prefixed(head, text string) string {
	if text == "" {
		return ""
	}
	return head + text
}

func (g *guideMaker) schemeRows(u *facings.Unit, body string) ([]*schemeRow, []int) {
	var areas []string
	by := map[string][]*schemeRow{}
	var figures []int
	for _, f := range members(g.Roster, u.Name) {
		if body != "" && f.Body.Name != body {
			continue
		}
		figures = append(figures, f.Index)
		_, role, ok := g.Project.UnitAt(f.ID)
		if !ok {
			continue
		}
		for _, a := range f.Body.Areas {
			if by[a.Name] == nil {
				areas = append(areas, a.Name)
			}
			chosen := g.Project.Choose(u, role, f.ID.Number, f.Traits, a.Name)
			finish, ok := g.Project.FindFinish(chosen.Finish)
			if !ok {
				continue
			}
			i := slices.IndexFunc(by[a.Name], func(r *schemeRow) bool { return r.finish.Name == finish.Name })
			if i < 0 {
				i = len(by[a.Name])
				by[a.Name] = append(by[a.Name], &schemeRow{area: a.Name, finish: finish, from: map[string]bool{}})
			}
			r := by[a.Name][i]
			r.figures = append(r.figures, f.Index)
			r.from[chosen.From] = true
		}
	}
	InCatalogueOrder(areas)
	var out []*schemeRow
	for _, a := range areas {
		slices.SortStableFunc(by[a], func(x, y *schemeRow) int { return len(y.figures) - len(x.figures) })
		out = append(out, by[a]...)
	}
	return out, figures
}

// InCatalogueOrder sorts areas as the catalogue of areas has them, which is how a
// guide numbers and lists them.
func InCatalogueOrder(areas []string) {
	order := facings.Catalogue()
	slices.SortStableFunc(areas, func(a, b string) int { return placeOf(order, a) - placeOf(order, b) })
}

// placeOf is an area's place in the catalogue; what a project added comes last.
func placeOf(order []facings.AreaSpec, area string) int {
	if i := slices.IndexFunc(order, func(a facings.AreaSpec) bool { return a.Name == area }); i >= 0 {
		return i
	}
	return len(order)
}

// finishWords is a finish with its coats: "toned steel: steel, black wash over
// 40 % (wash)".
func finishWords(f facings.Finish) string {
	if len(f.Coats) == 0 {
		return "left as undercoated"
	}
	var coats []string
	for _, c := range f.Coats {
		words := c.Paint
		if c.Technique != "" && c.Technique != facings.Brush {
			words += ", " + map[facings.Technique]string{facings.WashOn: "washed", facings.Drybrush: "drybrushed", facings.Dot: "dotted", facings.Line: "in lines",
				facings.Glaze: "glazed", facings.Spray: "sprayed"}[c.Technique]
		}
		if c.CoverPercent > 0 && c.CoverPercent < 100 {
			words += fmt.Sprintf(" over %.0f"+nbsp+"%%", c.CoverPercent)
		}
		if c.Note != "" {
			words += " (" + c.Note + ")"
		}
		coats = append(coats, words)
	}
	if len(coats) == 1 && coats[0] == f.Name {
		return f.Name
	}
	return f.Name + ": " + strings.Join(coats, "; then ")
}

// finalLook is what an area shows when all its coats are on, on the first of the
// row's figures.
func (g *guideMaker) finalLook(r *schemeRow) (facings.Look, bool) {
	if len(r.figures) == 0 {
		return facings.Look{}, false
	}
	figure := r.figures[0]
	var out facings.Look
	for _, l := range g.Coats.LeftOut {
		if l.Figure == figure && l.Area == r.area {
			out = l.Already
		}
	}
	for _, t := range g.Coats.Tasks {
		if t.Figure == figure && t.Area == r.area && t.Look.Hex != "" && (t.Stage == facings.StagePaint || t.Stage == facings.StageAfterVarnish) && t.Kind != facings.Varnish {
			out = t.Look
		}
	}
	if out.Hex == "" && len(r.finish.Coats) == 0 && g.shots.Bare != nil {
		if spec, ok := g.Roster.Figures[figure].Body.Area(r.area); ok {
			out = g.shots.Bare(spec.Exposure)
		}
	}
	return out, out.Hex != ""
}

// schemeWho says who gets a finish: nothing if all do, the trait if one decides.
func (g *guideMaker) schemeWho(u *facings.Unit, r *schemeRow, all []int) string {
	if len(r.figures) == len(all) {
		return "all"
	}
	if len(r.from) == 1 && r.from["trait"] {
		var by traitValues
		for _, f := range r.figures {
			by.add(g.traitOf(f, r.area))
		}
		return fmt.Sprintf("%s (%d)", by.words(), len(r.figures))
	}
	return g.withinUnit(u.Name, r.figures)
}

// withinUnit names figures of one unit without naming the unit.
func (g *guideMaker) withinUnit(unit string, figures []int) string {
	alone := &facings.Roster{}
	var there []int
	for i, f := range g.Roster.Figures {
		if f.ID.Unit != unit {
			continue
		}
		if slices.Contains(figures, i) {
			there = append(there, len(alone.Figures))
		}
		alone.Figures = append(alone.Figures, f)
	}
	return figureWords(alone, there)
}
