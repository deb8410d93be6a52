package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"facings"
)

// Army invents a valid project of exactly so many figures (1 to
// facings.MaxFigures, clamped): mounted, foot and gun units of 8 to 36 figures,
// each dressed in its own way out of one rack. The same seed and size give the
// same army on every machine; names count up and mean nothing.
func Army(seed uint64, figures int) *facings.Project {
	figures = min(max(figures, 1), facings.MaxFigures)
	m := &muster{rng: rand.New(rand.NewPCG(seed, uint64(figures))), p: &facings.Project{
		Facings: facings.FormatVersion, Name: fmt.Sprintf("An invented army of %d, seed %d", figures, seed), Seed: seed,
		Undercoat: facings.Undercoat{Dark: "black primer", Light: "white primer", ElevationDeg: 45},
	}}
	m.rack()
	m.cloths()
	m.p.Castings = sharedCastings()
	m.p.Traits = sharedTraits()
	m.bench()
	for _, n := range m.sizes(figures) {
		m.unit(n)
	}
	m.batches()
	m.endings()
	return m.p
}

// muster is an army in the making.
type muster struct {
	rng *rand.Rand
	p   *facings.Project
	// cloth, lace and common are finishes to choose from.
	cloth, lace []string
}

func pick[T any](rng *rand.Rand, from ...T) T { return from[rng.IntN(len(from))] }

// chance is true so many times in a hundred.
func (m *muster) chance(percent int) bool { return m.rng.IntN(100) < percent }

func (m *muster) rack() {
	m.p.Rack = benchPots()
	for _, pot := range append(clothPots(), otherPots()...) {
		m.p.Rack = append(m.p.Rack, facings.Paint{Name: pot.name, Kind: pot.kind, OverWhite: pot.white, OverBlack: pot.dark, PotML: 17})
	}
	for i := range m.p.Rack {
		paint := &m.p.Rack[i]
		if m.chance(5) && !paint.Can {
			no := false
			paint.Owned = &no
			continue
		}
		paint.LeftML = facings.Millilitres(float64(m.rng.IntN(1+2*int(paint.PotML))) / 2)
		paint.LeftG = facings.Grams(m.rng.IntN(1 + 2*int(paint.PotG)))
	}
}

// cloths makes a finish of every cloth paint and of a few mixes, and a lace of
// the light ones.
func (m *muster) cloths() {
	m.p.Finishes = sharedFinishes()
	pots := clothPots()
	add := func(name string, coats ...facings.Coat) string {
		m.p.Finishes = append(m.p.Finishes, facings.Finish{Name: name, Coats: coats})
		return name
	}
	for _, pot := range pots {
		colour := pot.name[len("thin "):]
		m.cloth = append(m.cloth, add(colour+" cloth", coat(pot.name)))
		if m.chance(50) {
			m.lace = append(m.lace, add(colour+" lace", lined("white"), lined(pot.name)))
		}
	}
	for i := range 2 + m.rng.IntN(4) {
		two := m.rng.Perm(len(pots))
		mix := fmt.Sprintf("facing mix %d", i+1)
		m.p.Mixes = append(m.p.Mixes, facings.Mix{Name: mix, Parts: []facings.Part{
			{Paint: pots[two[0]].name, Parts: 2 + m.rng.IntN(3)}, {Paint: pots[two[1]].name, Parts: 1}}})
		m.cloth = append(m.cloth, add(mix+" cloth", coat(mix)))
	}
	m.cloth = append(m.cloth, "white cloth")
	m.lace = append(m.lace, "white lace", "gold lace")
}

