package pigment

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// What a processor does eight numbers abreast is what the plain code says, but
// for the last bits.
func TestEightAtOnceIsTheSame(t *testing.T) {
	if !eightAtOnce {
		t.Skip("this processor does not work on eight numbers at once")
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 11))
		s := someSearch(r, 3+r.IntN(20))
		s.roots()
		const bits = 1e-5
		same := func(what string, a, b float32) {
			if math.Abs(float64(a-b)) > bits {
				t.Fatalf("%s: %v and %v", what, a, b)
			}
		}
		for range 20 {
			some := func() *limits { return &s.clusters[r.IntN(len(s.clusters))].limits }
			a, b, c := some(), some(), some()
			x := s.ratios[r.IntN(len(s.ratios))].shares
			var fast, plain plane
			boundAVX2(&s.scene, a, b, c, &x[0], len(x), &fast)
			boundGeneric(&s.scene, a, b, c, x, &plain)
			for i := range stretches {
				// A slope counts times K and S, of which a mix has no more than this.
				var k, sc float32
				for _, y := range x {
					k = max(k, y[0]*a[1][i]+y[1]*b[1][i]+y[2]*c[1][i])
					sc = max(sc, y[0]*a[3][i]+y[1]*b[3][i]+y[2]*c[3][i])
				}
				// Any slope is right, since low and high go by it.
				same("slope in K", k*fast.k[i]/10, k*plain.k[i]/10)
				same("slope in S", sc*fast.s[i]/10, sc*plain.s[i]/10)
			}
			for l := range lobeCount {
				same("low", fast.low[l], plain.low[l])
				same("high", fast.high[l], plain.high[l])
			}
			var u, v scores
			var uEnds, vEnds span
			first := r.IntN(abreast)
			end := first + 1 + r.IntN(abreast-first)
			for i := range plain.k { // not too large, whatever the paints
				plain.k[i], plain.s[i] = r.Float32()/1000, -r.Float32()/1000
			}
			scoreAVX2(&plain, &s.octets[0], first, end, &u, &uEnds)
			scoreGeneric(&plain, &s.octets[0], first, end, &v, &vEnds)
			for l := range u {
				for n := range u[l] {
					same("score", u[l][n], v[l][n])
				}
				same("least score", uEnds[0][l], vEnds[0][l])
				same("most score", uEnds[1][l], vEnds[1][l])
			}
			film := func() *spectrum { return &s.films[r.IntN(len(s.films))] }
			p, q, o := film(), film(), film()
			m, n := showAVX2(&s.view, p, q, o, &x[0]), showGeneric(&s.view, p, q, o, &x[0])
			for l := range m {
				same("shown", m[l], n[l])
			}
			rows := make([][lobeCount]float32, 1+r.IntN(9))
			for i := range rows {
				for l := range rows[i] {
					rows[i][l] = r.Float32()
				}
			}
			for l := range v {
				for n := range v[l] {
					v[l][n] = r.Float32()
				}
			}
			limits := span{{0.3, 0.3, 0.3, 0.3}, {1.1, 1.1, 1.1, 1.1}}
			out, want := make([]uint8, len(rows)), make([]uint8, len(rows))
			siftAVX2(&rows[0], len(rows), &v, 0.5, &limits, &out[0])
			siftGeneric(rows, &v, 0.5, &limits, want)
			for i := range rows {
				if out[i] != want[i] {
					t.Fatalf("row %d: %b pass, plainly %b", i, out[i], want[i])
				}
			}
		}
	})
}

// Without that, the search finds the same.
func TestPlainSearchIsTheSame(t *testing.T) {
	if !eightAtOnce {
		t.Skip("this processor does not work on eight numbers at once")
	}
	defer func() { eightAtOnce = true }()
	r := rand.New(rand.NewPCG(3, 3))
	for range 20 {
		var rack []KS
		for range 12 {
			rack = append(rack, randomPaint(r))
		}
		q := randomQuery(r)
		eightAtOnce = true
		fast, err := Best(t.Context(), rack, q)
		if err != nil {
			t.Fatal(err)
		}
		eightAtOnce = false
		plain, err := Best(t.Context(), rack, q)
		if err != nil {
			t.Fatal(err)
		}
		if fast.Compare(&plain) != 0 {
			t.Errorf("%+v, plainly %+v", fast, plain)
		}
	}
}
