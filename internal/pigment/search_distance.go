package pigment

import "math"

// leastIn bounds the CIEDE2000 between the target and any colour of a box of
// sums, that a surface can show, from below. It tells whether there is one.
func (f *frame) leastIn(box *[3][2]float64) (float64, bool) {
	l, a, b, ok := f.lab(box)
	if !ok {
		return 0, false
	}
	return math.Sqrt(math.Max(0, f.least(l, a, b))), true
}

// lab bounds L*, a* and b* in a box of sums, as far as a surface can show them
// (ok tells whether any of it), in two ways of which the narrower counts: by the
// bounds of CIELAB's three roots, and from the middle by how steep they are.
func (f *frame) lab(box *[3][2]float64) (l, a, b [2]float64, ok bool) {
	white := [3]float64{f.white.X, f.white.Y, f.white.Z}
	var root, steep [3][2]float64
	var mid, half [3]float64
	for j, v := range box {
		mid[j], half[j] = (v[0]+v[1])/2, (v[1]-v[0])/2
	}
	var middle [3]float64
	for i := range 3 {
		at, off := 0.0, 0.0
		for j := range 3 {
			at += f.back[i][j] / white[i] * mid[j]
			off += math.Abs(f.back[i][j]) / white[i] * half[j]
		}
		const little = 1e-4
		low, high := math.Max(at-off, -little), math.Min(at+off, 1+little)
		if low > high {
			return l, a, b, false
		}
		root[i] = [2]float64{cieRoot(low), cieRoot(high)}
		steep[i] = [2]float64{rootSlope(high), rootSlope(low)}
		middle[i] = at
	}
	// From the middle only where the roots are as steep as said on the way there.
	differ := func(scale float64, p, q int) [2]float64 {
		out := [2]float64{scale * (root[p][0] - root[q][1]), scale * (root[p][1] - root[q][0])}
		if middle[p] < -1e-4 || middle[q] < -1e-4 || middle[p] > 1 || middle[q] > 1 {
			return out
		}
		reach := 0.0
		for j := range 3 {
			x, y := f.back[p][j]/white[p], f.back[q][j]/white[q]
			g, h := times([2]float64{x, x}, steep[p]), times([2]float64{y, y}, steep[q])
			reach += half[j] * math.Max(math.Abs(g[1]-h[0]), math.Abs(g[0]-h[1]))
		}
		at := cieRoot(middle[p]) - cieRoot(middle[q])
		return [2]float64{math.Max(out[0], scale*(at-reach)), math.Min(out[1], scale*(at+reach))}
	}
	l = [2]float64{116*root[1][0] - 16, 116*root[1][1] - 16}
	return l, differ(500, 0, 1), differ(200, 1, 2), true
}

// cieRoot is CIELAB's root of a share of the white.
func cieRoot(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return 841.0/108*t + 4.0/29
}

// rootSlope is how steep the root is; it falls as the share grows.
func rootSlope(t float64) float64 {
	if t > 216.0/24389 {
		r := math.Cbrt(t)
		return 1 / (3 * r * r)
	}
	return 841.0 / 108
}

// Bounds of the terms of CIEDE2000: T is at most 1 + 0.17 + 0.24 + 0.32 + 0.20
// and turns by at most 0.17 + 2·0.24 + 3·0.32 + 4·0.20 per radian.
//
// Ref: iso11664-6.
const (
	mostT  = 1.93
	steepT = 2.41
)

// least bounds the squared CIEDE2000 between the target and any colour of a box
// of CIELAB from below.
//
// C*₂ lies in an interval, hence G, C'₁, C'₂ and both hues. Half of the turn from
// one hue to the other, of which ΔH' and the mean hue are made, is looked at piece
// by piece.
//
// Ref: iso11664-6.
func (f *frame) least(l, a, b [2]float64) float64 {
	t := f.target.Lab()
	low, top := offCentre(a, b)
	gLow, gTop := warp((f.chroma+top)/2), warp((f.chroma+low)/2)
	a = times(a, [2]float64{1 + gLow, 1 + gTop})
	p := pair{one: [2]float64{math.Hypot((1+gLow)*t.A, t.B), math.Hypot((1+gTop)*t.A, t.B)}}
	p.two[0], p.two[1] = offCentre(a, b)
	p.hue, p.off = f.hue(gLow, gTop)

	from, wide := 0.0, 180.0
	if p.two[0] > 0 {
		mid, half := math.Atan2((b[0]+b[1])/2, (a[0]+a[1])/2)*180/math.Pi, 0.0
		for c := range 4 {
			half = math.Max(half, math.Abs(turnBy(mid, math.Atan2(b[c>>1], a[c&1])*180/math.Pi)))
		}
		from, wide = turnBy(p.hue, mid), math.Min(180, half+p.off)
	}
	pieces := int(wide/pieceTurn) + 1
	q := math.Inf(1)
	for n := range pieces {
		q = math.Min(q, p.least(from/2-wide/2+wide*(float64(n)+0.5)/float64(pieces), wide/2/float64(pieces)))
	}
	light := math.Max(0, math.Max(l[0]-t.L, t.L-l[1])) / math.Max(lightWeight((t.L+l[0])/2), lightWeight((t.L+l[1])/2))
	return q + light*light
}

// pieceTurn is how wide the pieces are of half of a turn of hue, in degrees.
const pieceTurn = 15

// pair is what is known of C'₁ and C'₂, and of h'₁: within off degrees of hue.
type pair struct {
	one, two [2]float64
	hue, off float64
}

