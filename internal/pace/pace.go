package pace

import (
	"math"
	"math/rand/v2"
	"slices"

	"facings"
)

// SetUp is what setting up goes by among the techniques.
const SetUp facings.Technique = "set-up"

// Observation is one pass as it was planned and as it went.
type Observation struct {
	Technique facings.Technique
	// Fiddliness of its areas, the mean by planned time; no matter for SetUp.
	Fiddliness facings.Fiddliness
	Planned    facings.Seconds // by the defaults and the project's own pace
	Measured   facings.Seconds
}

// usable reports whether an observation can be learned from.
func (o Observation) usable() bool {
	return o.Planned > 0 && o.Measured > 0 && techniqueIndex(o.Technique) >= 0
}

// Group is a technique on areas of one kind.
type Group struct {
	Technique  facings.Technique  `json:"technique"`
	Fiddliness facings.Fiddliness `json:"fiddliness,omitempty"`
}

// Factor is what is known of one group.
type Factor struct {
	Group
	Factor float64 `json:"factor"` // median
	Low    float64 `json:"factor_p5"`
	High   float64 `json:"factor_p95"`
	// Passes were logged of this very group, Effective is what all passes
	// together tell of it.
	Passes    int     `json:"passes"`
	Effective float64 `json:"effective_passes"`
}

// Model is what was learned. The zero value knows nothing.
type Model struct {
	Seed   uint64
	draws  []draw
	passes map[Group]int
	// Doubted are the observations, by index, that were probably no measure of
	// the work: a watch not stopped.
	Doubted []int
}

// techniques lists the rows of α: every technique, then setting up.
func techniques() []facings.Technique {
	var out []facings.Technique
	for _, h := range facings.Techniques() {
		out = append(out, h.Technique)
	}
	return append(out, SetUp)
}

func techniqueIndex(t facings.Technique) int { return slices.Index(techniques(), t) }

// Passes is how many observations the model has learned from.
func (m *Model) Passes() int {
	n := 0
	for _, k := range m.passes {
		n += k
	}
	return n
}

// logs are the draws of log factor of a group.
func (m *Model) logs(g Group) []float64 {
	out := make([]float64, len(m.draws))
	t, c := techniqueIndex(g.Technique), slices.Index(facings.Fiddlinesses(), g.Fiddliness)
	for i := range m.draws {
		out[i] = m.draws[i].log(t, c)
	}
	return out
}

// Factor is what is known of a technique on areas so fiddly (see
// facings.AreaSpec.Fiddly); of setting up, whatever the fiddliness. Without a
// single pass it is 1, as wide as the priors.
func (m *Model) Factor(t facings.Technique, fiddly float64) Factor {
	return m.factor(Group{t, facings.FiddlinessOf(fiddly)})
}

func (m *Model) factor(g Group) Factor {
	if g.Technique == SetUp {
		g.Fiddliness = ""
	}
	f := Factor{Group: g, Factor: 1, Low: math.Exp(-1.645 * priorSpread), High: math.Exp(1.645 * priorSpread), Passes: m.passes[g]}
	if len(m.draws) == 0 {
		return f
	}
	logs := m.logs(g)
	noise := 0.0
	for i := range m.draws {
		noise += m.draws[i].noise * m.draws[i].noise / float64(len(m.draws))
	}
	f.Effective = noise / variance(logs)
	slices.Sort(logs)
	f.Factor, f.Low, f.High = math.Exp(quantile(logs, 0.5)), math.Exp(quantile(logs, 0.05)), math.Exp(quantile(logs, 0.95))
	return f
}

// Factors lists every group that was logged, in the order of techniques.
func (m *Model) Factors() []Factor {
	var out []Factor
	for _, g := range groups() {
		if m.passes[g] > 0 {
			out = append(out, m.factor(g))
		}
	}
	return out
}

// Table is the factors of every group, logged or not, for a plan.
func (m *Model) Table() []facings.PaceFactor {
	var out []facings.PaceFactor
	for _, g := range groups() {
		if g.Technique != SetUp {
			out = append(out, facings.PaceFactor{Technique: g.Technique, Fiddliness: g.Fiddliness, Factor: m.factor(g).Factor})
		}
	}
	return out
}

// groups lists every technique with every fiddliness, then setting up.
func groups() []Group {
	var out []Group
	for _, t := range techniques() {
		if t == SetUp {
			out = append(out, Group{Technique: SetUp})
			continue
		}
		for _, c := range facings.Fiddlinesses() {
			out = append(out, Group{t, c})
		}
	}
	return out
}

// Predict draws futures of passes: Predict(rng, groups, into) fills into with
// the factor on each group's default time in one future, in which the painter
// is one that the log allows, and every pass has its own luck.
func (m *Model) Predict(rng *rand.Rand, of []Group, into []float64) {
	d := draw{noise: priorNoise}
	if len(m.draws) > 0 {
		d = m.draws[rng.IntN(len(m.draws))]
	} else {
		d.mean = float64(priorSpread * rng.NormFloat64())
	}
	for i, g := range of {
		t, c := techniqueIndex(g.Technique), slices.Index(facings.Fiddlinesses(), g.Fiddliness)
		into[i] = math.Exp(d.log(t, c) + float64(d.noise*rng.NormFloat64()))
	}
}

// quantile reads a quantile off sorted values, between neighbours by straight
// lines.
func quantile(sorted []float64, q float64) float64 {
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + float64((at-float64(i))*(sorted[i+1]-sorted[i]))
}

func variance(x []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return sum / float64(len(x)-1)
}
