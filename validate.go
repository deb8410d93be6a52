package facings

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Validate finds every fault of meaning in a project at once, and what is
// probably not as meant. Faults of the file's form are the reader's
// (internal/projectfile), which also fills in lines and columns. The order is
// the project's own: section by section, as written, maps by name.
//
// Whether a paint of the built-in starter rack exists (Paint.Like) is not
// checked here but where the spectra are (internal/pigment).
func (p *Project) Validate() Diagnostics {
	c := &checker{p: p,
		paints: map[string]*Paint{}, mixes: map[string]*Mix{}, finishes: map[string]*Finish{},
		castings: map[string]*Casting{}, traits: map[string]*Trait{}, areas: map[string]bool{}, catalogue: map[string]AreaSpec{}, bodies: map[string]*Body{}}
	if !c.sizes() {
		return c.ds
	}
	c.index()
	c.project()
	c.undercoat()
	c.ending()
	c.rules()
	c.rack()
	c.mixList()
	c.finishList()
	c.castingList()
	c.traitList()
	c.unitList()
	c.calendar()
	return c.ds
}

// checker holds the names of a project for quick look-up and what was found.
type checker struct {
	p        *Project
	ds       Diagnostics
	paints   map[string]*Paint
	mixes    map[string]*Mix
	finishes map[string]*Finish
	castings map[string]*Casting
	traits   map[string]*Trait
	// areas are all that exist: the catalogue's and those added anywhere.
	areas     map[string]bool
	catalogue map[string]AreaSpec
	// bodies are those found so far by name; nil for one that is not there.
	bodies map[string]*Body
	// far is true once a limit is passed so far that checking stops.
	far bool
	// The names of the above in order, for hints.
	paintNames, mixNames, finishNames, castingNames, traitNames, areaNames []string
}

func (c *checker) fault(id, path, value, message, hint string) {
	c.ds = append(c.ds, Diagnostic{ID: id, Severity: Fault, Path: path, Value: value, Message: message, Hint: hint})
}

func (c *checker) warn(id, path, value, message, hint string) {
	c.ds = append(c.ds, Diagnostic{ID: id, Severity: Warning, Path: path, Value: value, Message: message, Hint: hint})
}

// index fills the look-ups; of two things with one name the first counts.
func (c *checker) index() {
	p := c.p
	for i := range p.Rack {
		first(c.paints, p.Rack[i].Name, &p.Rack[i])
	}
	for i := range p.Mixes {
		first(c.mixes, p.Mixes[i].Name, &p.Mixes[i])
	}
	for i := range p.Finishes {
		first(c.finishes, p.Finishes[i].Name, &p.Finishes[i])
	}
	for i := range p.Castings {
		first(c.castings, p.Castings[i].Name, &p.Castings[i])
	}
	for i := range p.Traits {
		first(c.traits, p.Traits[i].Name, &p.Traits[i])
	}
	add := func(list []AddsArea) {
		for _, a := range list {
			c.areas[a.Area] = true
		}
	}
	for _, a := range catalogue() {
		c.areas[a.Name], c.catalogue[a.Name] = true, a
	}
	for _, casting := range p.Castings {
		add(casting.Adds)
	}
	for _, u := range p.Units {
		for _, r := range u.Roles {
			add(r.Adds)
		}
		for _, s := range u.Single {
			add(s.Adds)
		}
	}
	c.paintNames, c.mixNames, c.finishNames = sortedKeys(c.paints), sortedKeys(c.mixes), sortedKeys(c.finishes)
	c.castingNames, c.traitNames, c.areaNames = sortedKeys(c.castings), sortedKeys(c.traits), sortedKeys(c.areas)
}

func sortedKeys[T any](m map[string]T) []string { return slices.Sorted(maps.Keys(m)) }

func first[T any](m map[string]*T, name string, x *T) {
	if _, ok := m[name]; !ok {
		m[name] = x
	}
}

