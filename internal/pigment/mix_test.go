package pigment

import (
	"math"
	"testing"

	"facings"
	"facings/internal/colour"

	"pgregory.net/rapid"
)

// paints draws a few paints of the starter rack.
func paints(t *rapid.T) []KS {
	rack := StarterRack()
	out := make([]KS, rapid.IntRange(1, 5).Draw(t, "paints"))
	for i := range out {
		out[i] = rack[rapid.IntRange(0, len(rack)-1).Draw(t, "paint")].KS
	}
	return out
}

func apart(a, b *KS) float64 {
	var most float64
	for i := range a.K {
		most = math.Max(most, math.Abs(a.K[i]-b.K[i])/(1+a.K[i]))
		most = math.Max(most, math.Abs(a.S[i]-b.S[i])/(1+a.S[i]))
	}
	return most
}

func TestMixes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := paints(t)
		parts := make([]float64, len(ps))
		for i := range parts {
			parts[i] = float64(rapid.IntRange(1, 12).Draw(t, "parts"))
		}
		mix := Mix(ps, parts)
		// A one-paint mix is the paint, however many parts.
		if one := Mix(ps[:1], parts[:1]); apart(&one, &ps[0]) > 1e-12 {
			t.Fatal("a mix of one paint is another paint")
		}
		// Order and a common factor of the parts change nothing.
		back, twice := make([]KS, len(ps)), make([]float64, len(ps))
		turned := make([]float64, len(ps))
		for i := range ps {
			back[len(ps)-1-i], turned[len(ps)-1-i] = ps[i], parts[i]
			twice[i] = 2 * parts[i]
		}
		if m := Mix(back, turned); apart(&m, &mix) > 1e-12 {
			t.Fatal("order of the parts changes the mix")
		}
		if m := Mix(ps, twice); apart(&m, &mix) > 1e-12 {
			t.Fatal("twice the parts is another mix")
		}
		// Adding whole parts and dividing at the end is the same.
		var sum KS
		var total float64
		for i := range ps {
			sum.Add(&ps[i], parts[i])
			total += parts[i]
		}
		set := Setting{View: colour.ViewD65(), Surface: Satin(), Ground: FlatGround(0.5), Thickness: 1}
		if d := colour.DeltaE00(set.Lab(&mix), set.LabOfSum(&sum, total)); d > 1e-9 {
			t.Fatalf("sum of parts shows %g away", d)
		}
		// What it shows is a colour, and light is not made.
		if r := set.Show(&mix); !r.Valid() {
			t.Fatalf("shows %v", r)
		}
	})
	if m := Mix([]KS{{}}, []float64{0}); m != (KS{}) {
		t.Error("no parts make a paint")
	}
	if m := Mix([]KS{{}}, []float64{-1}); m != (KS{}) {
		t.Error("negative parts make a paint")
	}
}

// An opaque film hides any ground, and a film that hides by the standard does
// so to the eye.
func TestOpaqueFilmHides(t *testing.T) {
	for _, p := range StarterRack() {
		if p.Kind == facings.Varnish {
			continue
		}
		black, white := Chart()
		thick := Coat{&p.KS, 1e7}
		a, b := Stack(&black, thick), Stack(&white, thick)
		solid := p.KS.Opaque()
		for i := range a {
			if math.Abs(a[i]-b[i]) > 1e-6 || math.Abs(a[i]-solid[i]) > 1e-6 {
				t.Errorf("%s: %v over black, %v over white, solid %v", p.Name, a[i], b[i], solid[i])
				break
			}
		}
		if n, ok := CoatsToHide(&p.KS, 20); ok {
			x, y := Show(&p.KS, p.Surface, &black, float64(n)), Show(&p.KS, p.Surface, &white, float64(n))
			if d := math.Abs(x.Lab.L - y.Lab.L); d > 2 {
				t.Errorf("%s: %d coats hide, yet lightness differs by %.1f", p.Name, n, d)
			}
		}
	}
}

func TestStacksAndUndercoats(t *testing.T) {
	get := func(name string) Paint {
		p, ok := FindStarter(name)
		if !ok {
			t.Fatal(name)
		}
		return p
	}
	white, black, red := get("white primer"), get("black primer"), get("translucent red")
	dark, light := black.KS.Opaque(), white.KS.Opaque()
	last := -1.0
	for _, e := range []float64{-1, 0, 0.25, 0.5, 0.75, 1, 2} {
		u := LightFromAbove(&dark, &light, e)
		l := ShowInner(&u, Satin()).Lab.L
		if l < last {
			t.Errorf("more light from above shows darker at %v", e)
		}
		last = l
		// A translucent paint over it is the darker the darker the undercoat.
		if e == 0 {
			if shadow, lit := Show(&red.KS, Satin(), &dark, 1), Show(&red.KS, Satin(), &light, 1); shadow.Lab.L > lit.Lab.L-15 {
				t.Errorf("translucent red: %v in shade, %v in light", shadow.Lab, lit.Lab)
			}
		}
	}
	// Gloss varnish deepens a dark colour, matt varnish lifts it.
	blue := get("dark blue")
	solid := blue.KS.Opaque()
	matt, gloss := ShowInner(&solid, get("matt varnish").Surface), ShowInner(&solid, get("gloss varnish").Surface)
	if !(gloss.Lab.L < matt.Lab.L-3) {
		t.Errorf("gloss %v, matt %v", gloss.Lab, matt.Lab)
	}
	// Techniques: estimates, but in this order.
	order := []facings.Technique{facings.Glaze, facings.Drybrush, facings.Spray, facings.Brush, facings.WashOn}
	for i := 1; i < len(order); i++ {
		if Coats(order[i]) <= Coats(order[i-1]) {
			t.Errorf("%s lays no more than %s", order[i], order[i-1])
		}
	}
	if Coats("conjure") != 0 {
		t.Error("an unknown technique lays paint")
	}
}

func TestLabAllocatesNothing(t *testing.T) {
	rack := StarterRack()
	set := Setting{View: colour.ViewD65(), Surface: Satin(), Ground: FlatGround(0.1), Thickness: 1}
	target := colour.NewTarget(colour.Lab{L: 40, A: 20, B: 10})
	var d float64
	if n := testing.AllocsPerRun(100, func() {
		var sum KS
		sum.Add(&rack[3].KS, 2)
		sum.Add(&rack[12].KS, 1)
		d = target.DeltaE00(set.LabOfSum(&sum, 3))
	}); n != 0 {
		t.Errorf("%v allocations per mix", n)
	}
	if d == 0 {
		t.Error("nothing computed")
	}
}

// BenchmarkMix measures one mix of three paints: parts to difference.
func BenchmarkMix(b *testing.B) {
	rack := StarterRack()
	set := Setting{View: colour.ViewD65(), Surface: Satin(), Ground: FlatGround(0.1), Thickness: 1}
	target := colour.NewTarget(colour.Lab{L: 40, A: 20, B: 10})
	for b.Loop() {
		var sum KS
		sum.Add(&rack[3].KS, 2)
		sum.Add(&rack[12].KS, 1)
		sum.Add(&rack[30].KS, 1)
		if target.DeltaE00(set.LabOfSum(&sum, 4)) < 0 {
			b.Fatal("negative difference")
		}
	}
}

func BenchmarkStarterRack(b *testing.B) {
	for b.Loop() {
		makeStarterRack()
	}
}
