package facings

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Techniques that the program itself uses and no coat may ask for.
var ownTechniques = [...]Technique{Prepare, Fit}

// undercoat checks the two undercoats.
func (c *checker) undercoat() {
	u := c.p.Undercoat
	if u.Dark == "" {
		c.fault("no-undercoat", Pointer("undercoat", "dark"), "", "there is no dark undercoat", "write undercoat: {dark: …} with a primer of the rack")
	} else {
		c.undercoatPaint(Pointer("undercoat", "dark"), u.Dark)
	}
	if u.Light != "" {
		c.undercoatPaint(Pointer("undercoat", "light"), u.Light)
		if u.Light == u.Dark {
			c.warn("undercoat-same", Pointer("undercoat", "light"), u.Light, fmt.Sprintf("the light from above is sprayed with %q too, so it would not show", u.Light), "spray it with a lighter primer, or take it out")
		}
	}
	c.between("elevation-range", Pointer("undercoat", "elevation_deg"), "the light's height over the horizon", u.ElevationDeg, 5, 90, "degrees")
}

func (c *checker) undercoatPaint(path, name string) {
	paint, ok := c.paints[name]
	if !ok {
		if _, mixed := c.mixes[name]; mixed {
			c.fault("undercoat-kind", path, name, fmt.Sprintf("the undercoat %q is a mix, but it is sprayed from one pot or can", name), "name a primer of the rack")
			return
		}
		c.unknownPaint(path, name, "the undercoat", false)
		return
	}
	switch paint.Kind {
	case Primer, "":
	case Opaque:
		c.warn("undercoat-opaque", path, name, fmt.Sprintf("the undercoat %q is opaque paint, which rubs off bare metal and resin", name), "use a primer, or let it be the light over a primer")
	default:
		if slices.Contains(Kinds(), paint.Kind) {
			c.fault("undercoat-kind", path, name, fmt.Sprintf("the undercoat %q is %s", name, paint.Kind), "name a primer of the rack")
		}
	}
}

// ending checks the closing steps.
func (c *checker) ending() {
	flagged := slices.IndexFunc(c.p.Units, func(u Unit) bool { return u.Flag != nil })
	wants := map[EndingKind]Kind{EndBase: Glue, EndFlag: Glue, EndVarnish: Varnish}
	for i, s := range c.p.Ending {
		path := Pointer("ending", strconv.Itoa(i))
		kind, ok := wants[s.Step]
		if !ok {
			var names []string
			for _, k := range EndingKinds() {
				names = append(names, string(k))
			}
			c.unknown("unknown-step", path+"/step", string(s.Step), fmt.Sprintf("%q is no closing step", s.Step), names, "the steps are")
			continue
		}
		c.endingPaint(path, s, kind)
		c.endingTechnique(path, s)
		if s.Step != EndBase && len(s.Materials) > 0 {
			c.fault("step-materials", path+"/materials", s.Materials[0], fmt.Sprintf("materials do not go on a %s step", s.Step), "put them on a base step")
		}
		c.doubles(path+"/materials", "materials", s.Materials)
		for j, m := range s.Materials {
			at := path + "/materials" + Pointer(strconv.Itoa(j))
			if paint, ok := c.paints[m]; !ok {
				c.unknownPaint(at, m, "a material", false)
			} else if paint.Kind != Texture && paint.Kind != "" {
				c.fault("material-kind", at, m, fmt.Sprintf("the material %q is %s", m, paint.Kind), "materials are textures: sand, flock, grass")
			}
		}
		if s.Step == EndFlag && flagged < 0 {
			c.warn("flag-step-idle", path+"/step", string(s.Step), "flags are to be fitted, but no unit has one", "give a unit a flag, or take the step out")
		}
	}
	if flagged >= 0 && !slices.ContainsFunc(c.p.Ending, func(s EndingStep) bool { return s.Step == EndFlag }) {
		unit := c.p.Units[flagged].Name
		c.warn("flag-not-fitted", Pointer("units", unit, "flag"), "", fmt.Sprintf("%q has a flag, but no closing step fits it", unit), "add {step: flag, paint: …} to ending, with the glue for it")
	}
}