// bench sets air, palette, rules and calendar.
func (m *muster) bench() {
	p := m.p
	p.Palette = pick(m.rng, "wet", "dry")
	p.Air = facings.Air{TemperatureC: float64(14 + m.rng.IntN(14)), HumidityPercent: float64(40 + 5*m.rng.IntN(6))}
	if m.chance(30) {
		no := false
		p.Prepare = &no
	}
	if m.chance(50) {
		p.Rules.BatchFigures = 8 + 4*m.rng.IntN(7)
	}
	if m.chance(50) {
		p.Rules.Also = []facings.ExtraRule{pick(m.rng,
			facings.ExtraRule{First: "saddle cloth", Then: "boots"},
			facings.ExtraRule{First: "breeches", Then: "saddle"},
			facings.ExtraRule{First: "jacket", Then: "hat"})}
	}
	p.Calendar = facings.Calendar{Start: "2027-01-04", Zone: "UTC", PatienceMinutes: facings.Minutes(20 + 5*m.rng.IntN(9))}
	for i := range 1 + m.rng.IntN(facings.MaxPainters) {
		days := slices.Clone(facings.Weekdays())
		m.rng.Shuffle(len(days), func(a, b int) { days[a], days[b] = days[b], days[a] })
		p.Calendar.Painters = append(p.Calendar.Painters, facings.Painter{
			Name: fmt.Sprintf("painter %d", i+1), Pace: pick(m.rng, 0.8, 1, 1, 1.3),
			Sittings: []facings.SittingRule{{Days: days[:2+m.rng.IntN(3)], From: "19:00", To: pick(m.rng, "21:00", "21:30", "22:30")}},
			Except:   []facings.SittingDay{{Date: fmt.Sprintf("2027-01-%02d", 10+m.rng.IntN(20)), None: true}},
		})
	}
}

// sizes cuts so many figures into units of 8 to 36; fewer than 8 make one unit.
func (m *muster) sizes(figures int) []int {
	const least, most = 8, 36
	var out []int
	for figures > 0 {
		n := least + m.rng.IntN(most-least+1)
		if figures <= most {
			n = figures
		} else if figures-n < least {
			n = figures - least
		}
		out = append(out, n)
		figures -= n
	}
	return out
}

// A branch is a kind of unit: its castings, its name, its base.
type branch struct {
	name string
	body string
	base facings.BaseSize
}

func branches() []branch {
	horse, man := facings.BaseSize{WidthMM: 25, DepthMM: 50}, facings.BaseSize{WidthMM: 20, DepthMM: 20}
	return []branch{
		{"Hussars", "hussar", horse}, {"Lancers", "lancer", horse}, {"Cuirassiers", "cuirassier", horse},
		{"Fusiliers", "fusilier", man}, {"Foot", facings.BodyFoot, man}, {"Gun Crews", "gunner", facings.BaseSize{}},
	}
}

// places are invented: they are on no map.
func places() []string {
	return []string{"Yaldermark", "Ankrevoort", "Wethelmouth", "Grenthwaal", "Quithmoor", "Skerroval", "Driskwold", "Oolmstede"}
}

func ordinal(n int) string {
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			return fmt.Sprintf("%dst", n)
		case 2:
			return fmt.Sprintf("%dnd", n)
		case 3:
			return fmt.Sprintf("%drd", n)
		}
	}
	return fmt.Sprintf("%dth", n)
}

// unit adds a unit of n figures.
func (m *muster) unit(n int) {
	b := pick(m.rng, branches()...)
	u := facings.Unit{
		Name: fmt.Sprintf("%s %s %s", ordinal(len(m.p.Units)+1), pick(m.rng, places()...), b.name),
		Body: b.body, Base: b.base, Ranks: min(1+m.rng.IntN(3), n), Roles: m.roles(b, n),
	}
	mounted := b.base.DepthMM > b.base.WidthMM
	u.Traits = []string{"hair", "skin"}
	if mounted {
		u.Traits = []string{"face marking", "horse", "mane", "hair", "skin"}
		if m.chance(60) {
			m.horses(&u, n)
		}
	}
	if b.body != "gunner" && n >= 4 && m.chance(70) {
		u.Flag = pick(m.rng,
			&facings.Flag{FlyMM: 737, HoistMM: 686, Design: "plain"}, &facings.Flag{FlyMM: 1041, HoistMM: 686, Design: "forked"},
			&facings.Flag{FlyMM: 800, HoistMM: 800, Design: "quartered"})
	}
	dress := m.dress()
	m.scheme(&u, dress)
	m.exceptions(&u, dress)
	if m.chance(20) {
		u.ReadyBy = "2028-12-31"
	}
	m.p.Units = append(m.p.Units, u)
}

