package facings

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// deepestCasting is how many castings may build on each other (FindBody).
const deepestCasting = 8

// castingList checks the castings and what they build on.
func (c *checker) castingList() {
	var names []string
	for i := range c.p.Castings {
		x := &c.p.Castings[i]
		names = append(names, x.Name)
		path := Pointer("castings", x.Name)
		if _, ok := ReadyBody(x.Name); ok {
			c.fault("reserved-name", path, x.Name, fmt.Sprintf("%q is a ready-made body", x.Name), "give your casting another name")
		}
		if x.Headgear != "" && !slices.Contains(Headgears(), x.Headgear) {
			c.unknown("unknown-headgear", path+"/headgear", x.Headgear, fmt.Sprintf("no headgear is called %q", x.Headgear), Headgears(), "headgear is one of")
		}
		if x.Cut != "" && !slices.Contains(Cuts(), x.Cut) {
			c.unknown("unknown-cut", path+"/cut", x.Cut, fmt.Sprintf("no cut of coat is called %q", x.Cut), Cuts(), "a cut is one of")
		}
		if !c.castingLike(path, x) {
			continue
		}
		if base, ok := c.body(x.Like); ok {
			c.vary(path, x.Lacks, x.Adds, base)
		}
	}
	c.names(Pointer("castings"), "casting", names)
}

// castingLike checks the body a casting builds on.
func (c *checker) castingLike(path string, x *Casting) bool {
	switch _, ready := ReadyBody(x.Like); {
	case x.Like == "":
		c.fault("no-like", path+"/like", "", fmt.Sprintf("the casting %q does not say what it is like", x.Name), "add like: foot, mounted, gun or another casting")
		return false
	case !ready && c.castings[x.Like] == nil:
		c.unknownBody(path+"/like", x.Like, fmt.Sprintf("the casting %q is like", x.Name))
		return false
	}
	chain := []string{x.Name}
	for at := c.castings[x.Like]; at != nil; at = c.castings[at.Like] {
		if at.Name == x.Name {
			if c.earliest(chain[:1]) == c.earliest(chain) {
				c.fault("casting-circle", path+"/like", x.Like, "castings build on each other in a circle: "+strings.Join(append(chain, x.Name), " is like "), "let one of them be like foot, mounted or gun")
			}
			return false
		}
		if slices.Contains(chain, at.Name) { // leads into a circle that is reported at its own castings
			return false
		}
		chain = append(chain, at.Name)
	}
	if len(chain) > deepestCasting {
		c.fault("casting-depth", path+"/like", x.Like, fmt.Sprintf("%q builds on %d castings in a row", x.Name, len(chain)-1), fmt.Sprintf("let it build on %d at most", deepestCasting-1))
		return false
	}
	return true
}

// earliest is the place in the file of the first of some castings.
func (c *checker) earliest(names []string) int {
	return slices.IndexFunc(c.p.Castings, func(x Casting) bool { return slices.Contains(names, x.Name) })
}

func (c *checker) unknownBody(path, name, before string) {
	var known []string
	for _, b := range ReadyBodies() {
		known = append(known, b.Name)
	}
	known = append(known, c.castingNames...)
	c.unknown("unknown-body", path, name, fmt.Sprintf("%s %q, which is neither a ready-made body nor a casting", before, name), known, "there are")
}

// vary checks what is taken off a body and added to it.
func (c *checker) vary(path string, lacks []string, adds []AddsArea, base *Body) {
	c.doubles(path+"/lacks", "lacks", lacks)
	for i, area := range lacks {
		at := path + "/lacks" + Pointer(strconv.Itoa(i))
		if _, has := base.Area(area); has {
			continue
		}
		var there []string
		for _, a := range base.Areas {
			there = append(there, a.Name)
		}
		if near := c.nearest(area, there); near != "" || !c.areas[area] {
			c.unknown("unknown-area", at, area, fmt.Sprintf("%q is taken off, but is no area of %s", area, base.Name), there, "its areas are")
		} else {
			c.warn("lacks-nothing", at, area, fmt.Sprintf("%q is taken off, but %s has none", area, base.Name), "take it out of lacks")
		}
	}
	var names []string
	for i := range adds {
		names = append(names, adds[i].Area)
		c.addsArea(path+"/adds"+Pointer(strconv.Itoa(i)), &adds[i], base, slices.Contains(lacks, adds[i].Area))
	}
	c.doubles(path+"/adds", "adds", names)
	if len(base.Areas)+len(adds) > MaxBodyAreas {
		c.fault("too-many", path+"/adds", strconv.Itoa(len(adds)), fmt.Sprintf("with %d areas more the casting has over %d", len(adds), MaxBodyAreas), "keep to what is painted differently")
		return
	}
	// Without an "over" of their own, areas come from the catalogue, which has no circle.
	if slices.ContainsFunc(adds, func(a AddsArea) bool { return len(a.Over) > 0 }) {
		if area := overCircle(varied(base, lacks, adds)); area != "" {
			c.fault("area-circle", path+"/adds", area, fmt.Sprintf("%q would lie over itself by way of other areas", area), "take one \"over\" out: of two areas only one lies over the other")
		}
	}
}

