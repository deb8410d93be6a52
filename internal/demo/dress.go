package demo

import (
	"fmt"
	"maps"
	"slices"

	"facings"
)

// A dress is what one regiment chooses: finishes by what they are for.
type dress struct {
	coat, facing, legs, horseCloth string
	lace, straps, leather, buttons string
	fur, timber                    string
}

func (m *muster) dress() dress {
	d := dress{
		coat: pick(m.rng, m.cloth...), facing: pick(m.rng, m.cloth...), legs: pick(m.rng, m.cloth...),
		lace: pick(m.rng, m.lace...), straps: pick(m.rng, "white straps", "buff straps", "black leather"),
		leather: pick(m.rng, "brown leather", "black leather", "black leather"),
		buttons: pick(m.rng, "brass buttons", "steel buttons"),
		fur:     pick(m.rng, "white fur", "brown fur"), timber: pick(m.rng, "green timber", "grey timber", "bare timber"),
	}
	d.horseCloth = pick(m.rng, d.facing, d.coat)
	return d
}

// finish is what an area gets in a dress; empty where a trait speaks of it.
func (d dress) finish(area string) string {
	switch area {
	case "face", "hands", "hair", "moustache", "horse coat", "horse legs", "horse face", "mane", "tail", "hooves":
		return ""
	case "eyes":
		return "eye"
	case "horse eyes":
		return "horse eye"
	case "jacket", "over-jacket", "waistcoat":
		return d.coat
	case "collar", "cuffs", "lapels", "turnbacks", "sash", "cockade", "plume", "shoulder straps":
		return d.facing
	case "breeches", "gaiters":
		return d.legs
	case "saddle cloth":
		return d.horseCloth
	case "jacket lace", "over-jacket lace", "breeches stripe", "saddle cloth border", "hat lace", "trumpet cord", "drum hoops":
		return d.lace
	case "cross straps", "waist belt", "gloves":
		return d.straps
	case "buttons":
		return d.buttons
	case "fur":
		return d.fur
	case "hat", "boots", "shoes", "pouch", "pack", "bridle", "reins", "saddle", "holsters", "scabbard":
		return d.leather
	case "sword blade", "bit", "lance head", "musket metal", "breastplate":
		return "plain steel"
	case "sword hilt", "hat plate", "trumpet", "finial", "drum shell":
		return "toned brass"
	case "bedroll":
		return "grey blanket"
	case "haversack", "drum head", "neckcloth":
		return "linen cloth"
	case "carriage", "wheels":
		return d.timber
	case "carriage metal", "tyres":
		return "iron"
	case "barrel":
		return "bronze barrel"
	case "base", "base rim":
		return "soil"
	}
	return "bare timber" // poles, shafts, stocks, sticks, tools
}

// scheme speaks of every area that any figure of the unit has.
func (m *muster) scheme(u *facings.Unit, d dress) {
	u.Scheme = facings.Scheme{}
	for i := range u.Roles {
		r := &u.Roles[i]
		body, _ := m.p.FigureBody(u, r, 1)
		for _, a := range body.Areas {
			if f := d.finish(a.Name); f != "" {
				u.Scheme[a.Name] = f
			}
		}
		m.roleScheme(u, r, d, body)
	}
}

// roleScheme gives officers gold and turns the musician's colours round.
func (m *muster) roleScheme(u *facings.Unit, r *facings.Role, d dress, body facings.Body) {
	set := func(finish string, areas ...string) {
		for _, area := range areas {
			if _, ok := body.Area(area); ok {
				if r.Scheme == nil {
					r.Scheme = facings.Scheme{}
				}
				r.Scheme[area] = finish
			}
		}
	}
	switch {
	case r.Name == facings.RoleOfficer && m.chance(70):
		set("gold lace", "hat lace", "jacket lace", "over-jacket lace")
	case r.Name == facings.RoleMusician && m.chance(60):
		set(d.facing, "jacket")
		set(d.coat, "collar", "cuffs", "lapels")
	}
}

// exceptions lets a man or two differ: another hat, no bedroll, a bandage.
func (m *muster) exceptions(u *facings.Unit, d dress) {
	last := &u.Roles[len(u.Roles)-1]
	if last.Body == facings.BodyGun {
		return
	}
	numbers := m.rng.Perm(last.Count)
	for _, i := range numbers[:min(m.rng.IntN(3), last.Count)] {
		s := facings.Single{Role: last.Name, Number: i + 1}
		body, _ := m.p.FigureBody(u, last, s.Number)
		has := func(area string) bool { _, ok := body.Area(area); return ok }
		switch {
		case m.chance(40):
			s.Scheme = facings.Scheme{"hat": "brown leather"}
		case m.chance(50) && has("bedroll"):
			s.Lacks = []string{"bedroll"}
		default:
			s.Adds = []facings.AddsArea{{Area: "bandage", AreaMM2: 20, Fiddly: 1.3, Over: []string{"hair"}}}
			s.Scheme = facings.Scheme{"bandage": pick(m.rng, "linen cloth", d.legs)}
		}
		u.Single = append(u.Single, s)
	}
	slices.SortFunc(u.Single, func(a, b facings.Single) int { return a.Number - b.Number })
	if m.chance(10) {
		u.Uncertain = fmt.Sprintf("invented, like everything about the %s", u.Name)
	}
}

// sortedKeys lists a scheme's areas in a fixed order.
func sortedKeys(s facings.Scheme) []string { return slices.Sorted(maps.Keys(s)) }
