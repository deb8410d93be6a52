package pigment

import (
	"math"
	"slices"
)

// The search spends its time on what films show, at eight stretches of bands or
// of eight films at once, so that processors that work on eight numbers at once
// can: see kernel_amd64.s. boundGeneric, scoreGeneric, siftGeneric and showGeneric say what is
// worked out; results may differ in the last bits, which decides nothing, since
// whatever may be the best mix is worked out exactly.

const (
	abreast   = 8
	stretches = 16 // of neighbouring bands, that the spectrum is cut into
	lobeCount = 4
	padded    = (Bands + abreast - 1) / abreast * abreast
)

// limits are the least and the most K, and the least and the most S, of any film of a
// cluster at any band of each stretch.
type limits [4][stretches]float32

// scene is what all mixes of a search share: for each stretch the darkest and the
// lightest ground, and what weights each lobe puts on it, those above 0 and those
// below, as what they are below.
type scene struct {
	dark, light [stretches]float32
	plus, minus [lobeCount][stretches]float32
	inside      float32 // the share of light that the surface keeps in
}

// plane bounds what mixes sum to in each lobe by what they are mixed of: low to
// high more than the scores of their paints, each times its share. The score of a
// paint is k times K and s times S of it, in the lobe's weights, over all stretches.
type plane struct {
	k, s      [stretches]float32
	low, high [lobeCount]float32
}

// octet is K and S of eight paints, times the weights of each lobe, summed
// over each stretch, and scores is what they score.
type (
	octet  [stretches][2][lobeCount][abreast]float32
	scores [lobeCount][abreast]float32
)

// span is the least and the most of something in each lobe.
type span [2][lobeCount]float32

// spectrum is K and S of a film band by band, and view what is looked at.
type (
	spectrum [2][padded]float32
	view     struct {
		ground [padded]float32
		weight [lobeCount][padded]float32
		inside float32
	}
)

// filmOff is how far a sum may be off, times what its weights would show at most.
const filmOff = 1e-5

// look returns what is seen of a film of absorption k, as it acts, and
// scattering s over a ground, but for the light that the surface throws back and
// the share of it that passes the surface: Layer in terms of T = tanh(G)/G, with
// A = k + s and G² = k(k + 2s),
//
//	R = (ground + (s − ground·A)T) / (1 + (A − ground·s)T)
//
// and of that R/(1 − inside·R). T is made of two steps of Lambert's continued
// fraction for G/2, doubled, which is off by 2e-6 up to G = 7; from there on it is
// 1/G within that.
func look(k, s, ground, inside float32) float32 {
	t, _ := steep(k, s)
	m := s * (1 - ground)
	up, down := ground+(m-ground*k)*t, 1+(k+m)*t
	return up / (down - inside*up)
}

// steep returns T and its derivative in G².
func steep(k, s float32) (t, slope float32) {
	z := k * (k + s + s)
	y := 0.25 * z
	p, q := (y+105)*y+945, (15*y+420)*y+945
	n, d := p*q, q*q+y*(p*p)
	if z > 49 {
		n, d = 1, float32(math.Sqrt(float64(z)))
	}
	t = n / d
	return t, (1 - t - z*(t*t)) * (0.5 / max(z, leastTurn))
}

// leastTurn keeps off a division by 0, where the dividend is 0 too.
const leastTurn = 1e-30

// glance is look with what it grows by with k and with s.
func glance(k, s, ground, inside float32) (seen, byK, byS float32) {
	t, slope := steep(k, s)
	tk, ts := 2*(k+s)*slope, 2*k*slope
	through := s * (1 - ground)
	m, c := through-ground*k, k+through
	up := ground + m*t
	down := 1 + c*t - inside*up
	seen = up / down
	upK, upS := m*tk-ground*t, m*ts+(1-ground)*t
	downK, downS := c*tk+t-inside*upK, c*ts+(1-ground)*t-inside*upS
	return seen, (upK - seen*downK) / down, (upS - seen*downS) / down
}

// How much of K acts in a film of scattering s: 1 − actLoss/(actHalf + s), as crossing says.
const (
	actHalf = float32(halfSpread)
	actLoss = float32((1 - clearCrossing) * halfSpread)
)

