package facings

import (
	"math"
	"testing"
)

// The trade's estimate from a Du Bois & Du Bois 1916 body surface of 1.79 m² at
// 1/56 with an allowance for clothing and kit is 12.5 to 16 cm² for a foot
// figure; for a mounted one, a horse of 17 to 22 cm² and rider and tack, 32 to
// 45 cm². The built-in horseman shows somewhat less, since saddle cloth and
// rider hide a good part of the horse.
func TestReadyBodiesAreOfUsualSize(t *testing.T) {
	for name, want := range map[string][2]float64{BodyFoot: {1250, 1600}, BodyMounted: {2700, 4500}} {
		b, ok := ReadyBody(name)
		if !ok {
			t.Fatalf("no body %q", name)
		}
		if got := float64(b.Surface()); got < want[0] || got > want[1] {
			t.Errorf("%s: areas add up to %.1f mm², want %v", name, got, want)
		}
	}
}

// What the program takes for measured is measured: no area of a ready-made body
// is an estimate.
func TestReadyBodiesAreMeasured(t *testing.T) {
	for _, b := range ReadyBodies() {
		for _, a := range b.Areas {
			if a.Estimated {
				t.Errorf("%s: the size of %s is still an estimate; run tools/bodies", b.Name, a.Name)
			}
		}
	}
}

func TestCatalogueIsSound(t *testing.T) {
	seen := map[string]bool{}
	all := Body{Areas: Catalogue()}
	for _, a := range all.Areas {
		if seen[a.Name] {
			t.Errorf("area %q is listed twice", a.Name)
		}
		seen[a.Name] = true
		if a.AreaMM2 <= 0 || a.Fiddly <= 0 || a.Exposure < 0 || a.Exposure > 1 {
			t.Errorf("area %q: size %v, fiddly %v, exposure %v", a.Name, a.AreaMM2, a.Fiddly, a.Exposure)
		}
	}
	for _, a := range all.Areas {
		for _, other := range append(append([]string{}, a.Over...), a.Near...) {
			if !seen[other] {
				t.Errorf("area %q speaks of %q, which is no area", a.Name, other)
			}
		}
	}
	// What lies over what must be free of circles, or no order could satisfy it.
	state := map[string]int{}
	var walk func(string)
	walk = func(name string) {
		if state[name] == 1 {
			t.Fatalf("a circle of areas lying over each other goes through %q", name)
		}
		if state[name] == 2 {
			return
		}
		state[name] = 1
		a, _ := all.Area(name)
		for _, under := range a.Over {
			walk(under)
		}
		state[name] = 2
	}
	for _, a := range all.Areas {
		walk(a.Name)
	}
}

// Paint, glue and time for a base follow the base a unit stands on (geometry:
// surface by width times depth, rim by width plus depth), in true millimetres
// at every size of figure; what a casting says itself stands.
func TestBaseOfAUnit(t *testing.T) {
	body := func(kind string, size float64, base BaseSize, adds ...AddsArea) Body {
		p := &Project{SizeMM: size, Units: []Unit{{Name: "A", Body: kind, Base: base, Roles: []Role{{Name: "r", Count: 1, Adds: adds}}}}}
		b, ok := p.FigureBody(&p.Units[0], &p.Units[0].Roles[0], 1)
		if !ok {
			t.Fatal("no body")
		}
		return b
	}
	area := func(b Body, name string) float64 {
		a, _ := b.Area(name)
		return float64(a.AreaMM2)
	}
	for _, c := range []struct {
		kind       string
		size       float64
		base       BaseSize
		times, rim float64
	}{
		{BodyFoot, 28, BaseSize{}, 1, 1}, {BodyFoot, 28, BaseSize{20, 20}, 1, 1}, {BodyFoot, 28, BaseSize{30, 40}, 3, 1.75},
		{BodyMounted, 28, BaseSize{25, 50}, 1, 1}, {BodyGun, 28, BaseSize{50, 80}, 4000.0 / 2800, 130.0 / 110},
		{BodyFoot, 56, BaseSize{40, 40}, 4, 2}, {BodyFoot, 14, BaseSize{}, 0.25, 0.25},
	} {
		b, plain := body(c.kind, c.size, c.base), body(c.kind, 28, BaseSize{})
		for name, want := range map[string]float64{"base": c.times, "base rim": c.rim} {
			if got := area(b, name) * Scale(c.size) / area(plain, name); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s of %v mm on %v: the %s is %.4f of the built-in one's, want %.4f", c.kind, c.size, c.base, name, got, want)
			}
		}
		if c.kind != BodyGun && area(b, "jacket") != area(plain, "jacket") {
			t.Error("the jacket changes with the base")
		}
	}
	if got := area(body(BodyFoot, 28, BaseSize{30, 40}, AddsArea{Area: "base", AreaMM2: 500}), "base"); got != 500 {
		t.Errorf("a base said to have 500 mm² has %v", got)
	}
}
