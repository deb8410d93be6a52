package pigment

import (
	"math"

	"facings"
	"facings/internal/colour"
)

// The standard chart on which hiding is read: black and white as seen.
//
// Ref: iso6504-3.
const (
	chartBlack = 0.05
	chartWhite = 0.80
)

// Chart returns the two grounds of the standard black and white chart.
func Chart() (black, white Inner) {
	s := Satin()
	return FlatGround(s.inner(chartBlack)), FlatGround(s.inner(chartWhite))
}

// Hides is the contrast ratio that counts as hiding.
//
// Ref: iso6504-3.
const Hides = 0.98

// Hiding returns the contrast ratio of so many coats of a film on the chart.
func Hiding(film *KS, coats float64) float64 {
	black, white := Chart()
	set := Setting{View: colour.ViewD65(), Surface: Satin(), Ground: black, Thickness: coats}
	b := set.Show(film)
	set.Ground = white
	w := set.Show(film)
	return ContrastRatio(set.View, &b, &w)
}

// CoatsToHide returns the coats, up to most, after which a film hides the
// chart; false when that many do not.
func CoatsToHide(film *KS, most int) (int, bool) {
	for n := 1; n <= most; n++ {
		if Hiding(film, float64(n)) >= Hides {
			return n, true
		}
	}
	return 0, false
}

// KindHiding is the contrast ratio that one coat of a kind of paint usually
// reaches (from memory): what is assumed where only a colour is known.
func KindHiding(k facings.Kind) float64 {
	switch k {
	case facings.Primer:
		return 0.97
	case facings.Metallic:
		return 0.93
	}
	return 0.90
}

// shadesItself reports whether a kind is looked at over a light ground, so that
// its colour means one coat over white and not a solid layer.
func shadesItself(k facings.Kind) bool {
	switch k {
	case facings.Translucent, facings.Wash, facings.OilWash, facings.Ink:
		return true
	}
	return false
}

// Guess returns the K and S of a paint known by one colour and its kind only.
// The spectrum is the smoothest that shows the colour. For kinds that cover,
// the colour is the solid layer's, and K and S are scaled until one coat hides
// at least as well as the kind usually does. For kinds that shade themselves
// it is one coat's over white, and they scatter little. Mixes with such a
// paint are guesses too.
//
// Ref: burns2020.
func Guess(c colour.XYZ, k facings.Kind) (KS, error) {
	r, err := colour.Smoothest(colour.ViewD65(), c)
	if err != nil {
		return KS{}, err
	}
	if shadesItself(k) {
		return clearCoat(&r), nil
	}
	ks := solidCoat(&r, KindHiding(k))
	if ks.S[0] < guessScatter {
		ks.Scale(guessScatter / ks.S[0])
	}
	return ks, nil
}

// guessScatter is the least that a guessed covering paint scatters per coat. A
// dark colour hides by absorbing alone, and would hardly colour a mix if its
// hiding were all one went by.
const guessScatter = 0.5

// The limits within which the inner reflectance of a solid layer is believed;
// beyond them K/S, which goes to nothing or to infinity, means nothing.
const (
	darkestInner   = 0.003
	lightestInner  = 0.975
	leastScatter   = 1e-3
	mostScatter    = 1e3
	scatterHalving = 40
)

// solidCoat returns a paint whose solid layer shows r and whose one coat has
// the contrast ratio hiding (0..1). All bands scatter alike.
func solidCoat(r *colour.Reflectance, hiding float64) KS {
	var ks KS
	s := Satin()
	for i, v := range r {
		in := math.Min(lightestInner, math.Max(darkestInner, s.inner(v)))
		ks.K[i], ks.S[i] = (1-in)*(1-in)/(2*in), 1
	}
	low, high := math.Log(leastScatter), math.Log(mostScatter)
	scaled := func(ln float64) KS {
		out := ks
		out.Scale(math.Exp(ln))
		return out
	}
	for range scatterHalving {
		mid := (low + high) / 2
		if film := scaled(mid); Hiding(&film, 1) < hiding {
			low = mid
		} else {
			high = mid
		}
	}
	return scaled(high)
}

// clearScatter is what a coat that shades itself scatters (a guess: a little
// milkiness, so that it still shows over black).
const clearScatter = 0.02

// clearCoat returns a paint of which one coat over the white of the chart
// shows r, or comes as near as it can where r is lighter than that.
func clearCoat(r *colour.Reflectance) KS {
	var ks KS
	s := Satin()
	_, white := Chart()
	for i, v := range r {
		want := s.inner(v)
		low, high := 0.0, 20.0
		for range 50 {
			if mid := (low + high) / 2; film(mid, clearScatter, white[i]) > want {
				low = mid
			} else {
				high = mid
			}
		}
		ks.K[i], ks.S[i] = low, clearScatter
	}
	return ks
}

// FromSwatch returns the K and S of a paint from two colours of one coat, over
// the black and over the white of the standard chart. Each colour stands for
// its smoothest spectrum.
func FromSwatch(overBlack, overWhite colour.XYZ) (KS, error) {
	view := colour.ViewD65()
	b, err := colour.Smoothest(view, overBlack)
	if err != nil {
		return KS{}, err
	}
	w, err := colour.Smoothest(view, overWhite)
	if err != nil {
		return KS{}, err
	}
	return FromSpectra(&b, &w)
}

// FromSpectra returns the K and S of a paint from the spectra of one coat, over
// the black and over the white of the standard chart. Where the two are nearly
// equal the paint hides, and its scattering is no more than the least that
// would do, smoothed over neighbouring bands.
func FromSpectra(overBlack, overWhite *colour.Reflectance) (KS, error) {
	fit, err := FitSamples([]Sample{{
		Film:  [2]colour.Reflectance{*overWhite, *overBlack},
		Card:  [2]colour.Reflectance{colour.Flat(chartWhite), colour.Flat(chartBlack)},
		Share: 1,
	}}, DefaultConditions())
	return fit.KS, err
}
