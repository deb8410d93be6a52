package app

import (
	"context"
	"strings"
	"testing"
)

const foot = `
facings: 1
name: foot
undercoat: {dark: black primer}
rack:
  black primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  white primer: {kind: primer, can: true, over_white: "#f4f4f4", over_black: "#e8e8e8"}
  blue: {kind: translucent, over_white: "#1f3a9a", over_black: "#0c0e14"}
units:
  First:
    body: foot
    figures: {private: 2}
    scheme: {jacket: blue}
`

// What nobody would see is left out, but not in silence.
func TestTranslucentOverDarkAloneIsToldOf(t *testing.T) {
	warned := func(text string) bool {
		a := &App{}
		o, err := a.Read("foot.yaml", []byte(text))
		if err != nil {
			t.Fatal(o.Findings)
		}
		plan, err := a.Coats(context.Background(), o)
		if err != nil {
			t.Fatal(err, plan.Findings)
		}
		for _, f := range plan.Findings {
			if f.ID == "dark-ground" && strings.Contains(f.Message, "on the jacket of all 2") && f.Line > 0 {
				return true
			}
		}
		return false
	}
	if !warned(foot) {
		t.Error("blue over black alone: no warning")
	}
	if warned(strings.Replace(foot, "dark: black primer}", "dark: black primer, light: white primer}", 1)) {
		t.Error("blue over a light undercoat: a warning")
	}
}
