package app

import (
	"fmt"
	"maps"
	"slices"

	"facings"
	"facings/internal/pigment"
)

// whiteUndercoat is about what a white undercoat reflects inside (estimate).
const whiteUndercoat = 0.85

// darkOnly warns of translucent paints that were left out because nothing of
// them shows on a dark undercoat, though over a light one it would.
func (plan *Plan) darkOnly() facings.Diagnostics {
	p, c := plan.Project, plan.colours
	if p.Undercoat.Light != "" {
		return nil
	}
	type spot struct{ medium, area string }
	figures := map[spot][]int{}
	for _, l := range plan.Coats.LeftOut {
		_, kind, _, _ := p.Medium(l.Medium)
		if l.By != "" || l.Coat > 0 || kind != facings.Translucent && kind != facings.Ink {
			continue
		}
		white := &surface{inner: pigment.FlatGround(whiteUndercoat), top: pigment.Matt()}
		shown := c.Lay(white, l.Medium, facings.Brush, 1)
		dark := c.Lay(c.Undercoat(0), l.Medium, facings.Brush, 1)
		if c.Distance(shown, dark) > p.Tolerance() {
			s := spot{l.Medium, l.Area}
			figures[s] = append(figures[s], l.Figure)
		}
	}
	spots := slices.SortedFunc(maps.Keys(figures), func(a, b spot) int { return slices.Compare([]string{a.medium, a.area}, []string{b.medium, b.area}) })
	var out facings.Diagnostics
	for _, s := range spots {
		out = append(out, facings.Diagnostic{ID: "dark-ground", Severity: facings.Warning, Path: facings.Pointer("undercoat"), Value: s.medium,
			Message: fmt.Sprintf("%s is translucent and would not show on the dark undercoat: it is left out on the %s of %s", s.medium, s.area,
				facings.FiguresInWords(plan.Roster, figures[s])),
			Hint: "give the undercoat a light: paint from above, or the finish a white coat first; always: true lays it all the same"})
	}
	return out
}
