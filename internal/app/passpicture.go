package app

import (
	"math"
	"slices"

	"facings"
	"facings/internal/colour"
	"facings/internal/geom"
	"facings/internal/light"
	"facings/internal/pigment"
)

// underway is the pass that a view is about, nil for none.
func (ps *Pictures) underway(v View) *facings.Pass {
	if v.Underway <= 0 || ps.plan.Order == nil || v.Underway > len(ps.plan.Order.Passes) {
		return nil
	}
	return &ps.plan.Order.Passes[v.Underway-1]
}

// bare is how all of a figure looks while it is cleaned, or when nothing but the
// dark undercoat is on it; false for any later pass.
func (ps *Pictures) bare(pass *facings.Pass) (light.Look, bool) {
	switch {
	case pass == nil:
	case pass.Stage == facings.StagePrepare:
		return light.Look{Ramp: []colour.Linear{{R: 0.42, G: 0.42, B: 0.44}}, Metal: true, Roughness: 0.55}, true
	case pass.Stage == facings.StageUndercoat && ps.firstUndercoat(pass):
		dark := &surface{inner: ps.plan.colours.dark, top: pigment.Matt()}
		return light.Look{Ramp: []colour.Linear{linear(dark)}}, true
	}
	return light.Look{}, false
}

// firstUndercoat reports whether a pass lays the dark undercoat.
func (ps *Pictures) firstUndercoat(pass *facings.Pass) bool {
	return len(pass.Tasks) > 0 && ps.plan.Coats.Tasks[pass.Tasks[0]].Coat == 0
}

// labelNumbers are the numbers of the labels with these names.
func labelNumbers(m *geom.Mesh, names []string) []uint16 {
	var out []uint16
	for i, label := range m.Labels {
		if label != "" && slices.Contains(names, label) {
			out = append(out, uint16(i))
		}
	}
	return out
}

// closeTo sets the camera of a view to the side that shows best what is under way,
// and near to it; from there it is turned by the azimuth it had. A figure that is
// painted all over is left as it was.
func (ps *Pictures) closeTo(v View) (View, error) {
	pass := ps.underway(v)
	if pass == nil || v.Width <= 0 || v.Height <= 0 {
		return v, nil
	}
	c := ps.bearing(v)
	if c.err != nil {
		return v, c.err
	}
	active := labelNumbers(c.mesh, ps.areasOn(pass, v.Figure))
	if len(active) == 0 {
		v.Camera.AzimuthDeg += standardSide
		return v, nil
	}
	small := float64(surveyPixels) / float64(max(v.Width, v.Height))
	see := func(azimuth float64) ([]light.Extent, error) {
		v.Camera.AzimuthDeg = azimuth
		return light.Seen(c.mesh, v.Camera, max(1, int(small*float64(v.Width))), max(1, int(small*float64(v.Height))))
	}
	turn := v.Camera.AzimuthDeg
	best, found := standardSide, -1.0
	for i, azimuth := range guideSides() {
		seen, err := see(azimuth)
		if err != nil {
			return v, err
		}
		if score := showing(seen, active, i == 0); score > found {
			best, found = azimuth, score
		}
	}
	seen, err := see(best + turn)
	if err == nil {
		v.Camera = closeUp(v.Camera, seen, active)
	}
	return v, err
}

// showing is how well a side shows some labels. Small areas count for more than
// their size, so that all are seen rather than one well; the usual side is kept
// to where others show little more.
func showing(seen []light.Extent, active []uint16, usual bool) float64 {
	score := 0.0
	for _, l := range active {
		score += math.Sqrt(float64(seen[l].Samples))
	}
	if usual {
		score *= 1.3
	}
	return score
}

// areasOn are the areas that a pass paints on a figure; none when it is painted
// all over.
func (ps *Pictures) areasOn(pass *facings.Pass, figure int) []string {
	var out []string
	for _, t := range pass.Tasks {
		if task := &ps.plan.Coats.Tasks[t]; task.Figure == figure {
			out = append(out, task.Area)
		}
	}
	if slices.Contains(out, facings.WholeFigure) {
		return nil
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// shownFigure is the figure that stands for a pass: the one with most of its areas,
// a common soldier where one has as many, the first of those.
func (ps *Pictures) shownFigure(pass *facings.Pass) int {
	best, most := pass.Figures[0], -1
	for _, f := range pass.Figures {
		n := 2 * len(ps.areasOn(pass, f))
		if !facings.IsCommand(ps.plan.Roster.Figures[f].ID.Role) {
			n++
		}
		if n > most {
			best, most = f, n
		}
	}
	return best
}
