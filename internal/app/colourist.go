package app

import (
	"fmt"
	"math"

	"facings"
	"facings/internal/colour"
	"facings/internal/order"
	"facings/internal/pigment"
)

// colourist predicts colours for one project from pigment's films.
type colourist struct {
	films       map[string]film // by paint and mix name
	dark, light pigment.Inner   // the undercoats, each laid to cover
	lit         bool            // whether there is a light one
}

// film is a paint or mix ready to be laid.
type film struct {
	ks      pigment.KS
	surface pigment.Surface
	guess   bool
}

// surface is a painted spot: what the next film will lie on, and how the top
// one looks.
type surface struct {
	inner  pigment.Inner
	top    pigment.Surface
	guess  bool
	shown  pigment.Shown
	looked bool
}

// newColourist works out every paint and mix of a project once. Findings are
// paints whose colour cannot be told; they are taken for a middle grey.
func newColourist(p *facings.Project) (*colourist, facings.Diagnostics) {
	return colouristBy(p, pigment.Resolve)
}

// colouristBy works out each paint by a function that may remember some.
func colouristBy(p *facings.Project, resolve func(facings.Paint) (pigment.Paint, error)) (*colourist, facings.Diagnostics) {
	c := &colourist{films: map[string]film{}}
	var found facings.Diagnostics
	for _, paint := range p.Rack {
		if paint.Kind == facings.Texture || paint.Kind == facings.Glue {
			continue
		}
		made, err := resolve(paint)
		if err != nil {
			found = append(found, noColour(paint, err))
			continue
		}
		c.films[paint.Name] = film{made.KS, made.Surface, made.Basis == pigment.Guessed || made.Basis == pigment.FromMemory}
	}
	for _, mix := range p.Mixes {
		c.films[mix.Name] = c.mix(p, mix)
	}
	metal := pigment.FlatGround(bareMetal)
	c.dark = c.cover(p.Undercoat.Dark, &metal)
	if p.Undercoat.Light != "" {
		c.light, c.lit = c.cover(p.Undercoat.Light, &c.dark), true
	}
	return c, found
}

// noColour is the fault of a paint whose colour cannot be told.
func noColour(paint facings.Paint, err error) facings.Diagnostic {
	d := facings.Diagnostic{ID: "paint-colour", Severity: facings.Fault, Path: facings.Pointer("rack", paint.Name),
		Value: paint.Name, Message: err.Error(), Hint: "give over_black and over_white, or like: with the name of a starter paint"}
	if _, known := pigment.FindStarter(paint.Like); paint.Like == "" || known {
		return d
	}
	d.Path, d.Value = facings.Pointer("rack", paint.Name, "like"), paint.Like
	var names []string
	for _, p := range pigment.StarterRack() {
		names = append(names, p.Name)
	}
	if near := facings.Nearest(paint.Like, names); near != "" {
		d.Hint = fmt.Sprintf("did you mean %q?", near)
	}
	return d
}

// bareMetal is about what a dull casting reflects inside (estimate); a covering
// undercoat leaves nothing of it.
const bareMetal = 0.4

// undercoats is how many films a covering undercoat has: it is sprayed until
// it covers.
const undercoats = 3

func (c *colourist) cover(paint string, ground *pigment.Inner) pigment.Inner {
	f := c.films[paint]
	return f.ks.Over(ground, undercoats)
}

func (c *colourist) mix(p *facings.Project, m facings.Mix) film {
	var films []pigment.KS
	var parts []float64
	out := film{surface: pigment.Matt()}
	most := 0
	for _, part := range m.Parts {
		f := c.films[part.Paint]
		films, parts = append(films, f.ks), append(parts, float64(part.Parts))
		out.guess = out.guess || f.guess
		if part.Parts > most {
			most, out.surface = part.Parts, f.surface
		}
	}
	out.ks = pigment.Mix(films, parts)
	return out
}

// Undercoat implements order.Colourist.
func (c *colourist) Undercoat(exposure float64) order.Surface {
	s := &surface{inner: c.dark, top: pigment.Matt()}
	if c.lit {
		s.inner = pigment.LightFromAbove(&c.dark, &c.light, exposure)
	}
	return s
}

// Lay implements order.Colourist.
func (c *colourist) Lay(ground order.Surface, medium string, technique facings.Technique, cover float64) order.Surface {
	g, f := ground.(*surface), c.films[medium]
	coat := f.ks.Over(&g.inner, pigment.Coats(technique))
	s := &surface{inner: pigment.Coverage(&g.inner, &coat, cover), top: f.surface, guess: g.guess || f.guess}
	if cover < 0.5 {
		s.top = g.top
	}
	return s
}

// Look implements order.Colourist.
func (c *colourist) Look(s order.Surface) facings.Look {
	shown := s.(*surface).show()
	return look(&shown, s.(*surface).guess)
}

// look tells what is shown, in figures that are the same on every machine.
func look(s *pigment.Shown, guess bool) facings.Look {
	return facings.Look{Hex: s.Hex, Lab: steady(s.Lab), Name: s.Name, Guess: guess}
}

// steady rounds a colour to what no processor's last bits can change, and far
// finer than any eye: some fuse a multiplication with an addition, some do not.
func steady(c colour.Lab) [3]float64 {
	return [3]float64{steadied(c.L), steadied(c.A), steadied(c.B)}
}

func steadied(v float64) float64 { return math.Round(v*1e4)/1e4 + 0 }

// Distance implements order.Colourist.
func (c *colourist) Distance(a, b order.Surface) facings.DeltaE {
	return facings.DeltaE(steadied(colour.DeltaE00(a.(*surface).show().Lab, b.(*surface).show().Lab)))
}

func (s *surface) show() pigment.Shown {
	if !s.looked {
		s.shown, s.looked = pigment.ShowInner(&s.inner, s.top), true
	}
	return s.shown
}

// lights is the lightness L* of every paint and mix, one coat over white.
func (c *colourist) lights() map[string]float64 {
	_, white := pigment.Chart()
	out := map[string]float64{}
	for name, f := range c.films {
		out[name] = pigment.Show(&f.ks, f.surface, &white, 1).Lab.L
	}
	return out
}
