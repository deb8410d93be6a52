package colour

import (
	"fmt"
	"math"
	"strings"
	"sync"
)

// Linear are the amounts of the three sRGB primaries, 0..1 within the gamut.
type Linear struct{ R, G, B float64 }

// SRGB are encoded sRGB values, 0..1, as a screen is sent them.
type SRGB struct{ R, G, B float64 }

// RGB8 is an sRGB colour in whole steps of 0..255.
type RGB8 struct{ R, G, B uint8 }

type matrix3 [3][3]float64

func (m *matrix3) apply(a, b, c float64) (x, y, z float64) {
	return m[0][0]*a + m[0][1]*b + m[0][2]*c,
		m[1][0]*a + m[1][1]*b + m[1][2]*c,
		m[2][0]*a + m[2][1]*b + m[2][2]*c
}

func (m *matrix3) inverse() matrix3 {
	minor := func(i, j int) float64 {
		a, b := (i+1)%3, (i+2)%3
		c, d := (j+1)%3, (j+2)%3
		return m[a][c]*m[b][d] - m[a][d]*m[b][c]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	var out matrix3
	for i := range 3 {
		for j := range 3 {
			out[j][i] = minor(i, j) / det
		}
	}
	return out
}

type rgbMatrices struct{ toXYZ, fromXYZ matrix3 }

// srgbMatrices are built from the primaries of IEC 61966-2-1 and the very D65
// white the spectra give, so that a perfect diffuser is #ffffff and Lab (100,
// 0, 0) at once; the standard's four-digit matrix misses that by 0.0003.
//
// Ref: iec61966-2-1.
var srgbMatrices = sync.OnceValue(func() *rgbMatrices {
	primaries := [3]XyY{{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}}
	var m matrix3
	for j, p := range primaries {
		c := p.XYZ()
		m[0][j], m[1][j], m[2][j] = c.X, c.Y, c.Z
	}
	inv := m.inverse()
	w := ViewD65().White()
	s := [3]float64{}
	s[0], s[1], s[2] = inv.apply(w.X, w.Y, w.Z)
	for i := range 3 {
		for j := range 3 {
			m[i][j] *= s[j]
		}
	}
	return &rgbMatrices{toXYZ: m, fromXYZ: m.inverse()}
})

// Linear returns the linear sRGB values of a colour seen under D65; outside
// the gamut some leave 0..1.
func (c XYZ) Linear() Linear {
	r, g, b := srgbMatrices().fromXYZ.apply(c.X, c.Y, c.Z)
	return Linear{r, g, b}
}

// XYZ returns the tristimulus values under D65.
func (c Linear) XYZ() XYZ {
	x, y, z := srgbMatrices().toXYZ.apply(c.R, c.G, c.B)
	return XYZ{x, y, z}
}

// gamutSlack is how far outside 0..1 a linear value may lie and still count as
// inside: enough for rounding, far below an 8-bit step.
const gamutSlack = 1e-9

// InGamut reports whether a screen can show the colour.
func (c Linear) InGamut() bool {
	return inUnit(c.R) && inUnit(c.G) && inUnit(c.B)
}

func inUnit(v float64) bool { return v >= -gamutSlack && v <= 1+gamutSlack }

// Encode applies the sRGB transfer curve; values outside 0..1 are clipped, so
// map into the gamut first where hue matters.
func (c Linear) Encode() SRGB { return SRGB{encode(c.R), encode(c.G), encode(c.B)} }

// Decode undoes the sRGB transfer curve.
func (c SRGB) Decode() Linear { return Linear{decode(c.R), decode(c.G), decode(c.B)} }

func encode(v float64) float64 {
	switch {
	case !(v > 0):
		return 0
	case v >= 1:
		return 1
	case v <= 0.0031308:
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// SRGB returns the screen colour nearest to c, which must be seen under D65.
// What a screen cannot show keeps lightness and hue and gives up chroma, in
// OKLCh, as CSS Color 4 recommends (without its local clipping step, which
// moves hue).
//
// Ref: ottosson2020, csscolor4.
func (c XYZ) SRGB() SRGB {
	lin := c.Linear()
	if lin.InGamut() {
		return lin.Encode()
	}
	p := lin.OKLab().LCh()
	if p.L >= 1 {
		return SRGB{1, 1, 1}
	}
	if p.L <= 0 {
		return SRGB{}
	}
	low, high := 0.0, p.C
	for range 30 {
		mid := (low + high) / 2
		if (LCh{p.L, mid, p.H}).OKLab().Linear().InGamut() {
			low = mid
		} else {
			high = mid
		}
	}
	return LCh{p.L, low, p.H}.OKLab().Linear().Encode()
}

// XYZ returns the tristimulus values under D65.
func (c SRGB) XYZ() XYZ { return c.Decode().XYZ() }

// Lab returns the CIELAB colour under D65.
func (c SRGB) Lab() Lab { return LabFrom(c.XYZ(), ViewD65().White()) }

// SRGB returns the screen colour nearest to a CIELAB colour under D65.
func (c Lab) SRGB() SRGB { return c.XYZ(ViewD65().White()).SRGB() }

// RGB8 rounds to whole steps.
func (c SRGB) RGB8() RGB8 {
	step := func(v float64) uint8 { return uint8(math.Round(255 * math.Min(1, math.Max(0, v)))) }
	return RGB8{step(c.R), step(c.G), step(c.B)}
}

// SRGB returns the same colour in 0..1.
func (c RGB8) SRGB() SRGB {
	return SRGB{float64(c.R) / 255, float64(c.G) / 255, float64(c.B) / 255}
}

// Hex returns the colour as #rrggbb.
func (c RGB8) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Hex returns the colour as #rrggbb.
func (c SRGB) Hex() string { return c.RGB8().Hex() }

// ParseHex reads #rrggbb or #rgb; the # and the size of the letters are free.
func ParseHex(s string) (RGB8, error) {
	bad := func() (RGB8, error) {
		return RGB8{}, fmt.Errorf("%q is no colour; write it as #rrggbb, for example #7a1f2b", s)
	}
	h := strings.TrimPrefix(s, "#")
	if len(h) != 3 && len(h) != 6 {
		return bad()
	}
	var v [6]uint8
	for i := range len(h) {
		switch ch := h[i]; {
		case ch >= '0' && ch <= '9':
			v[i] = ch - '0'
		case ch >= 'a' && ch <= 'f':
			v[i] = ch - 'a' + 10
		case ch >= 'A' && ch <= 'F':
			v[i] = ch - 'A' + 10
		default:
			return bad()
		}
	}
	if len(h) == 3 {
		return RGB8{v[0] * 17, v[1] * 17, v[2] * 17}, nil
	}
	return RGB8{v[0]*16 + v[1], v[2]*16 + v[3], v[4]*16 + v[5]}, nil
}
