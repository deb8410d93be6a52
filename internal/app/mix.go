package app

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"facings"
	"facings/internal/colour"
	"facings/internal/order"
	"facings/internal/pigment"
)

// MixRequest asks for the best mix, or the nearest paints, for a colour.
type MixRequest struct {
	Project   *facings.Project // nil: the starter rack, all owned
	Target    string           // "#rrggbb", "L,a,b", or a finish, paint or mix by name
	Over      string           // "white", "black", "grey 40 %", "#rrggbb", or a name
	Paints    int              // at most; 0 for three
	Parts     int              // the greatest sum of parts; 0 for eight
	AreaMM2   float64          // to be covered; 0 for the least that can be worked with
	Technique facings.Technique
	Coats     float64 // laid one on the other and taken as one film; 0 for one
	Starter   bool    // match: look through the starter rack too
}

// Seen is a colour in every way a person may want it.
type Seen struct {
	Given string     `json:"given,omitempty"`
	Hex   string     `json:"hex"`
	Lab   [3]float64 `json:"lab"`
	Name  string     `json:"name"`
	Guess bool       `json:"guess"` // known by one colour only, or rests on such a paint
}

// MixPart is one paint of a mix.
type MixPart struct {
	Paint string `json:"paint"`
	Parts int    `json:"parts"`
	Drops int    `json:"drops"`
}

// LightShift is how far mix and target are apart under one light.
type LightShift struct {
	Light   string  `json:"light"`
	What    string  `json:"what"`
	DeltaE  float64 `json:"delta_e00"`
	Warning bool    `json:"warning"`
}

// MixAnswer is one mix and what it shows.
type MixAnswer struct {
	Parts  []MixPart    `json:"parts"`
	DeltaE float64      `json:"delta_e00"`
	Look   Seen         `json:"look"`
	Lights []LightShift `json:"lights"`
	// Miscount is the greatest change that one drop more or less of one paint makes.
	Miscount float64 `json:"miscount_delta_e00"`
	Drops    int     `json:"drops"`
}

// Words writes a mix as people do: "3 sky blue + 1 viridian".
func (m *MixAnswer) Words() string {
	var out []string
	for _, p := range m.Parts {
		if len(m.Parts) == 1 {
			return p.Paint
		}
		out = append(out, fmt.Sprintf("%d %s", p.Parts, p.Paint))
	}
	return strings.Join(out, " + ")
}

// MixResult is the best mix for a target and the simpler ones beside it.
type MixResult struct {
	Target    Seen              `json:"target"`
	Over      Seen              `json:"over"`
	Technique facings.Technique `json:"technique"`
	Coats     float64           `json:"coats"`
	AreaMM2   float64           `json:"area_mm2"`
	MostParts int               `json:"most_parts"`
	Rack      int               `json:"paints_considered"`
	Best      MixAnswer         `json:"best"`
	Simpler   []MixAnswer       `json:"simpler"`
	Warnings  []string          `json:"warnings"`
	Caution   string            `json:"caution,omitempty"`
}

// palette is the paints that may be mixed, and how they are laid.
type palette struct {
	project  *facings.Project
	colours  *colourist
	names    []string
	rack     []pigment.KS
	set      pigment.Setting
	target   colour.Reflectance
	wanted   Seen
	over     Seen
	metallic bool
	// known is false where the target's spectrum was made up from one colour.
	known bool
}

