package facings

import (
	"fmt"
	"slices"
	"testing"
)

// Every list may be as long as its limit, is refused in its place when one
// longer, and when far over, nothing else is looked at: refusing is quick.
func TestListsAreHeldToTheirLimits(t *testing.T) {
	named := func(i int) string { return fmt.Sprintf("no %d", i) }
	for _, l := range []struct {
		path string
		most int
		fill func(p *Project, n int)
	}{
		{"/rack", MaxPaints, func(p *Project, n int) {
			for i := range n {
				p.Rack = append(p.Rack, Paint{Name: named(i)})
			}
		}},
		{"/mixes", MaxPaints, func(p *Project, n int) {
			for i := range n {
				p.Mixes = append(p.Mixes, Mix{Name: named(i)})
			}
		}},
		{"/finishes", MaxFinishes, func(p *Project, n int) {
			for i := range n {
				p.Finishes = append(p.Finishes, Finish{Name: named(i)})
			}
		}},
		{"/finishes/cloth", MaxCoats, func(p *Project, n int) {
			p.Finishes = []Finish{{Name: "cloth", Coats: make([]Coat, n)}}
		}},
		{"/traits", MaxTraits, func(p *Project, n int) {
			for i := range n {
				p.Traits = append(p.Traits, Trait{Name: named(i)})
			}
		}},
		{"/traits/hair/values", MaxTraitValues, func(p *Project, n int) {
			values := make([]TraitValue, n)
			for i := range values {
				values[i].Name = named(i)
			}
			p.Traits = []Trait{{Name: "hair", Values: values}}
		}},
		{"/units", MaxUnits, func(p *Project, n int) {
			for i := range n {
				p.Units = append(p.Units, Unit{Name: named(i)})
			}
		}},
		{"/rules/also", MaxExtraRules, func(p *Project, n int) { p.Rules.Also = make([]ExtraRule, n) }},
		{"/calendar/forecast", MaxForecast, func(p *Project, n int) { p.Calendar.Forecast = make([]Forecast, n) }},
		{"/calendar/games", MaxGames, func(p *Project, n int) { p.Calendar.Games = make([]Game, n) }},
		{"/calendar/painters", MaxPainters, func(p *Project, n int) {
			for i := range n {
				p.Calendar.Painters = append(p.Calendar.Painters, Painter{Name: named(i)})
			}
		}},
		{"/calendar/painters/Ann/sittings", MaxSittingRules, func(p *Project, n int) {
			p.Calendar.Painters = []Painter{{Name: "Ann", Sittings: make([]SittingRule, n)}}
		}},
		{"/calendar/painters/Ann/except", MaxExceptions, func(p *Project, n int) {
			p.Calendar.Painters = []Painter{{Name: "Ann", Except: make([]SittingDay, n)}}
		}},
	} {
		found := func(n int) Diagnostics {
			p := &Project{Facings: FormatVersion, Name: "x"}
			l.fill(p, n)
			return p.Validate()
		}
		tooMany := func(d Diagnostic) bool { return d.ID == "too-many" }
		here := func(d Diagnostic) bool { return tooMany(d) && d.Path == l.path && d.Hint != "" && d.Severity == Fault }
		if slices.ContainsFunc(found(l.most), tooMany) {
			t.Errorf("%s: %d are refused, and that is the limit", l.path, l.most)
		}
		if !slices.ContainsFunc(found(l.most+1), here) {
			t.Errorf("%s: %d are not refused there", l.path, l.most+1)
		}
		if far := found(farOver*l.most + 1); !slices.ContainsFunc(far, here) || len(far) > 100 {
			t.Errorf("%s: %d give %d findings", l.path, farOver*l.most+1, len(far))
		}
	}
}

// Figures are counted over all units, whatever number a role gives.
func TestFiguresAreHeldToTheirLimit(t *testing.T) {
	of := func(n int) Diagnostics {
		p := &Project{Facings: FormatVersion, Name: "x", Units: []Unit{{Name: "Guards", Body: BodyFoot, Roles: []Role{{Name: "private", Count: n}}}}}
		return p.Validate()
	}
	tooMany := func(d Diagnostic) bool { return d.ID == "too-many" }
	if slices.ContainsFunc(of(MaxFigures), tooMany) || !slices.ContainsFunc(of(MaxFigures+1), tooMany) || !slices.ContainsFunc(of(1<<60), tooMany) {
		t.Errorf("%d figures, one more and very many:\n%v\n%v\n%v", MaxFigures, of(MaxFigures), of(MaxFigures+1), of(1<<60))
	}
}
