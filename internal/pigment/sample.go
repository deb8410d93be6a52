package pigment

import (
	"math"

	"facings/internal/colour"
)

// Sample is one film measured over a white and over a black card, with the
// bare cards measured too. Index 0 is the white side, 1 the black.
type Sample struct {
	Film  [2]colour.Reflectance
	Card  [2]colour.Reflectance
	Share float64 // of the paint to be fitted, over 0 to 1
	Rest  KS      // what the other paints add: their KS times their shares
}

// Conditions are what is known or assumed of how samples were laid.
type Conditions struct {
	Surface Surface
	Prior   Prior
	// Thickness of the first sample, in coats.
	Thickness float64
	// Usual and Spread describe the films after the first one: they are Usual
	// times as thick, give or take a factor e^Spread. Spread 0 takes them as
	// exactly that.
	Usual, Spread float64
}

// OilConditions suit films of oil paint measured with the gloss included:
// linseed oil has an index of 1.48.
func OilConditions() Conditions {
	c := DefaultConditions()
	c.Surface = Surface{Outside: 0.0375, Inside: fresnelInside, Seen: 1}
	return c
}

// DefaultConditions suit a drawn-down swatch of one coat.
func DefaultConditions() Conditions {
	return Conditions{Surface: Satin(), Prior: DefaultPrior(), Thickness: 1, Usual: 1, Spread: 0.3}
}

// SampleFit is what FitSamples found.
type SampleFit struct {
	KS        KS
	Thickness []float64 // of each sample, coats
	RMS       float64   // root mean square residual in the cube root of reflectance
}

// pureShare is the share above which a film's surface is the paint's own.
const pureShare = 0.95

// NearPureSurface returns the surface of a sample. Films rich in pigment dry
// to a duller surface that throws back less than a smooth one: a pure film
// darker than the assumed surface reflection shows its own.
func (c *Conditions) NearPureSurface(s *Sample) Surface {
	out := c.Surface
	if s.Share < pureShare {
		return out
	}
	least := 1.0
	for side := range s.Film {
		for _, r := range s.Film[side] {
			least = math.Min(least, r)
		}
	}
	if floor := math.Max(0, least-0.001); out.Seen > 0 && floor < out.Outside*out.Seen {
		out.Outside = floor / out.Seen
	}
	return out
}

// observe returns the two sides of a sample of the given thickness.
func (c *Conditions) observe(s *Sample, thickness float64) []Observation {
	var obs []Observation
	for side := range s.Film {
		obs = append(obs, Observation{
			Measured: s.Film[side], Ground: c.Surface.FromInside(&s.Card[side]),
			Surface: c.NearPureSurface(s), Thickness: thickness, Share: s.Share, Rest: s.Rest, Weight: 1,
		})
	}
	return obs
}

// noise is the residual, in the cube root of reflectance, that is left to the
// model's own error when the pull of a film's thickness to the usual is weighed
// against the fit; neighbouring bands err together, so it is not small.
const noise = 0.05

// thicknessSteps are the steps, in ln of the thickness, of the scan for a
// film's thickness: four to each side, first coarse, then fine.
var thicknessSteps = [2]float64{0.25, 0.05}

// FitSamples fits a paint to samples of which the first is taken as the
// thickness the conditions give; the others' thicknesses are found along with
// K and S, since hand-drawn films differ, and how well a film hides tells.
func FitSamples(samples []Sample, c Conditions) (SampleFit, error) {
	var obs []Observation
	for i := range samples {
		t := c.Thickness
		if i > 0 {
			t *= c.Usual
		}
		obs = append(obs, c.observe(&samples[i], t)...)
	}
	if err := checkObservations(obs); err != nil {
		return SampleFit{}, err
	}
	f := newFitter(obs, c.Prior)
	f.start()
	f.run()
	if c.Spread > 0 {
		for range min(2, len(samples)-1) { // twice over, as one film's thickness moves the others'
			for i := 1; i < len(samples); i++ {
				f.findThickness(i, c)
			}
		}
	}
	out := SampleFit{KS: f.result(), RMS: f.rms()}
	for i := range samples {
		out.Thickness = append(out.Thickness, obs[2*i].Thickness)
	}
	return out, nil
}

// findThickness sets the thickness of sample i where the fit and the pull to
// the usual thickness together are best, each fit beginning where the best one
// so far ended.
func (f *fitter) findThickness(i int, c Conditions) {
	usual := math.Log(c.Thickness * c.Usual)
	best, at, ks := math.Inf(1), usual, f.at
	for _, step := range thicknessSteps {
		from := at
		for n := -4; n <= 4; n++ {
			lnT := from + float64(n)*step
			f.setThickness(i, lnT)
			f.at = ks
			f.run()
			cost := f.misfit()/(noise*noise) + sq((lnT-usual)/c.Spread)
			if cost < best {
				best, at, ks = cost, lnT, f.at
			}
		}
	}
	f.setThickness(i, at)
	f.at = ks
}

// setThickness sets both sides of sample i to e^lnT coats.
func (f *fitter) setThickness(i int, lnT float64) {
	f.obs[2*i].Thickness, f.obs[2*i+1].Thickness = math.Exp(lnT), math.Exp(lnT)
}
