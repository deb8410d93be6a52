package app

import (
	"context"
	"slices"
	"strings"

	"facings"
)

// roleGun is the role of the gun among its crew.
const roleGun = "gun"

// RecruitArea is a part of the dress that a colour is asked for. Areas says
// which areas of a figure get it; Bodies on which bodies there are any.
type RecruitArea struct {
	Key     string   `json:"key"`
	Label   string   `json:"label"`
	Default string   `json:"default"` // a plain name, or the key of another area as "=key"
	Areas   []string `json:"areas"`
	Bodies  []string `json:"bodies"`
	Metal   bool     `json:"metal,omitempty"` // a metal is asked for: brass, steel, silver, gold, bronze or copper

	how laying
}

// recruitAreas lists what is asked, the most visible first.
func recruitAreas() []RecruitArea {
	man := []string{facings.BodyFoot, facings.BodyMounted, facings.BodyGun}
	horse, foot, gun := []string{facings.BodyMounted}, []string{facings.BodyFoot, facings.BodyGun}, []string{facings.BodyGun}
	area := func(key, label, usual string, bodies []string, how laying, areas ...string) RecruitArea {
		return RecruitArea{Key: key, Label: label, Default: usual, Areas: areas, Bodies: bodies, Metal: how == asMetal, how: how}
	}
	return []RecruitArea{
		area("coat", "Coat or jacket", "dark blue", man, asCloth, "jacket", "shoulder straps"),
		area("facing", "Facings: collar, cuffs, lapels, turnbacks", "red", man, asCloth, "collar", "cuffs", "lapels", "turnbacks"),
		area("legwear", "Breeches or trousers", "white", man, asCloth, "breeches"),
		area("headgear", "Headgear", "black", man, asCloth, "hat"),
		area("lace", "Lace, piping and cords", "white", man, asLace, "hat lace", "jacket lace", "breeches stripe", "saddle cloth border", "trumpet cord", "drum hoops"),
		area("plume", "Plume and cockade", "white", man, asCloth, "plume", "cockade"),
		area("sash", "Officers' sash", "crimson", man, asCloth, "sash"),
		area("straps", "Cross straps and belts", "white", man, asCloth, "cross straps", "waist belt"),
		area("leather", "Boots, shoes and pouches", "black", man, asLeather, "boots", "shoes", "pouch", "scabbard"),
		area("gaiters", "Gaiters", "black", foot, asCloth, "gaiters"),
		area("metal", "Buttons, plates and hilts", "brass", man, asMetal, "buttons", "hat plate", "sword hilt", "trumpet", "drum shell", "finial"),
		area("horse_cloth", "Saddle cloth", "=facing", horse, asCloth, "saddle cloth"),
		area("harness", "Bridle, reins and saddle", "harness brown", horse, asLeather, "bridle", "reins", "saddle", "holsters"),
		area("timber", "Carriage and wheels", "grey green", gun, asCloth, "carriage", "wheels"),
		area("barrel", "Barrel", "bronze", gun, asMetal, "barrel"),
		area("ground", "Bases", "earth", man, asGround, "base", "base rim"),
	}
}

// headgearParts and cutParts say what of a ready-made body a shape of headgear
// or cut of coat has; the rest of these areas it lacks (common practice; the
// shapes are those of internal/figure).
func headgearParts(headgear string) []string {
	switch headgear {
	case "cocked hat", "round hat":
		return []string{"hat", "hat lace", "cockade"}
	case "bicorne":
		return []string{"hat", "hat lace", "cockade", "plume"}
	case "forage cap":
		return []string{"hat", "hat lace"}
	case "bare":
		return nil
	}
	return []string{"hat", "hat lace", "hat plate", "plume"} // shako, fur cap, helmet
}

func cutParts(cut string) []string {
	switch cut {
	case "short coat":
		return []string{"lapels", "shoulder straps"}
	case "laced jacket":
		return []string{"jacket lace"}
	case "plain jacket":
		return []string{"shoulder straps"}
	case "tail coat":
		return []string{"turnbacks", "shoulder straps"}
	}
	return []string{"lapels", "turnbacks", "shoulder straps"} // long coat
}