// body is FindBody with memory: a project asks for the same few bodies often.
func (c *checker) body(name string) (*Body, bool) {
	b, known := c.bodies[name]
	if !known {
		if found, ok := c.p.FindBody(name); ok {
			b = &found
		}
		c.bodies[name] = b
	}
	return b, b != nil
}

// project checks what stands at the top of the file.
func (c *checker) project() {
	p := c.p
	switch {
	case p.Facings == 0:
		c.fault("format-version", Pointer("facings"), "", "the file does not say which version of the format it is in", fmt.Sprintf("start it with \"facings: %d\"", FormatVersion))
	case p.Facings != FormatVersion:
		c.fault("format-version", Pointer("facings"), fmt.Sprint(p.Facings), fmt.Sprintf("the file is in version %d of the format, but this program reads version %d", p.Facings, FormatVersion),
			"use a newer program, or write the file in this version")
	}
	if p.Name == "" {
		c.fault("no-name", Pointer("name"), "", "the project has no name", "add a line \"name: …\"")
	} else {
		c.name(Pointer("name"), "project", p.Name)
	}
	c.between("size-range", Pointer("size_mm"), "the figures' size", p.SizeMM, 5, 200, "mm")
	c.between("scale-range", Pointer("scale"), "the scale", p.Scale, 8, 1000, "(for 1/8 to 1/1000)")
	// Common practice: 28 mm at 1/56, 20 at 1/72, 15 at 1/100, 10 at 1/150, 6 at
	// 1/290, which all make a man 1.4 to 1.8 m to the eye.
	meant := p.SizeMM >= 5 && p.SizeMM <= 200 && p.Scale >= 8 && p.Scale <= 1000
	if m := p.SizeMM * p.Scale / 1000; meant && (m < 1.1 || m > 2.2) {
		c.warn("scale-odd", Pointer("scale"), number(p.Scale), fmt.Sprintf("figures of %s mm at 1/%s would be men of %.1f m", number(p.SizeMM), number(p.Scale), m),
			fmt.Sprintf("a usual scale for them is about %.0f; flags are printed by it", 1568/p.SizeMM))
	}
	if t := p.ToleranceDeltaE; t != nil && !(*t >= 0 && *t <= 50) {
		c.fault("tolerance-range", Pointer("tolerance_delta_e"), number(float64(*t)), fmt.Sprintf("the tolerance is %s, but colour differences run from 0 to 50 here", number(float64(*t))),
			"2 is hardly seen, 5 is seen side by side only; 0 leaves no coat out")
	}
	if p.Palette != "" && p.Palette != "wet" && p.Palette != "dry" {
		c.fault("unknown-palette", Pointer("palette"), p.Palette, fmt.Sprintf("%q is no kind of palette", p.Palette), "write wet or dry")
	}
	c.air()
	c.pace(Pointer("pace"), p.Pace)
	c.setUp()
	c.drying()
}

func (c *checker) air() {
	a := c.p.Air
	c.between("air-range", Pointer("air", "temperature_c"), "the temperature at the bench", a.TemperatureC, -20, 50, "°C")
	c.between("air-range", Pointer("air", "humidity_percent"), "the humidity at the bench", a.HumidityPercent, 0, 100, "%")
	if t := a.TemperatureC; t != 0 && t >= -20 && t < MinimumPaintingTemperature {
		c.warn("too-cold", Pointer("air", "temperature_c"), number(t), fmt.Sprintf("at %s °C acrylic paint may not form a film", number(t)),
			fmt.Sprintf("paint at %.0f °C or more, and let cold figures warm up first", MinimumPaintingTemperature))
	}
	if h := a.HumidityPercent; h > 85 && h <= 100 {
		c.warn("too-damp", Pointer("air", "humidity_percent"), number(h), fmt.Sprintf("at %s %% humidity spray blushes and drying times are guesses", number(h)),
			"wait for drier air: 60 % or less is good, over 85 % is not fit to spray")
	}
}

