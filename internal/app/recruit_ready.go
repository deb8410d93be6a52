package app

import (
	"maps"
	"slices"

	"facings"
)

// What the horses of a unit may be.
const (
	horsesMixed     = "mixed"
	horsesUnpainted = "unpainted"
)

func horseOptions() []RecruitOption {
	return []RecruitOption{
		{horsesMixed, "coats in the shares of a mixed unit, no two neighbours alike where it can be helped"},
		{"bay", "all bays"}, {"dark bay", "all dark bays"}, {"chestnut", "all chestnuts"}, {"black", "all blacks"}, {"grey", "all greys"},
		{horsesUnpainted, "left as undercoated"},
	}
}

// readyCoats are the finishes that every unit may use, out of the starter rack.
func readyCoats(finish string) []facings.Coat {
	coat := func(paint string) facings.Coat { return facings.Coat{Paint: paint} }
	wash := func(paint string, cover float64) facings.Coat {
		return facings.Coat{Paint: paint, Technique: facings.WashOn, CoverPercent: cover}
	}
	dot := func(paint string, cover float64) facings.Coat {
		return facings.Coat{Paint: paint, Technique: facings.Dot, CoverPercent: cover}
	}
	horse := func(paint string) facings.Coat { return facings.Coat{Paint: paint, Tool: facings.ToolLarge} }
	switch finish {
	case "pale skin":
		return []facings.Coat{coat("pale flesh"), wash("brown wash", 40)}
	case "ruddy skin":
		return []facings.Coat{coat("flesh"), wash("brown wash", 40)}
	case "eye":
		return []facings.Coat{dot("titanium white", 100), {Paint: "burnt umber", Technique: facings.Dot, Tool: facings.ToolToothpick, CoverPercent: 40}}
	case "brown hair":
		return []facings.Coat{coat("burnt umber")}
	case "dark hair":
		return []facings.Coat{coat("vandyke brown")}
	case "fair hair":
		return []facings.Coat{coat("dun"), wash("brown wash", 40)}
	case "red hair":
		return []facings.Coat{coat("burnt sienna")}
	case "bay coat":
		return []facings.Coat{horse("translucent brown")}
	case "dark bay coat":
		return []facings.Coat{horse("bay brown")}
	case "chestnut coat":
		return []facings.Coat{horse("chestnut brown")}
	case "black coat", "black points":
		return []facings.Coat{horse("lamp black")}
	case "grey coat":
		return []facings.Coat{wash("black wash", 100)}
	case "black mane", "dark hoof":
		return []facings.Coat{coat("lamp black")}
	case "chestnut mane":
		return []facings.Coat{coat("chestnut brown")}
	case "flaxen mane":
		return []facings.Coat{coat("buff"), wash("brown wash", 40)}
	case "white mane":
		return []facings.Coat{coat("ivory white")}
	case "dark grey mane":
		return []facings.Coat{coat("blue grey"), wash("black wash", 60)}
	case "brown hoof":
		return []facings.Coat{coat("vandyke brown")}
	case "star":
		return []facings.Coat{dot("titanium white", 30)}
	case "blaze":
		return []facings.Coat{{Paint: "titanium white", Technique: facings.Line, CoverPercent: 70}}
	case "snip":
		return []facings.Coat{dot("ivory white", 20)}
	case "horse eye":
		return []facings.Coat{dot("lamp black", 100)}
	case "brown leather":
		return []facings.Coat{coat("harness brown"), wash("brown wash", 50)}
	case "grey blanket":
		return []facings.Coat{coat("grey cloth")}
	case "toned steel":
		return []facings.Coat{coat("steel"), wash("black wash", 40)}
	case "iron":
		return []facings.Coat{coat("mars black"), {Paint: "steel", Technique: facings.Drybrush, CoverPercent: 25}}
	case "drum skin":
		return []facings.Coat{coat("ivory white"), wash("brown wash", 40)}
	}
	return []facings.Coat{coat("saddle brown"), wash("brown wash", 50)} // wood
}

// ready adds a ready finish, or finds the project's own of that name.
func (f *fitter) ready(name string) string {
	if slices.ContainsFunc(f.p.Finishes, func(x facings.Finish) bool { return x.Name == name }) {
		return name
	}
	coats := readyCoats(name)
	for i := range coats {
		coats[i].Paint = f.paint(coats[i].Paint)
	}
	return f.add(name, coats...)
}