// Mix finds the best mix for a target, proved so, and the simpler ones.
func (a *App) Mix(ctx context.Context, q MixRequest) (*MixResult, error) {
	q = q.withDefaults()
	pal, err := newPalette(q)
	if err != nil {
		return nil, err
	}
	out := &MixResult{Target: pal.wanted, Over: pal.over, Technique: q.Technique, Coats: q.Coats, AreaMM2: q.AreaMM2,
		MostParts: q.Parts, Rack: len(pal.rack), Simpler: []MixAnswer{}, Warnings: []string{}}
	// From the freest to the simplest; each simpler one is only worth saying if
	// it is another.
	var last pigment.Recipe
	for i, limit := range [][2]int{{q.Paints, q.Parts}, {q.Paints, (q.Parts + 1) / 2}, {2, q.Parts}, {2, (q.Parts + 1) / 2}, {1, 1}} {
		paints, parts := min(limit[0], q.Paints), limit[1]
		if i > 0 && len(last.Paints) <= paints && last.Total() <= parts {
			continue // it is that simple already
		}
		best, err := pigment.Best(ctx, pal.rack, pigment.Query{Setting: pal.set, Target: pal.set.View.Lab(&pal.target), Paints: paints, Parts: parts})
		if err != nil {
			return nil, err
		}
		last = best
		answer := pal.answer(q, &best)
		if i == 0 {
			out.Best = answer
		} else {
			out.Simpler = append(out.Simpler, answer)
		}
	}
	out.Warnings, out.Caution = pal.warnings(q, &out.Best)
	if paint, ok := pal.project.FindPaint(q.Target); ok && paint.IsOwned() && pal.mixes(paint) {
		out.Warnings = append(out.Warnings, paint.Name+" itself was left out, to find what can stand in for it")
	}
	return out, nil
}

func (q MixRequest) withDefaults() MixRequest {
	if q.Paints == 0 {
		q.Paints = pigment.MostPaints
	}
	if q.Parts == 0 {
		q.Parts = pigment.DefaultParts
	}
	if q.Technique == "" {
		q.Technique = facings.Brush
	}
	if q.Coats == 0 {
		q.Coats = 1
	}
	if q.Over == "" {
		q.Over = "white"
	}
	return q
}

// mostCoats and mostArea bound what is asked for.
const (
	mostCoats = 20
	mostArea  = 1e7
)

func newPalette(q MixRequest) (*palette, error) {
	coats := pigment.Coats(q.Technique)
	switch {
	case coats == 0:
		return nil, fmt.Errorf("technique %q lays no paint; give brush, wash, drybrush, dot, line, glaze or spray", q.Technique)
	case !(q.Coats > 0 && q.Coats <= mostCoats):
		return nil, fmt.Errorf("coats %v: give more than 0, at most %d", q.Coats, mostCoats)
	case !(q.AreaMM2 >= 0 && q.AreaMM2 <= mostArea):
		return nil, fmt.Errorf("area %v mm²: give 0 to %.0f", q.AreaMM2, mostArea)
	}
	project := q.Project
	if project == nil {
		project = starterProject()
	}
	colours, found := newColourist(project)
	if found.Faulty() {
		return nil, fmt.Errorf("%s", found[0].Message)
	}
	pal := &palette{project: project, colours: colours}
	pal.set = pigment.Setting{View: colour.ViewD65(), Surface: pigment.Satin(), Thickness: coats * q.Coats}
	if err := pal.ground(q.Over); err != nil {
		return nil, err
	}
	if err := pal.aim(q.Target); err != nil {
		return nil, err
	}
	for _, paint := range project.Rack {
		if paint.IsOwned() && paint.Name != q.Target && pal.mixes(paint) {
			pal.names = append(pal.names, paint.Name)
			pal.rack = append(pal.rack, colours.films[paint.Name].ks)
		}
	}
	if len(pal.rack) == 0 {
		return nil, fmt.Errorf("no owned paint can be mixed; add opaque, translucent, wash or ink paints to the rack")
	}
	return pal, nil
}

// starterProject is a project that owns the starter rack.
func starterProject() *facings.Project {
	p := &facings.Project{Undercoat: facings.Undercoat{Dark: "black primer", Light: "white primer"}}
	for _, s := range pigment.StarterRack() {
		p.Rack = append(p.Rack, facings.Paint{Name: s.Name, Kind: s.Kind, Like: s.Name})
	}
	return p
}

