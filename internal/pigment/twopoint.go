package pigment

import "math"

// TwoPoint is a paint whose K and S per unit share drift with the white around
// it: one that colours a white meets its light from all sides, a lake fades in
// a weak tint, and particles that crowd each other scatter less; so a pure film
// and a tint with white disagree a little. Between the two ln K and ln S go
// straight with the share of all that is not white. Mixed with other colours,
// blacks or clear extenders, without white, the paint is as in its pure film.
//
// It needs more measurements than a swatch gives and is used where there are
// some; every other paint is one KS.
type TwoPoint struct {
	Pure, Tint KS
	// The shares of all but white in the two films: 0 < TintShare < PureShare ≤ 1.
	PureShare, TintShare float64
}

// At returns K and S per unit share in a film of which the given share, 0..1,
// is not white.
func (p *TwoPoint) At(notWhite float64) KS {
	u := math.Min(1, math.Max(0, (notWhite-p.TintShare)/(p.PureShare-p.TintShare)))
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

// thinnedWhite is how much faster than its share a white loses strength when
// other paints thin it out: with half of the film it scatters 0.38 of what it
// does alone. Judged by measured films, with each series left out in turn
// (tools/films, docs/measurements/colour.md).
//
// Ref: geldof2018.
const thinnedWhite = 0.4

// WhiteStrength returns the factor on K and S per unit share of a white in a
// film of which the given share, 0..1, is white.
func WhiteStrength(share float64) float64 { return math.Pow(share, thinnedWhite) }

// drift is the pull of a paint's pure film towards its tint: of ln K, of ln S,
// and of the difference at one band towards that at the next. Where one of the
// films says little of K (a pure one as dark as its surface, a tint as white
// as its white) the other bands and the other film decide.
type drift struct{ k, s, smooth float64 }

// oilDrift was judged as thinnedWhite was; values near these do as well.
func oilDrift() *drift { return &drift{k: 0.012, s: 0.003, smooth: 0.1} }

// FitTwoPoint fits a paint to its pure film, whose thickness the conditions
// give, and a tint with white, together with the tint's thickness. The
// SampleFit holds the paint as it is in the tint.
func FitTwoPoint(pure, tint Sample, c Conditions) (TwoPoint, SampleFit, error) {
	f, err := c.fit([]Sample{pure, tint}, oilDrift())
	if err != nil {
		return TwoPoint{}, SampleFit{}, err
	}
	out := TwoPoint{Tint: f.tint(), PureShare: pure.Share, TintShare: tint.Share}
	for i := range Bands {
		p := f.point(0, i)
		out.Pure.K[i], out.Pure.S[i] = math.Exp(p[0]), math.Exp(p[1])
	}
	return out, f.sampleFit(2), nil
}