// sergeant dresses one unit and adds it to a project.
type sergeant struct {
	ctx    context.Context
	p      *facings.Project
	r      Recruit
	fresh  bool // the project is new
	fitter *fitter
	unit   facings.Unit
}

func newSergeant(ctx context.Context, onto *facings.Project, r Recruit) (*sergeant, error) {
	s := &sergeant{ctx: ctx, r: r, fresh: onto == nil}
	if s.r.Headgear == "" {
		s.r.Headgear = facings.Headgears()[0]
	}
	if s.r.Cut == "" {
		s.r.Cut = facings.Cuts()[0]
	}
	if s.r.Horses == "" {
		s.r.Horses = horsesMixed
	}
	if len(s.r.Figures) == 0 {
		s.r.Figures = usualFigures(r.Body)
	}
	if s.r.Name == "" {
		s.r.Name = map[string]string{facings.BodyFoot: "First Foot", facings.BodyMounted: "First Horse", facings.BodyGun: "First Gun"}[r.Body]
		for n := 0; onto != nil && slices.ContainsFunc(onto.Units, func(u facings.Unit) bool { return u.Name == s.r.Name }); n++ {
			s.r.Name = []string{"Second", "Third", "Fourth", "Fifth", "Sixth", "Next"}[min(n, 5)] + s.r.Name[strings.Index(s.r.Name, " "):]
			if n > 5 {
				s.r.Name += " again"
			}
		}
	}
	s.p = &facings.Project{}
	if onto != nil {
		*s.p = *onto
		s.p.Rack, s.p.Mixes, s.p.Finishes = slices.Clone(onto.Rack), slices.Clone(onto.Mixes), slices.Clone(onto.Finishes)
		s.p.Castings, s.p.Traits = slices.Clone(onto.Castings), slices.Clone(onto.Traits)
		s.p.Units, s.p.Ending = slices.Clone(onto.Units), slices.Clone(onto.Ending)
	}
	var err error
	s.fitter, err = newFitter(ctx, s.p)
	return s, err
}

// muster goes from the bench to the unit.
func (s *sergeant) muster() error {
	if s.fresh {
		s.bench()
	}
	s.unit = facings.Unit{Name: s.r.Name, Base: s.r.Base, Ranks: s.r.Ranks, Scheme: facings.Scheme{}}
	if s.unit.Base.WidthMM == 0 {
		s.unit.Base = usualBases(s.r.Body)[0]
	}
	s.unit.Body = s.casting()
	s.roles()
	if err := s.dress(); err != nil {
		return err
	}
	s.nature()
	if err := s.flag(); err != nil {
		return err
	}
	if s.unit.Ranks == 0 {
		s.unit.Ranks = min(facings.DefaultRanks, s.unit.Size())
	}
	if !s.fresh {
		s.unit.ReadyBy = s.r.ReadyBy
	}
	s.p.Units = append(s.p.Units, s.unit)
	return nil
}

// bench fills a new project with what every project has.
func (s *sergeant) bench() {
	p := s.p
	p.Facings, p.Name, p.Seed, p.SizeMM = facings.FormatVersion, s.r.Project, 1, s.r.SizeMM
	if p.Name == "" {
		p.Name = s.r.Name
	}
	p.Note = "Recruited by answers to a few questions. Every colour is the nearest that the starter rack gives; take out of the rack what you do not own, and the list of what to buy says the rest."
	p.Undercoat = facings.Undercoat{Dark: s.fitter.paint("black primer"), Light: s.fitter.paint("white primer"), ElevationDeg: facings.DefaultElevationDeg}
	glue, sand := "PVA glue", "fine sand"
	p.Rack = append(p.Rack, facings.Paint{Name: glue, Kind: facings.Glue, PotML: 120, LeftML: 120},
		facings.Paint{Name: sand, Kind: facings.Texture, PotG: 250, LeftG: 250, Colour: "#b9a27a"})
	p.Ending = []facings.EndingStep{{Step: facings.EndBase, Paint: glue, Materials: []string{sand}},
		{Step: facings.EndVarnish, Paint: s.fitter.paint("matt varnish"), Technique: facings.Spray}}
	p.Calendar = facings.Calendar{Start: s.r.Start, ReadyBy: s.r.ReadyBy, Zone: s.r.Zone, Painters: []facings.Painter{{Name: "me",
		Sittings: []facings.SittingRule{{Days: evenings(s.r.Evenings), From: "19:30", To: "22:00"}}}}}
}

