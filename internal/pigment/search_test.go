package pigment

import (
	"context"
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
		findsTheBest(t, rack, q)
	})
}

// findsTheBest holds the search against every mix there is.
func findsTheBest(t *rapid.T, rack []KS, q Query) {
	got, err := Best(context.Background(), rack, q)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(enumerate(rack, q), got); d != "" {
		t.Fatalf("ground %v, target %v, %d paints to %d parts of %d: enumerated -, found +\n%s",
			q.Setting.Ground[10], q.Target, q.Paints, q.Parts, len(rack), d)
	}
}

// The same holds where paints fill more than one octet.
func TestBestOfManyIsBest(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 1))
	for n := 17; n < 23; n++ {
		q := drawnQuery(r)
		q.Parts = 5
		rack := seededRack(n, r.Uint64())
		got, err := Best(t.Context(), rack, q)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(enumerate(rack, q), got); d != "" {
			t.Fatalf("%d paints: enumerated -, found +\n%s", n, d)
		}
	}
}

// farQuery draws a target that hardly any paint comes near: of any hue, as
// saturated as light can be and beyond, and mostly darker than that.
func farQuery(r *rand.Rand) Query {
	q := randomQuery(r)
	h, c := 2*math.Pi*r.Float64(), 50+90*r.Float64()
	q.Target = colour.Lab{L: 100 * r.Float64() * r.Float64(), A: c * math.Cos(h), B: c * math.Sin(h)}
	q.Paints, q.Parts = 2+r.IntN(2), 2+r.IntN(7)
	return q
}

// The same holds where the target lies far beyond what any mix shows, and so do
// most mixes lie about as near as the best.
func TestFarBestIsBest(t *testing.T) {
	starter := StarterRack()
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 13))
		q := farQuery(r)
		var rack []KS
		for range 2 + r.IntN(7) {
			if r.IntN(2) == 0 {
				rack = append(rack, randomPaint(r))
			} else {
				rack = append(rack, starter[r.IntN(len(starter))].KS)
			}
		}
		findsTheBest(t, rack, q)
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
		if r.IntN(4) == 0 { // large balls take long
			want := enumerate(rack, q)
			poor := newSearch(rack, q)
			first := poor.work([]int{0}, []int{1})
			poor.best.Store(&first)
			poor.prepare()
			for i := range rack {
				poor.try([]int{i}, []int{1})
			}
			poor.everywhere(context.Background())
			if d := cmp.Diff(want, *poor.best.Load()); d != "" {
				t.Fatalf("from a poor start: enumerated -, found +\n%s", d)
			}
		}

		// A mix just at the best distance, in every lobe, is not cut off.
		q.Parts = 8
		s := newSearch(rack, q)
		i, j, k := 0, 1, 2
		a, b, c := 1+r.IntN(3), 1+r.IntN(3), 1+r.IntN(2)
		if gcd(a, b, c) > 1 {
			c = 1
		}
		m := s.work([]int{i, j, k}, []int{a, b, c})
		off := func() float64 { return 6*r.Float64() - 3 }
		q.Target = colour.Lab{L: m.Lab.L + off(), A: m.Lab.A + off(), B: m.Lab.B + off()}
		s = newSearch(rack, q)
		m = s.work(m.Paints, m.Parts)
		s.best.Store(&m)
		s.prepare()
		w := newWorker(s)
		w.refresh()
		if w.region.within < m.DeltaE00+distanceStep/2 {
			t.Fatalf("what may tie with %v is cut off at %v", m.DeltaE00, w.region.within)
		}
		xyz := m.Lab.XYZ(q.Setting.View.White())
		for n := range s.lobes {
			l := &s.lobes[n]
			sum := l.sum[0]*xyz.X + l.sum[1]*xyz.Y + l.sum[2]*xyz.Z
			if sum < float64(w.accept[n][0])+l.thrown || sum > float64(w.accept[n][1])+l.thrown {
				t.Fatalf("lobe %d: sum %v outside what is accepted, %v", n, sum, w.accept[n])
			}
		}
		poor := m
		poor.Paints, poor.Parts, poor.DeltaE00 = nil, nil, m.DeltaE00+distanceStep/4
		s.best.Store(&poor)
		for _, n := range s.roots() {
			w.run(context.Background(), n)
		}
		if s.best.Load() == &poor {
			t.Fatalf("%v of %v is cut off, though the best", m.Parts, m.Paints)
		}
	})
}

// What is seen of a film, worked out quickly, is what it shows.
func TestLookIsLayer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		surface := []Surface{Matt(), Satin(), Gloss(), Bare()}[r.IntN(4)]
		for range 1000 {
			draw := func() float32 { return max(0, float32(math.Exp(16*r.Float64()-8)-1e-3)) }
			k, s, over := draw(), draw(), r.Float64()*r.Float64()
			if r.IntN(4) == 0 {
				over = math.Round(r.Float64())
			}
			want := surface.seen(film(float64(k), float64(s), over))
			seen := float64(look(k*acting(s), s, float32(over), float32(surface.Inside)))
			got := surface.Outside*surface.Seen + (1-surface.Outside)*(1-surface.Inside)*seen
			if math.Abs(got-want) > 0.5*filmOff {
				t.Fatalf("k %v, s %v over %v shows %v, not %v", k, s, over, want, got)
			}
		}
	})
}