func (c *checker) addsArea(path string, a *AddsArea, base *Body, lacked bool) {
	spec, inCatalogue := c.catalogue[a.Area]
	c.name(path, "area", a.Area)
	if strings.Contains(a.Area, " before ") || a.Area == WholeFigure {
		c.fault("reserved-name", path, a.Area, fmt.Sprintf("an area cannot be called %q", a.Area), "choose another word")
	}
	switch _, has := base.Area(a.Area); {
	case !inCatalogue && a.AreaMM2 == 0:
		c.newAreaSize(path, a.Area)
	case has && !lacked && a.AreaMM2 == 0 && a.Fiddly == 0 && len(a.Over) == 0:
		c.warn("adds-nothing", path, a.Area, fmt.Sprintf("%q is added, but %s has it already", a.Area, base.Name), fmt.Sprintf("take it out of adds, or say what is different: {area: %s, area_mm2: %s}", a.Area, number(float64(spec.AreaMM2))))
	}
	c.between("area-range", path+"/area_mm2", fmt.Sprintf("the size of %q", a.Area), float64(a.AreaMM2), 0.1, 100_000, "mm² at 28 mm")
	c.between("fiddly-range", path+"/fiddly", fmt.Sprintf("fiddly of %q", a.Area), a.Fiddly, 0.2, 10, "(1 is a smooth open surface, 3 a narrow folded one)")
	c.doubles(path+"/over", "over", a.Over)
	for j, under := range a.Over {
		at := path + "/over" + Pointer(strconv.Itoa(j))
		if !c.areas[under] {
			c.unknownArea(at, under, fmt.Sprintf("%q lies over ", a.Area))
		}
	}
}

// newAreaSize asks for the size of an area that the catalogue does not know.
func (c *checker) newAreaSize(path, area string) {
	hint := fmt.Sprintf("write {area: %s, area_mm2: …}; at 28 mm a man's face is 17 mm², both his cuffs 22", area)
	var known []string
	for _, a := range catalogue() {
		known = append(known, a.Name)
	}
	if near := c.nearest(area, known); near != "" {
		hint = fmt.Sprintf("did you mean %q? Otherwise %s", near, hint)
	}
	c.fault("area-size", path, area, fmt.Sprintf("%q is a new area, but its size is not given", area), hint)
}

// overCircle finds an area that lies over itself, or "".
func overCircle(b Body) string {
	over := map[string][]string{}
	for _, a := range b.Areas {
		over[a.Name] = a.Over
	}
	const open, done = 1, 2
	state := map[string]int{}
	var walk func(string) string
	walk = func(name string) string {
		state[name] = open
		for _, under := range over[name] {
			if state[under] == open {
				return under
			}
			if state[under] == 0 {
				if found := walk(under); found != "" {
					return found
				}
			}
		}
		state[name] = done
		return ""
	}
	for _, a := range b.Areas {
		if state[a.Name] == 0 {
			if found := walk(a.Name); found != "" {
				return found
			}
		}
	}
	return ""
}

// traitList checks what may differ from man to man.
func (c *checker) traitList() {
	var names []string
	for i := range c.p.Traits {
		t := &c.p.Traits[i]
		names = append(names, t.Name)
		path := Pointer("traits", t.Name)
		if t.ReadyMade != "" {
			if _, ok := FindReadyTrait(t.ReadyMade); !ok {
				var known []string
				for _, r := range ReadyTraits() {
					known = append(known, r.Name)
				}
				c.unknown("unknown-ready-made", path+"/ready_made", t.ReadyMade, fmt.Sprintf("%q is no ready-made table", t.ReadyMade), known, "there are")
			}
		}
		if t.Weight < 0 || t.Weight > 10 {
			c.fault("weight-range", path+"/weight", strconv.Itoa(t.Weight), fmt.Sprintf("the weight of %q is %d", t.Name, t.Weight), "write a whole number from 1 to 10; 3 is usual")
		}
		c.traitValues(path, t)
		c.pairs(path+"/forbid", t, t.Forbid)
		c.pairs(path+"/prefer", t, t.Prefer)
		for j, x := range t.Prefer {
			if slices.Contains(t.Forbid, x) {
				c.fault("pair-both", path+"/prefer"+Pointer(strconv.Itoa(j)), x.Value, fmt.Sprintf("%q with %q is both forbidden and preferred", x.Value, x.With), "take it out of one of the two")
			}
		}
	}
	c.names(Pointer("traits"), "trait", names)
}

