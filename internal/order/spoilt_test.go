package order_test

import (
	"slices"
	"strings"
	"testing"

	"facings"
	"facings/internal/check"
)

// rule reports whether a coat of one area must come before one of another.
func rule(c *facings.Coats, from, medium, to string) bool {
	return slices.ContainsFunc(c.Lags, func(l facings.Lag) bool {
		a, b := c.Tasks[l.From], c.Tasks[l.To]
		return l.Rule == facings.RuleMessy && a.Area == from && a.Medium == medium && b.Area == to
	})
}

// A dark wash over white that is washed light already would spoil it; one wash
// over both is laid in one go (common practice: washes before what they spoil).
func TestAWashDoesNotSpoilWhatIsWashed(t *testing.T) {
	text := strings.Replace(small, "finishes:\n", `finishes:
  toned blue: [blue, {paint: dark wash, tool: brush 5}]
  toned white: [white, {paint: light wash, tool: brush 5}]
`, 1)
	text = strings.Replace(text, "mixes:\n", "  light wash: {kind: wash, over_white: \"#e8e4d8\", over_black: \"#101010\"}\nmixes:\n", 1)
	text = strings.Replace(text, "{jacket: blue,", "{jacket: toned blue, cross straps: toned white,", 1)
	p := project(t, text)
	roster, coats, o := plan(t, p)
	if found := check.Order(p, roster, coats, o); len(found) > 0 {
		t.Fatal(found[0])
	}
	if !rule(coats, "jacket", "dark wash", "cross straps") {
		t.Error("the jacket's dark wash may come after the light wash of the straps")
	}
	p = project(t, strings.Replace(text, "[white, {paint: light wash,", "[white, {paint: dark wash,", 1))
	_, coats, _ = plan(t, p)
	if rule(coats, "jacket", "dark wash", "cross straps") {
		t.Error("one wash over jacket and straps is kept apart")
	}
}

// A large brush on a horse's legs strays onto the boots beside them and the
// reins, which are painted afterwards (common practice: horses first).
func TestLegsComeBeforeBootsAndReins(t *testing.T) {
	text := strings.Replace(small, "finishes:\n", "finishes:\n  legs: [{paint: black, tool: brush 5}]\n", 1)
	text = strings.Replace(text, "{jacket: blue,", "{jacket: blue, horse legs: legs, boots: brown, reins: white,", 1)
	_, coats, _ := plan(t, project(t, strings.Replace(text, "horse coat: black", "horse coat: brown", 1)))
	for _, neat := range []string{"boots", "reins"} {
		if !rule(coats, "horse legs", "black", neat) {
			t.Errorf("the legs may be painted after the %s", neat)
		}
	}
}