func (m *muster) roles(b branch, n int) []facings.Role {
	adds := func(areas ...string) []facings.AddsArea {
		var out []facings.AddsArea
		for _, a := range areas {
			out = append(out, facings.AddsArea{Area: a})
		}
		return out
	}
	if b.body == "gunner" {
		guns := max(1, n/6)
		if guns == n {
			return []facings.Role{{Name: "gun", Count: n, Body: facings.BodyGun}}
		}
		return []facings.Role{{Name: "gun", Count: guns, Body: facings.BodyGun}, {Name: "gunner", Count: n - guns}}
	}
	if n < 4 {
		return []facings.Role{{Name: facings.RoleTrooper, Count: n}}
	}
	bearer := facings.Role{Name: facings.RoleStandardBearer, Count: 1, Adds: adds("flag pole", "finial")}
	musician := facings.Role{Name: facings.RoleMusician, Count: 1}
	if b.base.DepthMM > b.base.WidthMM {
		bearer.Lacks = []string{"sword blade", "sword hilt"}
		musician.Adds = adds("trumpet", "trumpet cord")
		musician.Lacks = []string{"sword blade", "sword hilt"}
	} else {
		bearer.Lacks = []string{"musket stock", "musket metal"}
		musician.Adds = adds("drum shell", "drum hoops", "drum head", "drum sticks")
		musician.Lacks = []string{"musket stock", "musket metal"}
	}
	return []facings.Role{{Name: facings.RoleOfficer, Count: 1}, bearer, musician, {Name: facings.RoleTrooper, Count: n - 3}}
}

// horses gives a unit its own counts of horses, with a grey for the musician
// where there is one.
func (m *muster) horses(u *facings.Unit, n int) {
	coats := []string{"bay", "bay", "bay", "dark bay", "chestnut", "black"}
	counts := map[string]float64{}
	greys := m.chance(40) && n >= 4
	for i := range n {
		if i == 0 && greys {
			counts["grey"]++
			continue
		}
		counts[pick(m.rng, coats...)]++
	}
	if greys {
		for i := range u.Roles {
			if u.Roles[i].Name == facings.RoleMusician {
				u.Roles[i].Traits = map[string]string{"horse": "grey", "mane": "white"}
			}
		}
	}
	u.Shares = map[string]map[string]float64{"horse": counts}
}

// batches lets some neighbouring units of like bodies be painted together.
func (m *muster) batches() {
	for i := 0; i+1 < len(m.p.Units); i++ {
		a, b := &m.p.Units[i], &m.p.Units[i+1]
		if a.Body == b.Body && a.Batch == "" && a.Size()+b.Size() <= 36 {
			a.Batch = fmt.Sprintf("together %d", i+1)
			b.Batch = a.Batch
		}
	}
}

// endings orders the closing steps one way or another.
func (m *muster) endings() {
	base := facings.EndingStep{Step: facings.EndBase, Paint: "white glue", Materials: []string{"sand", "flock"}}
	varnish := facings.EndingStep{Step: facings.EndVarnish, Paint: "matt varnish", Technique: facings.Spray}
	m.p.Ending = pick(m.rng, []facings.EndingStep{base, varnish}, []facings.EndingStep{varnish, base})
	if slices.ContainsFunc(m.p.Units, func(u facings.Unit) bool { return u.Flag != nil }) {
		flag := facings.EndingStep{Step: facings.EndFlag, Paint: "white glue"}
		m.p.Ending = slices.Insert(m.p.Ending, m.rng.IntN(3), flag)
	}
}