// mixes reports whether a paint can go in the mix: varnish, glue, cans and oil
// cannot, and metal only where a metal is wanted.
func (pal *palette) mixes(p facings.Paint) bool {
	switch p.Kind {
	case facings.Opaque, facings.Translucent, facings.Wash, facings.Ink:
		return !p.Can
	case facings.Metallic:
		return pal.metallic
	}
	return false
}

// coverFilms is how many coats a ground that is named by its paint has: it was
// painted until it covered.
const coverFilms = undercoats

// ground reads what the mix is laid over.
func (pal *palette) ground(given string) error {
	black, white := pigment.Chart()
	grey, isGrey, err := greyShare(given)
	if err != nil {
		return err
	}
	switch name := strings.TrimSpace(given); {
	case name == "white":
		pal.set.Ground = white
	case name == "black":
		pal.set.Ground = black
	case isGrey:
		flat := colour.Flat(grey)
		pal.set.Ground = pigment.Satin().FromInside(&flat)
	case strings.HasPrefix(name, "#"):
		c, err := colour.ParseHex(name)
		if err != nil {
			return fmt.Errorf("over: %w", err)
		}
		r, err := colour.Smoothest(colour.ViewD65(), c.SRGB().XYZ())
		if err != nil {
			return err
		}
		pal.set.Ground = pigment.Satin().FromInside(&r)
		pal.over.Guess = true
	default:
		films, ok := pal.films(name, coverFilms)
		if !ok {
			return pal.unknown("over", given, `white, black, "grey 40 %", #rrggbb`)
		}
		ground := pal.colours.Undercoat(0.5).(*surface)
		pal.set.Ground, pal.over.Guess = ground.inner, false
		for _, f := range films {
			pal.set.Ground = f.ks.Over(&pal.set.Ground, f.coats)
			pal.over.Guess = pal.over.Guess || f.guess
		}
	}
	guess := pal.over.Guess
	pal.over = seen(pigment.ShowInner(&pal.set.Ground, pigment.Satin()))
	pal.over.Given, pal.over.Guess = given, guess
	return nil
}

// greyShare reads "grey 40 %": a grey that throws back 40 % of the light.
func greyShare(s string) (float64, bool, error) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(s), "grey ")
	if !ok {
		return 0, false, nil
	}
	var v float64
	if n, err := fmt.Sscanf(strings.TrimSuffix(strings.TrimSpace(rest), "%"), "%g", &v); n != 1 || err != nil {
		return 0, false, nil // a paint may be called "grey cloth"
	}
	if !(v >= 0 && v <= 100) {
		return 0, false, fmt.Errorf("%q: a grey throws back 0 to 100 %% of the light", s)
	}
	return v / 100, true, nil
}

// laidFilm is a film of a named thing, ready to be laid.
type laidFilm struct {
	film
	coats, cover float64
	metallic     bool
}

// films resolves a name: a finish's coats, or the one paint or mix in so many
// coats. Starter paints are known everywhere.
func (pal *palette) films(name string, coats float64) ([]laidFilm, bool) {
	for _, f := range pal.project.Finishes {
		if f.Name != name {
			continue
		}
		var out []laidFilm
		for _, c := range f.Coats {
			_, kind, _, ok := pal.project.Medium(c.Paint)
			if !ok {
				continue
			}
			t := c.Technique
			if t == "" {
				t = facings.DefaultTechnique(kind)
			}
			cover := c.CoverPercent / 100
			if cover == 0 {
				cover = order.DefaultCover(t) / 100
			}
			out = append(out, laidFilm{pal.colours.films[c.Paint], pigment.Coats(t), cover, kind == facings.Metallic})
		}
		return out, len(out) > 0
	}
	if f, ok := pal.colours.films[name]; ok {
		_, kind, _, _ := pal.project.Medium(name)
		return []laidFilm{{f, coats, 1, kind == facings.Metallic}}, true
	}
	if p, ok := pigment.FindStarter(name); ok {
		return []laidFilm{{film{p.KS, p.Surface, p.Basis != pigment.Measured}, coats, 1, p.Kind == facings.Metallic}}, true
	}
	return nil, false
}

