package app

import (
	"fmt"
	"slices"
	"strings"

	"facings"
	"facings/internal/air"
)

// AirQuestion is what was measured of the air and the castings.
type AirQuestion = air.Question

// AirReport says whether that is fit to spray and paint in.
type AirReport = air.Report

// Air says whether the air is fit to spray and paint in, and why. A question
// out of range is an error.
func (a *App) Air(q AirQuestion) (*AirReport, error) { return air.Judge(q) }

// airFindings warns when a plan sprays in a project's air that is not fit for it. Air
// that is too cold or too damp for any paint is warned of by the project's own
// check and not here again.
func airFindings(p *facings.Project, coats *facings.Coats) facings.Diagnostics {
	sprays := func(t facings.Task) bool { return t.Technique == facings.Spray }
	climate := p.Climate()
	if climate.TemperatureC < facings.MinimumPaintingTemperature || climate.HumidityPercent > air.MostHumidity ||
		!slices.ContainsFunc(coats.Tasks, sprays) {
		return nil
	}
	r, err := air.Judge(air.Question{TemperatureC: climate.TemperatureC, HumidityPercent: climate.HumidityPercent})
	if err != nil || r.Verdict == air.Fit {
		return nil // out of range is a fault of the project's own check
	}
	var why, out []string
	for _, reason := range r.Reasons {
		if reason.Verdict != air.Fit {
			why, out = append(why, reason.Message), append(out, reason.Hint)
		}
	}
	return facings.Diagnostics{{ID: "air-" + string(r.Verdict), Severity: facings.Warning, Path: facings.Pointer("air"),
		Message: fmt.Sprintf("the plan sprays in air %s for it: %s", r.Verdict, strings.Join(why, "; ")),
		Hint:    strings.Join(slices.Compact(out), "; ") + "; the brush work may go on (see facings air)"}}
}
