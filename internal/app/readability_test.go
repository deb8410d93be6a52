package app

import (
	"strings"
	"testing"

	"facings"
)

// Common practice: yellow lace shows on dark cloth, dark blue lace on dark blue
// cloth does not; widening it would not help.
func TestLaceVanishes(t *testing.T) {
	look := func(name string, l, a, b float64) facings.Look {
		return facings.Look{Name: name, Lab: [3]float64{l, a, b}}
	}
	roster := &facings.Roster{Figures: []facings.Figure{{ID: facings.FigureID{Unit: "First", Role: "private", Number: 1},
		Body: facings.Body{Areas: []facings.AreaSpec{{Name: "jacket"}, {Name: "jacket lace", Over: []string{"jacket"}}}}}}}
	for _, c := range []struct {
		lace     facings.Look
		vanishes bool
	}{
		{look("bright yellow", 80, 5, 80), false},
		{look("dark blue", 20.5, 5, -21), true},
	} {
		coats := &facings.Coats{Tasks: []facings.Task{
			{Area: "jacket", Stage: facings.StagePaint, Technique: facings.Brush, Look: look("dark blue", 20, 5, -20)},
			{Area: "jacket lace", Stage: facings.StagePaint, Technique: facings.Line, Look: c.lace},
		}}
		got := readability(&facings.Project{}, roster, coats)
		if (len(got) == 1) != c.vanishes {
			t.Fatalf("%s: %v", c.lace.Name, got)
		}
		if c.vanishes && (got[0].ID != "lace-vanishes" || got[0].Severity != facings.Warning || !strings.Contains(got[0].Hint, "too like its ground")) {
			t.Errorf("%+v", got[0])
		}
	}
}