// pace checks a factor on all times; zero means not said.
func (c *checker) pace(path string, x float64) {
	c.between("pace-range", path, "the pace", x, 0.1, 10, "(1 is the default pace, 1.2 slower by a fifth)")
}

func (c *checker) setUp() {
	s := c.p.SetUp
	if s == nil {
		return
	}
	for _, x := range []struct {
		field     string
		minutes   Minutes
		low, high float64
	}{
		{"paint_minutes", s.PaintMinutes, 0, 120}, {"mix_minutes", s.MixMinutes, 0, 120}, {"tool_minutes", s.ToolMinutes, 0, 120},
		{"water_minutes", s.WaterMinutes, 0, 120}, {"light_after_dark_minutes", s.LightAfterDark, 0, 120},
		{"mix_life_dry_minutes", s.MixLifeDryMinutes, 1, 30 * 24 * 60}, {"mix_life_wet_minutes", s.MixLifeWetMinutes, 1, 30 * 24 * 60},
	} {
		if v := float64(x.minutes); !(v >= x.low && v <= x.high) {
			c.fault("set-up-range", Pointer("set_up", x.field), number(v), fmt.Sprintf("%s is %s", x.field, number(v)), fmt.Sprintf("write minutes from %s to %s", number(x.low), number(x.high)))
		}
	}
}

func (c *checker) drying() {
	const longest = 30 * 24 * 60
	for _, k := range slices.Sorted(maps.Keys(c.p.DryingTimes)) {
		d := c.p.DryingTimes[k]
		if !slices.Contains(Kinds(), k) {
			c.unknown("unknown-kind", Pointer("drying", string(k)), string(k), fmt.Sprintf("%q is no kind of paint", k), kindNames(), "the kinds are")
			continue
		}
		for _, x := range []struct {
			field   string
			minutes Minutes
		}{{"touch_minutes", d.Touch}, {"overcoat_minutes", d.Overcoat}, {"wash_over_minutes", d.WashOver}, {"before_varnish_minutes", d.BeforeVarnish}} {
			if v := float64(x.minutes); !(v > 0 && v <= longest) {
				c.fault("drying-range", Pointer("drying", string(k), x.field), number(v), fmt.Sprintf("%s of %s is %s", x.field, k, number(v)), "write minutes, more than 0 and at most 43200 (thirty days)")
			}
		}
		if d.Touch > d.Overcoat || d.Overcoat > d.BeforeVarnish {
			c.warn("drying-order", Pointer("drying", string(k)), string(k), fmt.Sprintf("%s would be dry enough to paint over before it is dry to the touch, or to varnish before painting over", k),
				"let touch_minutes be the shortest and before_varnish_minutes the longest")
		}
	}
}

// rules checks the house rules.
func (c *checker) rules() {
	r := c.p.Rules
	if r.BatchFigures < 0 || r.BatchFigures > MaxFigures {
		c.fault("batch-range", Pointer("rules", "batch_figures"), fmt.Sprint(r.BatchFigures), fmt.Sprintf("batch_figures is %d", r.BatchFigures), "write how many figures are on the bench at once, usually 8 to 30")
	}
	after := map[string][]string{} // area to those that must wait for it
	for i, x := range r.Also {
		path := Pointer("rules", "also", fmt.Sprint(i))
		for _, area := range []string{x.First, x.Then} {
			if !c.areas[area] {
				c.unknownArea(path, area, "the rule \""+x.First+" before "+x.Then+"\" speaks of ")
			}
		}
		switch {
		case x.First == x.Then:
			c.fault("rule-circle", path, x.First, fmt.Sprintf("%q cannot come before itself", x.First), "name two different areas")
		case reaches(after, x.Then, x.First):
			c.fault("rule-circle", path, x.First+" before "+x.Then, fmt.Sprintf("%q before %q contradicts the rules above it", x.First, x.Then), "take one of the rules in the circle out")
		default:
			after[x.First] = append(after[x.First], x.Then)
		}
	}
}

