package pigment

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"facings/internal/colour"
)

// enumerate tries every mix, without a thought.
func enumerate(rack []KS, q Query) Recipe {
	s := newSearch(rack, q)
	s.best.Store(&Recipe{DeltaE00: math.Inf(1)})
	for i := range rack {
		s.try([]int{i}, []int{1})
		for j := i + 1; j < len(rack) && q.Paints > 1; j++ {
			for a := 1; a < q.Parts; a++ {
				for b := 1; a+b <= q.Parts; b++ {
					if gcd(a, b) == 1 {
						s.try([]int{i, j}, []int{a, b})
					}
					for k := j + 1; k < len(rack) && q.Paints > 2; k++ {
						for c := 1; a+b+c <= q.Parts; c++ {
							if gcd(a, b, c) == 1 {
								s.try([]int{i, j, k}, []int{a, b, c})
							}
						}
					}
				}
			}
		}
	}
	return *s.best.Load()
}

// randomPaint draws a paint with a smooth random spectrum of any strength.
func randomPaint(r *rand.Rand) KS {
	var rgb colour.RGB8
	for _, c := range []*uint8{&rgb.R, &rgb.G, &rgb.B} {
		*c = uint8(5 + r.IntN(245))
	}
	refl, err := colour.Smoothest(colour.ViewD65(), rgb.SRGB().XYZ())
	if err != nil {
		panic(err)
	}
	var ks KS
	if r.IntN(5) == 0 {
		ks = clearCoat(&refl)
	} else {
		ks = solidCoat(&refl, 0.3+0.69*r.Float64())
	}
	ks.Scale(0.5 + 2*r.Float64())
	for i := range ks.K {
		ks.S[i] *= 1 + 0.3*r.Float64()
	}
	return ks
}

// randomGround draws a ground of each kind: black, white, a grey, or painted.
func randomGround(r *rand.Rand) Inner {
	black, white := Chart()
	switch r.IntN(4) {
	case 0:
		return black
	case 1:
		return white
	case 2:
		return FlatGround(r.Float64())
	}
	p := randomPaint(r)
	return p.Over(&white, 2*r.Float64())
}

func randomQuery(r *rand.Rand) Query {
	surface := []Surface{Matt(), Satin(), Gloss()}[r.IntN(3)]
	return Query{
		Setting: Setting{View: colour.ViewD65(), Surface: surface, Ground: randomGround(r), Thickness: []float64{0.2, 1, 1.6, 3}[r.IntN(4)]},
		Target:  colour.RGB8{R: uint8(r.IntN(256)), G: uint8(r.IntN(256)), B: uint8(r.IntN(256))}.SRGB().Lab(),
		Paints:  1 + r.IntN(3),
		Parts:   1 + r.IntN(8),
	}
}

// The search returns just what trying every mix returns: on random racks, on
// picks of the starter rack, over grounds of every kind.
func TestBestIsBest(t *testing.T) {
	starter := StarterRack()
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		q := randomQuery(r)
		var rack []KS
		invented := r.IntN(2) == 0
		for range 1 + r.IntN(10) {
			if invented {
				rack = append(rack, randomPaint(r))
			} else {
				rack = append(rack, starter[r.IntN(len(starter))].KS) // some twice: ties
			}
		}
		if r.IntN(3) == 0 { // a target that some mix hits
			m := Mix([]KS{rack[0], rack[len(rack)-1]}, []float64{2, 1})
			q.Target = q.Setting.Lab(&m)
		}
		got, err := Best(context.Background(), rack, q)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(enumerate(rack, q), got); d != "" {
			t.Fatalf("ground %v, target %v, %d paints to %d parts of %d: enumerated -, found +\n%s",
				q.Setting.Ground[10], q.Target, q.Paints, q.Parts, len(rack), d)
		}
	})
}

