package pigment

import (
	"math"
	"math/rand/v2"
	"slices"
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
		var rack []KS
		for range 3 + r.IntN(6) {
			rack = append(rack, randomPaint(r))
		}
		s := newSearch(rack, randomQuery(r))
		s.begin()
		s.prepare()
		same := func(what string, a, b float32) {
			if math.Abs(float64(a-b)) > 4e-6 {
				t.Fatalf("%s: %v and %v", what, a, b)
			}
		}
		a, b, share := r.Float32(), r.Float32(), r.Float32()
		for _, l := range s.lobes {
			var base, plainBase box
			base.blend(&l.boxes[0], &l.boxes[1], a, b)
			blendGeneric(&plainBase, &l.boxes[0], &l.boxes[1], a, b)
			for i := range base {
				for j := range base[i] {
					if off := math.Abs(float64(base[i][j] - plainBase[i][j])); off > 1e-6*float64(plainBase[i][j]) {
						t.Fatalf("blended %v and %v", base[i][j], plainBase[i][j])
					}
				}
			}
			var each, plain eachRun
			low, high := boundsAVX2(&l.table, &base, &l.boxes[2], share, &each)
			wantLow, wantHigh := boundsGeneric(&l.table, &base, &l.boxes[2], share, &plain)
			same("low", low, wantLow)
			same("high", high, wantHigh)
			for i := range abreast {
				same("least of a run", each[0][i], plain[0][i])
				same("most of a run", each[1][i], plain[1][i])
			}
			var p pack
			for n := range abreast {
				p.put(n, &l.boxes[n%len(rack)])
			}
			var runs, plainRuns packRuns
			middle := (low + high) / 2
			for _, accept := range [][2]float32{{-9, 9}, {middle, 9}, {-9, middle}} {
				count := int32(len(l.runs))
				open := packAVX2(&l.table, &base, &p, share, count, accept[0], accept[1], &runs)
				want := packGeneric(&l.table, &base, &p, share, count, accept, &plainRuns)
				for n := range abreast {
					var each eachRun
					low, high := boundsGeneric(&l.table, &base, &l.boxes[n%len(rack)], share, &each)
					edge := min(math.Abs(float64(high-accept[0])), math.Abs(float64(low-accept[1])))
					if (open^want)>>n&1 != 0 && edge > 4e-6 {
						t.Fatalf("of eight boxes %b are open, plainly %b", open, want)
					}
					if got := high >= accept[0] && low <= accept[1]; got != (want>>n&1 != 0) && edge > 4e-6 {
						t.Fatalf("box %d alone: open %v, among eight %b", n, got, want)
					}
					for i := range l.runs {
						for side := range 2 {
							same("run of a box", runs[i][side][n], plainRuns[i][side][n])
							same("run of a box alone", each[side][i], plainRuns[i][side][n])
						}
					}
				}
			}
			// Limits that let some pass, but none nearly.
			for _, n := range l.division.groups {
				v := l.sieve
				v.share = share
				films := n.films[slices.Index(s.lobes, l)]
				for i := range v.limits {
					v.limits[i] = [2]float32{-9, 9}
				}
				if got := siftAVX2(&v, &l.films[0][0], &films[0]); got != 255 {
					t.Fatalf("only %b pass", got)
				}
				sums := v.sums
				if got := siftGeneric(&v, l.sights, l.films[0], films); got != 255 {
					t.Fatalf("only %b pass, plainly", got)
				}
				for i := range sums {
					same("sum", sums[i], v.sums[i])
				}
				v.limits[r.IntN(int(v.runs))] = [2]float32{r.Float32() - 0.3, 0.5}
				fast := siftAVX2(&v, &l.films[0][0], &films[0])
				if got := siftGeneric(&v, l.sights, l.films[0], films); got != fast {
					t.Fatalf("%b pass, plainly %b", fast, got)
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
