package app

import (
	"fmt"
	"slices"

	"facings"
	"facings/internal/colour"
)

// Three feet, from which a unit is looked at on the table, and normal sight.
const (
	tableDistance = 914.0 // mm
	normalAcuity  = 1.0   // arcminutes
)

// strokeWidth is how wide a line of lace or piping is painted at 28 mm
// (estimate): it grows with the figures' size.
const strokeWidth = 0.4

// readability warns of lines that will not show from three feet away: lace,
// piping, edges too like the area they lie on, or too narrow.
//
// Ref: iso11664-6.
func readability(p *facings.Project, roster *facings.Roster, coats *facings.Coats) facings.Diagnostics {
	type areaOf struct {
		figure int
		area   string
	}
	last := map[areaOf]facings.Look{}
	line := map[areaOf]bool{}
	var order []areaOf
	for _, t := range coats.Tasks {
		k := areaOf{t.Figure, t.Area}
		if t.Stage != facings.StagePaint {
			continue
		}
		if _, known := last[k]; !known {
			line[k] = true
			order = append(order, k)
		}
		last[k] = t.Look
		line[k] = line[k] && t.Technique == facings.Line
	}
	var out facings.Diagnostics
	width := strokeWidth * p.Size() / facings.NominalSize
	for _, k := range order {
		if !line[k] {
			continue
		}
		figure := roster.Figures[k.figure]
		spec, _ := figure.Body.Area(k.area)
		for _, under := range figure.Body.Areas {
			ground, painted := last[areaOf{k.figure, under.Name}]
			if !painted || !slices.Contains(spec.Over, under.Name) {
				continue
			}
			v := colour.Stroke(xyzOf(last[k]), xyzOf(ground), width, tableDistance, normalAcuity)
			if v.Visible {
				continue
			}
			d := facings.Diagnostic{ID: "lace-vanishes", Severity: facings.Warning, Path: facings.Pointer("units", figure.ID.Unit), Value: k.area,
				Message: fmt.Sprintf("%s: the %s, %s, will not show on the %s, %s, from three feet (ΔE %.1f)", figure.ID.Unit, k.area,
					last[k].Name, under.Name, ground.Name, v.DeltaE00),
				Hint: v.Hint(width, tableDistance)}
			if !slices.ContainsFunc(out, func(x facings.Diagnostic) bool { return x.Message == d.Message }) {
				out = append(out, d)
			}
		}
	}
	return out
}

func xyzOf(l facings.Look) colour.XYZ {
	return colour.Lab{L: l.Lab[0], A: l.Lab[1], B: l.Lab[2]}.XYZ(colour.ViewD65().White())
}