// The bounds never lose a mix: with the distance of any one mix for the best so
// far, or with a poor start, each mix that is as near is still reached.
func TestBoundsKeepEveryMix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 4))
		q := randomQuery(r)
		q.Paints, q.Parts = 3, 3+r.IntN(6)
		var rack []KS
		for range 3 + r.IntN(4) {
			rack = append(rack, randomPaint(r))
		}
		if r.IntN(10) == 0 { // large balls take long
			want := enumerate(rack, q)
			poor := newSearch(rack, q)
			first := poor.work([]int{0}, []int{1})
			poor.best.Store(&first)
			poor.prepare()
			w := newWorker(poor)
			for i := range rack {
				poor.try([]int{i}, []int{1})
				w.from(i)
			}
			if d := cmp.Diff(want, *poor.best.Load()); d != "" {
				t.Fatalf("from a poor start: enumerated -, found +\n%s", d)
			}
		}

		// A mix just at the best distance, in every lobe, is not cut off.
		s := newSearch(rack, q)
		i, j, k := 0, 1, 2
		a, b, c := 1+r.IntN(3), 1+r.IntN(3), 1+r.IntN(2)
		m := s.work([]int{i, j, k}, []int{a, b, c})
		off := func() float64 { return 6*r.Float64() - 3 }
		q.Target = colour.Lab{L: m.Lab.L + off(), A: m.Lab.A + off(), B: m.Lab.B + off()}
		s = newSearch(rack, q)
		m = s.work(m.Paints, m.Parts)
		s.best.Store(&m)
		s.prepare()
		w := newWorker(s)
		w.refresh()
		w.pair(i, j, a, b)
		if !w.pass(i, j, a, b, c) || !w.near(i, j, k, a, b, c, r.IntN(len(s.lobes))) {
			t.Fatalf("%v of %v is cut off, though the best", m.Parts, m.Paints)
		}
		if w.within < m.DeltaE00+distanceStep/2 {
			t.Fatalf("what may tie with %v is cut off at %v", m.DeltaE00, w.within)
		}
		mixed := Mix(rack[:3], []float64{float64(a), float64(b), float64(c)})
		shown := q.Setting.Show(&mixed)
		xyz := m.Lab.XYZ(q.Setting.View.White())
		share := float32(c) / float32(a+b+c)
		for n, l := range s.lobes {
			sum := l.sum[0]*xyz.X + l.sum[1]*xyz.Y + l.sum[2]*xyz.Z
			if sum < float64(w.accept[n][0])+l.spare[1]-1e-7 || sum > float64(w.accept[n][1])+l.spare[0]+1e-7 {
				t.Fatalf("lobe %d: sum %v outside what is accepted, %v", n, sum, w.accept[n])
			}
			holds := func(what string, low, high float32) {
				if sum < float64(low)+l.spare[0]-rounding || sum > float64(high)+l.spare[1]+rounding {
					t.Fatalf("lobe %d: %s of sum %v is bounded by %v..%v", n, what, sum, low, high)
				}
			}
			low, high := l.bounds(w.part[n], l.all, share, w.rest[n])
			holds("rack", low, high)
			low, high = l.bounds(w.part[n], l.boxes[k], share, w.rest[n])
			holds("paint", low, high)
			var seen float64
			for x, band := range l.bands {
				seen += float64(l.weight[x]) * shown[band]
			}
			w.accept[n] = [2]float32{float32(seen) - rounding, float32(seen) + rounding}
			if !w.meets(n, &s.rows[k], float32(c), 1/float32(a+b+c)) {
				t.Fatalf("lobe %d: %v of %v is cut off, though it sums to just %v", n, m.Parts, m.Paints, seen)
			}
		}
	})
}

// Every paint lies in just one of a tree's smallest groups, and in every group
// around that, box and all.
func TestTreesHoldEveryPaint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		var rack []KS
		for range 2 + r.IntN(20) {
			rack = append(rack, randomPaint(r))
		}
		s := newSearch(rack, randomQuery(r))
		s.begin()
		s.prepare()
		for own, l := range s.lobes {
			tr := l.tree
			found := make([]int, len(rack))
			for n, at := range tr.nodes {
				for _, p := range at.paints {
					found[p]++
				}
				for _, inner := range tr.nodes[n:at.past] {
					for _, p := range inner.paints {
						for m, other := range s.lobes {
							size := len(other.all)
							box := tr.boxes[m][n*size : (n+1)*size]
							wide := slices.Clone(box)
							if join(wide, other.boxes[p]); p > at.last || !slices.Equal(wide, box) {
								t.Fatalf("tree %d, node %d: paint %d lies outside", own, n, p)
							}
						}
					}
				}
			}
			if slices.Min(found) != 1 || slices.Max(found) != 1 {
				t.Fatalf("tree %d: paints found %v times", own, found)
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
			rest := make([][2]float32, len(l.runs)+1)
			nothing := make([]float32, len(l.all))
			for i := range rack {
				shown := q.Setting.Show(&rack[i])
				var sum float64
				for x, b := range l.bands {
					sum += float64(l.weight[x]) * shown[b]
				}
				for what, box := range map[string][]float32{"paint": l.boxes[i], "rack": l.all} {
					if low, high := l.bounds(nothing, box, 1, rest); sum < float64(low)-rounding || sum > float64(high)+rounding {
						t.Fatalf("lobe %d: %s of sum %v is bounded by %v..%v", n, what, sum, low, high)
					}
				}
				c := q.Setting.View.XYZ(&shown)
				left := l.sum[0]*c.X + l.sum[1]*c.Y + l.sum[2]*c.Z - sum
				if left < l.spare[0]-rounding || left > l.spare[1]+rounding {
					t.Fatalf("lobe %d: %v is left out, but %v is said", n, left, l.spare)
				}
			}
		}
	})
}

