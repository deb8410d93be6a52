package pigment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// strongPaint draws a paint of any strength at each band, or alike at all.
func strongPaint(r *rand.Rand) (p KS) {
	draw := func() float64 { return max(0, math.Exp(12*r.Float64()-8)-1e-3) }
	k, s, even := draw(), draw(), r.IntN(2) == 0
	for b := range Bands {
		if !even {
			k, s = draw(), draw()
		}
		p.K[b], p.S[b] = k, s
	}
	return p
}

// someSearch prepares a search of a random rack, by rule or beyond it.
func someSearch(r *rand.Rand, paints int) *search {
	var rack []KS
	strong := r.IntN(3) == 0
	for range paints {
		if strong {
			rack = append(rack, strongPaint(r))
		} else {
			rack = append(rack, randomPaint(r))
		}
	}
	q := randomQuery(r)
	q.Paints, q.Parts = 3, 3+r.IntN(6)
	s := newSearch(rack, q)
	first := s.work([]int{0}, []int{1})
	s.best.Store(&first)
	s.prepare()
	return s
}

// Splitting nodes down to single mixes, every mix of two and three paints comes once,
// and no other.
func TestNodesHoldEveryMix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 21))
		n := 2 + r.IntN(18)
		s := someSearch(r, n)
		s.query.Parts = 2 + r.IntN(4)
		type mix struct{ paint, parts [3]int }
		times := map[mix]int{}
		todo := s.roots()
		for len(todo) > 0 {
			at := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			var whole []int
			for i, c := range at.paints {
				if s.clusters[c].count > 1 {
					whole = append(whole, i)
				}
			}
			if len(s.ratios[at.ratios].shares) > 1 {
				whole = append(whole, 3)
			}
			if len(whole) > 0 {
				todo = s.split(at, whole[r.IntN(len(whole))], todo)
				continue
			}
			var m mix
			sorted := []int{0, 1, 2}
			paint := func(i int) int {
				if at.paints[i] == s.none {
					return n
				}
				return s.order[s.clusters[at.paints[i]].first]
			}
			slices.SortFunc(sorted, func(a, b int) int { return paint(a) - paint(b) })
			for to, i := range sorted {
				m.paint[to], m.parts[to] = paint(i), s.ratios[at.ratios].parts[0][i]
			}
			times[m]++
		}
		want := 0
		for i := range n {
			for j := i + 1; j < n; j++ {
				for k := j + 1; k <= n; k++ {
					for _, p := range allRatios(map[bool]int{true: 2, false: 3}[k == n], s.query.Parts) {
						want++
						if got := times[mix{[3]int{i, j, k}, p}]; got != 1 {
							t.Fatalf("%v parts of %d, %d and %d of %d come %d times", p, i, j, k, n, got)
						}
					}
				}
			}
		}
		if len(times) != want {
			t.Fatalf("%d mixes of %d", len(times), want)
		}
	})
}

// Every ratio of small parts comes once, in whole parts without a common divisor.
func TestRatiosAreAll(t *testing.T) {
	for most := range 9 {
		seen := map[float64]bool{}
		for a := 1; a < most; a++ {
			for b := 1; a+b <= most; b++ {
				seen[float64(a)/float64(b)] = true
			}
		}
		if got := len(allRatios(2, most)); got != len(seen) {
			t.Errorf("%d ratios of two paints up to %d parts, not %d", got, most, len(seen))
		}
	}
}

