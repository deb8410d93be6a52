package demo

import "facings"

// What every invented army is made of: a rack, finishes, castings, traits.

// pot is a paint of the invented rack: name, kind and swatch.
type pot struct {
	name        string
	kind        facings.Kind
	white, dark string // sRGB over white and over black
}

// clothPots are the translucent paints that regiments dress in.
func clothPots() []pot {
	return []pot{
		{"thin dark blue", facings.Translucent, "#1f3a74", "#10162a"},
		{"thin sky blue", facings.Translucent, "#2f8fc4", "#14283a"},
		{"thin dark green", facings.Translucent, "#1f5c3c", "#0e1c14"},
		{"thin grass green", facings.Translucent, "#4f8a35", "#18270f"},
		{"thin madder", facings.Translucent, "#9c2430", "#2a0e11"},
		{"thin orange", facings.Translucent, "#d9702a", "#3a1d0c"},
		{"thin lemon", facings.Translucent, "#f3d420", "#4a4212"},
		{"thin grey", facings.Translucent, "#9aa1a3", "#2c2f31"},
		{"thin violet", facings.Translucent, "#5d3f8c", "#191226"},
		{"thin buff", facings.Translucent, "#d0a562", "#37290f"},
	}
}

// otherPots are the paints that every unit uses some of.
func otherPots() []pot {
	return []pot{
		{"thin chestnut", facings.Translucent, "#8f4624", "#28150e"},
		{"thin bay", facings.Translucent, "#6b3a20", "#22130c"},
		{"thin dark bay", facings.Translucent, "#41291c", "#190f0a"},
		{"black", facings.Opaque, "#232324", "#1f1f20"},
		{"white", facings.Opaque, "#f5f5f2", "#d9dadb"},
		{"light grey", facings.Opaque, "#b4b8b9", "#abafb1"},
		{"dark grey", facings.Opaque, "#5d6468", "#596064"},
		{"umber", facings.Opaque, "#4b3226", "#462e23"},
		{"harness brown", facings.Opaque, "#7d4f2e", "#744729"},
		{"wood brown", facings.Opaque, "#8d6b45", "#84633f"},
		{"straw", facings.Opaque, "#d9bd78", "#c6aa69"},
		{"linen", facings.Opaque, "#d5c8a9", "#c7ba9c"},
		{"light skin", facings.Opaque, "#dfb093", "#d0a187"},
		{"tanned skin", facings.Opaque, "#b37f5d", "#a87556"},
		{"rust red", facings.Opaque, "#8c3f2a", "#823a27"},
		{"gun green", facings.Opaque, "#5f6b50", "#5a664c"},
		{"earth", facings.Opaque, "#6a563d", "#645139"},
		{"grey wash", facings.Wash, "#d3d6d8", "#141415"},
		{"brown wash", facings.Wash, "#a98b6c", "#16110d"},
		{"skin wash", facings.Wash, "#d9a68a", "#1c120d"},
		{"steel", facings.Metallic, "#9ba0a4", "#8f9498"},
		{"brass", facings.Metallic, "#b3913f", "#a38339"},
		{"gold", facings.Metallic, "#cda23c", "#bb9236"},
		{"bronze", facings.Metallic, "#9a7640", "#8e6c3a"},
	}
}

// benchPots are undercoats, varnishes, glue and what goes on bases.
func benchPots() []facings.Paint {
	return []facings.Paint{
		{Name: "black primer", Kind: facings.Primer, Can: true, PotML: 400, OverWhite: "#1b1b1c", OverBlack: "#19191a"},
		{Name: "white primer", Kind: facings.Primer, Can: true, PotML: 400, OverWhite: "#f1f1ee", OverBlack: "#dededd"},
		{Name: "matt varnish", Kind: facings.Varnish, Can: true, PotML: 400, OverWhite: "#fbfbfa", OverBlack: "#0d0d0d"},
		{Name: "gloss varnish", Kind: facings.Varnish, PotML: 17, OverWhite: "#fdfdfc", OverBlack: "#070707"},
		{Name: "white glue", Kind: facings.Glue, PotML: 120, OverWhite: "#fcfcfa", OverBlack: "#101010"},
		{Name: "sand", Kind: facings.Texture, PotG: 250, Colour: "#b9a27a"},
		{Name: "flock", Kind: facings.Texture, PotG: 20, Colour: "#6d7b35"},
	}
}

