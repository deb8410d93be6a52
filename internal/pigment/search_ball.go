package pigment

import (
	"math"

	"facings/internal/colour"
)

// ball is a box of CIELAB colours that holds every colour within a CIEDE2000
// of a target.
type ball struct {
	all        bool // no bound is known: every colour may be within
	lightLow   float64
	lightHigh  float64
	aLow, aTop float64
	bLow, bTop float64
}

// Bounds of the terms of CIEDE2000 over all colours: T is at most 1 + 0.17 +
// 0.24 + 0.32 + 0.20, and its share in S_H stays under S_C.
//
// Ref: iso11664-6.
const (
	mostT        = 1.93
	chromaWeight = 0.045
	hueWeight    = 0.015 * mostT
)

// newBall encloses the colours within d of the target.
//
// Of the four terms, the last three are a quadratic form in c = ΔC'/S_C and h
// = ΔH'/S_H that is at least ρ(c² + h²) with ρ = 1 − |R_T|/2. Hence |ΔL'| ≤ d
// S_L, and with D = d/√ρ, |ΔC'| ≤ D S_C and |ΔH'| ≤ D S_H. As ΔC'² + ΔH'² is
// the squared distance in the plane of a' and b, and S_H ≤ S_C = 1 + 0.045 C̄',
// that distance E is at most D (1 + 0.045 (C'₁ + E/2)), which is solved for E.
// R_T depends on the mean chroma and hue, which E bounds in turn: a few rounds,
// each from valid bounds, tighten both.
//
// Ref: iso11664-6.
func newBall(t colour.Lab, d float64) ball {
	out := ball{}
	sl := d * mostLightWeight(t.L, 1.75*d/2)
	out.lightLow, out.lightHigh = t.L-sl, t.L+sl

	c1 := math.Hypot(t.A, t.B)
	gLow, gTop, rho := 0.0, 0.5, 1-math.Sin(math.Pi/3)
	var dd, reach, near, far, most float64
	for range 4 {
		dd = d / math.Sqrt(rho)
		near, far = math.Hypot((1+gLow)*t.A, t.B), math.Hypot((1+gTop)*t.A, t.B)
		if 0.5*chromaWeight*dd > 0.9 {
			out.all = true
			return out
		}
		reach = dd * (1 + chromaWeight*far) / (1 - 0.5*chromaWeight*dd)
		most = far + reach/2
		gLow, gTop = warp((c1+far+reach)/2), warp((c1+math.Max(0, (near-reach)/1.5))/2)
		gap := 0.0
		if reach < near {
			gap = hueGap(t, gLow, gTop, math.Asin(reach/near)*180/math.Pi)
		}
		turn := 30 * math.Exp(-gap*gap/625) * math.Pi / 180
		rho = 1 - chromaFade(most)*math.Sin(2*turn)
	}
	dC := math.Min(reach, dd*(1+chromaWeight*most))
	dH := math.Min(reach, dd*(1+hueWeight*most))
	da, db := [2]float64{-reach, reach}, [2]float64{-reach, reach}
	if reach < near {
		// Along the target's own hue and across it the limits differ.
		along := [2]float64{-dC - dH*dH/(2*near), dC}
		across := dH * math.Sqrt(1+dC/near)
		ux, uy := unitRange(t, gLow, gTop)
		wide := [2]float64{-across, across}
		da = meet(da, add(times(along, ux), times(wide, uy)))
		db = meet(db, add(times(along, uy), times(wide, ux)))
	}
	out.aLow, out.aTop = t.A+da[0]/(1+gLow), t.A+da[1]/(1+gLow)
	out.bLow, out.bTop = t.B+db[0], t.B+db[1]
	return out
}

// mostLightWeight is the greatest S_L at mean lightnesses within reach of l.
func mostLightWeight(l, reach float64) float64 {
	x := math.Abs(l-50) + reach
	return math.Min(1.75, 1+0.015*x*x/math.Sqrt(20+x*x))
}

// chromaFade is √(c⁷/(c⁷ + 25⁷)), which grows with c.
func chromaFade(c float64) float64 {
	c7 := math.Pow(c, 7)
	if math.IsInf(c7, 1) {
		return 1
	}
	return math.Sqrt(c7 / (c7 + 6103515625))
}

// warp is CIEDE2000's G at a mean chroma; it falls as chroma grows.
func warp(c float64) float64 { return 0.5 * (1 - chromaFade(c)) }

// hueGap is the least angle between 275° and a hue within spread degrees of the
// target's, whatever G between the two may be.
func hueGap(t colour.Lab, gLow, gTop, spread float64) float64 {
	gap := 180.0
	for _, g := range []float64{gLow, gTop} {
		h := math.Atan2(t.B, (1+g)*t.A) * 180 / math.Pi
		gap = math.Min(gap, math.Abs(math.Mod(h-275+540+360, 360)-180))
	}
	// Between the two values of G the hue turns by less than 12°.
	h0 := math.Atan2(t.B, (1+gLow)*t.A) - math.Atan2(t.B, (1+gTop)*t.A)
	return math.Max(0, gap-spread-math.Abs(h0)*180/math.Pi)
}

// unitRange bounds the target's unit vector of hue over G.
func unitRange(t colour.Lab, gLow, gTop float64) (x, y [2]float64) {
	at := func(g float64) (float64, float64) {
		c := math.Hypot((1+g)*t.A, t.B)
		return (1 + g) * t.A / c, t.B / c
	}
	x0, y0 := at(gLow)
	x1, y1 := at(gTop)
	return [2]float64{math.Min(x0, x1), math.Max(x0, x1)}, [2]float64{math.Min(y0, y1), math.Max(y0, y1)}
}

func times(a, b [2]float64) [2]float64 {
	p, q, r, s := a[0]*b[0], a[0]*b[1], a[1]*b[0], a[1]*b[1]
	return [2]float64{min(p, q, r, s), max(p, q, r, s)}
}

func add(a, b [2]float64) [2]float64 { return [2]float64{a[0] + b[0], a[1] + b[1]} }

func meet(a, b [2]float64) [2]float64 {
	return [2]float64{math.Max(a[0], b[0]), math.Min(a[1], b[1])}
}

// slices of lightness that span goes through; more make it tighter.
const spanSlices = 24

// span bounds x·X + y·Y + z·Z over the ball.
func (b *ball) span(x, y, z float64, white colour.XYZ) (low, high float64) {
	if b.all {
		return math.Inf(-1), math.Inf(1)
	}
	low, high = math.Inf(1), math.Inf(-1)
	step := (b.lightHigh - b.lightLow) / spanSlices
	for i := range spanSlices {
		l0 := b.lightLow + float64(i)*step
		p := colour.Lab{L: l0, A: b.aLow, B: b.bTop}.XYZ(white) // the least X, Y and Z
		q := colour.Lab{L: l0 + step, A: b.aTop, B: b.bLow}.XYZ(white)
		s := add(add(times([2]float64{p.X, q.X}, [2]float64{x, x}), times([2]float64{p.Y, q.Y}, [2]float64{y, y})),
			times([2]float64{p.Z, q.Z}, [2]float64{z, z}))
		low, high = math.Min(low, s[0]), math.Max(high, s[1])
	}
	return low, high
}