func (c *checker) endingPaint(path string, s EndingStep, kind Kind) {
	if s.Paint == "" {
		c.fault("step-paint", path+"/paint", "", fmt.Sprintf("the %s step does not say its %s", s.Step, kind), "add paint: with one of the rack")
		return
	}
	paint, ok := c.paints[s.Paint]
	switch {
	case !ok:
		c.unknownPaint(path+"/paint", s.Paint, fmt.Sprintf("the %s step's paint", s.Step), false)
	case paint.Kind != kind && slices.Contains(Kinds(), paint.Kind):
		c.fault("step-paint", path+"/paint", s.Paint, fmt.Sprintf("the %s step wants %s, but %q is %s", s.Step, kind, s.Paint, paint.Kind), fmt.Sprintf("name a %s of the rack", kind))
	}
}

func (c *checker) endingTechnique(path string, s EndingStep) {
	if s.Technique == "" {
		return
	}
	fits := map[EndingKind][]Technique{EndBase: {GlueOn, Brush}, EndFlag: {Fit, GlueOn}, EndVarnish: {Spray, Brush}}[s.Step]
	if !slices.Contains(fits, s.Technique) {
		c.fault("step-technique", path+"/technique", string(s.Technique), fmt.Sprintf("a %s step is not done with %q", s.Step, s.Technique), fmt.Sprintf("write %s or %s", fits[0], fits[1]))
	}
}

// rack checks the paints.
func (c *checker) rack() {
	if len(c.p.Rack) == 0 {
		c.fault("no-paints", Pointer("rack"), "", "there are no paints", "list the pots you own under rack")
	}
	var names []string
	for i := range c.p.Rack {
		x := &c.p.Rack[i]
		names = append(names, x.Name)
		path := Pointer("rack", x.Name)
		switch {
		case x.Kind == "":
			c.fault("no-kind", path+"/kind", "", fmt.Sprintf("the paint %q does not say its kind", x.Name), "add kind: one of "+strings.Join(kindNames(), ", "))
		case !slices.Contains(Kinds(), x.Kind):
			c.unknown("unknown-kind", path+"/kind", string(x.Kind), fmt.Sprintf("the paint %q is of the kind %q, which is not known", x.Name, x.Kind), kindNames(), "the kinds are")
		}
		c.reserved(path, x.Name)
		c.paintColour(path, x)
		c.paintAmounts(path, x)
	}
	c.names(Pointer("rack"), "paint", names)
}

// reserved refuses names that mean something else in a scheme.
func (c *checker) reserved(path, name string) {
	if name == LeaveFinish {
		c.fault("reserved-name", path, name, fmt.Sprintf("%q is what a scheme says for an area without coats", name), "give it another name")
	}
}

// paintColour checks how a paint's colour is given.
func (c *checker) paintColour(path string, x *Paint) {
	for _, f := range []struct{ field, value string }{{"over_black", x.OverBlack}, {"over_white", x.OverWhite}, {"colour", x.Colour}} {
		if f.value != "" && !isHex(f.value) {
			c.fault("bad-colour", path+"/"+f.field, f.value, fmt.Sprintf("%s of %q is %q, which is no colour", f.field, x.Name, f.value), "write six digits after a #, in quotes: \"#1d3f8a\"")
		}
	}
	if (x.OverBlack == "") != (x.OverWhite == "") {
		c.fault("half-swatch", path, "", fmt.Sprintf("the swatch of %q is given over one ground only", x.Name), "give both over_black and over_white, or only colour")
	}
	if isHex(x.OverBlack) && isHex(x.OverWhite) && brightness(x.OverBlack) > brightness(x.OverWhite) {
		c.warn("swatch-swapped", path+"/over_black", x.OverBlack, fmt.Sprintf("%q is lighter over black than over white", x.Name), "the two may be swapped")
	}
	// Glue and texture have no colour to predict, varnish is clear.
	if x.Like == "" && x.Colour == "" && x.OverBlack == "" && x.OverWhite == "" && !slices.Contains([]Kind{Varnish, Glue, Texture, ""}, x.Kind) {
		c.fault("no-colour", path, "", fmt.Sprintf("the colour of %q is not given", x.Name), "add like: with a starter paint, or over_black and over_white from your swatch card, or colour")
	}
}

