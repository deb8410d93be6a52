package facings

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// BodyPart is the part of a casting that an area belongs to.
type BodyPart string

const (
	PartMan   BodyPart = "man"
	PartHorse BodyPart = "horse"
	PartTack  BodyPart = "tack"
	PartGun   BodyPart = "gun"
	PartBase  BodyPart = "base"
	PartWhole BodyPart = "whole" // the whole figure: undercoat, varnish, preparation
)

// WholeFigure is the area name that undercoat, preparation and varnish go by.
const WholeFigure = "whole figure"

// AreaSpec describes one area of a body.
type AreaSpec struct {
	Name string   `json:"area"`
	Part BodyPart `json:"part"`
	// AreaMM2 is the surface at 28 mm.
	AreaMM2 SquareMillimetres `json:"area_mm2"`
	// Fiddly multiplies the time per mm²: 1 is a smooth open surface, 3 a
	// narrow folded one, less than 1 a flat base.
	Fiddly float64 `json:"fiddly"`
	// Over names the areas this one lies over: they get their last base coat first.
	Over []string `json:"over,omitempty"`
	// Near names further areas that a messy coat on this one can reach.
	Near []string `json:"near,omitempty"`
	// Exposure is the mean share, 0 to 1, of the light from above at 45°.
	Exposure float64 `json:"exposure"`
	// Estimated is true until the area was measured on a mesh.
	Estimated bool `json:"estimated,omitempty"`
}

// Body is the kind of casting.
type Body struct {
	Name  string     `json:"body"`
	Areas []AreaSpec `json:"areas"`
}

// Area finds an area by name.
func (b Body) Area(name string) (AreaSpec, bool) {
	for _, a := range b.Areas {
		if a.Name == name {
			return a, true
		}
	}
	return AreaSpec{}, false
}

// Surface is the sum of all areas but the base's.
func (b Body) Surface() SquareMillimetres {
	var sum SquareMillimetres
	for _, a := range b.Areas {
		if a.Part != PartBase {
			sum += a.AreaMM2
		}
	}
	return sum
}

// Reach lists the areas of the body that a messy coat on the named area can
// stray onto: those lying over it and those near it, in body order. What lies
// beneath it is painted before it and is not listed.
func (b Body) Reach(name string) []string {
	self, _ := b.Area(name)
	beneath := b.Beneath(name)
	var out []string
	for _, a := range b.Areas {
		if a.Name != name && !slices.Contains(beneath, a.Name) && (slices.Contains(a.Over, name) || slices.Contains(self.Near, a.Name)) {
			out = append(out, a.Name)
		}
	}
	return out
}

// Beneath lists, in body order, the areas that the named one lies over,
// directly or by way of others.
func (b Body) Beneath(name string) []string {
	under := map[string]bool{}
	var walk func(string)
	walk = func(n string) {
		a, _ := b.Area(n)
		for _, u := range a.Over {
			if !under[u] {
				under[u] = true
				walk(u)
			}
		}
	}
	walk(name)
	var out []string
	for _, a := range b.Areas {
		if under[a.Name] && a.Name != name {
			out = append(out, a.Name)
		}
	}
	return out
}

