package demo

import (
	"math/rand/v2"

	"facings"
)

// Flaw is one known way of breaking a project, for tests of whatever must
// notice.
type Flaw struct {
	// ID is the diagnostic that validation owes for it, at the place that
	// Break returns.
	ID string
	// Break spoils an army and returns the path of the fault. It chooses where
	// with rng.
	Break func(p *facings.Project, rng *rand.Rand) (path string)
}

// Broken invents an army (see Army) and breaks it in one known way, chosen by
// the seed. It returns the project, the ID and the path of the diagnostic that
// is owed; other findings may follow from it.
func Broken(seed uint64, figures int) (p *facings.Project, id, path string) {
	rng := rand.New(rand.NewPCG(seed, 0xbad))
	p = Army(seed, figures)
	flaw := pick(rng, Flaws()...)
	return p, flaw.ID, flaw.Break(p, rng)
}

// nowhere is a name that no army has.
const nowhere = "no such thing"

// Flaws lists every known way of breaking an army.
func Flaws() []Flaw {
	return append(append(append(benchFlaws(), paintFlaws()...), castingFlaws()...), unitFlaws()...)
}

// anyOf returns the address of one element.
func anyOf[T any](rng *rand.Rand, list []T) *T { return &list[rng.IntN(len(list))] }

func at(names ...string) string { return facings.Pointer(names...) }

func benchFlaws() []Flaw {
	return []Flaw{
		{"format-version", func(p *facings.Project, rng *rand.Rand) string { p.Facings = 2 + rng.IntN(9); return at("facings") }},
		{"no-name", func(p *facings.Project, _ *rand.Rand) string { p.Name = ""; return at("name") }},
		{"tolerance-range", func(p *facings.Project, _ *rand.Rand) string {
			bad := facings.DeltaE(-1)
			p.ToleranceDeltaE = &bad
			return at("tolerance_delta_e")
		}},
		{"unknown-palette", func(p *facings.Project, _ *rand.Rand) string { p.Palette = "damp"; return at("palette") }},
		{"no-undercoat", func(p *facings.Project, _ *rand.Rand) string { p.Undercoat.Dark = ""; return at("undercoat", "dark") }},
		{"unknown-paint", func(p *facings.Project, _ *rand.Rand) string {
			p.Undercoat.Light = nowhere
			return at("undercoat", "light")
		}},
		{"unknown-step", func(p *facings.Project, _ *rand.Rand) string {
			p.Ending[0].Step = "polish"
			return at("ending", "0", "step")
		}},
		{"unknown-zone", func(p *facings.Project, _ *rand.Rand) string {
			p.Calendar.Zone = "Yaldermark/Grenthwaal"
			return at("calendar", "zone")
		}},
		{"bad-date", func(p *facings.Project, _ *rand.Rand) string {
			p.Calendar.Start = "2027-02-30"
			return at("calendar", "start")
		}},
		{"time-order", func(p *facings.Project, rng *rand.Rand) string {
			painter := anyOf(rng, p.Calendar.Painters)
			painter.Sittings[0].To = "05:00"
			return at("calendar", "painters", painter.Name, "sittings", "0", "to")
		}},
	}
}

func paintFlaws() []Flaw {
	return []Flaw{
		{"no-kind", func(p *facings.Project, rng *rand.Rand) string {
			paint := anyOf(rng, p.Rack)
			paint.Kind = ""
			return at("rack", paint.Name, "kind")
		}},
		{"unknown-kind", func(p *facings.Project, rng *rand.Rand) string {
			paint := anyOf(rng, p.Rack)
			paint.Kind = "crayon"
			return at("rack", paint.Name, "kind")
		}},
		{"bad-colour", func(p *facings.Project, rng *rand.Rand) string {
			paint := anyOf(rng, p.Rack[:5])
			paint.OverWhite = "#12345"
			return at("rack", paint.Name, "over_white")
		}},
		{"half-swatch", func(p *facings.Project, rng *rand.Rand) string {
			paint := anyOf(rng, p.Rack[:5])
			paint.OverBlack = ""
			return at("rack", paint.Name)
		}},
		{"duplicate-name", func(p *facings.Project, _ *rand.Rand) string {
			p.Rack = append(p.Rack, p.Rack[0])
			return at("rack", p.Rack[0].Name)
		}},
		{"parts-range", func(p *facings.Project, rng *rand.Rand) string {
			mix := anyOf(rng, p.Mixes)
			mix.Parts[0].Parts = 0
			return at("mixes", mix.Name, mix.Parts[0].Paint)
		}},
		{"mix-of-mix", func(p *facings.Project, _ *rand.Rand) string {
			p.Mixes[0].Parts[1].Paint = p.Mixes[1].Name
			return at("mixes", p.Mixes[0].Name, p.Mixes[1].Name)
		}},
		{"unknown-paint", func(p *facings.Project, rng *rand.Rand) string {
			finish := anyOf(rng, p.Finishes)
			finish.Coats[0].Paint = nowhere
			return at("finishes", finish.Name, "0")
		}},
		{"no-coats", func(p *facings.Project, rng *rand.Rand) string {
			finish := anyOf(rng, p.Finishes)
			finish.Coats = nil
			return at("finishes", finish.Name)
		}},
		{"technique-kind", func(p *facings.Project, _ *rand.Rand) string {
			p.Finishes = append(p.Finishes, facings.Finish{Name: "sprayed sand", Coats: []facings.Coat{{Paint: "sand", Technique: facings.Spray}}})
			return at("finishes", "sprayed sand", "0")
		}},
	}
}

