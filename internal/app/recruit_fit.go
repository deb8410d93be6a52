package app

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"facings"
	"facings/internal/colour"
	"facings/internal/pigment"
)

// laying is how a colour is laid where it is asked for.
type laying string

const (
	asCloth   laying = "cloth"
	asLace    laying = "lace"
	asLeather laying = "leather"
	asMetal   laying = "metal"
	asDots    laying = "buttons"
	asGround  laying = "ground"
)

// What is near enough: a single paint this near to the wanted colour is taken
// without looking at mixes, and a simpler recipe stands in for a better one
// that is nearer by no more than barely (CIEDE2000; estimates: about 2 is just
// noticed side by side, 1 is not).
const (
	nearEnough = 2.0
	barely     = 1.0
	mixParts   = 6 // in all: more is counted out wrongly
)

// meanGrey is what a two-tone undercoat throws back on the whole (estimate).
const meanGrey = "grey 40 %"

// wantedColour is what an answer says of a colour.
type wantedColour struct {
	name    string
	hex     string
	starter string // a paint of the starter rack or of the project; "" for a colour to be met
	kind    facings.Kind
	finish  string // a finish of the project by name
}

// plainColours are the names that need no paint of their own, with sRGB values
// of our own choosing that people would agree on.
func plainColours() []RecruitColour {
	return []RecruitColour{
		{"white", "#f2f2ee"}, {"off white", "#e9e3d3"}, {"light grey", "#b9bcbd"}, {"grey", "#85898c"}, {"dark grey", "#4d5154"}, {"black", "#232425"},
		{"red", "#b3202a"}, {"dark red", "#7a1f26"}, {"rose", "#c9647a"}, {"pink", "#d99aa5"}, {"yellow", "#e8b923"}, {"pale yellow", "#ecd98c"},
		{"green", "#2f6b3c"}, {"light green", "#7fa65a"}, {"grey green", "#5f6b50"}, {"olive", "#6b6535"}, {"blue", "#27509c"}, {"medium blue", "#3a6ab0"},
		{"light blue", "#8fb7d9"}, {"turquoise", "#2d8f93"}, {"violet", "#5a3b84"}, {"purple", "#5f2a55"}, {"brown", "#6b4526"}, {"dark brown", "#3d2a1c"},
		{"light brown", "#9a7146"}, {"straw", "#d9bd78"},
	}
}

// readColour understands "#rrggbb", a finish or paint of the project, a paint
// of the starter rack, and the plain names.
func readColour(p *facings.Project, given string) (wantedColour, error) {
	given = strings.TrimSpace(given)
	if strings.HasPrefix(given, "#") {
		c, err := colour.ParseHex(given)
		if err != nil {
			return wantedColour{}, err
		}
		return wantedColour{name: strings.ToLower(colour.Name(c.SRGB().Lab())), hex: c.SRGB().Hex()}, nil
	}
	var names []string
	if p != nil {
		for _, f := range p.Finishes {
			if f.Name == given {
				return wantedColour{name: given, hex: given, finish: given}, nil
			}
		}
		for _, x := range p.Rack {
			if x.Name == given && (x.Kind == facings.Opaque || x.Kind == facings.Translucent || x.Kind == facings.Metallic) {
				return wantedColour{name: given, hex: given, starter: given, kind: x.Kind}, nil
			}
		}
	}
	for _, x := range pigment.StarterRack() {
		if x.Kind != facings.Opaque && x.Kind != facings.Translucent && x.Kind != facings.Metallic {
			continue
		}
		names = append(names, x.Name)
		if strings.EqualFold(x.Name, given) {
			_, white := pigment.Chart()
			shown := pigment.Show(&x.KS, x.Surface, &white, 1)
			return wantedColour{name: x.Name, hex: shown.Hex, starter: x.Name, kind: x.Kind}, nil
		}
	}
	for _, c := range plainColours() {
		names = append(names, c.Name)
		if strings.EqualFold(c.Name, given) {
			return wantedColour{name: c.Name, hex: c.Hex}, nil
		}
	}
	if near := facings.Nearest(given, names); near != "" {
		return wantedColour{}, fmt.Errorf("%q is no colour that is known; did you mean %q?", given, near)
	}
	return wantedColour{}, fmt.Errorf("%q is no colour that is known", given)
}

