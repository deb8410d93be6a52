package facings

import "testing"

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