// Every colour within a distance lies in an open cell of the region drawn for
// that distance, and within its spans.
func TestRegionHoldsItsColours(t *testing.T) {
	view := colour.ViewD65()
	var all [Bands][2]float64
	for b := range all {
		all[b][1] = 1
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		p := drawnQuery(r).Target
		sums := [][3]float64{{0, 0, 1}, {1, -0.4, -0.19}, {-0.5, 1, 0.095}, {r.Float64()*2 - 1, r.Float64()*2 - 1, r.Float64()*2 - 1}}
		f := newFrame(colour.NewTarget(p), view, sums, &all)
		paint := randomPaint(r)
		ground := randomGround(r)
		shown := Satin().FromOutside((*Inner)(&ground))
		if r.IntN(2) == 0 {
			in := paint.Over(&ground, 3*r.Float64())
			shown = Matt().FromOutside(&in)
		}
		q := view.Lab(&shown)
		if r.IntN(2) == 0 { // near
			p = colour.Lab{L: q.L + r.Float64() - 0.5, A: q.A + r.Float64() - 0.5, B: q.B + r.Float64() - 0.5}
			f = newFrame(colour.NewTarget(p), view, sums, &all)
		}
		d := colour.DeltaE00(p, q)
		region := newRegion(f, d+1e-7)
		holds := func(c colour.XYZ) bool {
			var box [3][2]float64
			for n, s := range sums {
				v := s[0]*c.X + s[1]*c.Y + s[2]*c.Z
				if v < region.span[n][0]-1e-7 || v > region.span[n][1]+1e-7 {
					return false
				}
				if n < 3 {
					box[n] = [2]float64{v, v}
				}
			}
			return region.meets(&box, d+1e-7)
		}
		if !holds(view.XYZ(&shown)) {
			t.Fatalf("%v is %.4f from %v but outside", q, d, p)
		}
		// Others too, as far as they are within.
		for range 50 {
			off := func() float64 { return d * (r.Float64()*4 - 2) }
			x := colour.Lab{L: p.L + off(), A: p.A + off(), B: p.B + off()}.XYZ(view.White())
			if r.IntN(2) == 0 {
				x = colour.XYZ{X: r.Float64() * view.White().X, Y: r.Float64(), Z: r.Float64() * view.White().Z}
			}
			lab := colour.LabFrom(x, view.White())
			if x.X < 0 || x.Y < 0 || x.Z < 0 || x.X > view.White().X || x.Y > 1 || x.Z > view.White().Z || colour.DeltaE00(p, lab) > d {
				continue
			}
			inReach := true
			for n, reach := range f.reaches {
				v := sums[n][0]*x.X + sums[n][1]*x.Y + sums[n][2]*x.Z
				inReach = inReach && v >= reach[0] && v <= reach[1]
			}
			if inReach && !holds(x) {
				t.Fatalf("%v is %.4f from %v but outside", lab, colour.DeltaE00(p, lab), p)
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

// What the planes rest on: seen through its surface a film is convex in
// absorption and concave in scattering.
func TestFilmsBend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, top float64) float64 { return rapid.Float64Range(0, top).Draw(t, name) }
		top := rapid.SampledFrom([]float64{0.1, 1, 30}).Draw(t, "top")
		k0, k1, s0, s1 := draw("k0", top), draw("k1", top), draw("s0", top), draw("s1", top)
		ground, at := draw("ground", 1), draw("at", 1)
		between := func(a, b float64) float64 { return a + at*(b-a) }
		for _, v := range []Surface{Matt(), Satin(), Gloss(), Bare()} {
			seen := func(k, s float64) float64 { return v.seen(Layer(k, s, ground)) }
			const eps = 1e-9
			if seen(between(k0, k1), s0) > between(seen(k0, s0), seen(k1, s0))+eps {
				t.Fatalf("k %v %v at %v, s %v, ground %v: not convex", k0, k1, at, s0, ground)
			}
			if seen(k0, between(s0, s1)) < between(seen(k0, s0), seen(k0, s1))-eps {
				t.Fatalf("s %v %v at %v, k %v, ground %v: not concave", s0, s1, at, k0, ground)
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

func benchRack(n int) []KS { return seededRack(n, 7) }

// seededRack is a rack of n paints: the starter rack's covering ones, then
// random ones.
func seededRack(n int, seed uint64) []KS {
	var rack []KS
	for _, p := range StarterRack() {
		if shadesItself(p.Kind) || len(rack) == n {
			continue
		}
		rack = append(rack, p.KS)
	}
	r := rand.New(rand.NewPCG(seed, 7))
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

// drawnQuery draws what a search may be asked for: over a ground of any kind, a
// target that a screen shows, one of its purest colours, or any that light gives,
// most of which no paint comes near.
func drawnQuery(r *rand.Rand) Query {
	q := benchQuery("#000000", randomGround(r))
	pure := func() uint8 { return uint8(r.IntN(2) * 255) }
	switch r.IntN(3) {
	case 0:
		q.Target = colour.RGB8{R: uint8(r.IntN(256)), G: uint8(r.IntN(256)), B: uint8(r.IntN(256))}.SRGB().Lab()
	case 1:
		q.Target = colour.RGB8{R: pure(), G: pure(), B: pure()}.SRGB().Lab()
	default:
		for shown := false; !shown; {
			h, c := 2*math.Pi*r.Float64(), 130*r.Float64()
			q.Target = colour.Lab{L: 100 * r.Float64(), A: c * math.Cos(h), B: c * math.Sin(h)}
			white := q.Setting.View.White()
			x := q.Target.XYZ(white)
			shown = min(x.X, x.Y, x.Z) >= 0 && x.X <= white.X && x.Y <= 1 && x.Z <= white.Z
		}
	}
	return q
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