// poisonous are pigments that no newcomer should be given unasked: lead,
// mercury and arsenic (Colour Index names, from memory).
func poisonous(index string) bool {
	return slices.ContainsFunc([]string{"PR105", "PY34", "PG21", "PR106", "PY41"}, func(bad string) bool { return strings.Contains(index, bad) })
}

// fitter turns colours into finishes of a project, out of its rack and the
// starter rack.
type fitter struct {
	ctx   context.Context
	p     *facings.Project
	grey  *palette // over the undercoat's mean grey
	white *palette // over a white underlay
	own   int      // the first so many paints of the palettes are the project's
	made  map[[2]string]string
	// shared are the project's finishes from before.
	shared []facings.Finish
}

func newFitter(ctx context.Context, p *facings.Project) (*fitter, error) {
	f := &fitter{ctx: ctx, p: p, made: map[[2]string]string{}, shared: slices.Clone(p.Finishes)}
	shelf := &facings.Project{Undercoat: p.Undercoat, Rack: slices.Clone(p.Rack), Mixes: p.Mixes, Finishes: p.Finishes}
	for _, x := range pigment.StarterRack() {
		_, taken := p.FindPaint(x.Name)
		if !taken && !poisonous(x.Index) {
			shelf.Rack = append(shelf.Rack, facings.Paint{Name: x.Name, Kind: x.Kind, Like: x.Name})
		}
	}
	if shelf.Undercoat.Dark == "" {
		shelf.Undercoat = facings.Undercoat{Dark: "black primer", Light: "white primer"}
	}
	var err error
	if f.grey, err = newPalette(MixRequest{Project: shelf, Target: "#808080", Over: meanGrey}.withDefaults()); err != nil {
		return nil, err
	}
	if f.white, err = newPalette(MixRequest{Project: shelf, Target: "#808080", Over: "titanium white"}.withDefaults()); err != nil {
		return nil, err
	}
	for _, pal := range []*palette{f.grey, f.white} {
		var names []string
		var rack []pigment.KS
		for i, name := range pal.names {
			if x, _ := shelf.FindPaint(name); x.Kind == facings.Opaque {
				names, rack = append(names, name), append(rack, pal.rack[i])
			}
		}
		pal.names, pal.rack = names, rack
	}
	for _, name := range f.grey.names {
		if _, ok := p.FindPaint(name); ok {
			f.own++
		}
	}
	return f, nil
}

// paint finds a starter paint on the project's rack, by what it is like or by
// name, or puts it there; the name to call it by.
func (f *fitter) paint(starter string) string {
	for _, x := range f.p.Rack {
		if x.IsOwned() && strings.EqualFold(x.Like, starter) {
			return x.Name
		}
	}
	if _, ok := f.p.FindPaint(starter); ok {
		return starter
	}
	like, _ := pigment.FindStarter(starter)
	name := like.Name
	if f.taken(name) { // by a mix or a finish
		name = f.free(name+" paint", f.unused)
	}
	x := facings.Paint{Name: name, Kind: like.Kind, Like: like.Name, PotML: 17, LeftML: 17}
	switch {
	case x.Kind == facings.Primer, like.Name == "matt varnish":
		x.Can, x.PotML, x.LeftML = true, 400, 400
	case x.Kind == facings.Wash:
		x.PotML, x.LeftML = 24, 24
	}
	f.p.Rack = append(f.p.Rack, x)
	return x.Name
}

// fit returns the name of a finish that shows the colour, made if there is none.
func (f *fitter) fit(given string, how laying) (string, error) {
	c, err := readColour(f.p, given)
	if err != nil {
		return "", err
	}
	key := [2]string{c.name + c.hex, string(how)}
	if name, ok := f.made[key]; ok {
		return name, nil
	}
	name := c.finish
	switch {
	case name != "":
	case c.kind == facings.Metallic:
		name = f.metal(c, how)
	default:
		name, err = f.painted(c, how)
	}
	f.made[key] = name
	return name, err
}