// coat, washed, lined and dotted are coats in short.
func coat(paint string) facings.Coat   { return facings.Coat{Paint: paint} }
func washed(paint string) facings.Coat { return facings.Coat{Paint: paint, Technique: facings.WashOn} }
func lined(paint string) facings.Coat  { return facings.Coat{Paint: paint, Technique: facings.Line} }
func dotted(paint string) facings.Coat {
	return facings.Coat{Paint: paint, Technique: facings.Dot, CoverPercent: 100}
}
func horse(paint string) facings.Coat {
	return facings.Coat{Paint: paint, Tool: facings.ToolLarge}
}

// sharedFinishes are those that every unit may use; cloths and laces of the
// army's colours come on top.
func sharedFinishes() []facings.Finish {
	f := func(name string, coats ...facings.Coat) facings.Finish {
		return facings.Finish{Name: name, Coats: coats}
	}
	return []facings.Finish{
		f("bay coat", horse("thin bay")), f("dark bay coat", horse("thin dark bay")),
		f("chestnut coat", horse("thin chestnut")), f("black coat", horse("black")),
		f("grey coat", washed("grey wash")), f("black points", horse("black")),
		f("black mane", coat("black")), f("chestnut mane", coat("thin chestnut")), f("flaxen mane", coat("straw"), washed("brown wash")),
		f("white mane", washed("grey wash")), f("dark grey mane", coat("dark grey")),
		f("dark hoof", coat("black")), f("brown hoof", coat("thin dark bay")),
		f("star", facings.Coat{Paint: "white", Technique: facings.Dot, CoverPercent: 30}),
		f("blaze", facings.Coat{Paint: "white", Technique: facings.Line, CoverPercent: 70}),
		f("snip", facings.Coat{Paint: "white", Technique: facings.Dot, CoverPercent: 20}),
		f("horse eye", dotted("black"), facings.Coat{Paint: "gloss varnish", Technique: facings.Dot, AfterVarnish: true}),
		f("pale skin", coat("light skin"), washed("skin wash")), f("brown skin", coat("tanned skin"), washed("skin wash")),
		f("brown hair", coat("umber")), f("dark hair", coat("black")), f("fair hair", coat("straw")), f("red hair", coat("rust red")),
		f("eye", dotted("white"), facings.Coat{Paint: "umber", Technique: facings.Dot, Tool: facings.ToolToothpick, CoverPercent: 40}),
		f("black leather", coat("black")), f("brown leather", coat("harness brown"), washed("brown wash")),
		f("white straps", coat("light grey"), facings.Coat{Paint: "white", CoverPercent: 80}), f("buff straps", coat("straw"), washed("brown wash")),
		f("white cloth", coat("light grey"), facings.Coat{Paint: "white", CoverPercent: 70}), f("white lace", lined("white")),
		f("gold lace", lined("straw"), lined("gold")),
		f("white fur", washed("grey wash")), f("brown fur", coat("umber"), washed("brown wash")),
		f("plain steel", coat("steel")), f("toned brass", coat("brass"), washed("brown wash")),
		f("brass buttons", dotted("brass")), f("steel buttons", dotted("steel")),
		f("bronze barrel", coat("bronze"), washed("brown wash")), f("iron", coat("dark grey"), coat("steel")),
		f("green timber", coat("gun green"), washed("brown wash")), f("grey timber", coat("dark grey"), facings.Coat{Paint: "light grey", Technique: facings.Drybrush}),
		f("bare timber", coat("wood brown"), washed("brown wash")),
		f("grey blanket", coat("dark grey")), f("linen cloth", coat("linen"), washed("brown wash")),
		f("soil", coat("earth")),
	}
}