// What a film shows lies between the lattice points around it, and near what
// interpolation makes of them.
func TestGridsBoundFilms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		top := float32(math.Exp(8*r.Float64() - 2))
		var rows [2]row
		for b := range Bands {
			rows[0][b], rows[1][b] = [2]float32{offset, offset}, [2]float32{top, top}
		}
		l := newLattice(rows[:])
		surface, ground := []Surface{Matt(), Satin(), Gloss(), Bare()}[r.IntN(4)], r.Float64()*r.Float64()
		if r.IntN(4) == 0 {
			ground = math.Round(r.Float64())
		}
		g := newGrid(l.films(), surface, ground)
		const eps = 2e-6
		for range 1000 {
			draw := func() float32 {
				return float32(math.Max(offset, math.Min(float64(top), offset*math.Exp(math.Log(float64(top)/offset)*1.02*(r.Float64()-0.01)))))
			}
			k, s := draw(), draw()
			if r.IntN(2) == 0 && top > 8 { // where the films bend most
				k, s = float32(1+3*r.Float64()), float32(offset*(1+r.Float64()))
			}
			v := surface.seen(film(float64(k)-offset, float64(s)-offset, ground))
			low, high := float64(g[l.point(k*acting(s), s)+l.cols]), float64(g[l.point(k*acting(s), s)+1])
			if v < low-eps || v > high+eps {
				t.Fatalf("k %v, s %v over %v: %v outside %v..%v", k, s, ground, v, low, high)
			}
			if got := float64(l.at(g, k, s)); math.Abs(got-v) > float64(bent*v)+flat+eps {
				t.Fatalf("k %v, s %v over %v: %v interpolated as %v", k, s, ground, v, got)
			}
		}
	})
}

// Every colour within a distance lies in the box drawn for that distance.
func TestBallHoldsItsColours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		lab := func() colour.Lab {
			return colour.RGB8{R: uint8(r.IntN(256)), G: uint8(r.IntN(256)), B: uint8(r.IntN(256))}.SRGB().Lab()
		}
		p, q := lab(), lab()
		if r.IntN(2) == 0 {
			f := r.Float64() * r.Float64()
			q = colour.Lab{L: p.L + f*(q.L-p.L), A: p.A + f*(q.A-p.A), B: p.B + f*(q.B-p.B)}
		}
		if r.IntN(8) == 0 {
			p.A, p.B = p.A/20, p.B/20
		}
		d := colour.DeltaE00(p, q)
		b := newBall(p, d+1e-9)
		const eps = 1e-7
		in := func(v float64, r [2]float64) bool { return v >= r[0]-eps && v <= r[1]+eps }
		if !slices.ContainsFunc(b, func(x labBox) bool { return in(q.L, x.l) && in(q.A, x.a) && in(q.B, x.b) }) {
			t.Fatalf("%v is %.4f from %v but outside %+v", q, d, p, b)
		}
		white := colour.ViewD65().White()
		x, y, z := r.Float64()*2-1, r.Float64()*2-1, r.Float64()*2-1
		c := q.XYZ(white)
		if v := x*c.X + y*c.Y + z*c.Z; !in(v, b.spans([][3]float64{{x, y, z}}, white)[0]) {
			t.Fatalf("sum %v of %v outside its span", v, q)
		}
	})
}

// Interpolation carries no colour farther in CIELAB than is said.
func TestInterpolatedLabIsNear(t *testing.T) {
	white := colour.ViewD65().White()
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 9))
		for range 100 {
			dark := math.Pow(r.Float64(), 4)
			off := func(v, white float64) float64 { return v + float64(2*r.IntN(2)-1)*(bent*v+flat*white) }
			c := colour.XYZ{X: dark * r.Float64() * white.X, Y: dark * r.Float64(), Z: dark * r.Float64() * white.Z}
			p := colour.LabFrom(c, white)
			q := colour.LabFrom(colour.XYZ{X: off(c.X, white.X), Y: off(c.Y, 1), Z: off(c.Z, white.Z)}, white)
			if d := math.Abs(p.L-q.L) + math.Abs(p.A-q.A) + math.Abs(p.B-q.B); d > labOff(c, white) {
				t.Fatalf("%v: %v off, %v said", p, d, labOff(c, white))
			}
		}
	})
}