// casting finds or adds the casting of this headgear and cut.
func (s *sergeant) casting() string {
	like := facings.BodyFoot
	if s.r.Body == facings.BodyMounted {
		like = facings.BodyMounted
	}
	ready, _ := facings.ReadyBody(like)
	c := facings.Casting{Like: like, Headgear: s.r.Headgear, Cut: s.r.Cut}
	c.Name = map[string]string{facings.BodyFoot: "foot", facings.BodyMounted: "rider", facings.BodyGun: "gunner"}[s.r.Body] +
		" in " + s.r.Headgear + " and " + s.r.Cut
	wanted := append(headgearParts(s.r.Headgear), cutParts(s.r.Cut)...)
	for _, area := range []string{"hat", "hat lace", "hat plate", "plume", "cockade", "lapels", "turnbacks", "shoulder straps", "jacket lace"} {
		_, has := ready.Area(area)
		switch want := slices.Contains(wanted, area); {
		case has && !want:
			c.Lacks = append(c.Lacks, area)
		case want && !has:
			c.Adds = append(c.Adds, facings.AddsArea{Area: area})
		}
	}
	c.Lacks = append(c.Lacks, "moustache")
	if s.r.Body == facings.BodyGun {
		c.Lacks = append(c.Lacks, "cross straps", "pouch", "pack", "bedroll", "musket stock", "musket metal", "scabbard")
		c.Adds = append(c.Adds, facings.AddsArea{Area: "waist belt"}, facings.AddsArea{Area: "gun tool"})
	}
	for i := range s.p.Castings {
		if o := s.p.Castings[i]; o.Name == c.Name {
			return c.Name
		}
	}
	s.p.Castings = append(s.p.Castings, c)
	return c.Name
}

// roles gives officers, bearers and musicians what they carry.
func (s *sergeant) roles() {
	mounted := s.r.Body == facings.BodyMounted
	adds := func(names ...string) []facings.AddsArea {
		var out []facings.AddsArea
		for _, n := range names {
			out = append(out, facings.AddsArea{Area: n})
		}
		return out
	}
	for _, want := range s.r.Figures {
		if want.Count == 0 {
			continue
		}
		r := facings.Role{Name: want.Role, Count: want.Count}
		sword, musket := []string{"sword blade", "sword hilt"}, []string{"musket stock", "musket metal"}
		switch {
		case want.Role == roleGun && s.r.Body == facings.BodyGun:
			r.Body = facings.BodyGun
		case s.r.Body == facings.BodyGun: // the crew have their tools
		case want.Role == facings.RoleOfficer && mounted:
			r.Adds = adds("sash")
		case want.Role == facings.RoleOfficer:
			r.Lacks = append(musket, "pack", "bedroll", "cross straps", "pouch")
			r.Adds = adds("sash", "sword blade", "sword hilt")
		case want.Role == facings.RoleStandardBearer:
			r.Lacks, r.Adds = musket, adds("flag pole", "finial")
			if mounted {
				r.Lacks = sword
			}
			if s.r.Flag != nil {
				r.Adds = append(r.Adds, adds("flag")...)
			}
		case want.Role == facings.RoleMusician && mounted:
			r.Lacks, r.Adds = sword, adds("trumpet", "trumpet cord")
		case want.Role == facings.RoleMusician:
			r.Lacks, r.Adds = musket, adds("drum shell", "drum hoops", "drum head", "drum sticks")
		}
		s.unit.Roles = append(s.unit.Roles, r)
	}
}