// metal lays a metal and tones it, or strokes and dots it.
func (f *fitter) metal(c wantedColour, how laying) string {
	paint := f.paint(c.starter)
	warm := slices.Contains([]string{"brass", "gold", "bronze", "copper"}, c.starter)
	switch how {
	case asDots:
		return f.add(c.name+" buttons", facings.Coat{Paint: paint, Technique: facings.Dot, CoverPercent: 100})
	case asLace:
		under := "grey cloth"
		if warm {
			under = "yellow ochre"
		}
		return f.add(c.name+" lace", facings.Coat{Paint: f.paint(under), Technique: facings.Line}, facings.Coat{Paint: paint, Technique: facings.Line})
	}
	wash := "black wash"
	if warm {
		wash = "brown wash"
	}
	return f.add("toned "+c.name, facings.Coat{Paint: paint}, facings.Coat{Paint: f.paint(wash), Technique: facings.WashOn, CoverPercent: 40})
}

// painted lays a colour, over white where it is yellow or white.
func (f *fitter) painted(c wantedColour, how laying) (string, error) {
	pal := f.grey
	if err := f.aim(pal, c); err != nil {
		return "", err
	}
	lab := colour.Lab{L: pal.wanted.Lab[0], A: pal.wanted.Lab[1], B: pal.wanted.Lab[2]}
	light := how != asGround && (isYellow(lab) || isWhite(lab))
	if name, ok := f.like(lab, how, light); ok {
		return name, nil
	}
	if light {
		pal = f.white
		if err := f.aim(pal, c); err != nil {
			return "", err
		}
	}
	medium, note, err := f.recipe(pal, c)
	if err != nil {
		return "", err
	}
	top := facings.Coat{Paint: medium, Note: note}
	if how == asLace {
		top.Technique = facings.Line
	}
	if how == asDots {
		top.Technique, top.CoverPercent = facings.Dot, 100
	}
	coats := []facings.Coat{top}
	if light {
		under := facings.Coat{Paint: f.paint("titanium white"), Technique: top.Technique, CoverPercent: top.CoverPercent, Note: "an underlay: yellow and white hide little"}
		coats = []facings.Coat{under, top}
	}
	if how == asLeather && lab.L > 28 {
		coats = append(coats, facings.Coat{Paint: f.paint("brown wash"), Technique: facings.WashOn, CoverPercent: 50})
	}
	return f.add(c.name+" "+string(how), coats...), nil
}

func (f *fitter) aim(pal *palette, c wantedColour) error {
	if c.starter != "" {
		return pal.aim(c.starter)
	}
	return pal.aim(c.hex)
}

// isYellow and isWhite tell the colours that want white beneath them.
func isYellow(c colour.Lab) bool {
	l := c.LCh()
	return l.L > 60 && l.C > 35 && l.H > 65 && l.H < 115
}

func isWhite(c colour.Lab) bool { return c.L > 84 && c.LCh().C < 14 }

// like finds a finish that was there before, is laid so, and shows the colour.
func (f *fitter) like(want colour.Lab, how laying, light bool) (string, bool) {
	if how != asCloth && how != asLace {
		return "", false
	}
	best, name := nearEnough, ""
	for _, x := range f.shared {
		if len(x.Coats) == 0 || slices.ContainsFunc(x.Coats, func(c facings.Coat) bool { return !f.suits(c, how) }) {
			continue
		}
		pal := *f.grey
		if pal.aim(x.Name) != nil {
			continue
		}
		got := colour.Lab{L: pal.wanted.Lab[0], A: pal.wanted.Lab[1], B: pal.wanted.Lab[2]}
		if d := colour.DeltaE00(got, want); d <= best && (!light || len(x.Coats) > 1) {
			best, name = d, x.Name
		}
	}
	return name, name != ""
}

func (f *fitter) suits(c facings.Coat, how laying) bool {
	_, kind, _, ok := f.p.Medium(c.Paint)
	if !ok || (kind != facings.Opaque && kind != facings.Translucent) || c.AfterVarnish {
		return false
	}
	if how == asLace {
		return c.Technique == facings.Line
	}
	return c.Technique == "" || c.Technique == facings.Brush
}

