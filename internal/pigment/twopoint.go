package pigment

import "math"

// TwoPoint is a paint whose K and S per volume drift with its share in a film.
// Particles that crowd each other scatter less, and one that colours a white
// meets its light from all sides; so a pure film and a tint, fitted apart,
// disagree a little. Between the two shares ln K and ln S go straight.
//
// It needs more measurements than a swatch gives and is used where there are
// some; every other paint is one KS.
type TwoPoint struct {
	Pure, Tint KS
	TintShare  float64 // over 0, under 1
}

// At returns K and S per unit share in a film that holds the given share.
func (p *TwoPoint) At(share float64) KS {
	u := math.Min(1, math.Max(0, (share-p.TintShare)/(1-p.TintShare)))
	var out KS
	for i := range out.K {
		out.K[i] = blend(p.Pure.K[i], p.Tint.K[i], u)
		out.S[i] = blend(p.Pure.S[i], p.Tint.S[i], u)
	}
	return out
}

func blend(a, b, u float64) float64 {
	return math.Exp(float64(u*math.Log(a)) + float64((1-u)*math.Log(b)))
}

// driftWeight is the pull of each of the two fits towards their common one: a
// film that says little of K or S leaves it where the other film puts it.
const driftWeight = 0.003

// FitTwoPoint fits a paint to its pure film and a tint: first to both
// together, which settles the tint's thickness, then to each alone, near the
// common fit.
func FitTwoPoint(pure, tint Sample, c Conditions) (TwoPoint, SampleFit, error) {
	both, err := FitSamples([]Sample{pure, tint}, c)
	if err != nil {
		return TwoPoint{}, both, err
	}
	out := TwoPoint{TintShare: tint.Share}
	c.Prior.Near, c.Prior.NearWeight = &both.KS, driftWeight
	if out.Pure, _, err = Fit(c.observe(&pure, both.Thickness[0]), c.Prior); err != nil {
		return out, both, err
	}
	out.Tint, _, err = Fit(c.observe(&tint, both.Thickness[1]), c.Prior)
	return out, both, err
}
