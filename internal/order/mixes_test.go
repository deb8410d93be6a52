package order_test

import (
	"strings"
	"testing"

	"facings"
	"facings/internal/check"
)

// makes counts how often a mix is made in an order, and with how many tools it
// is laid.
func makes(o *facings.Order, mix string) (times, tools int) {
	seen := map[string]bool{}
	for _, pass := range o.Passes {
		if pass.Medium == mix {
			times += pass.Makes
			seen[pass.Tool] = true
		}
	}
	return times, len(seen)
}

// One mix on a wet palette serves two brushes: only the brush is changed.
func TestAMixIsMadeOnceForTwoBrushes(t *testing.T) {
	p := project(t, strings.Replace(small, "cuffs: turquoise,", "cuffs: turquoise, turnbacks: turquoise, collar: turquoise,", 1))
	roster, coats, o := plan(t, p)
	if found := check.Order(p, roster, coats, o); len(found) > 0 {
		t.Fatal(found[0])
	}
	times, tools := makes(o, "turquoise")
	if times != 1 || tools < 2 {
		t.Errorf("turquoise is made %d times for %d brushes, want once for two or more", times, tools)
	}
}

// On a dry palette a mix lives half an hour (estimate, docs/defaults.md): a pass
// that takes longer makes it again, with its time counted.
func TestALongPassMakesItsMixAgain(t *testing.T) {
	text := strings.Replace(small, "palette: wet", "palette: dry", 1)
	p := project(t, strings.Replace(text, "jacket: blue", "jacket: turquoise", 1))
	changes := facings.DefaultSetUp()
	changes.MixLifeDryMinutes = 6
	p.SetUp = &changes
	roster, coats, o := plan(t, p)
	if found := check.Order(p, roster, coats, o); len(found) > 0 {
		t.Fatal(found[0])
	}
	long := false
	for _, pass := range o.Passes {
		if pass.Medium != "turquoise" || pass.Minutes <= 6 {
			continue
		}
		long = true
		if least := int(pass.Minutes / 6); pass.Makes < least {
			t.Errorf("pass %d takes %.1f minutes and makes its mix %d times", pass.Number, float64(pass.Minutes), pass.Makes)
		}
	}
	if !long {
		t.Fatal("no pass outlives its mix: the test tests nothing")
	}
	p.SetUp.MixLifeDryMinutes = 3
	if len(check.Order(p, roster, coats, o)) == 0 {
		t.Error("the checker accepts a mix that is older than it lives")
	}
}