// isHex reports whether s is "#rrggbb".
func isHex(s string) bool {
	if len(s) != 7 || s[0] != '#' {
		return false
	}
	_, err := strconv.ParseUint(s[1:], 16, 32)
	return err == nil
}

// brightness is the sum of a "#rrggbb"'s three values, enough to tell which of
// two swatches of one paint is the lighter.
func brightness(hex string) int {
	sum := 0
	for i := 1; i < 7; i += 2 {
		v, _ := strconv.ParseUint(hex[i:i+2], 16, 16)
		sum += int(v)
	}
	return sum
}

// paintAmounts checks what a pot holds.
func (c *checker) paintAmounts(path string, x *Paint) {
	for _, a := range []struct {
		field   string
		amount  float64
		texture bool
	}{{"pot_ml", float64(x.PotML), false}, {"left_ml", float64(x.LeftML), false}, {"pot_g", float64(x.PotG), true}, {"left_g", float64(x.LeftG), true}} {
		switch {
		case a.amount == 0:
		case !(a.amount > 0 && a.amount <= 100_000):
			c.fault("amount-range", path+"/"+a.field, number(a.amount), fmt.Sprintf("%s of %q is %s", a.field, x.Name, number(a.amount)), "write what the pot holds, more than 0 and at most 100000")
		case a.texture != (x.Kind == Texture) && slices.Contains(Kinds(), x.Kind):
			c.fault("amount-unit", path+"/"+a.field, number(a.amount), fmt.Sprintf("%q is %s, so %s does not fit", x.Name, x.Kind, a.field), "textures are counted in grams (pot_g, left_g), everything else in millilitres (pot_ml, left_ml)")
		}
	}
	c.between("drops-range", path+"/drops_per_ml", fmt.Sprintf("drops_per_ml of %q", x.Name), x.DropsPerML, 5, 100, "(a dropper gives about 20)")
	if x.Can && !slices.Contains([]Kind{Primer, Varnish, Opaque, Metallic, ""}, x.Kind) && slices.Contains(Kinds(), x.Kind) {
		c.fault("can-kind", path+"/can", "true", fmt.Sprintf("%q is %s, which does not come in a spray can", x.Name, x.Kind), "take can out, or set kind to primer or varnish")
	}
	if !x.IsOwned() && (x.LeftML > 0 || x.LeftG > 0) {
		c.warn("left-not-owned", path+"/owned", "false", fmt.Sprintf("%q is not owned, yet some of it is left", x.Name), "take owned: false out once it is on the rack")
	}
}

// mixList checks the mixes.
func (c *checker) mixList() {
	var names []string
	for i := range c.p.Mixes {
		m := &c.p.Mixes[i]
		names = append(names, m.Name)
		path := Pointer("mixes", m.Name)
		c.reserved(path, m.Name)
		if _, ok := c.paints[m.Name]; ok {
			c.fault("ambiguous-name", path, m.Name, fmt.Sprintf("%q is a mix here and a paint on the rack", m.Name), "give one of them another name")
		}
		switch len(m.Parts) {
		case 0:
			c.fault("no-parts", path, m.Name, fmt.Sprintf("the mix %q has no parts", m.Name), "write paint and parts, as in {sky blue: 3, deep green: 1}")
		case 1:
			c.warn("one-part", path, m.Name, fmt.Sprintf("the mix %q is one paint only", m.Name), "use the paint itself, or add another")
		}
		c.parts(path, m)
	}
	c.names(Pointer("mixes"), "mix", names)
}

