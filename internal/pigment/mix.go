package pigment

import (
	"facings/internal/colour"
)

// Add adds share times the absorption and scattering of p. Shares of a mix are
// volumes that add to 1.
func (k *KS) Add(p *KS, share float64) {
	for i := range k.K {
		k.K[i] += float64(share * p.K[i])
		k.S[i] += float64(share * p.S[i])
	}
}

// Scale multiplies absorption and scattering by f (0 or more): a film f times
// as thick, or paint thinned to f of its strength.
func (k *KS) Scale(f float64) {
	for i := range k.K {
		k.K[i] *= f
		k.S[i] *= f
	}
}

// Mix returns the film of paints mixed by volume in the given parts; parts
// need not add to 1 but one must be positive and none negative, else the
// result is an empty film. Both slices have one length.
//
// Ref: duncan1940.
func Mix(paints []KS, parts []float64) KS {
	var out KS
	var sum float64
	for _, p := range parts {
		if p < 0 {
			return out
		}
		sum += p
	}
	if sum == 0 {
		return out
	}
	for i := range paints {
		if parts[i] > 0 {
			out.Add(&paints[i], parts[i]/sum)
		}
	}
	return out
}

// Setting is how a film is laid and looked at.
type Setting struct {
	View      *colour.View
	Surface   Surface
	Ground    Inner
	Thickness float64 // coats
}

// Show returns the reflectance that a film shows in this setting.
func (s *Setting) Show(film *KS) colour.Reflectance {
	in := film.Over(&s.Ground, s.Thickness)
	return s.Surface.FromOutside(&in)
}

// Lab returns the colour that a film shows in this setting. It allocates
// nothing: searches call it for every mix they try.
func (s *Setting) Lab(film *KS) colour.Lab {
	r := s.Show(film)
	return s.View.Lab(&r)
}

// LabOfSum is Lab for the film sum/total: parts can be added into sum with
// KS.Add by whole parts, one at a time, and taken out again with a negative
// share, without mixing anew.
func (s *Setting) LabOfSum(sum *KS, total float64) colour.Lab {
	var r colour.Reflectance
	x := s.Thickness / total
	for i := range r {
		r[i] = s.Surface.seen(film(sum.K[i]*x, sum.S[i]*x, s.Ground[i]))
	}
	return s.View.Lab(&r)
}

// ContrastRatio returns the luminance over black divided by that over white,
// from the two reflectances of one film. 0.98 and more counts as hiding; noise
// can carry it past 1. Undefined (0) when the film over white shows black.
//
// Ref: iso6504-3.
func ContrastRatio(v *colour.View, overBlack, overWhite *colour.Reflectance) float64 {
	w := v.XYZ(overWhite).Y
	if w == 0 {
		return 0
	}
	return v.XYZ(overBlack).Y / w
}