// sharedCastings vary the ready-made bodies.
func sharedCastings() []facings.Casting {
	adds := func(areas ...string) []facings.AddsArea {
		var out []facings.AddsArea
		for _, a := range areas {
			out = append(out, facings.AddsArea{Area: a})
		}
		return out
	}
	return []facings.Casting{
		{Name: "hussar", Like: facings.BodyMounted, Lacks: []string{"turnbacks", "shoulder straps"}, Adds: adds("over-jacket", "over-jacket lace", "fur", "sash")},
		{Name: "lancer", Like: facings.BodyMounted, Lacks: []string{"jacket lace", "moustache"}, Adds: adds("lapels", "lance shaft", "lance head")},
		{Name: "cuirassier", Like: "lancer", Lacks: []string{"lapels", "lance shaft", "lance head"}, Adds: adds("breastplate", "gloves")},
		{Name: "fusilier", Like: facings.BodyFoot, Lacks: []string{"moustache", "plume"}, Adds: adds("cockade", "haversack")},
		{Name: "gunner", Like: facings.BodyFoot,
			Lacks: []string{"moustache", "plume", "lapels", "cross straps", "pouch", "pack", "bedroll", "musket stock", "musket metal", "scabbard"},
			Adds: append(adds("waist belt", "gun tool"),
				facings.AddsArea{Area: "neckcloth", AreaMM2: 8, Fiddly: 1.5, Over: []string{"jacket", "collar"}})},
	}
}

// sharedTraits are what differs from man to man and horse to horse.
func sharedTraits() []facings.Trait {
	value := func(name string, pairs ...string) facings.TraitValue {
		s := facings.Scheme{}
		for i := 0; i+1 < len(pairs); i += 2 {
			s[pairs[i]] = pairs[i+1]
		}
		return facings.TraitValue{Name: name, Scheme: s}
	}
	coats := func(name, finish, legs, hooves string) facings.TraitValue {
		return value(name, "horse coat", finish, "horse face", finish, "horse legs", legs, "hooves", hooves)
	}
	mane := func(name string) facings.TraitValue { return value(name, "mane", name+" mane", "tail", name+" mane") }
	hair := func(name string) facings.TraitValue {
		return value(name, "hair", name+" hair", "moustache", name+" hair")
	}
	var grey []facings.Pair
	for _, marking := range []string{"star", "blaze", "snip"} {
		grey = append(grey, facings.Pair{Value: "grey", Trait: "face marking", With: marking})
	}
	return []facings.Trait{
		{Name: "face marking", ReadyMade: facings.ReadyFaces, Weight: 2, Values: []facings.TraitValue{
			value("none"), value("star", "horse face", "star"), value("blaze", "horse face", "blaze"), value("snip", "horse face", "snip")}},
		{Name: "horse", ReadyMade: facings.ReadyRealisticCoats, Weight: 6, Forbid: grey, Values: []facings.TraitValue{
			coats("bay", "bay coat", "black points", "dark hoof"), coats("dark bay", "dark bay coat", "dark bay coat", "brown hoof"),
			coats("chestnut", "chestnut coat", "chestnut coat", "brown hoof"), coats("black", "black coat", "black points", "dark hoof"),
			coats("grey", "grey coat", "grey coat", "dark hoof")}},
		{Name: "mane", Weight: 3, Values: []facings.TraitValue{mane("black"), mane("chestnut"), mane("flaxen"), mane("white"), mane("dark grey")}},
		{Name: "hair", ReadyMade: facings.ReadyHair, Values: []facings.TraitValue{hair("brown"), hair("dark"), hair("fair"), hair("red")}},
		{Name: "skin", Weight: 2, Values: []facings.TraitValue{
			value("pale", "face", "pale skin", "hands", "pale skin"), value("brown", "face", "brown skin", "hands", "brown skin")}},
	}
}
