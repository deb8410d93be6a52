package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"facings"
)

// used is paints, mixes, undercoat, tools, materials and drying times.
func (g *guideMaker) used() []Block {
	var out []Block
	u := g.Project.Undercoat
	words := fmt.Sprintf("%s from all sides shows %s.", u.Dark, shownAs(g.shots.Dark))
	ground := []Chip{{Name: u.Dark, Note: "undercoat", Samples: []Sample{{g.shots.Dark, "in the shade"}}}}
	if u.Light != "" {
		words += fmt.Sprintf(" Over it goes %s, sprayed from %g° above the horizon, all around the figure: it shows %s where it arrives in full and leaves folds and undersides dark. "+
			"Thin and translucent paints over it shade themselves.", u.Light, g.Project.Elevation(), shownAs(g.shots.Light))
		ground = []Chip{{Name: u.Light + " over " + u.Dark, Note: "undercoat, lit from above", Samples: g.samples(Pair{g.shots.Light, g.shots.Dark})}}
	}
	out = append(out, Heading{Text: "Undercoat"}, Words{"", upperFirst(words)}, Chips{ground})
	out = append(out, Heading{Text: "Paints"}, Words{"", "Each sample is one coat over the undercoat" + g.twoHalves() + ". The amounts are what the whole project takes, losses counted in. An asterisk marks a colour that rests on a guess; see the last chapter."})
	out = append(out, Chips{g.paintChips()})
	if mixes := g.mixRows(); len(mixes.Lines) > 0 {
		out = append(out, Heading{Text: "Mixes"}, mixes)
	}
	out = append(out, Heading{Text: "Tools"}, Words{"", list(g.tools()) + "."})
	if materials := g.materialWords(); materials != "" {
		out = append(out, Heading{Text: "Materials"}, Words{"", materials})
	}
	air := g.Project.Climate()
	return append(out, Heading{Text: "Drying"},
		Words{"", fmt.Sprintf("At %g °C and %g %% relative humidity. These are estimates; what is written on the pot comes first.", air.TemperatureC, air.HumidityPercent)},
		g.drying())
}

func (g *guideMaker) twoHalves() string {
	if g.Project.Undercoat.Light == "" {
		return ""
	}
	return ": on the left where the light from above is full, on the right where there is none"
}

func (g *guideMaker) samples(p Pair) []Sample {
	if g.Project.Undercoat.Light == "" {
		return []Sample{{p.Dark, "over the undercoat"}}
	}
	return []Sample{{p.Light, "in the light"}, {p.Dark, "in the shade"}}
}

func (g *guideMaker) paintChips() []Chip {
	var out []Chip
	for _, n := range g.shopping.Paints {
		pair, ok := g.shots.Swatches[n.Paint]
		if !ok {
			continue
		}
		note := fmt.Sprintf("%s, %s", n.Kind, amount(n.NeedML, "mL"))
		if n.NeedML < 0.05 {
			note = fmt.Sprintf("%s, %s", n.Kind, many(n.Drops, "drop", "drops"))
		}
		if n.Kind == facings.Metallic {
			note += "; metal, approximated"
		}
		out = append(out, Chip{Name: n.Paint, Note: note, Samples: g.samples(pair)})
	}
	return out
}

// mixRows lists the mixes that are used, with the drops of their largest pass.
func (g *guideMaker) mixRows() Rows {
	rows := Rows{Caption: "Mixes", Columns: []Column{{"mix", 0.24, false}, {"parts", 0.32, false}, {"drops for its largest pass", 0.32, false}, {"pass", 0.12, true}}}
	largest := map[string]*facings.Pass{}
	var names []string
	for i := range g.Order.Passes {
		p := &g.Order.Passes[i]
		if len(p.Mix) == 0 {
			continue
		}
		if largest[p.Medium] == nil {
			names = append(names, p.Medium)
		}
		if largest[p.Medium] == nil || p.Drops > largest[p.Medium].Drops {
			largest[p.Medium] = p
		}
	}
	for _, name := range names {
		p := largest[name]
		look := g.shots.Swatches[name].Light
		if g.Project.Undercoat.Light == "" {
			look = g.shots.Swatches[name].Dark
		}
		rows.Lines = append(rows.Lines, []Cell{{Text: name + ": " + shownAs(look), Look: &look}, {Text: partsWords(p.Mix)}, {Text: mixDrops(p.Mix, p.Drops)}, {Text: itoa(p.Number)}})
	}
	return rows
}

