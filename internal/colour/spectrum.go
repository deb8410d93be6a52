package colour

import (
	"fmt"
	"math"
)

// Bands is the number of wavelengths a Reflectance holds; FirstBand is the
// first of them and BandStep the distance between two, both in nanometres.
const (
	Bands     = 36
	FirstBand = 380
	BandStep  = 10
	LastBand  = FirstBand + (Bands-1)*BandStep
)

// Reflectance is the share of light a surface sends back at 380, 390 … 730 nm,
// each in 0..1.
type Reflectance [Bands]float64

// Wavelength returns the wavelength of band i in nanometres.
func Wavelength(i int) float64 { return float64(FirstBand + i*BandStep) }

// Flat returns the reflectance that is r at every wavelength.
func Flat(r float64) Reflectance {
	var out Reflectance
	for i := range out {
		out[i] = r
	}
	return out
}

// Valid reports whether every band is a number in 0..1.
func (r *Reflectance) Valid() bool {
	for _, v := range r {
		if !(v >= 0 && v <= 1) {
			return false
		}
	}
	return true
}

// maxSamples bounds what Resample accepts: 0.1 nm steps over the whole range
// an instrument could report.
const maxSamples = 20000

// Resample turns a measured spectrum into a Reflectance. The wavelengths
// (nanometres) must rise and overlap 380..730; values are shares, not percent.
// Between samples it goes straight; beyond the ends it holds the end value, as
// CIE 15:2018 allows where nothing was measured. Values outside 0..1, which
// noise produces near black, are clipped.
//
// Ref: cie15-2018 (section 7.2.3).
func Resample(nm, value []float64) (Reflectance, error) {
	var out Reflectance
	if len(nm) != len(value) {
		return out, fmt.Errorf("spectrum has %d wavelengths but %d values", len(nm), len(value))
	}
	if len(nm) < 2 || len(nm) > maxSamples {
		return out, fmt.Errorf("spectrum has %d samples; give 2 to %d", len(nm), maxSamples)
	}
	for i := range nm {
		if math.IsNaN(value[i]) || math.IsInf(value[i], 0) || math.IsNaN(nm[i]) || math.IsInf(nm[i], 0) {
			return out, fmt.Errorf("sample %d (%v nm, %v) is not a number", i+1, nm[i], value[i])
		}
		if i > 0 && nm[i] <= nm[i-1] {
			return out, fmt.Errorf("wavelength %v nm follows %v nm; sort them upwards", nm[i], nm[i-1])
		}
	}
	if nm[0] > LastBand || nm[len(nm)-1] < FirstBand {
		return out, fmt.Errorf("spectrum covers %v to %v nm; it must reach into %d to %d nm",
			nm[0], nm[len(nm)-1], FirstBand, LastBand)
	}
	j := 0
	for i := range out {
		w := Wavelength(i)
		for j < len(nm)-2 && nm[j+1] < w {
			j++
		}
		t := (w - nm[j]) / (nm[j+1] - nm[j])
		t = math.Min(1, math.Max(0, t))
		out[i] = math.Min(1, math.Max(0, value[j]+t*(value[j+1]-value[j])))
	}
	return out, nil
}