// catalogue lists every area a casting may have, what lies over what, and
// estimates of size, fiddliness and light at 28 mm for areas that were not
// measured.
func catalogue() []AreaSpec {
	man := func(name string, mm2 SquareMillimetres, fiddly, exposure float64, over ...string) AreaSpec {
		return AreaSpec{Name: name, Part: PartMan, AreaMM2: mm2, Fiddly: fiddly, Exposure: exposure, Over: over, Estimated: true}
	}
	part := func(p BodyPart, a AreaSpec) AreaSpec { a.Part = p; return a }
	near := func(a AreaSpec, names ...string) AreaSpec { a.Near = names; return a }
	return []AreaSpec{
		near(man("face", 45, 1.4, 0.5), "hair", "collar"),
		man("eyes", 1.2, 3, 0.4, "face"),
		near(man("hair", 20, 1.3, 0.4, "face"), "collar"),
		man("moustache", 3, 2, 0.4, "face"),
		near(man("hands", 30, 1.5, 0.45), "cuffs", "musket stock", "sword hilt", "reins"),
		near(man("gloves", 45, 1.4, 0.45, "hands", "cuffs"), "sword hilt", "reins"),
		near(man("hat", 95, 1.1, 0.8, "hair", "face"), "collar"),
		man("hat lace", 8, 2.2, 0.7, "hat"),
		man("hat plate", 6, 2, 0.5, "hat"),
		man("plume", 20, 1.2, 0.7, "hat"),
		man("cockade", 3, 2, 0.6, "hat"),
		near(man("waistcoat", 60, 1.3, 0.4), "breeches"),
		near(man("jacket", 339.8, 1, 0.55, "waistcoat", "breeches"), "hands", "gloves", "face"),
		near(man("collar", 14, 1.6, 0.5, "jacket"), "face", "hair"),
		near(man("cuffs", 22, 1.4, 0.45, "jacket"), "hands"),
		man("lapels", 30, 1.4, 0.45, "jacket"),
		near(man("turnbacks", 35, 1.4, 0.35, "jacket"), "breeches"),
		man("shoulder straps", 10, 2, 0.85, "jacket"),
		man("jacket lace", 40, 2.6, 0.5, "jacket", "collar", "cuffs", "lapels"),
		man("buttons", 6, 2.5, 0.5, "jacket", "lapels", "cuffs", "turnbacks", "waistcoat"),
		man("over-jacket", 150, 1.1, 0.6, "jacket"),
		man("over-jacket lace", 25, 2.6, 0.55, "over-jacket"),
		near(man("fur", 45, 1.3, 0.6, "over-jacket", "jacket"), "over-jacket lace"),
		man("breastplate", 110, 1.1, 0.55, "jacket"),
		man("sash", 25, 1.5, 0.5, "jacket", "waistcoat", "breeches"),
		near(man("breeches", 260, 1, 0.4), "boots", "gaiters"),
		man("breeches stripe", 12, 2.2, 0.4, "breeches"),
		near(man("gaiters", 120, 1.2, 0.35, "breeches", "shoes"), "base"),
		near(man("boots", 150, 1.1, 0.35, "breeches"), "base"),
		near(man("shoes", 50, 1.3, 0.35), "base"),
		man("cross straps", 60, 1.9, 0.55, "jacket", "lapels", "jacket lace", "breastplate", "waistcoat"),
		man("waist belt", 12, 1.9, 0.5, "jacket", "waistcoat"),
		man("pouch", 35, 1.2, 0.5, "jacket", "cross straps"),
		man("pack", 110, 1.2, 0.55, "jacket", "cross straps"),
		man("haversack", 40, 1.2, 0.5, "jacket", "cross straps"),
		man("canteen", 20, 1.3, 0.5, "jacket", "haversack"),
		near(man("bedroll", 45, 1.2, 0.7, "pack", "saddle", "saddle cloth"), "jacket"),
		near(man("musket stock", 65, 1.4, 0.5), "hands", "jacket"),
		man("musket metal", 35, 1.6, 0.55, "musket stock"),
		man("musket sling", 8, 2.2, 0.5, "musket stock"),
		near(man("sword blade", 25, 1.2, 0.6), "sword hilt"),
		near(man("sword hilt", 8, 2, 0.5, "sword blade"), "hands", "gloves"),
		man("sword knot", 3, 2.4, 0.5, "sword hilt"),
		near(man("scabbard", 35, 1.4, 0.45, "jacket", "breeches", "saddle cloth", "horse coat"), "boots"),
		near(man("lance shaft", 60, 1.2, 0.5), "hands", "gloves"),
		man("lance head", 6, 1.5, 0.6, "lance shaft"),
		near(man("drum shell", 90, 1.2, 0.5), "breeches"),
		man("drum hoops", 25, 2, 0.5, "drum shell"),
		man("drum head", 40, 1, 0.8, "drum hoops"),
		near(man("drum sticks", 6, 2, 0.6), "hands"),
		near(man("trumpet", 35, 1.4, 0.55), "hands", "face"),
		man("trumpet cord", 8, 2.4, 0.5, "trumpet", "jacket"),
		near(man("flag pole", 70, 1.1, 0.5), "hands", "gloves"),
		man("finial", 5, 1.8, 0.7, "flag pole"),
		man("flag", 460, 1, 0.5, "flag pole"),
		near(man("gun tool", 55, 1.2, 0.5), "hands"),

		part(PartHorse, near(man("horse coat", 1600.4, 1, 0.55), "base", "boots")),
		part(PartHorse, near(man("horse legs", 260, 1.1, 0.3, "horse coat"), "base", "boots", "reins", "scabbard", "saddle cloth", "saddle cloth border")),
		part(PartHorse, man("horse face", 10, 1.8, 0.6, "horse coat")),
		part(PartHorse, man("horse eyes", 2.4, 2.4, 0.4, "horse coat")),
		part(PartHorse, near(man("mane", 75, 1.2, 0.75, "horse coat"), "bridle", "reins")),
		part(PartHorse, near(man("tail", 95, 1.1, 0.45, "horse coat"), "saddle cloth border", "horse legs")),
		part(PartHorse, near(man("hooves", 40, 1.2, 0.25, "horse legs"), "base")),
		part(PartTack, man("bridle", 60, 2, 0.5, "horse coat", "mane")),
		part(PartTack, man("reins", 25, 2.2, 0.5, "horse coat", "mane")),
		part(PartTack, man("bit", 8, 2.4, 0.4, "bridle", "horse coat")),
		part(PartTack, near(man("saddle cloth", 240, 1.1, 0.55, "horse coat"), "boots", "breeches")),
		part(PartTack, man("saddle cloth border", 50, 2.2, 0.5, "saddle cloth")),
		part(PartTack, near(man("saddle", 45, 1.4, 0.5, "saddle cloth", "horse coat"), "breeches")),
		part(PartTack, man("holsters", 40, 1.3, 0.6, "saddle", "saddle cloth", "horse coat")),

		part(PartGun, near(man("carriage", 620, 1.1, 0.5), "wheels", "barrel")),
		part(PartGun, man("carriage metal", 90, 2, 0.5, "carriage")),
		part(PartGun, near(man("wheels", 480, 1.4, 0.45), "carriage", "base")),
		part(PartGun, man("tyres", 120, 1.3, 0.5, "wheels")),
		part(PartGun, near(man("barrel", 290, 1, 0.7, "carriage"), "carriage metal")),

		part(PartBase, near(man("base", 400, 0.4, 0.9), "base rim")),
		part(PartBase, man("base rim", 160, 0.6, 0.3, "base")),
	}
}