func (c *checker) parts(path string, m *Mix) {
	seen := map[string]bool{}
	var oil, water string // a paint of each, once seen
	for _, part := range m.Parts {
		at := path + Pointer(part.Paint)
		if seen[part.Paint] {
			c.fault("listed-twice", at, part.Paint, fmt.Sprintf("%q is listed twice in the mix %q", part.Paint, m.Name), "add the parts up")
		}
		seen[part.Paint] = true
		if part.Parts < 1 || part.Parts > MaxParts {
			c.fault("parts-range", at, strconv.Itoa(part.Parts), fmt.Sprintf("%q takes %d parts in %q", part.Paint, part.Parts, m.Name), fmt.Sprintf("write whole parts from 1 to %d", MaxParts))
		}
		paint, ok := c.paints[part.Paint]
		if !ok {
			if _, mixed := c.mixes[part.Paint]; mixed {
				c.fault("mix-of-mix", at, part.Paint, fmt.Sprintf("%q takes part in %q, but is a mix itself", part.Paint, m.Name), "write its paints with their parts instead")
			} else {
				c.unknownPaint(at, part.Paint, fmt.Sprintf("a part of %q", m.Name), false)
			}
			continue
		}
		switch {
		case paint.Kind == Glue || paint.Kind == Texture:
			c.fault("mix-kinds", at, part.Paint, fmt.Sprintf("%q is %s, which is not mixed into paint", part.Paint, paint.Kind), "take it out of the mix")
		case paint.Can:
			c.fault("mix-kinds", at, part.Paint, fmt.Sprintf("%q comes in a spray can, so it cannot be measured into a mix", part.Paint), "take a pot of the same colour")
		case paint.Kind == OilWash:
			oil = part.Paint
		case slices.Contains(Kinds(), paint.Kind):
			water = part.Paint
		}
	}
	if oil != "" && water != "" {
		c.fault("mix-kinds", path+Pointer(oil), oil, fmt.Sprintf("%q is an oil wash and %q is not: oil and water do not mix", oil, water), "use two coats, the oil wash last")
	}
}

// finishList checks the finishes and their coats.
func (c *checker) finishList() {
	var names []string
	for i := range c.p.Finishes {
		f := &c.p.Finishes[i]
		names = append(names, f.Name)
		path := Pointer("finishes", f.Name)
		c.reserved(path, f.Name)
		if what := c.medium(f.Name); what != "" && !(len(f.Coats) == 1 && f.Coats[0] == Coat{Paint: f.Name}) {
			c.fault("ambiguous-name", path, f.Name, fmt.Sprintf("%q is a finish here and a %s too, so a scheme that says %q could mean either", f.Name, what, f.Name), "give the finish another name, as in \""+f.Name+" cloth\"")
		}
		if len(f.Coats) == 0 {
			c.fault("no-coats", path, f.Name, fmt.Sprintf("the finish %q has no coats", f.Name), "list at least one paint, or let schemes say \"leave\" for areas that stay as undercoated")
		}
		for j := range f.Coats {
			c.coat(path+Pointer(strconv.Itoa(j)), &f.Coats[j])
		}
	}
	c.names(Pointer("finishes"), "finish", names)
}

// medium is "paint" or "mix" for a name that is one.
func (c *checker) medium(name string) string {
	if _, ok := c.paints[name]; ok {
		return "paint"
	}
	if _, ok := c.mixes[name]; ok {
		return "mix"
	}
	return ""
}

