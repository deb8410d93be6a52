package facings

import "math"

// The units of measure. They are distinct types so that a length is not
// passed where a volume is meant.
type (
	// SquareMillimetres is an area on a figure.
	SquareMillimetres float64
	// Millilitres is a volume of paint as it comes from the pot.
	Millilitres float64
	// Micrometres is the thickness of a wet film.
	Micrometres float64
	// Grams is a mass of base material.
	Grams float64
	// Minutes is a stretch of time as people read it.
	Minutes float64
	// Seconds is a stretch of time as the engines count it.
	Seconds int
	// DeltaE is a colour difference by CIEDE2000.
	DeltaE float64
)

// NominalSize is the size, in mm, at which the built-in bodies are measured.
const NominalSize = 28.0

// DefaultDropsPerMillilitre is what an official dropper gives: 18 to 22 drops
// of water per mL (United States Pharmacopeia <1101>, Medicine Dropper).
const DefaultDropsPerMillilitre = 20.0

// FilmVolume is the paint needed to cover an area with a wet film: 1 µm over
// 1 mm² is 1e-6 mL (geometry: 1 litre over 1 m² stands 1 mm high).
func FilmVolume(area SquareMillimetres, film Micrometres) Millilitres {
	return Millilitres(float64(area) * float64(film) * 1e-6)
}

// Drops is the number of drops in a volume, rounded up to whole drops; zero
// for no volume. dropsPerMl of zero or less means DefaultDropsPerMillilitre.
func Drops(v Millilitres, dropsPerMl float64) int {
	if dropsPerMl <= 0 {
		dropsPerMl = DefaultDropsPerMillilitre
	}
	if v <= 0 {
		return 0
	}
	return int(math.Ceil(float64(v)*dropsPerMl - 1e-9))
}

// Minutes turns seconds into minutes, not rounded.
func (s Seconds) Minutes() Minutes { return Minutes(float64(s) / 60) }

// Seconds turns minutes into whole seconds, rounded to the nearest.
func (m Minutes) Seconds() Seconds { return Seconds(math.Round(float64(m) * 60)) }

// Scale is the factor by which areas grow from the nominal 28 mm to another
// size: the square of the ratio (geometry).
func Scale(sizeMM float64) float64 {
	r := sizeMM / NominalSize
	return r * r
}