// Catalogue lists every area a casting may have, as large as on a foot figure
// where that has it.
func Catalogue() []AreaSpec { return measured(BodyFoot, catalogue()) }

// CatalogueArea finds an area of the catalogue by name.
func CatalogueArea(name string) (AreaSpec, bool) {
	return Body{Areas: Catalogue()}.Area(name)
}

// catalogueAreaOn finds an area as large as it is on the kind of body that b is.
func catalogueAreaOn(b Body, name string) (AreaSpec, bool) {
	kind := BodyFoot
	if _, horse := b.Area("horse coat"); horse {
		kind = BodyMounted
	}
	return Body{Areas: measured(kind, catalogue())}.Area(name)
}

// measuredCSV holds what was measured on the built-in castings: written by
// tools/bodies from the meshes of internal/figure and the light of internal/light.
//
//go:embed measured.csv
var measuredCSV string

type measurement struct {
	mm2              SquareMillimetres
	fiddly, exposure float64
}

// measurements reads measuredCSV: body and area to what was measured.
var measurements = sync.OnceValue(func() map[[2]string]measurement {
	rows, err := csv.NewReader(strings.NewReader(measuredCSV)).ReadAll()
	if err != nil {
		panic(err) // part of the program, held by a test
	}
	out := map[[2]string]measurement{}
	for _, row := range rows[1:] {
		var numbers [3]float64
		for i := range numbers {
			if numbers[i], err = strconv.ParseFloat(row[2+i], 64); err != nil {
				panic(err)
			}
		}
		out[[2]string{row[0], row[1]}] = measurement{SquareMillimetres(numbers[0]), numbers[1], numbers[2]}
	}
	return out
})

// measured replaces estimates by what was measured on a kind of body, or on
// another where that kind has no such area.
func measured(kind string, areas []AreaSpec) []AreaSpec {
	for i := range areas {
		for _, k := range []string{kind, BodyFoot, BodyMounted, BodyGun} {
			if m, ok := measurements()[[2]string{k, areas[i].Name}]; ok {
				areas[i].AreaMM2, areas[i].Fiddly, areas[i].Exposure, areas[i].Estimated = m.mm2, m.fiddly, m.exposure, false
				break
			}
		}
	}
	return areas
}

// The ready-made bodies.
const (
	BodyFoot    = "foot"
	BodyMounted = "mounted"
	BodyGun     = "gun"
)

// footAreas and mountedAreas are the areas of a plain casting; what one maker's
// casting lacks or adds is said in the project.
var (
	manAreas = []string{"face", "eyes", "hair", "moustache", "hands", "hat", "hat lace", "hat plate", "plume",
		"jacket", "collar", "cuffs", "turnbacks", "shoulder straps", "buttons", "breeches"}
	footAreas = []string{"lapels", "gaiters", "shoes", "cross straps", "pouch", "pack", "bedroll",
		"musket stock", "musket metal", "scabbard"}
	mountedAreas = []string{"jacket lace", "breeches stripe", "boots", "cross straps", "pouch", "waist belt",
		"sword blade", "sword hilt", "scabbard", "horse coat", "horse legs", "horse face", "horse eyes", "mane", "tail",
		"hooves", "bridle", "reins", "bit", "saddle cloth", "saddle cloth border", "saddle", "holsters", "bedroll"}
	gunAreas  = []string{"carriage", "carriage metal", "wheels", "tyres", "barrel"}
	baseAreas = []string{"base", "base rim"}
)

// ReadyBodies returns the built-in bodies: foot, mounted and gun. A gun's crew
// are foot. Sizes are measured on the built-in castings (see tools/bodies).
func ReadyBodies() []Body {
	pick := func(name string, lists ...[]string) Body {
		var wanted []string
		for _, l := range lists {
			wanted = append(wanted, l...)
		}
		b := Body{Name: name}
		for _, a := range measured(name, catalogue()) {
			if slices.Contains(wanted, a.Name) {
				b.Areas = append(b.Areas, a)
			}
		}
		return b
	}
	return []Body{
		pick(BodyFoot, manAreas, footAreas, baseAreas),
		pick(BodyMounted, manAreas, mountedAreas, baseAreas),
		pick(BodyGun, gunAreas, baseAreas),
	}
}

// ReadyBody finds a built-in body by name.
func ReadyBody(name string) (Body, bool) {
	for _, b := range ReadyBodies() {
		if b.Name == name {
			return b, true
		}
	}
	return Body{}, false
}
