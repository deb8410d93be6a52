package pigment

import (
	"math"

	"facings/internal/colour"
)

// ball encloses the colours within a CIEDE2000 of a target by small boxes of
// CIELAB.
type ball []labBox

type labBox struct{ l, a, b [2]float64 }

// Bounds of the terms of CIEDE2000: T is at most 1 + 0.17 + 0.24 + 0.32 + 0.20
// and turns by at most 0.17 + 2·0.24 + 3·0.32 + 4·0.20 per radian.
//
// Ref: iso11664-6.
const (
	mostT  = 1.93
	steepT = 2.41
	// mostChroma bounds C' of all that a surface can show: from 4/29 to 1 in
	// each of CIELAB's three roots, a* by 1.5.
	mostChroma = 700
	// cellsAcross is into how many cells the distance is cut, roughly.
	cellsAcross = 2.0
	mostCellCut = 40
)

// newBall encloses the colours within d of the target.
//
// Chroma C'₂ and hue h'₂ are cut into cells. In each, ΔC', ΔH' and the mean hue
// lie in intervals, from which c = ΔC'/S_C and h = ΔH'/S_H have least sizes and
// |R_T| a greatest; c² + h² − |R_T| c h has its least value over what they allow
// on the edge of that quarter plane. A cell where it is over d² holds nothing;
// in the others, what is left of d² bounds ΔL'.
//
// Ref: iso11664-6.
func newBall(t colour.Lab, d float64) ball {
	m := ballMaker{t: t, c1: math.Hypot(t.A, t.B), d: d, size: min(d/cellsAcross, 0.5+d/6)}
	for h := 0.0; h < 360; h += 45 {
		m.cut(0, mostChroma, h, h+45, 0)
	}
	return m.out
}

type ballMaker struct {
	t           colour.Lab
	c1, d, size float64
	out         ball
}

// cut keeps what of a cell of chroma and hue may be within d.
func (m *ballMaker) cut(cLow, cTop, hLow, hTop float64, depth int) {
	mid, half := (hLow+hTop)/2, (hTop-hLow)/2
	gLow, gTop := m.warps(cLow, cTop, arc(mid, half))
	near, far := math.Hypot((1+gLow)*m.t.A, m.t.B), math.Hypot((1+gTop)*m.t.A, m.t.B)
	hue, hueOff := m.hue(gLow, gTop)

	mean := (far + cTop) / 2
	apart := math.Abs(turnBy(hue, mid))
	least := math.Max(0, apart-half-hueOff)
	middle := hue + turnBy(hue, mid)/2 // the mean hue, within off
	off := (half + hueOff) / 2
	if apart+half+hueOff > 180 {
		off = 180
	}
	c := math.Max(0, math.Max(cLow-far, near-cTop)) / (1 + 0.045*mean)
	h := 2 * math.Sqrt(near*cLow) * math.Sin(math.Min(180, least)/2*math.Pi/180) / (1 + 0.015*mean*hueShare(middle, off))
	rt := turnShare(middle, off) * chromaFade(mean)
	h1, c1 := math.Max(h, rt*c/2), math.Max(c, rt*h/2)
	q := math.Min(c*c+h1*h1-rt*c*h1, c1*c1+h*h-rt*c1*h)
	if q > m.d*m.d {
		return
	}
	wide, long := cTop-cLow, cTop*2*half*math.Pi/180
	small := 0.5 * m.size
	if depth < mostCellCut && (wide > small*(1+0.0225*mean) || long > small*(1+0.0075*mean)) {
		if wide > long {
			m.cut(cLow, (cLow+cTop)/2, hLow, hTop, depth+1)
			m.cut((cLow+cTop)/2, cTop, hLow, hTop, depth+1)
		} else {
			m.cut(cLow, cTop, hLow, mid, depth+1)
			m.cut(cLow, cTop, mid, hTop, depth+1)
		}
		return
	}
	m.keep(cLow, cTop, mid, half, gLow, gTop, math.Sqrt(m.d*m.d-q))
}

// warps bounds G in a cell. G falls with the mean chroma, C*₂ = C'₂ √(sin² h' +
// cos² h'/(1+G)²) falls with G: each narrows the other.
func (m *ballMaker) warps(cLow, cTop float64, cos [2]float64) (low, top float64) {
	least, most := min(cos[0]*cos[0], cos[1]*cos[1]), max(cos[0]*cos[0], cos[1]*cos[1])
	if cos[0] < 0 && cos[1] > 0 {
		least = 0
	}
	shrink := func(cos2, g float64) float64 { return math.Sqrt(1 - cos2 + cos2/((1+g)*(1+g))) }
	low, top = 0, 0.5
	for range 8 {
		low, top = warp((m.c1+cTop*shrink(least, low))/2), warp((m.c1+cLow*shrink(most, top))/2)
	}
	return low, top
}