// least bounds (ΔC'/S_C)² + (ΔH'/S_H)² + R_T ΔC'/S_C ΔH'/S_H from below where h'₂
// lies two times (x ± d) degrees on from h'₁.
func (p *pair) least(x, d float64) float64 {
	x = math.Remainder(x, 180) // −90 to 90: the mean hue lies on the shorter arc
	if math.Abs(x)+d > 90 {
		// Both ends of that.
		x = math.Max(0, 90-d)
		return math.Min(p.quotients(x, 2*d), p.quotients(-x, 2*d))
	}
	return p.quotients(x, d)
}

// quotients bounds the same where x ± d may pass 90 degrees but counts as 90 there.
//
// Both quotients and −R_T, which is 0 or more, lie in intervals. Chroma may be
// more or less, and hue turn on or back: in each of these four quarters the last
// term has one sign, as −R_T times how much chroma and hue differ. Where it is
// added the least of all three is least. Where it is taken away the most of −R_T
// is, which is under 2; what is left is convex, and least, as the point from which
// it grows to all sides is none or no difference at all, on one of the two edges
// nearest to that, which are parabolas.
func (p *pair) quotients(x, d float64) float64 {
	mean := [2]float64{(p.one[0] + p.two[0]) / 2, (p.one[1] + p.two[1]) / 2}
	t, rt := hueShare(p.hue+x, d+p.off), turnShare(p.hue+x, d+p.off)
	rt = [2]float64{rt[0] * chromaFade(mean[0]), rt[1] * chromaFade(mean[1])}
	sin := func(x float64) float64 { return math.Sin(math.Min(90, math.Max(-90, x)) * math.Pi / 180) }
	h := times([2]float64{sin(x - d), sin(x + d)}, [2]float64{
		2 * math.Sqrt(p.one[0]*p.two[0]) / (1 + 0.015*mean[1]*t[1]),
		2 * math.Sqrt(p.one[1]*p.two[1]) / (1 + 0.015*mean[0]*t[0]),
	})
	c := times([2]float64{p.two[0] - p.one[1], p.two[1] - p.one[0]}, [2]float64{1 / (1 + 0.045*mean[1]), 1 / (1 + 0.045*mean[0])})
	least := math.Inf(1)
	for _, s := range [4][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		c, h := side(c, s[0]), side(h, s[1])
		switch {
		case c[1] < 0 || h[1] < 0:
		case s[0] != s[1]:
			least = math.Min(least, c[0]*c[0]+h[0]*h[0]+rt[0]*c[0]*h[0])
		default:
			h1, c1 := math.Min(h[1], math.Max(h[0], rt[1]*c[0]/2)), math.Min(c[1], math.Max(c[0], rt[1]*h[0]/2))
			least = math.Min(least, math.Min(c[0]*c[0]+h1*h1-rt[1]*c[0]*h1, c1*c1+h[0]*h[0]-rt[1]*c1*h[0]))
		}
	}
	return least
}

// side returns what of an interval is of a sign, as how much it is; the most is
// below 0 if nothing is.
func side(v [2]float64, sign float64) [2]float64 {
	v = times(v, [2]float64{sign, sign})
	return [2]float64{math.Max(0, v[0]), v[1]}
}

// offCentre bounds how far from the centre a box lies.
func offCentre(a, b [2]float64) (low, top float64) {
	x, y := math.Max(0, math.Max(a[0], -a[1])), math.Max(0, math.Max(b[0], -b[1]))
	return math.Hypot(x, y), math.Hypot(math.Max(-a[0], a[1]), math.Max(-b[0], b[1]))
}

// hue is the target's, in degrees, at the middle of G's range, and how far it
// may be from that.
func (f *frame) hue(gLow, gTop float64) (at, off float64) {
	if f.chroma == 0 {
		return 0, 180
	}
	t := f.target.Lab()
	h0, h1 := math.Atan2(t.B, (1+gLow)*t.A), math.Atan2(t.B, (1+gTop)*t.A)
	return (h0 + h1) / 2 * 180 / math.Pi, math.Abs(h1-h0) / 2 * 180 / math.Pi
}

// turnBy is the turn from one angle to another, −180 to 180 degrees.
func turnBy(from, to float64) float64 { return math.Remainder(to-from, 360) }

// hueShare bounds T over mean hues within off degrees of one.
func hueShare(h, off float64) [2]float64 {
	cos := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
	t := 1 - 0.17*cos(h-30) + 0.24*cos(2*h) + 0.32*cos(3*h+6) - 0.20*cos(4*h-63)
	turn := steepT * off * math.Pi / 180
	return [2]float64{math.Max(2-mostT, t-turn), math.Min(mostT, t+turn)}
}

// turnShare bounds 2 sin 2Δθ over mean hues within off degrees of one. The formula
// takes hues from 0 on for far from 275: beyond 85 degrees nothing is the least.
func turnShare(h, off float64) [2]float64 {
	at := math.Abs(turnBy(275, h))
	near, far := math.Max(0, at-off), at+off
	turn := func(gap float64) float64 { return 2 * math.Sin(2*30*math.Exp(-gap*gap/625)*math.Pi/180) }
	if far > 85 {
		return [2]float64{0, turn(near)}
	}
	return [2]float64{turn(far), turn(near)}
}

// lightWeight is S_L at a mean lightness; it grows to both sides of 50.
func lightWeight(l float64) float64 {
	x := (l - 50) * (l - 50)
	return 1 + 0.015*x/math.Sqrt(20+x)
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
