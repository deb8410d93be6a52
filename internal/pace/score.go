package pace

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Score says how good the forecasts were that could have been made along a
// log: each pass is forecast from those before it, and at some points the time
// of all that was still to come. Watches that were not stopped (see
// Model.Doubted) are no outcome and are left out.
type Score struct {
	Passes int `json:"passes"` // that were forecast
	// CRPS is the mean continuous ranked probability score of a pass, in
	// minutes, the smaller the better: an error, less what was owned to.
	// DefaultCRPS is the same for forecasts that learn nothing.
	CRPS        float64 `json:"crps_minutes"`
	DefaultCRPS float64 `json:"default_crps_minutes"`
	// Within50 and Within90 are the shares of passes inside the middle 50 % and
	// 90 % of what was forecast.
	Within50 float64 `json:"within_50"`
	Within90 float64 `json:"within_90"`
	Rest     []Rest  `json:"rest"`
}

// Rest is a forecast of the time of all logged passes still to come.
type Rest struct {
	After  int     `json:"after_passes"`
	P10    float64 `json:"p10_minutes"`
	P50    float64 `json:"p50_minutes"`
	P90    float64 `json:"p90_minutes"`
	Actual float64 `json:"actual_minutes"`
	CRPS   float64 `json:"crps_minutes"`
}

// futures is how many futures a forecast draws.
const futures = 400

// ScoreOf forecasts along the passes in their order, learning anew whenever
// there are a quarter more of them.
//
// Ref: gneiting2007.
func ScoreOf(passes []Observation) Score {
	out := Score{Rest: []Rest{}}
	doubted := map[int]bool{}
	for _, i := range Learn(passes).Doubted {
		doubted[i] = true
	}
	var list []Observation
	for i, o := range passes {
		if o.usable() && !doubted[i] {
			list = append(list, o)
		}
	}
	rng := rand.New(rand.NewPCG(0x73636f72, 1))
	none, model, next := &Model{}, &Model{}, 1
	in50, in90 := 0, 0
	for i, o := range list {
		if i >= next {
			model, next = Learn(list[:i]), i+1+i/4
			out.Rest = append(out.Rest, model.rest(rng, list, i))
		}
		actual := float64(o.Measured.Minutes())
		sample := model.passFutures(rng, o)
		out.CRPS += CRPS(sample, actual)
		out.DefaultCRPS += CRPS(none.passFutures(rng, o), actual)
		if within(sample, actual, 0.25) {
			in50++
		}
		if within(sample, actual, 0.05) {
			in90++
		}
	}
	if n := float64(len(list)); n > 0 {
		out.Passes = len(list)
		out.CRPS, out.DefaultCRPS = out.CRPS/n, out.DefaultCRPS/n
		out.Within50, out.Within90 = float64(in50)/n, float64(in90)/n
	}
	return out
}

// passFutures is what one pass may take, in minutes, ascending.
func (m *Model) passFutures(rng *rand.Rand, o Observation) []float64 {
	out, factor := make([]float64, futures), make([]float64, 1)
	for i := range out {
		m.Predict(rng, []Group{{o.Technique, o.Fiddliness}}, factor)
		out[i] = float64(o.Planned.Minutes()) * factor[0]
	}
	slices.Sort(out)
	return out
}

// rest forecasts what the passes from the i-th on take together.
func (m *Model) rest(rng *rand.Rand, list []Observation, i int) Rest {
	r := Rest{After: i}
	var of []Group
	for _, o := range list[i:] {
		of = append(of, Group{o.Technique, o.Fiddliness})
		r.Actual += float64(o.Measured.Minutes())
	}
	sums, factors := make([]float64, futures), make([]float64, len(of))
	for k := range sums {
		m.Predict(rng, of, factors)
		for j, o := range list[i:] {
			sums[k] += float64(o.Planned.Minutes()) * factors[j]
		}
	}
	slices.Sort(sums)
	r.P10, r.P50, r.P90 = quantile(sums, 0.1), quantile(sums, 0.5), quantile(sums, 0.9)
	r.CRPS = CRPS(sums, r.Actual)
	return r
}

func within(sorted []float64, x, tail float64) bool {
	return quantile(sorted, tail) <= x && x <= quantile(sorted, 1-tail)
}

// CRPS is the continuous ranked probability score of a forecast given by a
// sorted sample, against what happened: E|X − x| − ½ E|X − X′|, in the
// sample's unit. For a sure forecast it is the error. NaN for no sample.
//
// Ref: gneiting2007.
func CRPS(sorted []float64, actual float64) float64 {
	n := float64(len(sorted))
	if n == 0 {
		return math.NaN()
	}
	miss, spread := 0.0, 0.0
	for i, x := range sorted {
		miss += math.Abs(x - actual)
		spread += (2*float64(i) + 1 - n) * x
	}
	return miss/n - spread/(n*n)
}