// reaches reports whether a chain of rules leads from one area to another.
func reaches(after map[string][]string, from, to string) bool {
	seen := map[string]bool{}
	queue := []string{from}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if at == to {
			return true
		}
		if !seen[at] {
			seen[at] = true
			queue = append(queue, after[at]...)
		}
	}
	return false
}

// between checks a number against its range; zero means it was not given.
func (c *checker) between(id, path, what string, x, low, high float64, unit string) {
	if x != 0 && !(x >= low && x <= high) {
		c.fault(id, path, number(x), fmt.Sprintf("%s is %s", what, number(x)), fmt.Sprintf("write a number from %s to %s %s", number(low), number(high), unit))
	}
}

// name checks a name that the user chose.
func (c *checker) name(path, what, name string) {
	switch {
	case strings.TrimSpace(name) == "":
		c.fault("bad-name", path, name, fmt.Sprintf("a %s has an empty name", what), "give it one")
	case utf8.RuneCountInString(name) > MaxNameLength:
		c.fault("bad-name", path, name, fmt.Sprintf("the name of this %s has %d letters", what, utf8.RuneCountInString(name)), fmt.Sprintf("keep names to %d letters, and put the rest into a note", MaxNameLength))
	case strings.TrimSpace(name) != name || strings.ContainsFunc(name, unicode.IsControl):
		c.fault("bad-name", path, name, fmt.Sprintf("the name %q of this %s has space around it or a control character in it", name, what), "take that out: names are compared letter by letter")
	}
}

// names checks the names of a list and that none stands twice.
func (c *checker) names(path, what string, list []string) {
	seen := map[string]bool{}
	for _, name := range list {
		at := path + Pointer(name)
		c.name(at, what, name)
		if seen[name] {
			c.fault("duplicate-name", at, name, fmt.Sprintf("two of these are called %q: %s", name, what), "give one of them another name")
		}
		seen[name] = true
	}
}

// doubles reports what a list names twice.
func (c *checker) doubles(path, what string, list []string) {
	seen := map[string]bool{}
	for i, x := range list {
		if seen[x] {
			c.fault("listed-twice", path+Pointer(fmt.Sprint(i)), x, fmt.Sprintf("%q is listed twice in %s", x, what), "take one out")
		}
		seen[x] = true
	}
}

// unknown reports a word that is none of the candidates, with the nearest of
// them or, when all are few, their list.
func (c *checker) unknown(id, path, word, message string, candidates []string, known string) {
	hint := ""
	switch near := c.nearest(word, candidates); {
	case near != "":
		hint = fmt.Sprintf("did you mean %q?", near)
	case len(candidates) == 0:
		hint = known + " none so far"
	case len(candidates) <= 12:
		hint = known + " " + strings.Join(candidates, ", ")
	default:
		hint = known + " " + strings.Join(candidates[:10], ", ") + " and others"
	}
	c.fault(id, path, word, message, hint)
}

// nearest is Nearest, until there are so many faults that hints would cost
// more than they help.
func (c *checker) nearest(word string, candidates []string) string {
	const enough = 200
	if len(c.ds) > enough {
		return ""
	}
	return Nearest(word, candidates)
}

// unknownArea reports an area that neither the catalogue nor a casting has.
func (c *checker) unknownArea(path, area, before string) {
	hint := "use an area of the catalogue, or let a casting add one: adds: [{area: …, area_mm2: …}]"
	if near := c.nearest(area, c.areaNames); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	c.fault("unknown-area", path, area, fmt.Sprintf("%s%q, which is no area of any casting", before, area), hint)
}

// number writes a number as a person would.
func number(x float64) string {
	if x == math.Trunc(x) && math.Abs(x) < 1e15 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.6g", x)
}

func kindNames() []string {
	var out []string
	for _, k := range Kinds() {
		out = append(out, string(k))
	}
	return out
}