func (c *checker) coat(path string, x *Coat) {
	if x.Paint == "" {
		c.fault("no-paint", path+"/paint", "", "a coat does not say its paint", "add paint: with a paint or a mix")
	} else if c.medium(x.Paint) == "" {
		c.unknownPaint(path+"/paint", x.Paint, "a coat", true)
	}
	c.between("cover-range", path+"/cover_percent", "cover_percent", x.CoverPercent, 1, 100, "(the share of the area that the coat touches)")
	if x.Technique != "" {
		h, known := HandlingOf(x.Technique)
		if !known || slices.Contains(ownTechniques[:], h.Technique) {
			c.unknown("unknown-technique", path+"/technique", string(x.Technique), fmt.Sprintf("%q is no technique for a coat", x.Technique), coatTechniques(), "the techniques are")
			return
		}
	}
	parts, kind, _, ok := c.kind(x.Paint)
	if !ok {
		return
	}
	technique := x.Technique
	if technique == "" {
		technique = DefaultTechnique(kind)
	}
	if reason := mismatch(technique, kind); reason != "" {
		at := path + "/technique"
		c.fault("technique-kind", at, string(technique), fmt.Sprintf("%q is %s: %s", x.Paint, kind, reason), "choose another technique or another paint")
	}
	if paint := c.paints[parts]; paint != nil && paint.Can && technique != Spray {
		c.fault("technique-can", path+"/technique", string(technique), fmt.Sprintf("%q comes in a spray can, but the technique is %s", x.Paint, technique), "write technique: spray, or take a pot of the same colour")
	}
	if reason := toolMismatch(x.Tool, technique); reason != "" {
		c.fault("tool-technique", path+"/tool", x.Tool, fmt.Sprintf("the tool is %q and the technique %s: %s", x.Tool, technique, reason), "choose another tool, or leave the line out for the usual one")
	}
	if x.AfterVarnish && !slices.ContainsFunc(c.p.Ending, func(s EndingStep) bool { return s.Step == EndVarnish }) {
		c.warn("no-varnish", path+"/after_varnish", "true", "a coat is to go on after the varnish, but nothing is varnished", "add {step: varnish, paint: …} to ending, or take after_varnish out")
	}
}

// kind is Project.Medium with quick look-up: the paint's name (or empty for a
// mix) and its kind. It is false for an unknown kind too, reported elsewhere.
func (c *checker) kind(name string) (paint string, kind Kind, mixed, ok bool) {
	if m, isMix := c.mixes[name]; isMix {
		most := 0
		for _, part := range m.Parts {
			if x, found := c.paints[part.Paint]; found && part.Parts > most {
				most, kind = part.Parts, x.Kind
			}
		}
		return "", kind, true, slices.Contains(Kinds(), kind)
	}
	if x, isPaint := c.paints[name]; isPaint {
		return name, x.Kind, false, slices.Contains(Kinds(), x.Kind)
	}
	return "", "", false, false
}

// mismatch says why a technique does not go with a kind of paint; empty if it
// does (common practice).
func mismatch(t Technique, k Kind) string {
	thin := k == Wash || k == OilWash || k == Ink || k == Translucent
	gluey := k == Glue || k == Texture
	switch {
	case gluey && t != GlueOn:
		return "it is laid on with technique glue"
	case t == GlueOn && !gluey:
		return "the technique glue is for glue and textures"
	case t == Drybrush && thin:
		return "too thin to drybrush, it would run into the recesses"
	case t == Spray && k == OilWash:
		return "oil and solvent are not sprayed"
	case t == WashOn && (k == Varnish || k == Primer):
		return "it is no wash"
	}
	return ""
}

// toolMismatch says why a tool does not go with a technique; empty if it does.
// Tools are free words, so only those the program knows are judged.
func toolMismatch(tool string, t Technique) string {
	switch {
	case tool == "":
	case tool == ToolCan && t != Spray:
		return "a spray can only sprays"
	case t == Spray && slices.Contains([]string{ToolFine, ToolLine, ToolCloth, ToolLarge, ToolFlat, ToolOld, ToolDry, ToolToothpick}, tool):
		return "a brush does not spray"
	case tool == ToolOld && t != GlueOn:
		return "the old brush is for glue only"
	case tool == ToolToothpick && t != Dot:
		return "a toothpick makes dots only"
	}
	return ""
}

func coatTechniques() []string {
	var out []string
	for _, h := range Techniques() {
		if !slices.Contains(ownTechniques[:], h.Technique) {
			out = append(out, string(h.Technique))
		}
	}
	return out
}

// unknownPaint reports a name that is no paint (or mix, where those may stand).
func (c *checker) unknownPaint(path, name, what string, mixes bool) {
	candidates := c.paintNames
	if len(candidates) == 0 {
		return // one fault says it all: there are no paints
	}
	kinds := "which is not on the rack"
	if mixes {
		candidates = slices.Concat(c.paintNames, c.mixNames)
		kinds = "which is neither on the rack nor a mix"
	}
	c.unknown("unknown-paint", path, name, fmt.Sprintf("%s is %q, %s", what, name, kinds), candidates, "add it under rack; there are")
}
