package light

import (
	"math"

	"facings/internal/geom"
)

// FullCoats is how many layers of droplets, on the mean, a level open facet gets
// when the light undercoat is sprayed until it looks full there: 95 % of it is
// covered then (estimate).
const FullCoats = 3.0

// Coverage is the share of each vertex's surroundings, 0 to 1, that droplets
// cover. They land at random, so that the mean number of layers m leaves
// exp(-m) bare (Poisson).
func (e *Exposure) Coverage() []float64 {
	out := make([]float64, len(e.Vertex))
	for i, v := range e.Vertex {
		out[i] = Covered(v / e.Up)
	}
	return out
}

// Covered is the share covered where the exposure, relative to a level open
// facet, is r (0 or more).
func Covered(r float64) float64 { return 1 - math.Exp(-FullCoats*r) }

// SeenCoverage is the mean coverage of each label of the mesh as it is seen: a
// painted unit is looked at from where the light undercoat came from, so every
// spot weighs by its exposure.
func (e *Exposure) SeenCoverage(m *geom.Mesh) []float64 {
	coverage := e.Coverage()
	weighted := make([]float64, len(coverage))
	for i, c := range coverage {
		weighted[i] = e.Vertex[i] * c
	}
	top, all := LabelMeans(m, weighted), LabelMeans(m, e.Vertex)
	out := make([]float64, len(all))
	for i := range all {
		if all[i] > 0 {
			out[i] = top[i] / all[i]
		}
	}
	return out
}
