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

// FitSamples fits a paint to samples of which the first is taken as the
// thickness the conditions give; the others' thicknesses are found along with
// K and S, since hand-drawn films differ, and how well a film hides tells.
func FitSamples(samples []Sample, c Conditions) (SampleFit, error) {
	f, err := c.fit(samples, nil)
	if err != nil {
		return SampleFit{}, err
	}
	return f.sampleFit(len(samples)), nil
}

// fit fits K, S and the thicknesses of all samples but the first, and with d
// given also how far K and S of the first differ from those of the others.
func (c *Conditions) fit(samples []Sample, d *drift) (*fitter, error) {
	var obs []Observation
	var sought []soughtThickness
	for i := range samples {
		t := c.Thickness
		if i > 0 {
			t *= c.Usual
			if c.Spread > 0 {
				sought = append(sought, soughtThickness{i, math.Log(t), noise / c.Spread})
			}
		}
		sides := c.observe(&samples[i], t)
		for s := range sides {
			sides[s].sample, sides[s].pure = i, i == 0
		}
		obs = append(obs, sides...)
	}
	if err := checkObservations(obs); err != nil {
		return nil, err
	}
	f := newFitter(obs, c.Prior)
	f.drift, f.sought = d, sought
	f.start()
	f.run()
	return f, nil
}

func (f *fitter) sampleFit(samples int) SampleFit {
	out := SampleFit{KS: f.tint(), RMS: f.rms(), Thickness: make([]float64, samples)}
	for o := range f.obs {
		out.Thickness[f.obs[o].sample] = f.thickness(o)
	}
	return out
}