// The plane of a node holds what each of its mixes sums to in every lobe, and so do
// the ends of its scores.
func TestPlanesHoldTheirMixes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 22))
		s := someSearch(r, 3+r.IntN(30))
		w := newWorker(s)
		s.roots()
		for range 20 {
			n := node{ratios: int32(r.IntN(len(s.ratios)))}
			x := &s.ratios[n.ratios]
			var c [3]*cluster
			for i := range c {
				c[i] = &s.clusters[r.IntN(int(s.none))]
				if x.parts[0][i] == 0 {
					c[i] = &s.clusters[s.none]
				}
			}
			bound8(&s.scene, &c[0].limits, &c[1].limits, &c[2].limits, x.shares, &w.plane)
			for i := range c {
				w.score(i, c[i])
			}
			for range 20 {
				y := r.IntN(len(x.shares))
				var sum KS
				var scored, shownSums [lobeCount]float64
				var films [3]*spectrum
				total := 0
				for i := range c {
					paint := r.IntN(c[i].count)
					at := c[i].first + paint
					films[i] = &s.films[min(at, len(s.order))]
					if parts := x.parts[y][i]; parts > 0 {
						sum.Add(&s.rack[s.order[at]], float64(parts))
						total += parts
					}
					of, lane := w.scoresOf(i, c[i], paint)
					for l := range scored {
						v := of[l][lane]
						if v < w.ends[i][0][l] || v > w.ends[i][1][l] {
							t.Fatalf("score %v outside its ends", v)
						}
						scored[l] += float64(x.shares[y][i]) * float64(v)
					}
				}
				q := s.query.Setting
				thick := q.Thickness / float64(total)
				for l := range shownSums {
					for b, v := range s.lobes[l].weight {
						in := film(sum.K[b]*thick, sum.S[b]*thick, q.Ground[b])
						shownSums[l] += v * in / (1 - q.Surface.Inside*in)
					}
				}
				showed := show8(&s.view, films[0], films[1], films[2], &x.shares[y])
				for l, v := range shownSums {
					off := s.lobes[l].off
					if low, high := scored[l]+float64(w.plane.low[l]), scored[l]+float64(w.plane.high[l]); v < low-0.5*off-rounding/2 || v > high+0.5*off+rounding/2 {
						t.Fatalf("lobe %d sums to %v, said to be %v to %v", l, v, low, high)
					}
					if math.Abs(v-float64(showed[l])) > 0.5*off+rounding/2 {
						t.Fatalf("lobe %d sums to %v, not %v", l, v, showed[l])
					}
				}
			}
		}
	})
}

// Nothing is given away where nothing is uncertain: of a single mix of paints alike at
// all bands, over a ground that is too, planes tell what it shows.
func TestPlanesAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 23))
		var rack []KS
		for range 3 {
			p := randomPaint(r)
			for b := range Bands {
				p.K[b], p.S[b] = p.K[Bands/2], p.S[Bands/2]
			}
			rack = append(rack, p)
		}
		q := randomQuery(r)
		q.Paints, q.Parts = 3, 8
		q.Setting.Ground = FlatGround(r.Float64())
		s := newSearch(rack, q)
		first := s.work([]int{0}, []int{1})
		s.best.Store(&first)
		s.prepare()
		var single [3]*cluster
		for i := range s.clusters[:s.none] {
			if c := &s.clusters[i]; c.count == 1 {
				single[c.first] = c
			}
		}
		var p plane
		bound8(&s.scene, &single[0].limits, &single[1].limits, &single[2].limits, [][3]float32{{0.5, 0.25, 0.25}}, &p)
		for l := range p.low {
			if wide := float64(p.high[l] - p.low[l]); wide > s.lobes[l].off+rounding {
				t.Fatalf("lobe %d is uncertain by %v", l, wide)
			}
		}
	})
}

// Clusters of eight paints and less lie in one octet, and hold their paints.
func TestClustersHoldTheirPaints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		s := someSearch(r, 2+r.IntN(90))
		for n, c := range s.clusters[:s.none] {
			if c.first/abreast != (c.first+min(c.count, abreast)-1)/abreast {
				t.Fatalf("cluster %d, of %d from %d on, lies across octets", n, c.count, c.first)
			}
			for _, paint := range s.order[c.first : c.first+c.count] {
				is := s.limitsOf(paint)
				for i := range stretches {
					if is[0][i] < c.limits[0][i] || is[1][i] > c.limits[1][i] || is[2][i] < c.limits[2][i] || is[3][i] > c.limits[3][i] {
						t.Fatalf("cluster %d does not hold paint %d", n, paint)
					}
				}
			}
		}
	})
}