// unknown is said of a name that nothing has, with the nearest there is.
func (pal *palette) unknown(what, given, ways string) error {
	if paint, ok := pal.project.FindPaint(strings.TrimSpace(given)); ok {
		return fmt.Errorf("%s %q: a %s has no colour\n    give %s, or a finish, paint or mix of the project, or a starter paint by name", what, given, paint.Kind, ways)
	}
	names := slices.Sorted(maps.Keys(pal.colours.films))
	for _, f := range pal.project.Finishes {
		names = append(names, f.Name)
	}
	for _, s := range pigment.StarterRack() {
		names = append(names, s.Name)
	}
	if near := facings.Nearest(strings.TrimSpace(given), names); near != "" {
		return fmt.Errorf("%s %q: nothing is called so\n    did you mean %q?", what, given, near)
	}
	return fmt.Errorf("%s %q: nothing is called so\n    give %s, or a finish, paint or mix of the project, or a starter paint by name", what, given, ways)
}

// aim reads the target.
func (pal *palette) aim(given string) error {
	var lab colour.Lab
	name := strings.TrimSpace(given)
	if name == "" {
		return fmt.Errorf("no target; give #rrggbb, L,a,b, or the name of a finish, paint or mix")
	}
	if films, ok := pal.films(name, pal.set.Thickness); ok {
		in, guess := pal.set.Ground, pal.over.Guess
		top := pigment.Satin()
		for _, f := range films {
			coat := f.ks.Over(&in, f.coats)
			in = pigment.Coverage(&in, &coat, f.cover)
			guess = guess || f.guess
			pal.metallic = pal.metallic || f.metallic
			top = f.surface
		}
		shown := pigment.ShowInner(&in, top)
		pal.target, pal.known = shown.Reflectance, true
		pal.wanted = seen(shown)
		pal.wanted.Given, pal.wanted.Guess = given, guess
		return nil
	}
	switch {
	case strings.HasPrefix(name, "#"):
		c, err := colour.ParseHex(name)
		if err != nil {
			return fmt.Errorf("target: %w", err)
		}
		lab = c.SRGB().Lab()
	default:
		if n, err := fmt.Sscanf(strings.ReplaceAll(name, " ", ""), "%g,%g,%g", &lab.L, &lab.A, &lab.B); n != 3 || err != nil {
			return pal.unknown("target", given, "#rrggbb, L,a,b")
		}
		if !(lab.L >= 0 && lab.L <= 100) {
			return fmt.Errorf("target %q: L is %g; give a lightness of 0 to 100", given, lab.L)
		}
	}
	xyz := lab.XYZ(colour.ViewD65().White())
	r, err := colour.Smoothest(colour.ViewD65(), xyz)
	if err != nil {
		return fmt.Errorf("target %q: %w", given, err)
	}
	pal.target = r
	pal.wanted = Seen{Given: given, Hex: xyz.SRGB().Hex(), Lab: steady(lab), Name: colour.Name(lab), Guess: true}
	return nil
}

func seen(s pigment.Shown) Seen {
	return Seen{Hex: s.Hex, Lab: steady(s.Lab), Name: s.Name}
}

// benchLights are the lights a miniature is painted and looked at under.
var benchLights = [...]struct{ name, what string }{
	{"D65", "daylight"}, {"D50", "warm daylight"}, {"A", "bench lamp, incandescent"},
	{"LED-B1", "bench lamp, warm white LED"}, {"LED-B4", "LED near daylight"},
}

// metamerism is how much farther apart than in daylight two colours may come
// under a lamp before it is worth a warning (common practice: twice what is
// just noticed).
const metamerism = 2