func (g *guideMaker) tools() []string {
	var out []string
	for _, p := range g.Order.Passes {
		if p.Tool != "" && !slices.Contains(out, p.Tool) {
			out = append(out, p.Tool)
		}
	}
	slices.Sort(out)
	return out
}

func (g *guideMaker) materialWords() string {
	var out []string
	for _, n := range g.shopping.Materials {
		amount := fmt.Sprintf("%.1f mL", n.NeedML)
		if n.Kind == facings.Texture {
			amount = fmt.Sprintf("%.0f g", math.Ceil(n.NeedG))
		}
		out = append(out, n.Paint+", "+amount)
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "; ") + "."
}

// drying is the drying times of the kinds of paint that are used.
func (g *guideMaker) drying() Rows {
	rows := Rows{Caption: "Drying times", Columns: []Column{{"kind", 0.24, false}, {"touch-dry", 0.19, true}, {"paint over it", 0.19, true}, {"wash over it", 0.19, true}, {"varnish over it", 0.19, true}}}
	used := map[facings.Kind]bool{}
	for _, t := range g.Coats.Tasks {
		used[t.Kind] = true
	}
	for _, k := range facings.Kinds() {
		if used[k] {
			d := g.Project.DryingOf(k)
			rows.Lines = append(rows.Lines, []Cell{{Text: string(k)}, {Text: duration(d.Touch)}, {Text: duration(d.Overcoat)}, {Text: duration(d.WashOver)}, {Text: duration(d.BeforeVarnish)}})
		}
	}
	return rows
}

// manByMan is who stands where and what differs.
func (g *guideMaker) manByMan() []Block {
	out := []Block{Words{"", "What differs from man to man within a unit. Shares are exact as far as whole figures allow, and neighbours differ as much as they can."}}
	for i := range g.Project.Units {
		u := &g.Project.Units[i]
		out = append(out, Heading{Text: u.Name})
		figures := members(g.Roster, u.Name)
		if len(u.Traits) == 0 {
			out = append(out, Words{"", plural(len(figures), "There is only one.", "All figures of a role are alike.")})
		}
		for _, ur := range g.Roster.Units {
			if ur.Unit == u.Name {
				out = append(out, shareWords(ur)...)
			}
		}
		rows := Rows{Caption: "Roster of " + u.Name, Columns: []Column{{"rank, file", 0.13, false}, {"figure", 0.22, false}}}
		for _, t := range u.Traits {
			rows.Columns = append(rows.Columns, Column{t, 0.65 / float64(len(u.Traits)), false})
		}
		for _, f := range figures {
			line := []Cell{{Text: fmt.Sprintf("%d, %d", f.Rank, f.File)}, {Text: facings.SingleName(f.ID.Role, f.ID.Number)}}
			for _, t := range u.Traits {
				line = append(line, Cell{Text: f.Traits[t]})
			}
			rows.Lines = append(rows.Lines, line)
		}
		if len(u.Traits) > 0 {
			out = append(out, rows)
		}
	}
	return out
}

// shareWords says how many figures got each value of each trait.
func shareWords(u facings.UnitRoster) []Block {
	var traits []string
	parts := map[string][]string{}
	for _, s := range u.Shares {
		if parts[s.Trait] == nil {
			traits = append(traits, s.Trait)
		}
		if s.Count > 0 {
			parts[s.Trait] = append(parts[s.Trait], fmt.Sprintf("%d %s", s.Count, s.Value))
		}
	}
	var out []Block
	for _, t := range traits {
		if len(parts[t]) > 0 {
			out = append(out, Words{upperFirst(t), list(parts[t]) + "."})
		}
	}
	return out
}

