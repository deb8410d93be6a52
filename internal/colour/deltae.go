package colour

import "math"

// DeltaE00 returns the CIEDE2000 colour difference with kL = kC = kH = 1. It is
// symmetric, 0 for equal colours; about 1 is a just noticeable difference side
// by side. It jumps slightly where two hues lie exactly opposite each other,
// as the formula itself does.
//
// Ref: sharma2005, iso11664-6.
func DeltaE00(p, q Lab) float64 {
	g := 0.5 * (1 - chromaStep(0.5*(math.Hypot(p.A, p.B)+math.Hypot(q.A, q.B))))
	a1, a2 := (1+g)*p.A, (1+g)*q.A
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hueDegrees(a1, p.B), hueDegrees(a2, q.B)

	var dh, hm float64
	switch {
	case c1*c2 == 0:
		hm = h1 + h2
	case math.Abs(h2-h1) <= 180:
		dh, hm = h2-h1, (h1+h2)/2
	case h2 > h1:
		dh = h2 - h1 - 360
	default:
		dh = h2 - h1 + 360
	}
	if c1*c2 != 0 && math.Abs(h2-h1) > 180 {
		hm = (h1 + h2 + 360) / 2
		if h1+h2 >= 360 {
			hm -= 360
		}
	}
	dL, dC := q.L-p.L, c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*math.Pi/180)
	lm, cm := (p.L+q.L)/2, (c1+c2)/2

	cosDeg := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
	t := 1 - 0.17*cosDeg(hm-30) + 0.24*cosDeg(2*hm) + 0.32*cosDeg(3*hm+6) - 0.20*cosDeg(4*hm-63)
	turn := 30 * math.Exp(-(hm-275)*(hm-275)/625)
	rt := -2 * chromaStep(cm) * math.Sin(2*turn*math.Pi/180)
	return combine(dL, dC, dH, lm, cm, t, rt)
}

// chromaStep is √(c⁷ / (c⁷ + 25⁷)).
func chromaStep(c float64) float64 {
	c3 := c * c * c
	c7 := c3 * c3 * c
	return math.Sqrt(c7 / (c7 + 6103515625))
}

func hueDegrees(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func combine(dL, dC, dH, lm, cm, t, rt float64) float64 {
	l50 := (lm - 50) * (lm - 50)
	l := dL / (1 + 0.015*l50/math.Sqrt(20+l50))
	c := dC / (1 + 0.045*cm)
	h := dH / (1 + 0.015*cm*t)
	return math.Sqrt(math.Max(0, float64(l*l)+float64(c*c)+float64(h*h)+float64(rt*c*h)))
}

// Target is a colour that many others are to be compared with; it keeps what
// of the CIEDE2000 formula depends on it alone.
type Target struct {
	lab    Lab
	chroma float64
}

// NewTarget prepares comparisons with the colour.
func NewTarget(c Lab) Target { return Target{c, math.Sqrt(c.A*c.A + c.B*c.B)} }

// Lab returns the colour.
func (t *Target) Lab() Lab { return t.lab }

// DeltaE00 returns the same difference as the function of that name, within
// 1e-6, several times faster: the angles of hue are never taken, only the
// cosines and sines that their vectors give directly, and the one exponential
// is left out where it is as good as nothing. It allocates nothing.
func (t *Target) DeltaE00(q Lab) float64 {
	p := t.lab
	g := 1.5 - 0.5*chromaStep(0.5*(t.chroma+math.Sqrt(q.A*q.A+q.B*q.B)))
	a1, a2 := g*p.A, g*q.A
	c1 := math.Sqrt(a1*a1 + p.B*p.B)
	c2 := math.Sqrt(a2*a2 + q.B*q.B)
	cc := c1 * c2
	dL, dC := q.L-p.L, c2-c1
	lm, cm := (p.L+q.L)/2, (c1+c2)/2

	// The unit vector of the mean hue (mx, my), and ΔH'.
	var mx, my, dH float64
	if cc == 0 {
		mx, my = unit(a1+a2, p.B+q.B)
	} else {
		mx, my = a1*c2+a2*c1, p.B*c2+q.B*c1
		if math.Abs(mx)+math.Abs(my) < 1e-9*cc {
			return DeltaE00(p, q) // opposite hues: only the angles tell which mean is meant
		}
		mx, my = unit(mx, my)
		dot := a1*a2 + p.B*q.B
		dH = math.Sqrt(math.Max(0, 2*(cc-dot)))
		if a1*q.B-a2*p.B < 0 {
			dH = -dH
		}
	}
	// cos and sin of 2h, 3h, 4h.
	x2, y2 := mx*mx-my*my, 2*mx*my
	x3, y3 := x2*mx-y2*my, x2*my+y2*mx
	x4, y4 := x2*x2-y2*y2, 2*x2*y2
	const (
		cos30, sin30 = 0.86602540378443864676, 0.5
		cos6, sin6   = 0.99452189536827333692, 0.10452846326765347140
		cos63, sin63 = 0.45399049973954679156, 0.89100652418836786236
		cos85, sin85 = 0.08715574274765817356, 0.99619469809174553230
	)
	tt := 1 - 0.17*(mx*cos30+my*sin30) + 0.24*x2 +
		0.32*(x3*cos6-y3*sin6) - 0.20*(x4*cos63+y4*sin63)

	// The turn in blue: the angle from 275° is that of the vector turned by
	// 85°. Beyond 113° its exponential is below 2e-9, and the formula counts
	// hues of 0 to 90° as far away (275, not 85, from 0).
	var rt float64
	if u := mx*cos85 - my*sin85; u > -0.4 && (mx < 0 || my < 0) {
		d := math.Atan2(mx*sin85+my*cos85, u) * (180 / math.Pi / 25)
		turn := (30 * math.Pi / 180) * math.Exp(-d*d)
		rt = -2 * chromaStep(cm) * math.Sin(2*turn)
	}
	return combine(dL, dC, dH, lm, cm, tt, rt)
}

func unit(x, y float64) (float64, float64) {
	n := math.Sqrt(x*x + y*y)
	if n == 0 {
		return 1, 0
	}
	return x / n, y / n
}
