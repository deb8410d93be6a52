package demo

import (
	"context"
	"io/fs"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"facings"
	"facings/internal/pigment"
	"facings/internal/projectfile"
	"facings/internal/ranks"
)

// read reads one of the demo's projects; any finding fails the test.
func read(t *testing.T, name string) *facings.Project {
	t.Helper()
	text, err := fs.ReadFile(Files(), name)
	if err != nil {
		t.Fatal(err)
	}
	p, _, found := projectfile.Read(name, text)
	if len(found) > 0 {
		t.Fatalf("%s is not without fault:\n%v", name, found)
	}
	return p
}

func TestDemoIsWithoutFault(t *testing.T) {
	for _, name := range []string{"demo.yaml", "mounted24.yaml"} {
		p := read(t, name)
		for _, paint := range p.Rack {
			if paint.Kind == facings.Texture || paint.Kind == facings.Glue {
				continue
			}
			if _, err := pigment.Resolve(paint); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

// The mounted regiments alone must stay the demo's own.
func TestMountedIsTheDemosHorse(t *testing.T) {
	whole, horse := read(t, "demo.yaml"), read(t, "mounted24.yaml")
	if diff := cmp.Diff(whole.Units[:2], horse.Units); diff != "" {
		t.Errorf("the units differ:\n%s", diff)
	}
	if diff := cmp.Diff(whole.Rack, horse.Rack); diff != "" {
		t.Errorf("the racks differ:\n%s", diff)
	}
	if diff := cmp.Diff(whole.Mixes, horse.Mixes); diff != "" {
		t.Errorf("the mixes differ:\n%s", diff)
	}
	if diff := cmp.Diff(whole.Traits, horse.Traits); diff != "" {
		t.Errorf("the traits differ:\n%s", diff)
	}
	for _, f := range horse.Finishes {
		if same, _ := whole.FindFinish(f.Name); !cmp.Equal(f, same) {
			t.Errorf("the finish %q differs", f.Name)
		}
	}
	for _, c := range horse.Castings {
		if !slices.ContainsFunc(whole.Castings, func(o facings.Casting) bool { return cmp.Equal(c, o) }) {
			t.Errorf("the casting %q differs", c.Name)
		}
	}
}

// What DEMO.md promises there is to look at.
func TestDemoKeepsItsPromises(t *testing.T) {
	p := read(t, "demo.yaml")
	for i, want := range []int{12, 12, 24, 5} {
		if got := p.Units[i].Size(); got != want {
			t.Errorf("%s has %d figures, want %d", p.Units[i].Name, got, want)
		}
	}
	for _, u := range p.Units[:2] {
		for _, area := range []string{"collar", "cuffs", "saddle cloth"} {
			f, _ := p.FindFinish(u.Scheme[area])
			if len(f.Coats) != 1 || f.Coats[0].Paint != "facing turquoise" {
				t.Errorf("%s: the %s is not of the turquoise mix", u.Name, area)
			}
		}
	}
	lace, _ := p.FindFinish("yellow lace")
	if len(lace.Coats) != 2 || lace.Coats[0].Paint != "titanium white" || lace.Coats[1].Paint != "lemon yellow" {
		t.Errorf("yellow lace is not yellow over white: %+v", lace.Coats)
	}
	if silver, _ := p.FindPaint("silver"); silver.IsOwned() {
		t.Error("silver should not be on the rack")
	}
}

func TestDemoCanBeDealt(t *testing.T) {
	p := read(t, "demo.yaml")
	roster, found, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 5000})
	if err != nil || len(found) > 0 {
		t.Fatalf("%v %v", found, err)
	}
	greys := map[string]int{}
	for _, f := range roster.Figures {
		if f.Traits["horse"] == "grey" {
			greys[f.ID.Unit]++
			if f.ID.Role == facings.RoleMusician {
				greys["musicians"]++
			}
		}
	}
	want := map[string]int{"Tarrenquist's Hussars": 2, "musicians": 1}
	if diff := cmp.Diff(want, greys); diff != "" {
		t.Errorf("greys:\n%s", diff)
	}
}

// An invented army must be fit for measurements: its traits can be dealt.
func TestArmyCanBeDealt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Army(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 24).Draw(t, "figures"))
		_, found, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 20})
		if err != nil || found.Faulty() {
			t.Fatalf("%v %v", found, err)
		}
	})
}
