package facings

import (
	"fmt"
	"strconv"
)

// Limits on single lists beside those of project.go.
const (
	maxSteps    = 30   // closing steps, materials of one
	maxMixed    = 20   // paints in one mix
	maxPairs    = 2000 // forbidden or preferred pairs of one trait
	maxCastings = 200
)

// farOver is how many times a limit must be passed for the rest not to be
// checked, so that checking is quick whatever the file holds.
const farOver = 4

// sizes checks that no list is longer than a project may have; it is false
// when one is so far over that nothing else should be checked.
func (c *checker) sizes() bool {
	p := c.p
	c.limit(Pointer("rack"), "paints", len(p.Rack), MaxPaints)
	c.limit(Pointer("mixes"), "mixes", len(p.Mixes), MaxPaints)
	c.limit(Pointer("finishes"), "finishes", len(p.Finishes), MaxFinishes)
	c.limit(Pointer("castings"), "castings", len(p.Castings), maxCastings)
	c.limit(Pointer("traits"), "traits", len(p.Traits), MaxTraits)
	c.limit(Pointer("units"), "units", len(p.Units), MaxUnits)
	c.limit(Pointer("ending"), "closing steps", len(p.Ending), maxSteps)
	c.limit(Pointer("drying"), "drying times", len(p.DryingTimes), len(Kinds()))
	c.limit(Pointer("rules", "also"), "rules", len(p.Rules.Also), MaxExtraRules)
	c.limit(Pointer("calendar", "games"), "games", len(p.Calendar.Games), MaxGames)
	c.limit(Pointer("calendar", "forecast"), "lines of forecast", len(p.Calendar.Forecast), MaxForecast)
	for i, g := range p.Calendar.Games {
		c.limit(Pointer("calendar", "games", strconv.Itoa(i), "units"), "units of one game", len(g.Units), MaxUnits)
	}
	c.limit(Pointer("calendar", "painters"), "painters", len(p.Calendar.Painters), MaxPainters)
	for i, s := range p.Ending {
		c.limit(Pointer("ending", strconv.Itoa(i), "materials"), "materials", len(s.Materials), maxSteps)
	}
	for _, m := range p.Mixes {
		c.limit(Pointer("mixes", m.Name), "paints in one mix", len(m.Parts), maxMixed)
	}
	for _, f := range p.Finishes {
		c.limit(Pointer("finishes", f.Name), "coats in one finish", len(f.Coats), MaxCoats)
	}
	for _, x := range p.Castings {
		c.areaLists(Pointer("castings", x.Name), x.Lacks, x.Adds, nil)
	}
	for _, t := range p.Traits {
		path := Pointer("traits", t.Name)
		c.limit(path+"/values", "values of one trait", len(t.Values), MaxTraitValues)
		c.limit(path+"/forbid", "forbidden pairs", len(t.Forbid), maxPairs)
		c.limit(path+"/prefer", "preferred pairs", len(t.Prefer), maxPairs)
		for _, v := range t.Values {
			c.areaLists(path+"/values"+Pointer(v.Name), nil, nil, v.Scheme)
		}
	}
	c.unitSizes()
	for _, x := range p.Calendar.Painters {
		path := Pointer("calendar", "painters", x.Name)
		c.limit(path+"/sittings", "sittings", len(x.Sittings), MaxSittingRules)
		c.limit(path+"/except", "exceptions", len(x.Except), MaxExceptions)
	}
	return !c.far
}

func (c *checker) limit(path, what string, n, most int) {
	if n > most {
		c.fault("too-many", path, strconv.Itoa(n), fmt.Sprintf("there are %d %s, and %d is the most a project may have", n, what, most), fmt.Sprintf("keep to %d, or divide the project into several", most))
		c.far = c.far || n > farOver*most
	}
}

// unitSizes bounds the figures, and with them roles and single figures, of all
// units together.
func (c *checker) unitSizes() {
	figures, spoken := 0, 0
	for i := range c.p.Units {
		u := &c.p.Units[i]
		path := Pointer("units", u.Name)
		c.areaLists(path, nil, nil, u.Scheme)
		c.limit(path+"/traits", "traits", len(u.Traits), MaxTraits)
		c.limit(path+"/shares", "traits", len(u.Shares), MaxTraits)
		for trait, shares := range u.Shares {
			if len(shares) > MaxTraitValues {
				c.limit(path+"/shares"+Pointer(trait), "shares of one trait", len(shares), MaxTraitValues)
				break // one is enough, and which comes first would be chance
			}
		}
		for _, r := range u.Roles {
			at := path + "/figures" + Pointer(r.Name)
			c.areaLists(at, r.Lacks, r.Adds, r.Scheme)
			c.limit(at+"/traits", "fixed traits", len(r.Traits), MaxTraits)
			figures += min(max(r.Count, 0), MaxFigures+1)
			spoken++
		}
		for _, s := range u.Single {
			at := path + "/single" + Pointer(SingleName(s.Role, s.Number))
			c.areaLists(at, s.Lacks, s.Adds, s.Scheme)
			c.limit(at+"/traits", "fixed traits", len(s.Traits), MaxTraits)
			spoken++
		}
	}
	if figures > MaxFigures {
		c.fault("too-many", Pointer("units"), strconv.Itoa(figures), fmt.Sprintf("there are more than %d figures", MaxFigures), "divide the project into several")
	}
	c.limit(Pointer("units"), "roles and single figures", spoken, MaxFigures)
}

// areaLists bounds what is said of areas in one place.
func (c *checker) areaLists(path string, lacks []string, adds []AddsArea, s Scheme) {
	c.limit(path+"/lacks", "areas", len(lacks), MaxBodyAreas)
	c.limit(path+"/adds", "areas", len(adds), MaxBodyAreas)
	c.limit(path+"/scheme", "areas", len(s), MaxBodyAreas)
	for i, a := range adds {
		c.limit(path+"/adds"+Pointer(strconv.Itoa(i))+"/over", "areas", len(a.Over), MaxBodyAreas)
	}
}
