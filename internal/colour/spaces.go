package colour

import "math"

// XYZ are CIE 1931 tristimulus values, with Y = 1 for the perfect diffuser.
type XYZ struct{ X, Y, Z float64 }

// XyY is a chromaticity with the luminance factor Y (1 for the perfect diffuser).
type XyY struct{ X, Y, Lum float64 }

// Lab is a CIELAB colour: L in 0..100, a and b unbounded (paints stay within ±130).
type Lab struct{ L, A, B float64 }

// LCh is a Lab or OKLab colour in polar form: lightness, chroma, hue in
// degrees 0..360. The hue of a grey is 0.
type LCh struct{ L, C, H float64 }

// XyY returns the chromaticity. Black has none: x and y are then 0.
func (c XYZ) XyY() XyY {
	s := c.X + c.Y + c.Z
	if s == 0 {
		return XyY{}
	}
	return XyY{c.X / s, c.Y / s, c.Y}
}

// XYZ returns the tristimulus values; those of y = 0 are 0.
func (c XyY) XYZ() XYZ {
	if c.Y == 0 {
		return XYZ{}
	}
	return XYZ{c.X / c.Y * c.Lum, c.Lum, (1 - c.X - c.Y) / c.Y * c.Lum}
}

// CIE's exact constants: below (6/29)³ the cube root gives way to a line.
const (
	labKnee  = 6.0 / 29
	labEps   = labKnee * labKnee * labKnee
	labSlope = 1 / (3 * labKnee * labKnee)
)

func labForward(t float64) float64 {
	if t > labEps {
		return math.Cbrt(t)
	}
	return t*labSlope + 4.0/29
}

func labBackward(f float64) float64 {
	if f > labKnee {
		return f * f * f
	}
	return (f - 4.0/29) / labSlope
}

// LabFrom returns the CIELAB colour of c seen against the given white.
//
// Ref: cie15-2018 (section 8.2.1).
func LabFrom(c, white XYZ) Lab {
	fx := labForward(c.X / white.X)
	fy := labForward(c.Y / white.Y)
	fz := labForward(c.Z / white.Z)
	return Lab{float64(116*fy) - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// XYZ returns the tristimulus values of the colour against the given white.
func (c Lab) XYZ(white XYZ) XYZ {
	fy := (c.L + 16) / 116
	return XYZ{
		white.X * labBackward(fy+c.A/500),
		white.Y * labBackward(fy),
		white.Z * labBackward(fy-c.B/200),
	}
}

// LCh returns the polar form.
func (c Lab) LCh() LCh { return polar(c.L, c.A, c.B) }

// Lab returns the Cartesian form of a CIELAB colour.
func (c LCh) Lab() Lab {
	a, b := c.cartesian()
	return Lab{c.L, a, b}
}

func (c LCh) cartesian() (a, b float64) {
	s, k := math.Sincos(c.H * math.Pi / 180)
	return c.C * k, c.C * s
}

func polar(l, a, b float64) LCh {
	c := math.Hypot(a, b)
	if c == 0 {
		return LCh{L: l}
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return LCh{l, c, h}
}

// OKLab is Ottosson's perceptual space: L in 0..1, white (1, 0, 0) under D65.
// Its hue holds still better than CIELAB's when chroma changes, above all in blue.
//
// Ref: ottosson2020.
type OKLab struct{ L, A, B float64 }

// LCh returns the polar form of an OKLab colour.
func (c OKLab) LCh() LCh { return polar(c.L, c.A, c.B) }

// OKLab returns the Cartesian form of an OKLCh colour.
func (c LCh) OKLab() OKLab {
	a, b := c.cartesian()
	return OKLab{c.L, a, b}
}

// OKLab returns the colour of c, which must be seen under D65.
func (c XYZ) OKLab() OKLab { return c.Linear().OKLab() }

// XYZ returns the tristimulus values under D65.
func (c OKLab) XYZ() XYZ { return c.Linear().XYZ() }

// OKLab returns the colour of linear sRGB values, which may lie outside 0..1.
func (c Linear) OKLab() OKLab {
	l := math.Cbrt(0.4122214708*c.R + 0.5363325363*c.G + 0.0514459929*c.B)
	m := math.Cbrt(0.2119034982*c.R + 0.6806995451*c.G + 0.1073969566*c.B)
	s := math.Cbrt(0.0883024619*c.R + 0.2817188376*c.G + 0.6299787005*c.B)
	return OKLab{
		0.2104542553*l + 0.7936177850*m - 0.0040720468*s,
		1.9779984951*l - 2.4285922050*m + 0.4505937099*s,
		0.0259040371*l + 0.7827717662*m - 0.8086757660*s,
	}
}

// Linear returns the linear sRGB values; outside the gamut some leave 0..1.
func (c OKLab) Linear() Linear {
	l := cube(c.L + 0.3963377774*c.A + 0.2158037573*c.B)
	m := cube(c.L - 0.1055613458*c.A - 0.0638541728*c.B)
	s := cube(c.L - 0.0894841775*c.A - 1.2914855480*c.B)
	return Linear{
		4.0767416621*l - 3.3077115913*m + 0.2309699292*s,
		-1.2684380046*l + 2.6097574011*m - 0.3413193965*s,
		-0.0041960863*l - 0.7034186147*m + 1.7076147010*s,
	}
}

func cube(x float64) float64 { return x * x * x }