// A small step changes the distance little, unless hues are opposite.
func TestDistanceIsNowhereSteep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6))
		lab := func() colour.Lab {
			h, c := 2*math.Pi*r.Float64(), 130*r.Float64()*r.Float64()
			return colour.Lab{L: 100 * r.Float64(), A: c * math.Cos(h), B: c * math.Sin(h)}
		}
		for range 100 {
			p, q := lab(), lab()
			off := 0.1 + 3*r.Float64()
			x, y := r.Float64(), r.Float64()
			x, y = min(x, y), max(x, y)
			sign := func() float64 { return float64(2*r.IntN(2)-1) * off }
			near := colour.Lab{L: q.L + sign()*x, A: q.A + sign()*(y-x), B: q.B + sign()*(1-y)}
			if !steady(p, q, off) {
				continue
			}
			if d := math.Abs(colour.DeltaE00(p, q) - colour.DeltaE00(p, near)); d > steepest*off+1e-5 {
				t.Fatalf("from %v to %v or %v: %v more for a step of %v", p, q, near, d, off)
			}
		}
	})
}

// What the bounds rest on: seen through its surface a film gets darker with
// absorption and lighter with scattering, and a film that scatters more meets
// no less of its absorption.
func TestFilmsAreMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, top float64) (float64, float64) {
			a, b := rapid.Float64Range(0, top).Draw(t, name), rapid.Float64Range(0, top).Draw(t, name)
			return min(a, b), max(a, b)
		}
		k0, k1 := draw("k", 30)
		s0, s1 := draw("s", 30)
		g0, g1 := draw("ground", 1)
		const eps = 1e-9
		if Layer(k1, s0, g0) > Layer(k0, s0, g0)+eps || Layer(k0, s0, g0) > Layer(k0, s1, g0)+eps || Layer(k0, s0, g0) > Layer(k0, s0, g1)+eps {
			t.Fatalf("k %v %v, s %v %v, ground %v %v", k0, k1, s0, s1, g0, g1)
		}
		if crossing(s0) > crossing(s1) || crossing(s1) > 1 {
			t.Fatalf("crossing %v: %v, %v: %v", s0, crossing(s0), s1, crossing(s1))
		}
		for _, s := range []Surface{Matt(), Satin(), Gloss(), Bare()} {
			if s.seen(g0) > s.seen(g1)+eps {
				t.Fatalf("seen %v %v", s.seen(g0), s.seen(g1))
			}
		}
	})
}

func TestBestRefuses(t *testing.T) {
	rack := []KS{StarterRack()[0].KS}
	for _, q := range []Query{{Paints: 0, Parts: 8}, {Paints: 4, Parts: 8}, {Paints: 3, Parts: 0}, {Paints: 3, Parts: 21}} {
		if _, err := Best(context.Background(), rack, q); err == nil {
			t.Errorf("%+v is accepted", q)
		}
	}
	if _, err := Best(context.Background(), nil, Query{Paints: 1, Parts: 1}); err == nil {
		t.Error("an empty rack is accepted")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	q := randomQuery(rand.New(rand.NewPCG(1, 1)))
	q.Paints, q.Parts = 3, 8
	if _, err := Best(ctx, slices.Repeat(rack, 3), q); err == nil {
		t.Error("a cancelled search returns no error")
	}
}

// benchRack is a rack of n paints: the starter rack's covering ones, then
// random ones.
func benchRack(n int) []KS {
	var rack []KS
	for _, p := range StarterRack() {
		if shadesItself(p.Kind) || len(rack) == n {
			continue
		}
		rack = append(rack, p.KS)
	}
	r := rand.New(rand.NewPCG(7, 7))
	for len(rack) < n {
		rack = append(rack, randomPaint(r))
	}
	return rack
}

func benchQuery(hex string, ground Inner) Query {
	c, err := colour.ParseHex(hex)
	if err != nil {
		panic(err)
	}
	return Query{Setting: Setting{View: colour.ViewD65(), Surface: Satin(), Ground: ground, Thickness: 1}, Target: c.SRGB().Lab(), Paints: 3, Parts: 8}
}

func BenchmarkBest(b *testing.B) {
	black, white := Chart()
	red, _ := FindStarter("scarlet")
	grounds := map[string]Inner{"black": black, "white": white, "scarlet": red.KS.Over(&white, 1)}
	for _, n := range []int{60, 200} {
		rack := benchRack(n)
		for _, ground := range []string{"white", "black", "scarlet"} {
			for _, hex := range []string{"#3a8f9b", "#7a1f2b", "#8b8f92", "#201818", "#e8e0c8", "#00ff40"} {
				b.Run(fmt.Sprintf("%d/%s/%s", n, ground, hex), func(b *testing.B) {
					b.ReportAllocs()
					q := benchQuery(hex, grounds[ground])
					for b.Loop() {
						if _, err := Best(context.Background(), rack, q); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		}
	}
}

// BenchmarkEnumerate is what the search is measured against.
func BenchmarkEnumerate(b *testing.B) {
	_, white := Chart()
	rack := benchRack(20)
	b.ReportAllocs()
	for b.Loop() {
		enumerate(rack, benchQuery("#3a8f9b", white))
	}
}