func castingFlaws() []Flaw {
	return []Flaw{
		{"no-like", func(p *facings.Project, rng *rand.Rand) string {
			c := anyOf(rng, p.Castings)
			c.Like = ""
			return at("castings", c.Name, "like")
		}},
		{"casting-circle", func(p *facings.Project, _ *rand.Rand) string {
			p.Castings = append(p.Castings, facings.Casting{Name: "hen", Like: "egg"}, facings.Casting{Name: "egg", Like: "hen"})
			return at("castings", "hen", "like")
		}},
		{"area-size", func(p *facings.Project, rng *rand.Rand) string {
			c := anyOf(rng, p.Castings)
			c.Adds = append(c.Adds, facings.AddsArea{Area: "parrot"})
			return at("castings", c.Name, "adds")
		}},
		{"no-values", func(p *facings.Project, rng *rand.Rand) string {
			t := anyOf(rng, p.Traits)
			t.Values = nil
			return at("traits", t.Name, "values")
		}},
		{"unknown-finish", func(p *facings.Project, rng *rand.Rand) string {
			t := anyOf(rng, p.Traits)
			v := &t.Values[len(t.Values)-1]
			area := sortedKeys(v.Scheme)[0]
			v.Scheme[area] = nowhere
			return at("traits", t.Name, "values", v.Name, "scheme", area)
		}},
		{"unknown-trait", func(p *facings.Project, rng *rand.Rand) string {
			t := anyOf(rng, p.Traits)
			t.Forbid = append(t.Forbid, facings.Pair{Value: t.Values[0].Name, Trait: nowhere, With: "anything"})
			return at("traits", t.Name, "forbid")
		}},
	}
}

func unitFlaws() []Flaw {
	return []Flaw{
		{"no-units", func(p *facings.Project, _ *rand.Rand) string { p.Units = nil; return at("units") }},
		{"unknown-body", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Body = nowhere
			return at("units", u.Name, "body")
		}},
		{"no-figures", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Roles, u.Single, u.Flag = nil, nil, nil
			return at("units", u.Name, "figures")
		}},
		{"count-range", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			r := anyOf(rng, u.Roles)
			r.Count = -1
			return at("units", u.Name, "figures", r.Name, "count")
		}},
		{"unknown-area", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Scheme["wings"] = facings.LeaveFinish
			return at("units", u.Name, "scheme", "wings")
		}},
		{"unknown-finish", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			area := pick(rng, sortedKeys(u.Scheme)...)
			u.Scheme[area] = nowhere
			return at("units", u.Name, "scheme", area)
		}},
		{"unknown-trait", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Traits = append(u.Traits, nowhere)
			return at("units", u.Name, "traits")
		}},
		{"shares-all-zero", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Shares = map[string]map[string]float64{"skin": {"pale": 0, "brown": 0}}
			return at("units", u.Name, "shares", "skin")
		}},
		{"no-such-figure", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			r := anyOf(rng, u.Roles)
			u.Single = append(u.Single, facings.Single{Role: r.Name, Number: r.Count + 1, Scheme: facings.Scheme{"eyes": facings.LeaveFinish}})
			return at("units", u.Name, "single", facings.SingleName(r.Name, r.Count+1))
		}},
		{"flag-size", func(p *facings.Project, rng *rand.Rand) string {
			u := anyOf(rng, p.Units)
			u.Flag = &facings.Flag{FlyMM: -3, HoistMM: 600, Role: u.Roles[0].Name}
			return at("units", u.Name, "flag", "fly_mm")
		}},
	}
}
