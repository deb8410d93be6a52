package pigment

import "math"

// The search spends its time on what films show, of eight films or at eight
// runs of bands at once, so that processors that work on eight numbers at once
// can: see kernel_amd64.s. boundsGeneric, packGeneric, siftGeneric and blendGeneric say what is
// worked out;
// results may differ in the last bits, which decides nothing, since whatever may
// be the best mix is worked out exactly.

const abreast = 8

// box holds limits for each run of a lobe: the least K of any band and the most
// mean K, the least and the most S of any band, and the most mean S. Means are
// weighted as the lobe weighs its bands, so that they blend as paints do.
type box [5][abreast]float32

// eachRun is what each run may add, the least and the most.
type eachRun [2][abreast]float32

// pack is the boxes of eight groups, run by run, and packRuns what each run may
// add in them, the least and the most.
type (
	pack     [abreast][5][abreast]float32
	packRuns [abreast][2][abreast]float32
)

// put makes a box that of group n.
func (p *pack) put(n int, b *box) {
	for i := range p {
		for j := range b {
			p[i][j][n] = b[j][i]
		}
	}
}

// table is how a lobe looks at its runs.
type table struct {
	weight      [abreast]float32
	dark, light [abreast]float32 // grounds of each run
	inside      float32          // the share of light that the surface keeps in
}

// sight is how a lobe looks at one band.
type sight struct{ weight, ground float32 }

// film1 is K and S of a film at one band, film8 of eight films.
type (
	film1 struct{ k, s float32 }
	film8 struct{ k, s [abreast]float32 }
)

// sieve is what mixes are held against: a lobe's bands run by run, and after
// each run the least and the most that the sum so far may be.
type sieve struct {
	bands  *sight
	ends   [abreast]int32 // of runs, counted in bands
	limits [abreast][2]float32
	share  float32 // of the paint that is added
	inside float32
	runs   int32
	sums   [abreast]float32 // what came out, of those that passed
}

// filmOff is how far look may be off, times what its weight would show at most.
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
	a := k + s
	z := k * (a + s)
	y := 0.25 * z
	p, q := (y+105)*y+945, (15*y+420)*y+945
	n, d := p*q, q*q+y*(p*p)
	if z > 49 {
		n, d = 1, float32(math.Sqrt(float64(z)))
	}
	m := s * (1 - ground)
	up, down := ground*d+(m-ground*k)*n, d+(k+m)*n
	return up / (down - inside*up)
}

// acting is crossing.
func acting(s float32) float32 {
	return 1 - float32((1-clearCrossing)*halfSpread)/(float32(halfSpread)+s)
}

// boundsGeneric returns the least and the most of all runs together for a film
// of base and a share of what lies in b, and leaves in out what each run adds.
//
// A run is least with the most S where absorption acts and the least where light
// is thrown back, and all of its bands at their mean K; it is most with the least
// K, and all bands at their mean S. For what is seen of a film is convex in K and concave in S, and so is
// no less, or no more, on the mean than at the mean (Jensen's inequality). With x
// the depth, v = 1 − R and ground ≤ 1, Kubelka and Munk's equation reads
//
//	R' = S·v² − 2K·R
//
// Convex in K: light is lost only on the way, so R, and R/(1 − inside·R), is a sum
// over paths, each a share of 0 or more that dies away as exp(−K·length).
//
// Concave in S: let p and q be the first and second derivative of R in S, 0 at the
// ground, so p' = v² − 2(S·v + K)p, thus p ≥ 0, and q' = 2p(S·p − 2v) − 2(S·v + K)q.
// For u = 2v − S·p, which is 2v ≥ 0 at the ground, u' = S·v² + 4K − 2(S·v + K)u, so
// u ≥ 0 and therefore q ≤ 0. R/(1 − inside·R) bends as q(1 − inside·R) + 2·inside·p²,
// which, as q ≤ 0, is most for inside = 1: m = q·v + 2p². That is 0 at the ground and
// m' = 2K·q − (3S·v + 4K)m, so m ≤ 0.
func boundsGeneric(t *table, base, b *box, share float32, out *eachRun) (low, high float32) {
	for i := range abreast {
		kLow, kHigh := base[0][i]+share*b[0][i], base[1][i]+share*b[1][i]
		sLow, sHigh := base[2][i]+share*b[2][i], base[3][i]+share*b[3][i]
		p := t.weight[i] * look(kHigh*acting(sHigh), sLow, t.dark[i], t.inside)
		q := t.weight[i] * look(kLow*acting(sLow), base[4][i]+share*b[4][i], t.light[i], t.inside)
		out[0][i], out[1][i] = min(p, q), max(p, q)
		low, high = low+out[0][i], high+out[1][i]
	}
	return low, high
}

// packGeneric tells of which boxes in p a share added to base may come to a sum
// within what is accepted, bit by bit, and leaves in out what the runs add.
func packGeneric(t *table, base *box, p *pack, share float32, runs int32, accept [2]float32, out *packRuns) (open uint32) {
	for n := range abreast {
		low, high := float32(0), float32(0)
		for i := range runs {
			b := &p[i]
			kLow, kHigh := base[0][i]+share*b[0][n], base[1][i]+share*b[1][n]
			sLow, sHigh := base[2][i]+share*b[2][n], base[3][i]+share*b[3][n]
			x := t.weight[i] * look(kHigh*acting(sHigh), sLow, t.dark[i], t.inside)
			y := t.weight[i] * look(kLow*acting(sLow), base[4][i]+share*b[4][n], t.light[i], t.inside)
			out[i][0][n], out[i][1][n] = min(x, y), max(x, y)
			low, high = low+out[i][0][n], high+out[i][1][n]
		}
		if high >= accept[0] && low <= accept[1] {
			open |= 1 << n
		}
	}
	return open
}

// siftGeneric tells which of eight mixes of a base and a share of each of eight
// films pass a sieve, bit by bit. Both are given at all bands of the sieve.
func siftGeneric(v *sieve, bands []sight, base []film1, films []film8) (passed uint32) {
	v.sums = [abreast]float32{}
	passed = 1<<abreast - 1
	n := 0
	for r := range v.runs {
		for ; n < int(v.ends[r]); n++ {
			for i := range abreast {
				k, s := base[n].k+v.share*films[n].k[i], base[n].s+v.share*films[n].s[i]
				v.sums[i] += bands[n].weight * look(k*acting(s), s, bands[n].ground, v.inside)
			}
		}
		for i, sum := range v.sums {
			if sum < v.limits[r][0] || sum > v.limits[r][1] {
				passed &^= 1 << i
			}
		}
		if passed == 0 {
			break
		}
	}
	return passed
}

// blendGeneric sets out to a·p + b·q.
func blendGeneric(out, p, q *box, a, b float32) {
	for i := range out {
		for j := range abreast {
			out[i][j] = a*p[i][j] + b*q[i][j]
		}
	}
}