// keep adds a cell's boxes, one upon the other in lightness.
func (m *ballMaker) keep(cLow, cTop, mid, half, gLow, gTop, rest float64) {
	reach := rest * mostLightWeight(m.t.L, 1.75*rest/2)
	cos, sin := arc(mid, half), arc(mid-90, half)
	c := [2]float64{cLow, cTop}
	a := times(times(c, cos), [2]float64{1 / (1 + gTop), 1 / (1 + gLow)})
	b := times(c, sin)
	n := int(math.Ceil(2*reach/m.size)) + 1
	for i := range n {
		l0 := m.t.L - reach + 2*reach*float64(i)/float64(n)
		box := labBox{[2]float64{l0, l0 + 2*reach/float64(n)}, a, b}
		if box.shown() {
			m.out = append(m.out, box)
		}
	}
}

// shown reports whether a surface can show some colour of the box: the roots
// of CIELAB lie from 4/29 to 1, and a little is allowed for rounding.
func (b *labBox) shown() bool {
	const low, high = 4.0/29 - 0.01, 1.01
	f0, f1 := (b.l[0]+16)/116, (b.l[1]+16)/116
	return f1 >= low && f0 <= high && f1+b.a[1]/500 >= low && f0+b.a[0]/500 <= high && f1-b.b[0]/200 >= low && f0-b.b[1]/200 <= high
}

// hue is the target's, in degrees, at the middle of G's range, and how far it
// may be from that.
func (m *ballMaker) hue(gLow, gTop float64) (at, off float64) {
	if m.c1 == 0 {
		return 0, 180
	}
	h0, h1 := math.Atan2(m.t.B, (1+gLow)*m.t.A), math.Atan2(m.t.B, (1+gTop)*m.t.A)
	return (h0 + h1) / 2 * 180 / math.Pi, math.Abs(h1-h0) / 2 * 180 / math.Pi
}

// turnBy is the turn from one angle to another, −180 to 180 degrees.
func turnBy(from, to float64) float64 { return math.Remainder(to-from, 360) }

// arc bounds the cosine within half degrees of an angle.
func arc(mid, half float64) [2]float64 {
	at := math.Abs(turnBy(0, mid))
	return [2]float64{math.Cos(math.Min(180, at+half) * math.Pi / 180), math.Cos(math.Max(0, at-half) * math.Pi / 180)}
}

// hueShare bounds T over mean hues within off degrees of one.
func hueShare(h, off float64) float64 {
	cos := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
	t := 1 - 0.17*cos(h-30) + 0.24*cos(2*h) + 0.32*cos(3*h+6) - 0.20*cos(4*h-63)
	return math.Min(mostT, t+steepT*off*math.Pi/180)
}

// turnShare bounds 2 sin 2Δθ over mean hues within off degrees of one.
func turnShare(h, off float64) float64 {
	gap := math.Max(0, math.Abs(turnBy(275, h))-off)
	return 2 * math.Sin(2*30*math.Exp(-gap*gap/625)*math.Pi/180)
}

// mostLightWeight is the greatest S_L at mean lightnesses within reach of l.
func mostLightWeight(l, reach float64) float64 {
	x := math.Abs(l-50) + reach
	return math.Min(1.75, 1+0.015*x*x/math.Sqrt(20+x*x))
}

// chromaFade is √(c⁷/(c⁷ + 25⁷)), which grows with c.
func chromaFade(c float64) float64 {
	c7 := c * c * c
	c7 *= c7 * c
	return math.Sqrt(c7 / (c7 + 6103515625))
}

// warp is CIEDE2000's G at a mean chroma; it falls as chroma grows.
func warp(c float64) float64 { return 0.5 * (1 - chromaFade(c)) }

func times(a, b [2]float64) [2]float64 {
	p, q, r, s := a[0]*b[0], a[0]*b[1], a[1]*b[0], a[1]*b[1]
	return [2]float64{min(p, q, r, s), max(p, q, r, s)}
}

// spans bounds x·X + y·Y + z·Z over the ball, for each given x, y, z.
func (b ball) spans(sums [][3]float64, white colour.XYZ) [][2]float64 {
	out := make([][2]float64, len(sums))
	for i := range out {
		out[i] = [2]float64{math.Inf(1), math.Inf(-1)}
	}
	for _, box := range b {
		p := colour.Lab{L: box.l[0], A: box.a[0], B: box.b[1]}.XYZ(white) // the least X, Y and Z
		q := colour.Lab{L: box.l[1], A: box.a[1], B: box.b[0]}.XYZ(white)
		p = colour.XYZ{X: max(p.X, -0.01), Y: max(p.Y, -0.01), Z: max(p.Z, -0.01)}
		q = colour.XYZ{X: min(q.X, 1.1*white.X), Y: min(q.Y, 1.1), Z: min(q.Z, 1.1*white.Z)}
		for i, s := range sums {
			x, y, z := times([2]float64{p.X, q.X}, [2]float64{s[0], s[0]}), times([2]float64{p.Y, q.Y}, [2]float64{s[1], s[1]}), times([2]float64{p.Z, q.Z}, [2]float64{s[2], s[2]})
			out[i][0] = math.Min(out[i][0], x[0]+y[0]+z[0])
			out[i][1] = math.Max(out[i][1], x[1]+y[1]+z[1])
		}
	}
	return out
}