// recipe is the paint or mix to lay, and why it was chosen.
func (f *fitter) recipe(pal *palette, c wantedColour) (medium, note string, err error) {
	if c.starter != "" {
		return f.paint(c.starter), "", nil
	}
	best := func(n, paints, parts int) (pigment.Recipe, error) {
		return pigment.Best(f.ctx, pal.rack[:n], pigment.Query{Setting: pal.set, Target: pal.set.View.Lab(&pal.target), Paints: paints, Parts: parts})
	}
	// The project's own paints first, then the starter rack's too.
	for _, n := range []int{f.own, len(pal.rack)} {
		if n == 0 {
			continue
		}
		single, err := best(n, 1, 1)
		if err != nil {
			return "", "", err
		}
		if single.DeltaE00 <= nearEnough {
			return f.laid(pal, c, single, fmt.Sprintf("shows %s to ΔE %.1f: no mix is needed", c.hex, single.DeltaE00))
		}
		mix, err := best(n, pigment.MostPaints, mixParts)
		if err != nil {
			return "", "", err
		}
		if n < len(pal.rack) && mix.DeltaE00 > nearEnough {
			continue
		}
		two, err := best(n, 2, mixParts)
		if err != nil {
			return "", "", err
		}
		than := fmt.Sprintf("the best single paint, %s, misses it by %.1f", pal.names[single.Paints[0]], single.DeltaE00)
		switch {
		case single.DeltaE00 <= mix.DeltaE00+barely:
			return f.laid(pal, c, single, fmt.Sprintf("misses %s by ΔE %.1f; the best mix of three paints would by %.1f", c.hex, single.DeltaE00, mix.DeltaE00))
		case two.DeltaE00 <= mix.DeltaE00+barely:
			return f.laid(pal, c, two, fmt.Sprintf("misses %s by ΔE %.1f; %s", c.hex, two.DeltaE00, than))
		}
		return f.laid(pal, c, mix, fmt.Sprintf("misses %s by ΔE %.1f, the best of three paints and %d parts; %s", c.hex, mix.DeltaE00, mixParts, than))
	}
	return "", "", fmt.Errorf("no paint can be mixed for %s", c.name)
}

// laid puts a recipe's paints on the rack and its mix among the mixes.
func (f *fitter) laid(pal *palette, c wantedColour, r pigment.Recipe, note string) (string, string, error) {
	var parts []facings.Part
	for i, p := range r.Paints {
		parts = append(parts, facings.Part{Paint: f.paint(pal.names[p]), Parts: r.Parts[i]})
	}
	if len(parts) == 1 {
		return parts[0].Paint, note, nil
	}
	for _, m := range f.p.Mixes {
		if slices.Equal(m.Parts, parts) {
			return m.Name, note, nil
		}
	}
	name := f.free(c.name+" mix", f.unused)
	f.p.Mixes = append(f.p.Mixes, facings.Mix{Name: name, Parts: parts, Note: note})
	return name, "", nil
}

// add makes a finish, or returns one of that name that is the same already.
func (f *fitter) add(name string, coats ...facings.Coat) string {
	same := func(a facings.Finish) bool {
		return slices.EqualFunc(a.Coats, coats, func(x, y facings.Coat) bool { x.Note, y.Note = "", ""; return x == y })
	}
	for _, x := range f.p.Finishes {
		if strings.HasPrefix(x.Name, name) && same(x) {
			return x.Name
		}
	}
	name = f.free(name, f.unused)
	f.p.Finishes = append(f.p.Finishes, facings.Finish{Name: name, Coats: coats})
	return name
}

// taken reports whether a paint, mix or finish is called so: a scheme that names
// it could mean any of them.
func (f *fitter) taken(name string) bool {
	_, paint := f.p.FindPaint(name)
	_, mix := f.p.FindMix(name)
	_, finish := f.p.FindFinish(name)
	return paint || mix || finish
}

func (f *fitter) unused(name string) bool { return !f.taken(name) }

// free is a name, numbered where it is taken.
func (f *fitter) free(name string, ok func(string) bool) string {
	for n := 2; ; n++ {
		if ok(name) {
			return name
		}
		if n > 2 {
			name = name[:strings.LastIndex(name, " ")]
		}
		name = fmt.Sprintf("%s %d", name, n)
	}
}
