package pigment

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Every paint lies in just one group of a division, box, films and all.
func TestDivisionsHoldEveryPaint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		var rack []KS
		for range 2 + r.IntN(90) {
			rack = append(rack, StarterRack()[r.IntN(len(StarterRack()))].KS)
			rack[len(rack)-1].Scale(0.5 + r.Float64())
		}
		s := newSearch(rack, randomQuery(r))
		s.begin()
		s.prepare()
		for own, l := range s.lobes {
			d := l.division
			found := make([]int, len(rack))
			for n, g := range d.groups {
				if g.last != slices.Max(g.paints) {
					t.Fatalf("division %d, group %d: last is %d of %v", own, n, g.last, g.paints)
				}
				for lane, p := range g.paints {
					found[p]++
					for m, other := range s.lobes {
						wide := d.boxes[m][n]
						if wide.join(&other.boxes[p]); wide != d.boxes[m][n] {
							t.Fatalf("division %d, group %d: paint %d lies outside", own, n, p)
						}
						for x, f := range other.films[p] {
							if g.films[m][x].k[lane] != f.k || g.films[m][x].s[lane] != f.s {
								t.Fatalf("division %d, group %d: paint %d has another's films", own, n, p)
							}
						}
					}
				}
				for i := range abreast {
					for j := range d.boxes[own][n] {
						if got := d.packs[n/abreast][i][j][n%abreast]; got != d.boxes[own][n][j][i] {
							t.Fatalf("division %d, group %d: its pack says %v", own, n, got)
						}
					}
				}
			}
			if slices.Min(found) != 1 || slices.Max(found) != 1 {
				t.Fatalf("division %d: paints found %v times", own, found)
			}
		}
	})
}

// A lobe's bounds hold for each paint of a rack alone, also where little else
// widens them: for paints alike at every band, and for clear ones over white,
// which turn darker as they scatter more.
func TestLobesBoundTheirSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 8))
		q := randomQuery(r)
		if r.IntN(2) == 0 {
			q.Setting.Ground = FlatGround(1)
		}
		even, clear := r.IntN(2) == 0, r.IntN(2) == 0
		k := 3 * r.Float64()
		var rack []KS
		for range 1 + r.IntN(4) {
			p := randomPaint(r)
			sc := 0.3 * r.Float64()
			for b := range Bands {
				if even {
					p.K[b], p.S[b] = p.K[Bands/2], p.S[Bands/2]
				}
				if clear {
					p.K[b], p.S[b] = k, sc
				}
			}
			rack = append(rack, p)
		}
		s := newSearch(rack, q)
		s.begin()
		s.prepare()
		for n, l := range s.lobes {
			var each eachRun
			var none box
			for i := range rack {
				shown := q.Setting.Show(&rack[i])
				var sum float64
				for x, b := range l.bands {
					sum += float64(l.weight[x]) * (shown[b] - q.Setting.Surface.Outside*q.Setting.Surface.Seen)
				}
				for what, box := range map[string]*box{"paint": &l.boxes[i], "rack": &l.all} {
					if low, high := l.bounds(&none, box, 1, &each); sum < float64(low-l.off) || sum > float64(high+l.off) {
						t.Fatalf("lobe %d: %s of sum %v is bounded by %v..%v", n, what, sum, low, high)
					}
				}
				c := q.Setting.View.XYZ(&shown)
				left := l.sum[0]*c.X + l.sum[1]*c.Y + l.sum[2]*c.Z - sum
				if left < l.spare[0]-1e-7 || left > l.spare[1]+1e-7 {
					t.Fatalf("lobe %d: %v is left out, but %v is said", n, left, l.spare)
				}
			}
		}
	})
}