// nature gives skin, hair and horses by traits: those of the project that
// speak of the same areas, or new ones.
func (s *sergeant) nature() {
	s.trait("hair", "hair", facings.Trait{Name: "hair", ReadyMade: facings.ReadyHair, Weight: 2, Values: []facings.TraitValue{
		s.value("brown", "hair", "brown hair"), s.value("dark", "hair", "dark hair"), s.value("fair", "hair", "fair hair"), s.value("red", "hair", "red hair")}})
	s.trait("face", "skin", facings.Trait{Name: "skin", Values: []facings.TraitValue{
		s.value("pale", "face", "pale skin", "hands", "pale skin"), s.value("ruddy", "face", "ruddy skin", "hands", "ruddy skin")}})
	switch {
	case s.r.Body != facings.BodyMounted:
		return
	case s.r.Horses == horsesUnpainted:
		for _, area := range []string{"horse coat", "horse legs", "horse face", "horse eyes", "mane", "tail", "hooves"} {
			s.unit.Scheme[area] = facings.LeaveFinish
		}
		return
	}
	s.trait("horse face", "face marking", facings.Trait{Name: "face marking", ReadyMade: facings.ReadyFaces, Weight: 2, Values: []facings.TraitValue{
		s.value("none"), s.value("star", "horse face", "star"), s.value("blaze", "horse face", "blaze"), s.value("snip", "horse face", "snip")}})
	horse := func(name, legs, hooves string) facings.TraitValue {
		return s.value(name, "horse coat", name+" coat", "horse face", name+" coat", "horse legs", legs, "hooves", hooves)
	}
	marking := s.unit.Traits[len(s.unit.Traits)-1]
	var plain []facings.Pair
	if t, ok := s.p.FindTrait(marking); ok {
		for _, v := range t.Values {
			if len(v.Scheme) > 0 {
				plain = append(plain, facings.Pair{Value: "grey", Trait: marking, With: v.Name})
			}
		}
	}
	name := s.trait("horse coat", "horse", facings.Trait{Name: "horse", ReadyMade: facings.ReadyRealisticCoats, Weight: 6, Forbid: plain, Values: []facings.TraitValue{
		horse("bay", "black points", "dark hoof"), horse("dark bay", "dark bay coat", "brown hoof"), horse("chestnut", "chestnut coat", "brown hoof"),
		horse("black", "black points", "dark hoof"), horse("grey", "grey coat", "dark hoof")}})
	mane := func(colour string) facings.TraitValue {
		return s.value(colour, "mane", colour+" mane", "tail", colour+" mane")
	}
	s.trait("mane", "mane", facings.Trait{Name: "mane", Weight: 3, Values: []facings.TraitValue{
		mane("black"), mane("chestnut"), mane("flaxen"), mane("white"), mane("dark grey")}})
	if s.r.Horses != horsesMixed {
		s.unit.Shares = map[string]map[string]float64{name: {s.r.Horses: 1}}
	}
}

// value makes a trait's value whose finishes are added only when it is used.
func (s *sergeant) value(name string, pairs ...string) facings.TraitValue {
	v := facings.TraitValue{Name: name, Scheme: facings.Scheme{}}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Scheme[pairs[i]] = pairs[i+1]
	}
	return v
}

// trait lets the unit differ in a trait: one of the project that settles the
// area already and has the horses asked for, or the new one. It returns the trait's name.
func (s *sergeant) trait(area, name string, fresh facings.Trait) string {
	for _, t := range s.p.Traits {
		if slices.ContainsFunc(t.Values, func(v facings.TraitValue) bool {
			marking := area == "horse face" // of which one value is none, and none colours the horse too
			return v.Scheme[area] == "" && !(marking && len(v.Scheme) == 0) || marking && len(v.Scheme) > 1
		}) {
			continue
		}
		if _, ok := t.Value(s.r.Horses); area == "horse coat" && s.r.Horses != horsesMixed && !ok {
			continue
		}
		s.unit.Traits = append(s.unit.Traits, t.Name)
		return t.Name
	}
	fresh.Name = s.fitter.free(name, func(n string) bool { _, ok := s.p.FindTrait(n); return !ok })
	for _, v := range fresh.Values {
		for _, area := range slices.Sorted(maps.Keys(v.Scheme)) {
			v.Scheme[area] = s.fitter.ready(v.Scheme[area])
		}
	}
	s.p.Traits = append(s.p.Traits, fresh)
	s.unit.Traits = append(s.unit.Traits, fresh.Name)
	return fresh.Name
}