// present lists every area that any figure of the unit has, in catalogue order.
func (s *sergeant) present() []string {
	has := map[string]bool{}
	for i := range s.unit.Roles {
		if b, ok := s.p.FigureBody(&s.unit, &s.unit.Roles[i], 1); ok {
			for _, a := range b.Areas {
				has[a.Name] = true
			}
		}
	}
	var out []string
	for _, a := range facings.Catalogue() {
		if has[a.Name] {
			out = append(out, a.Name)
		}
	}
	return out
}

// wanted is the colour asked for a key, or the usual one.
func (s *sergeant) wanted(a RecruitArea) string {
	if c := strings.TrimSpace(s.r.Colours[a.Key]); c != "" {
		return c
	}
	if other, ok := strings.CutPrefix(a.Default, "="); ok {
		for _, b := range recruitAreas() {
			if b.Key == other {
				return s.wanted(b)
			}
		}
	}
	switch {
	case a.Key == "headgear" && s.r.Headgear == "forage cap":
		return s.wanted(recruitAreas()[0])
	case a.Key == "headgear" && s.r.Headgear == "fur cap":
		return "dark brown"
	}
	return a.Default
}

// dress gives every area of cloth, leather, metal and wood its finish.
func (s *sergeant) dress() error {
	present := s.present()
	for _, a := range recruitAreas() {
		for _, name := range a.Areas {
			if !slices.Contains(present, name) {
				continue
			}
			how := a.how
			if name == "buttons" {
				how = asDots
			}
			finish, err := s.fitter.fit(s.wanted(a), how)
			if err != nil {
				return err
			}
			s.unit.Scheme[name] = finish
		}
	}
	for _, name := range present {
		if finish, ok := kitFinish(name); ok && s.unit.Scheme[name] == "" {
			s.unit.Scheme[name] = s.fitter.ready(finish)
		}
	}
	return nil
}

// kitFinish is the usual finish of what no colour is asked for.
func kitFinish(area string) (string, bool) {
	switch area {
	case "eyes":
		return "eye", true
	case "pack":
		return "brown leather", true
	case "bedroll":
		return "grey blanket", true
	case "horse eyes":
		return "horse eye", true
	case "sword blade", "musket metal", "bit":
		return "toned steel", true
	case "carriage metal", "tyres":
		return "iron", true
	case "drum head":
		return "drum skin", true
	case "musket stock", "flag pole", "gun tool", "drum sticks":
		return "wood", true
	}
	return "", false
}

// flag adds the flag, and the step that fits it.
func (s *sergeant) flag() error {
	f := s.r.Flag
	bearer := slices.ContainsFunc(s.unit.Roles, func(r facings.Role) bool { return r.Name == facings.RoleStandardBearer })
	if f == nil || !bearer {
		return nil
	}
	flag := facings.Flag{FlyMM: f.FlyMM, HoistMM: f.HoistMM}
	if flag.FlyMM == 0 || flag.HoistMM == 0 {
		flag.FlyMM, flag.HoistMM = 1500, 1500
		if s.r.Body == facings.BodyMounted {
			flag.FlyMM, flag.HoistMM = 700, 650
		}
	}
	part := facings.FlagPart{Part: "field", Division: f.division()}
	for _, given := range f.Colours {
		c, err := readColour(s.p, given)
		if err != nil {
			return err
		}
		part.Colours = append(part.Colours, c.hex)
	}
	flag.Parts = []facings.FlagPart{part}
	s.unit.Flag = &flag
	if !slices.ContainsFunc(s.p.Ending, func(e facings.EndingStep) bool { return e.Step == facings.EndFlag }) {
		i := slices.IndexFunc(s.p.Rack, func(x facings.Paint) bool { return x.Kind == facings.Glue })
		if i < 0 {
			s.p.Rack = append(s.p.Rack, facings.Paint{Name: "PVA glue", Kind: facings.Glue, PotML: 120, LeftML: 120})
			i = len(s.p.Rack) - 1
		}
		s.p.Ending = append(s.p.Ending, facings.EndingStep{Step: facings.EndFlag, Paint: s.p.Rack[i].Name})
	}
	return nil
}
