package air

import "math"

// SaturationOverWater is the pressure, in Pa, of water vapour in balance with
// water at t °C, -45 to 60 (below zero the water is undercooled).
//
// Ref: wmo8.
func SaturationOverWater(t float64) float64 { return magnus(t, 17.62, 243.12) }

// SaturationOverIce is the pressure, in Pa, of water vapour in balance with ice
// at t °C, -65 to 0.
//
// Ref: wmo8.
func SaturationOverIce(t float64) float64 { return magnus(t, 22.46, 272.62) }

func magnus(t, a, b float64) float64 { return 611.2 * math.Exp(a*t/(b+t)) }

// inverse is the temperature at which magnus gives e Pa.
func inverse(e, a, b float64) float64 {
	g := math.Log(e / 611.2)
	return b * g / (a - g)
}

// VapourPressure is the pressure, in Pa, of the water vapour in air of t °C
// (-45 to 60) and rh % relative humidity (above 0, to 100).
func VapourPressure(t, rh float64) float64 { return rh / 100 * SaturationOverWater(t) }

// DewPoint is the temperature, °C, at which dew falls out of air of t °C (-45
// to 60) and rh % relative humidity (above 0, to 100). It is never above t.
// Below zero it is that over undercooled water; see FrostPoint.
//
// Ref: wmo8.
func DewPoint(t, rh float64) float64 { return inverse(VapourPressure(t, rh), 17.62, 243.12) }

// FrostPoint is the temperature, °C, at which hoarfrost grows out of air of t °C
// and rh %. It has a meaning only below zero, where it lies above the dew point;
// in cold air near saturation it lies above t itself.
//
// Ref: wmo8.
func FrostPoint(t, rh float64) float64 { return inverse(VapourPressure(t, rh), 22.46, 272.62) }

// CondensationPoint is the surface temperature, °C, at which water first
// settles, as dew or as frost: the frost point below zero, the dew point above.
func CondensationPoint(t, rh float64) float64 {
	if dew := DewPoint(t, rh); dew >= 0 {
		return dew
	}
	return FrostPoint(t, rh)
}

// HumidityAt is the relative humidity, %, of air of t °C and rh % once it has
// the temperature other, with no water added or taken away. Above 100 means
// that some of it falls out before that.
func HumidityAt(t, rh, other float64) float64 {
	return rh * SaturationOverWater(t) / SaturationOverWater(other)
}