// answer works out everything about one recipe.
func (pal *palette) answer(q MixRequest, r *pigment.Recipe) MixAnswer {
	out := MixAnswer{DeltaE: r.DeltaE00}
	var films []pigment.KS
	var parts []float64
	drops := pal.drops(q, r)
	guess := false
	for i, p := range r.Paints {
		films, parts = append(films, pal.rack[p]), append(parts, float64(r.Parts[i]))
		out.Parts = append(out.Parts, MixPart{Paint: pal.names[p], Parts: r.Parts[i], Drops: drops[i]})
		out.Drops += drops[i]
		guess = guess || pal.colours.films[pal.names[p]].guess
	}
	mix := pigment.Mix(films, parts)
	shown := pigment.Show(&mix, pal.set.Surface, &pal.set.Ground, pal.set.Thickness)
	out.Look = seen(shown)
	out.Look.Guess = guess || pal.over.Guess
	var lights []colour.Illuminant
	for _, l := range benchLights {
		light, err := colour.Standard(l.name)
		if err == nil {
			lights = append(lights, light)
		}
	}
	day := 0.0
	for i, d := range colour.UnderLights(&pal.target, &shown.Reflectance, lights) {
		if i == 0 {
			day = d.DeltaE00
		}
		out.Lights = append(out.Lights, LightShift{Light: d.Light, What: benchLights[i].what, DeltaE: steadied(d.DeltaE00), Warning: d.DeltaE00 > day+metamerism})
	}
	out.Miscount = steadied(pigment.Miscounted(pal.rack, &pal.set, r.Paints, drops))
	return out
}

// drops is how many of each paint to put out: the smallest multiple of the
// parts that covers the area with the usual loss.
func (pal *palette) drops(q MixRequest, r *pigment.Recipe) []int {
	most := slices.Index(r.Parts, slices.Max(r.Parts))
	paint, _ := pal.project.FindPaint(pal.names[r.Paints[most]])
	h, _ := facings.HandlingOf(q.Technique)
	film := facings.FilmVolume(facings.SquareMillimetres(q.AreaMM2), h.Film)
	ml := facings.Millilitres(float64(film) * q.Coats * facings.LossFactor(paint.Kind, len(r.Paints) > 1))
	need := max(facings.MinimumDrops, facings.Drops(ml, paint.DropsPerML))
	times := (need + r.Total() - 1) / r.Total()
	var out []int
	for _, p := range r.Parts {
		out = append(out, times*p)
	}
	return out
}

// warnings says what a painter should know before trusting a mix.
func (pal *palette) warnings(q MixRequest, m *MixAnswer) ([]string, string) {
	out := []string{}
	var guessed, names []string
	sizes := map[float64]bool{}
	kind := facings.Opaque
	for _, part := range m.Parts {
		names = append(names, part.Paint)
		if pal.colours.films[part.Paint].guess {
			guessed = append(guessed, part.Paint)
		}
		paint, _ := pal.project.FindPaint(part.Paint)
		if paint.DropsPerML <= 0 {
			paint.DropsPerML = facings.DefaultDropsPerMillilitre
		}
		sizes[paint.DropsPerML] = true
	}
	if len(guessed) > 0 {
		what := "the mix"
		if len(m.Parts) == 1 {
			what = "the paint"
		}
		out = append(out, fmt.Sprintf("%s is a guess: %s known by one colour or from memory; try it on scrap, or give swatches over black and white", what, isAre(guessed)))
	}
	if !pal.known {
		out = append(out, "the target is one colour, whose spectrum was made up as the smoothest that shows it: the shifts under other lights are a guess")
	}
	for _, l := range m.Lights {
		if l.Warning {
			out = append(out, fmt.Sprintf("under %s (%s) mix and target part to ΔE %.1f", l.Light, l.What, l.DeltaE))
		}
	}
	if len(sizes) > 1 {
		out = append(out, "the pots drop unequal drops: measure the parts by volume instead of counting these drops")
	}
	if pal.metallic {
		out = append(out, "the target is a metal: its shine is not part of the comparison")
	}
	return out, order.Caution(q.Technique, kind, strings.Join(names, ", "))
}

func isAre(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return strings.Join(names, ", ") + " are"
}
