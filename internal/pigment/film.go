package pigment

import (
	"math"

	"facings/internal/colour"
)

// Bands is the number of wavelengths everything is computed at.
const Bands = colour.Bands

// KS holds absorption K and scattering S per coat, at each band; both are 0 or
// more. A value of K or S is no reflectance.
type KS struct{ K, S [Bands]float64 }

// Inner is the reflectance met from inside a film, just below its surface to
// the air, 0..1 at each band.
type Inner [Bands]float64

// Over returns the inner reflectance of a film of the given thickness (in
// coats, 0 or more) over a ground.
//
// Ref: kubelka1948.
func (p *KS) Over(ground *Inner, thickness float64) Inner {
	var out Inner
	p.overInto(&out, ground, thickness)
	return out
}

func (p *KS) overInto(out, ground *Inner, thickness float64) {
	for i := range out {
		out[i] = film(p.K[i]*thickness, p.S[i]*thickness, ground[i])
	}
}

// Opaque returns the inner reflectance of an endlessly thick film. Where
// nothing is absorbed it is 1, and where nothing happens at all it is 0.
func (p *KS) Opaque() Inner {
	var out Inner
	for i := range out {
		k, s := p.K[i], p.S[i]
		if s > 0 {
			out[i] = s / (k + s + math.Sqrt(k*(k+2*s)))
		}
	}
	return out
}

// Layer returns the reflectance, 0..1, of a film that absorbs kx and scatters
// sx over its whole thickness (both 0 or more, finite), on a ground of
// reflectance rg.
//
// It is Kubelka's finite film R = (1 − rg(a − b coth bSX)) / (a − rg + b coth
// bSX), with a = 1 + K/S, b = √(a²−1), rewritten without a difference of
// nearly equal terms or a division by K or S. With A = kx + sx, G = √(A²−sx²),
// R∞ = sx/(A+G) and q = 2G/(e^2G − 1),
//
//	R = (sx(1 − rg·R∞) + rg·q) / (A + G + q − rg·sx)
//
// which holds for K = 0, for S = 0 (rg·e^−2kx), for no film and for a thick one.
//
// Ref: kubelka1948.
func Layer(kx, sx, rg float64) float64 {
	a := kx + sx
	g := math.Sqrt(kx * (kx + 2*sx))
	e := math.Exp(-2 * g)
	// Below, 1 − e loses digits; three terms of the series are exact there.
	q := 1 - g + g*g/3
	if g > 1e-3 {
		q = 2 * g * e / (1 - e)
	}
	if a == 0 {
		return rg
	}
	return (sx*(1-rg*sx/(a+g)) + rg*q) / (a + g + q - rg*sx)
}

// film is Layer with the absorption that a film of this much scattering meets.
func film(kx, sx, rg float64) float64 { return Layer(kx*crossing(sx), sx, rg) }

// Light in a scattering film runs in all directions and crosses it on slanting
// paths twice as long as the film is thick, which K counts on. A clear film it
// crosses almost straight: 1.17 times the thickness on the way in, when it
// comes from all sides and is bent by an index of 1.5, and once on the way to
// an eye in front; of K's 2 + 2 that is a share of 0.54. The more a film
// scatters, the nearer it comes to the whole; half of the way is taken as
// reached at S·X = 0.3, judged by measured films of lakes, pure and in white
// (tools/films).
//
// Ref: kubelka1948, geldof2018.
const (
	clearCrossing = 0.54
	halfSpread    = 0.3
)

// crossing returns the share of K that acts in a film that scatters sx.
func crossing(sx float64) float64 {
	return (float64(clearCrossing*halfSpread) + sx) / (halfSpread + sx)
}

// Surface is the boundary between film and air. Light that meets it from
// outside is partly thrown back before it enters, and light that wants out is
// partly kept in.
type Surface struct {
	Outside float64 // share thrown back outside, 0..1 (k1)
	Inside  float64 // share kept inside, 0..1 (k2)
	// Seen is how much of the outside reflection reaches the eye: 1 for an
	// instrument that includes the gloss, 0 for a glossy film looked at past
	// its highlight.
	Seen float64
}

// A smooth film of refractive index 1.5 throws back 4 % of the light from
// outside, by Fresnel's law, and keeps 60 % of the diffuse light inside.
//
// Ref: saunderson1942.
const (
	fresnelOutside = 0.04
	fresnelInside  = 0.60
)

// Bare is no surface at all: what is met inside is what is seen.
func Bare() Surface { return Surface{} }

// GlossIncluded is a film measured by an instrument that counts its gloss.
func GlossIncluded() Surface { return Surface{fresnelOutside, fresnelInside, 1} }

// Matt, Satin and Gloss are films under the eye, which is held aslant to the
// lamp: a matt one scatters half of its surface reflection there, a satin one,
// as most paints dry to, a quarter, and a glossy one none, so that its colour
// looks deepest (the shares are estimates).
func Matt() Surface  { return Surface{fresnelOutside, fresnelInside, 0.5} }
func Satin() Surface { return Surface{fresnelOutside, fresnelInside, 0.25} }
func Gloss() Surface { return Surface{fresnelOutside, fresnelInside, 0} }

// seen returns the reflectance, as seen from outside, of an inner reflectance
// r in 0..1.
func (s Surface) seen(r float64) float64 {
	return s.Outside*s.Seen + (1-s.Outside)*(1-s.Inside)*r/(1-s.Inside*r)
}

// inner undoes seen, and clips to 0..1 what no film can show.
func (s Surface) inner(r float64) float64 {
	d := (r - s.Outside*s.Seen) / (1 - s.Outside)
	return math.Min(1, math.Max(0, d/(1-s.Inside+s.Inside*d)))
}

// FromOutside returns the reflectance seen through the surface.
func (s Surface) FromOutside(r *Inner) colour.Reflectance {
	var out colour.Reflectance
	for i, v := range r {
		out[i] = s.seen(v)
	}
	return out
}

// FromInside returns the inner reflectance of something measured in air, which
// is what a film laid on it will meet.
func (s Surface) FromInside(r *colour.Reflectance) Inner {
	var out Inner
	for i, v := range r {
		out[i] = s.inner(v)
	}
	return out
}

// FlatGround is a ground of the same inner reflectance r (0..1) at every band.
func FlatGround(r float64) Inner {
	var out Inner
	for i := range out {
		out[i] = r
	}
	return out
}