// boundGeneric sets out to the plane of all mixes of a paint of p, one of q and one
// of r, in any of the given shares.
//
// At a band K and S of such mixes lie in a box. What is seen is h(κ, s), of the
// absorption κ that acts. It is convex in κ and concave in s; let u and t be both,
// from −1 to 1 over the box. So h lies below the chord in u between its ends, of
// which each lies below its tangent in t from the middle,
//
//	h ≤ (1−u)/2·(p₀ + p₀'t) + (1+u)/2·(p₁ + p₁'t)
//
// and above the chord in t between its ends, of which each lies above its tangent in u,
//
//	h ≥ (1−t)/2·(q₀ + q₀'u) + (1+t)/2·(q₁ + q₁'u)
//
// Both are planes but for a term in u·t, which is within half of the difference of
// the two tangents. As the slopes of both together, to u those of q and to t those of
// p are taken; what the other's differ by adds to its distance. And κ = k·a(s) is, from the middle of k and the mean of the ends of a,
//
//	κ = kₘ·a(s) + aₘ·(k − kₘ) + (k − kₘ)(a(s) − aₘ)
//
// where a, concave, lies above its chord by 0 to gap = loss·(x₀^−½ − x₁^−½)², x = half + s,
// and the last term is within the product of both half widths.
//
// Convex in κ: light is lost only on the way, so R, and R/(1 − inside·R), is a sum
// over paths, each a share of 0 or more that dies away as exp(−κ·length).
//
// Concave in s: with x the depth, v = 1 − R and ground ≤ 1, Kubelka and Munk's equation reads
//
//	R' = s·v² − 2κ·R
//
// Let p and q be the first and second derivative of R in s, 0 at the
// ground, so p' = v² − 2(s·v + κ)p, thus p ≥ 0, and q' = 2p(s·p − 2v) − 2(s·v + κ)q.
// For u = 2v − s·p, which is 2v ≥ 0 at the ground, u' = s·v² + 4κ − 2(s·v + κ)u, so
// u ≥ 0 and therefore q ≤ 0. R/(1 − inside·R) bends as q(1 − inside·R) + 2·inside·p²,
// which, as q ≤ 0, is most for inside = 1: m = q·v + 2p². That is 0 at the ground and
// m' = 2κ·q − (3s·v + 4κ)m, so m ≤ 0.
func boundGeneric(v *scene, p, q, r *limits, shares [][3]float32, out *plane) {
	out.low, out.high = [lobeCount]float32{}, [lobeCount]float32{}
	for i := range stretches {
		k0, k1, s0, s1 := float32(math.MaxFloat32), float32(0), float32(math.MaxFloat32), float32(0)
		for _, x := range shares {
			k0 = min(k0, x[0]*p[0][i]+x[1]*q[0][i]+x[2]*r[0][i])
			k1 = max(k1, x[0]*p[1][i]+x[1]*q[1][i]+x[2]*r[1][i])
			s0 = min(s0, x[0]*p[2][i]+x[1]*q[2][i]+x[2]*r[2][i])
			s1 = max(s1, x[0]*p[3][i]+x[1]*q[3][i]+x[2]*r[3][i])
		}
		kMid, kHalf, sMid, sHalf := (k0+k1)/2, (k1-k0)/2, (s0+s1)/2, (s1-s0)/2
		x0, x1 := 1/(actHalf+s0), 1/(actHalf+s1)
		a0, a1 := 1-actLoss*x0, 1-actLoss*x1
		gap := max(0, actLoss*(x0+x1-2*float32(math.Sqrt(float64(x0*x1)))))
		c0, c1 := k0*a0, k1*a1
		cMid, cHalf := (c0+c1)/2, (c1-c0)/2
		p0, _, p0S := glance(c0, sMid, v.light[i], v.inside)
		p1, _, p1S := glance(c1, sMid, v.light[i], v.inside)
		q0, q0K, _ := glance(cMid, s0, v.dark[i], v.inside)
		q1, q1K, _ := glance(cMid, s1, v.dark[i], v.inside)
		byC, byS := (q0K+q1K)/2, (p0S+p1S)/2
		high := (p0+p1)/2 + sHalf*abs32(p1S-p0S)/2 + abs32((p1-p0)/2-byC*cHalf) - byC*kHalf*(a1-a0)
		low := (q0+q1)/2 - cHalf*abs32(q1K-q0K)/2 - abs32((q1-q0)/2-byS*sHalf) + byC*kMid*gap
		out.k[i], out.s[i] = byC*(a0+a1)/2, byS+byC*kMid*(actLoss*x0*x1)
		middle := out.k[i]*kMid + out.s[i]*sMid
		low, high = low-middle, high-middle
		for l := range lobeCount {
			out.low[l] += v.plus[l][i]*low - v.minus[l][i]*high
			out.high[l] += v.plus[l][i]*high - v.minus[l][i]*low
		}
	}
}

func abs32(x float32) float32 { return max(x, -x) }

// scoreGeneric sets out to what the paints of an octet score on a plane, and ends to
// the least and the most of those from first to end.
func scoreGeneric(p *plane, b *octet, first, end int, out *scores, ends *span) {
	*out = scores{}
	for i := range b {
		for l := range lobeCount {
			for n := range abreast {
				out[l][n] += p.k[i]*b[i][0][l][n] + p.s[i]*b[i][1][l][n]
			}
		}
	}
	for l := range lobeCount {
		ends[0][l], ends[1][l] = slices.Min(out[l][first:end]), slices.Max(out[l][first:end])
	}
}

// siftGeneric tells of which of eight paints a share, added to each of some rows, comes
// to sums within limits, bit by bit.
func siftGeneric(rows [][lobeCount]float32, s *scores, share float32, limits *span, out []uint8) {
	for i, row := range rows {
		out[i] = 1<<abreast - 1
		for l, v := range row {
			for n := range abreast {
				if x := v + share*s[l][n]; x < limits[0][l] || x > limits[1][l] {
					out[i] &^= 1 << n
				}
			}
		}
	}
}

// showGeneric returns what a mix of three films sums to in each lobe.
func showGeneric(v *view, p, q, r *spectrum, x *[3]float32) (out [lobeCount]float32) {
	for b := range padded {
		k := x[0]*p[0][b] + x[1]*q[0][b] + x[2]*r[0][b]
		s := x[0]*p[1][b] + x[1]*q[1][b] + x[2]*r[1][b]
		seen := look(k*acting(s), s, v.ground[b], v.inside)
		for l := range out {
			out[l] += v.weight[l][b] * seen
		}
	}
	return out
}

// acting is crossing.
func acting(s float32) float32 { return 1 - actLoss/(actHalf+s) }