// leftOut is what need not be painted, and why.
func (g *guideMaker) leftOut() []Block {
	type group struct {
		area, medium, by, already, wanted string
		look                              facings.Look
		figures                           []int
		most                              facings.DeltaE
	}
	var groups []*group
	for _, l := range g.Coats.LeftOut {
		i := slices.IndexFunc(groups, func(x *group) bool {
			return x.area == l.Area && x.medium == l.Medium && x.by == l.By && x.already == l.Already.Name && x.wanted == l.Wanted.Name
		})
		if i < 0 {
			i = len(groups)
			groups = append(groups, &group{area: l.Area, medium: l.Medium, by: l.By, already: l.Already.Name, wanted: l.Wanted.Name, look: l.Already})
		}
		if !slices.Contains(groups[i].figures, l.Figure) {
			groups[i].figures = append(groups[i].figures, l.Figure)
		}
		groups[i].most = max(groups[i].most, l.DeltaE)
	}
	if len(groups) == 0 {
		return []Block{Words{"", "Nothing: every coat of the scheme is needed."}}
	}
	slices.SortStableFunc(groups, func(a, b *group) int {
		return cmp.Or(strings.Compare(a.by, b.by), strings.Compare(a.area, b.area), cmp.Compare(len(b.figures), len(a.figures)))
	})
	rows := Rows{Caption: "Coats left out", Columns: []Column{{"area", 0.115, false}, {"coat left out", 0.125, false}, {"already shows", 0.18, false}, {"because", 0.24, false}, {"on", 0.34, false}}}
	for _, x := range groups {
		because := "the undercoat is as wanted"
		if x.by != "" {
			because = "the paint of the " + x.by + " goes over it too"
		}
		if x.already != x.wanted {
			because += "; " + strings.ToLower(x.wanted) + " was wanted"
		}
		rows.Lines = append(rows.Lines, []Cell{{Text: x.area}, {Text: x.medium}, {Text: shownAs(x.look), Look: &x.look},
			{Text: fmt.Sprintf("%s (ΔE %.1f)", because, float64(x.most))}, {Text: figureWords(g.Roster, x.figures)}})
	}
	lead := fmt.Sprintf("%s out because the area already shows what is wanted, within a difference of ΔE %.1f (CIEDE2000). Each was worked out from that figure's own horse, hair and skin.",
		upperFirst(many(len(g.Coats.LeftOut), "coat was left", "coats were left")), float64(g.Project.Tolerance()))
	return []Block{Words{"", lead}, rows}
}

// finished is every unit from four sides and figure by figure.
func (g *guideMaker) finished() []Block {
	out := []Block{Words{"", "As the plan says they will look, every figure with what it was dealt. Colours are predicted; see the last chapter for how far to trust them."}}
	for i, u := range g.shots.Units {
		if i >= len(g.Project.Units) {
			break
		}
		out = append(out, Heading{Text: g.Project.Units[i].Name})
		for _, b := range u.Bodies {
			id := g.Roster.Figures[b.Figure].ID
			out = append(out, Words{upperFirst(facings.SingleName(id.Role, id.Number)), "from four sides."}, Gallery{Shots: b.Sides, Columns: 4, MostMM: 46})
		}
		all := Gallery{Columns: 1, MostMM: 30}
		for _, f := range u.Figures {
			all.Shots = append(all.Shots, f.Shot)
			all.Columns = max(all.Columns, min(f.File, 8))
		}
		head, text := "The unit", "rank by rank, the front first."
		if len(u.Figures) < u.All {
			text = fmt.Sprintf("%d of its %d figures, the front first.", len(u.Figures), u.All)
		}
		if len(all.Shots) > 1 || len(u.Bodies) == 0 && len(all.Shots) > 0 { // one alone has been shown
			out = append(out, Words{head, text}, all)
		}
	}
	return out
}
