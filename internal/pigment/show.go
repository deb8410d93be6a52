package pigment

import (
	"facings"
	"facings/internal/colour"
)

// coatFilm is the wet film, in micrometres, that K and S are given for.
const coatFilm = 50

// glazeDilution is how far a glaze is thinned: one part of paint to eight of
// medium, the middle of 1:6 to 1:10 (common practice).
const glazeDilution = 1.0 / 9

// Coats returns the thickness of one go with a technique, in coats: its wet
// film over that of a brushed coat, and for a glaze the thinning. A drybrushed
// film lies on raised parts only. A technique that lays no paint gives 0.
func Coats(t facings.Technique) float64 {
	h, ok := facings.HandlingOf(t)
	if !ok {
		return 0
	}
	coats := float64(h.Film) / coatFilm
	if t == facings.Glaze {
		coats *= glazeDilution
	}
	return coats
}

// Shown is what an eye sees of a coat.
type Shown struct {
	Reflectance colour.Reflectance
	Lab         colour.Lab
	Hex         string // sRGB, within the gamut
	Name        string // in plain words
	Inner       Inner  // the ground that the next coat will lie on
}

// Show returns what so many coats of a film show over a ground, under D65.
func Show(film *KS, surface Surface, ground *Inner, coats float64) Shown {
	in := film.Over(ground, coats)
	return ShowInner(&in, surface)
}

// ShowInner returns what an inner reflectance shows through a surface, under
// D65: the last of a stack of films, or a bare undercoat.
func ShowInner(in *Inner, surface Surface) Shown {
	r := surface.FromOutside(in)
	view := colour.ViewD65()
	xyz := view.XYZ(&r)
	lab := colour.LabFrom(xyz, view.White())
	return Shown{Reflectance: r, Lab: lab, Hex: xyz.SRGB().Hex(), Name: colour.Name(lab), Inner: *in}
}

// Layer of a stack: a film and its thickness in coats.
type Coat struct {
	Film  *KS
	Coats float64
}

// Stack returns the inner reflectance of coats laid one on the other, the
// first undermost.
func Stack(ground *Inner, coats ...Coat) Inner {
	out := *ground
	for _, c := range coats {
		out = c.Film.Over(&out, c.Coats)
	}
	return out
}

// LightFromAbove returns the undercoat where the share exposure (0..1, clipped)
// of the spray that would cover wholly has arrived: droplets of the light paint
// lie beside what they leave of the dark one, so their reflectances add by
// area.
//
// Ref: murray1936.
func LightFromAbove(dark, light *Inner, exposure float64) Inner {
	e := min(1, max(0, exposure))
	var out Inner
	for i := range out {
		out[i] = dark[i] + float64(e*(light[i]-dark[i]))
	}
	return out
}

// Coverage returns a ground of which the share (0..1, clipped) is covered by
// the coat and the rest left as it is: what drybrushing does to raised parts.
func Coverage(ground, coat *Inner, share float64) Inner {
	return LightFromAbove(ground, coat, share)
}
