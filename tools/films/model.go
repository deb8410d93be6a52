package main

import (
	"math"
	"sort"

	"facings/internal/colour"
	"facings/internal/pigment"
)

// Which films a component is fitted on. The shares are by weight, as the films
// were weighed.
const (
	pureLeast   = 0.995 // a pure film
	richLeast   = 0.50  // else the richest film with a white, at least this
	tintLeast   = 0.04
	tintMost    = 0.20
	tintWanted  = 0.10
	whiteLeastY = 0.50 // a pure film over black lighter than this is a white

	// Hand-made films differ in thickness by about this much, in its logarithm.
	thicknessSpread = 0.4
)

// component is one paint of the set, with the films it was fitted on.
type component struct {
	name       string
	rich, tint *film
	white      bool
	fitted     bool
	law        pigment.TwoPoint
	thickness  float64 // of its tint, against its pure film; 0 if unknown
}

// model predicts films from components.
type model struct {
	conditions pigment.Conditions
	components map[string]*component
	order      []string // whites first, then by name
	trained    map[string]bool
	usual      float64 // thickness of a mixed film against a pure one
}

// rounds is how often all components are fitted: the thicknesses found tell how
// thick mixed films usually are against pure ones in this set, and the next
// round leans on that.
const rounds = 3

// newModel fits every component.
func newModel(films []*film) (*model, error) {
	m := &model{conditions: pigment.OilConditions(), trained: make(map[string]bool), usual: 1}
	m.choose(films)
	for range rounds {
		m.conditions.Usual, m.conditions.Spread = m.usual, thicknessSpread
		if err := m.fitAll(); err != nil {
			return nil, err
		}
		m.usual = m.meanThickness()
	}
	return m, nil
}

// choose finds the components and the films each is fitted on.
func (m *model) choose(films []*film) {
	m.components = make(map[string]*component)
	for _, f := range films {
		for i, n := range f.names {
			c := m.components[n]
			if c == nil {
				c = &component{name: n}
				m.components[n] = c
			}
			if f.shares[i] >= pureLeast && c.rich == nil {
				c.rich = f
				black := f.sample.Film[1]
				c.white = colour.ViewD65().XYZ(&black).Y >= whiteLeastY
			}
		}
	}
	for _, f := range films {
		m.chooseMixed(f)
	}
	for n := range m.components {
		m.order = append(m.order, n)
	}
	sort.Slice(m.order, func(i, j int) bool {
		a, b := m.components[m.order[i]], m.components[m.order[j]]
		if a.white != b.white {
			return a.white
		}
		return a.name < b.name
	})
	for _, c := range m.components {
		for _, f := range []*film{c.rich, c.tint} {
			if f != nil {
				m.trained[f.id] = true
			}
		}
	}
}

// chooseMixed takes a film of a component and a white as the component's tint,
// or as its richest film where it has no pure one.
func (m *model) chooseMixed(f *film) {
	if len(f.names) != 2 {
		return
	}
	for i, n := range f.names {
		c, other, s := m.components[n], m.components[f.names[1-i]], f.shares[i]
		if c.white || !other.white {
			continue
		}
		if s >= tintLeast && s <= tintMost &&
			(c.tint == nil || math.Abs(s-tintWanted) < math.Abs(c.tint.share(n)-tintWanted)) {
			c.tint = f
		}
		if s >= richLeast && (c.rich == nil || c.rich.share(n) < pureLeast && s > c.rich.share(n)) {
			c.rich = f
		}
	}
}

func (m *model) fitAll() error {
	for _, n := range m.order {
		if err := m.fit(m.components[n]); err != nil {
			return err
		}
	}
	return nil
}

// fit fits one component on its films. One without any stays unfitted.
func (m *model) fit(c *component) error {
	var samples []pigment.Sample
	for _, f := range []*film{c.rich, c.tint} {
		if f == nil {
			continue
		}
		s := f.sample
		s.Share, s.Rest = f.share(c.name), m.sum(f, c.name)
		samples = append(samples, s)
	}
	if len(samples) == 0 {
		return nil
	}
	c.fitted = true
	cond := m.conditions
	if samples[0].Share < pureLeast { // a mixed film, like the others
		cond.Thickness, cond.Usual = m.usual, 1
	}
	if len(samples) == 2 {
		law, fit, err := pigment.FitTwoPoint(samples[0], samples[1], cond)
		c.law = law
		if samples[0].Share >= pureLeast && err == nil {
			c.thickness = fit.Thickness[1] / fit.Thickness[0]
		}
		return err
	}
	fit, err := pigment.FitSamples(samples, cond)
	c.law = pigment.TwoPoint{Pure: fit.KS, Tint: fit.KS, PureShare: 1, TintShare: tintWanted}
	return err
}

// meanThickness is the geometric mean of the tints' thicknesses.
func (m *model) meanThickness() float64 {
	var sum, n float64
	for _, name := range m.order {
		if t := m.components[name].thickness; t > 0 {
			sum += math.Log(t)
			n++
		}
	}
	if n == 0 {
		return 1
	}
	return math.Exp(sum / n)
}

// sum returns K and S of a film per unit thickness, without one component.
func (m *model) sum(f *film, without string) pigment.KS {
	white := m.whiteShare(f)
	var out pigment.KS
	for i, n := range f.names {
		if n == without {
			continue
		}
		c, share := m.components[n], f.shares[i]
		if c.white {
			out.Add(&c.law.Pure, share*pigment.WhiteStrength(white))
			continue
		}
		ks := c.law.At(1 - white)
		out.Add(&ks, share)
	}
	return out
}

func (m *model) whiteShare(f *film) float64 {
	var sum float64
	for i, n := range f.names {
		if m.components[n].white {
			sum += f.shares[i]
		}
	}
	return sum
}

// thickness is what a film is expected to have, against a pure one: the usual
// of mixed films; 1 for pure films and where the chief pigment has no tint in
// white to tell that its mixtures are thinner.
func (m *model) thickness(f *film) float64 {
	if len(f.names) == 1 {
		return 1
	}
	var chief *component
	var most float64
	for i, n := range f.names {
		if c := m.components[n]; !c.white && f.shares[i] > most {
			chief, most = c, f.shares[i]
		}
	}
	if chief != nil && chief.tint == nil {
		return 1
	}
	return m.usual
}

// known reports whether every component of the film could be fitted, and names
// the first that could not.
func (m *model) known(f *film) (string, bool) {
	for _, n := range f.names {
		if !m.components[n].fitted {
			return n, false
		}
	}
	return "", true
}

// predict returns the colours a film is expected to show over its white and
// its black card.
func (m *model) predict(f *film) [2]colour.Lab {
	ks, surface := m.sum(f, ""), m.conditions.Surface
	for i, n := range f.names {
		if c := m.components[n]; c.rich != nil && f.shares[i] >= 0.95 { // nearly pure: its own surface
			s := c.rich.sample
			s.Share = c.rich.share(n)
			surface = m.conditions.NearPureSurface(&s)
		}
	}
	var out [2]colour.Lab
	for side := range out {
		card := f.sample.Card[side]
		set := pigment.Setting{
			View: colour.ViewD65(), Surface: surface,
			Ground: m.conditions.Surface.FromInside(&card), Thickness: m.thickness(f),
		}
		out[side] = set.Lab(&ks)
	}
	return out
}
