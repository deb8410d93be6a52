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

// FitTwoPoint fits a paint to its pure film, whose thickness the conditions
// give, and a tint. The tint's thickness is settled together with the drift:
// a thick film and a paint that scatters more when thin on the ground look
// alike, and the usual thickness decides between them. The SampleFit is the
// common fit of both films.
func FitTwoPoint(pure, tint Sample, c Conditions) (TwoPoint, SampleFit, error) {
	obs := append(c.observe(&pure, c.Thickness), c.observe(&tint, c.Thickness*c.Usual)...)
	if err := checkObservations(obs); err != nil {
		return TwoPoint{}, SampleFit{}, err
	}
	common := newFitter(obs, c.Prior)
	common.start()
	usual := math.Log(c.Thickness * c.Usual)
	best, at := math.Inf(1), usual
	var law TwoPoint
	var fit SampleFit
	for _, step := range thicknessSteps {
		from := at
		for n := -4; n <= 4; n++ {
			lnT := from + float64(n)*step
			common.setThickness(1, lnT)
			common.run()
			ks := common.result()
			p, t := common.alone(0, &ks), common.alone(1, &ks)
			cost := (p.cost()+t.cost())/(noise*noise) + sq((lnT-usual)/c.Spread)
			if cost < best {
				best, at = cost, lnT
				law = TwoPoint{Pure: p.result(), Tint: t.result(), TintShare: tint.Share}
				fit = SampleFit{KS: ks, Thickness: []float64{c.Thickness, math.Exp(lnT)}, RMS: common.rms()}
			}
		}
	}
	return law, fit, nil
}

// alone fits sample i by itself, near the common fit.
func (f *fitter) alone(i int, near *KS) *fitter {
	prior := f.prior
	prior.Near, prior.NearWeight = near, driftWeight
	out := newFitter(f.obs[2*i:2*i+2], prior)
	out.start()
	out.run()
	return out
}