func (c *checker) traitValues(path string, t *Trait) {
	if len(t.Values) == 0 {
		c.fault("no-values", path+"/values", "", fmt.Sprintf("the trait %q has no values", t.Name), "list what it can be under values:, as in \"bay: {scheme: {horse coat: …}}\"")
	}
	var names []string
	for i := range t.Values {
		v := &t.Values[i]
		names = append(names, v.Name)
		at := path + "/values" + Pointer(v.Name)
		if v.Share != nil {
			c.share(at+"/share", v.Name, *v.Share)
		}
		c.scheme(at+"/scheme", v.Scheme, nil)
	}
	c.names(path+"/values", "value of "+t.Name, names)
}

func (c *checker) share(path, value string, x float64) {
	if !(x >= 0) || math.IsInf(x, 0) {
		c.fault("share-range", path, number(x), fmt.Sprintf("the share of %q is %s", value, number(x)), "write 0 or more, in percent or parts as you like")
	}
}

// pairs checks forbidden or preferred pairs of values.
func (c *checker) pairs(path string, t *Trait, list []Pair) {
	seen := map[Pair]bool{}
	for i, x := range list {
		at := path + Pointer(strconv.Itoa(i))
		if _, ok := t.Value(x.Value); !ok {
			c.unknownValue(at+"/value", x.Value, t)
		}
		other := c.traits[x.Trait]
		switch {
		case x.Trait == t.Name:
			c.fault("pair-self", at+"/trait", x.Trait, fmt.Sprintf("a pair of %q with itself says nothing: a figure has one value of it", t.Name), "name another trait")
		case other == nil:
			c.unknownTrait(at+"/trait", x.Trait, "the pair names")
		default:
			if _, ok := other.Value(x.With); !ok {
				c.unknownValue(at+"/with", x.With, other)
			}
		}
		if seen[x] {
			c.fault("listed-twice", at, x.Value, fmt.Sprintf("%q with %q is listed twice", x.Value, x.With), "take one out")
		}
		seen[x] = true
	}
}

func (c *checker) unknownTrait(path, name, before string) {
	c.unknown("unknown-trait", path, name, fmt.Sprintf("%s %q, which is no trait", before, name), c.traitNames, "the traits are")
}

func (c *checker) unknownValue(path, name string, t *Trait) {
	var known []string
	for _, v := range t.Values {
		known = append(known, v.Name)
	}
	c.unknown("unknown-value", path, name, fmt.Sprintf("%q is no value of the trait %q", name, t.Name), known, "its values are")
}

// scheme checks what areas get. on tells which areas the figures have whom the
// scheme is for; nil where that is not known.
func (c *checker) scheme(path string, s Scheme, on map[string]bool) {
	for _, area := range sortedKeys(s) {
		at, finish := path+Pointer(area), s[area]
		switch {
		case !c.areas[area]:
			c.unknownArea(at, area, "the scheme speaks of ")
		case on != nil && !on[area]:
			c.warn("area-missing", at, area, fmt.Sprintf("the scheme paints %q, but none of these castings has that area", area), fmt.Sprintf("add it to the casting (adds: [%s]), or take the line out", area))
		}
		if _, ok := c.finishes[finish]; !ok && finish != LeaveFinish && c.medium(finish) == "" {
			c.unknownFinish(at, area, finish)
		}
	}
}

func (c *checker) unknownFinish(path, area, finish string) {
	if finish == "" {
		c.fault("unknown-finish", path, "", fmt.Sprintf("%s gets no finish", area), "name a finish, a paint or a mix, or write \"leave\" to keep the undercoat")
		return
	}
	known := slices.Concat(c.finishNames, c.mixNames, c.paintNames, []string{LeaveFinish})
	c.unknown("unknown-finish", path, finish, fmt.Sprintf("%s gets %q, which is neither a finish nor a paint nor a mix", area, finish), known, "add it under finishes; there are")
}
