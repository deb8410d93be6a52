package app

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"facings"
	"facings/internal/pigment"
	"facings/internal/projectfile"
)

// More is a new project of more figures for a unit, painted as it really was.
type More struct {
	Project *facings.Project `json:"-"`
	Text    []byte           `json:"-"` // its file
	Unit    string           `json:"unit"`
	Figures int              `json:"figures"`
	// AsPainted says where the file's scheme gave way to what was really laid.
	AsPainted []string `json:"as_painted"`
	// Freed are the traits whose shares so few figures cannot have along with the
	// pairs that are forbidden; they are dealt to go with the others.
	Freed []string `json:"freed,omitempty"`
	// Missing are paints of then that the rack of now has not, or not enough of.
	Missing []MissingPaint `json:"missing"`
}

// MissingPaint is a paint to buy, or to mix from what there is.
type MissingPaint struct {
	Paint  string  `json:"paint"`
	Owned  bool    `json:"owned"`
	NeedML float64 `json:"need_ml"`
	LeftML float64 `json:"left_ml"`
	// Mix is the best stand-in among the owned paints with enough in them, nil
	// where no mix can stand in; DeltaE how far it is off, over white.
	Mix    []facings.Part `json:"mix,omitempty"`
	DeltaE *float64       `json:"delta_e00,omitempty"`
	Guess  bool           `json:"guess,omitempty"`
	Words  string         `json:"words"`
}

// More starts a project of n more figures of a unit's largest role that match
// those painted: the same scheme and traits, with the paints and mixes that the
// log says were really used. rack is the rack of now, nil for the project's own.
func (a *App) More(ctx context.Context, o *Opened, log []facings.Entry, unit string, n int, rack []facings.Paint) (*More, error) {
	if n < 1 || n > facings.MaxFigures {
		return nil, fmt.Errorf("%d figures: give 1 to %d", n, facings.MaxFigures)
	}
	i := slices.IndexFunc(o.Project.Units, func(u facings.Unit) bool { return u.Name == unit })
	if i < 0 {
		var names []string
		for _, u := range o.Project.Units {
			names = append(names, u.Name)
		}
		hint := "units: " + strings.Join(names, ", ")
		if near := facings.Nearest(unit, names); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		return nil, fmt.Errorf("the project has no unit called %q\n    %s", unit, hint)
	}
	plan, err := a.unpaced(ctx, o)
	if err != nil {
		return nil, err
	}
	k := newRecorder(plan)
	for _, e := range standing(log) {
		k.entry(e)
	}
	m := matcher{plan: plan, more: &More{Unit: unit, Figures: n, AsPainted: []string{}, Missing: []MissingPaint{}}}
	m.copy(o.Project, &o.Project.Units[i], n)
	m.asPainted(k.usedOn(unit))
	m.rackOfNow(rack)
	needs, err := a.settled(ctx, &m)
	if errors.Is(err, ErrFaulty) && m.free() {
		needs, err = a.settled(ctx, &m)
	}
	if errors.Is(err, ErrFaulty) {
		return nil, needs.Findings
	}
	if err != nil {
		return nil, err
	}
	return m.more, a.missing(ctx, needs, m.more)
}

// settled writes the new project, reads it and works out what it needs.
func (a *App) settled(ctx context.Context, m *matcher) (*Plan, error) {
	text, err := projectfile.Marshal(&m.p)
	if err != nil {
		return nil, err
	}
	fresh, err := a.Read("the new project", text)
	if err != nil {
		return &Plan{Findings: fresh.Findings}, err
	}
	m.more.Text, m.more.Project = text, fresh.Project
	return a.Coats(ctx, fresh)
}

// free takes back the shares of traits that forbidden pairs tie to another: a
// few figures cannot always have both. False if there are none.
func (m *matcher) free() bool {
	for _, t := range m.p.Traits {
		for _, pair := range t.Forbid {
			if _, own := m.unit.Shares[pair.Trait]; !own || pair.Trait == t.Name {
				continue
			}
			m.unit.Shares = maps.Clone(m.unit.Shares)
			delete(m.unit.Shares, pair.Trait)
			m.more.Freed = append(m.more.Freed, pair.Trait)
		}
	}
	return len(m.more.Freed) > 0
}

// matcher turns a unit into a project of its own.
type matcher struct {
	plan *Plan
	more *More
	p    facings.Project
	unit *facings.Unit
}

// copy keeps everything of a project but the units, of which the one stays
// with its largest role alone. Nothing is shared with the original.
func (m *matcher) copy(from *facings.Project, u *facings.Unit, n int) {
	m.p = *from
	p := &m.p
	p.Rack, p.Mixes, p.Castings = slices.Clone(from.Rack), slices.Clone(from.Mixes), from.Castings
	p.Finishes = slices.Clone(from.Finishes)
	p.Traits = slices.Clone(from.Traits)
	for i := range p.Traits {
		p.Traits[i].Values = slices.Clone(p.Traits[i].Values)
		for j := range p.Traits[i].Values {
			p.Traits[i].Values[j].Scheme = maps.Clone(p.Traits[i].Values[j].Scheme)
		}
	}
	p.Ending = slices.DeleteFunc(slices.Clone(from.Ending), func(e facings.EndingStep) bool { return e.Step == facings.EndFlag }) // none is copied
	p.Name = "More of " + u.Name
	p.Note = fmt.Sprintf("%d more figures to match those of %s.", n, from.Name)
	p.Calendar.Start, p.Calendar.ReadyBy = "", ""
	p.Seed = from.Seed + 1 // the next dealing is not to repeat the first
	more := *u
	largest := slices.MaxFunc(u.Roles, func(a, b facings.Role) int { return a.Count - b.Count })
	largest.Count, largest.Scheme = n, maps.Clone(largest.Scheme)
	more.Roles, more.Single, more.Flag, more.ReadyBy, more.Batch = []facings.Role{largest}, nil, nil, "", ""
	more.Scheme, more.Ranks = maps.Clone(u.Scheme), min(u.Ranks, n)
	p.Units = []facings.Unit{more}
	m.unit = &p.Units[0]
	m.forgetAreas()
}

// forgetAreas takes out what is said of areas that only those figures have that
// are left behind: the drum of the drummer, the sash of the officer.
func (m *matcher) forgetAreas() {
	p := &m.p
	body, ok := p.FigureBody(m.unit, &m.unit.Roles[0], 1)
	if !ok {
		return
	}
	on := func(area string) bool { _, there := body.Area(area); return there }
	for _, s := range []facings.Scheme{m.unit.Scheme, m.unit.Roles[0].Scheme} {
		maps.DeleteFunc(s, func(area, _ string) bool { return !on(area) })
	}
	// What traits and rules say may be of another body, but not of no body.
	known := map[string]bool{}
	for _, a := range facings.Catalogue() {
		known[a.Name] = true
	}
	for _, c := range p.Castings {
		for _, a := range c.Adds {
			known[a.Area] = true
		}
	}
	for _, t := range p.Traits {
		for _, v := range t.Values {
			maps.DeleteFunc(v.Scheme, func(area, _ string) bool { return !on(area) && !known[area] })
		}
	}
	p.Rules.Also = slices.DeleteFunc(slices.Clone(p.Rules.Also), func(r facings.ExtraRule) bool {
		return !on(r.First) && !known[r.First] || !on(r.Then) && !known[r.Then]
	})
}

// asPainted puts what was really laid in place of what was planned.
func (m *matcher) asPainted(used map[facings.TaskKey]facings.Used) {
	keys := slices.SortedFunc(maps.Keys(used), func(a, b facings.TaskKey) int {
		return strings.Compare(fmt.Sprintf("%s %02d %s", a.Area, a.Coat, a.Medium), fmt.Sprintf("%s %02d %s", b.Area, b.Coat, b.Medium))
	})
	for _, key := range keys {
		if key.Medium == "" || used[key].Medium == "" {
			continue // castings are prepared with nothing
		}
		medium, other := m.medium(key, used[key])
		if !other {
			continue
		}
		replaced := false
		for _, s := range m.schemes() {
			if finish, spoken := s[key.Area]; spoken {
				if name, ok := m.repaint(finish, key, medium); ok {
					s[key.Area], replaced = name, true
				}
			}
		}
		if replaced {
			m.more.AsPainted = append(m.more.AsPainted, fmt.Sprintf("%s: %s, where the file says %s", key.Area, medium, key.Medium))
		}
	}
}

// schemes are all that speak of the new figures.
func (m *matcher) schemes() []facings.Scheme {
	out := []facings.Scheme{m.unit.Scheme, m.unit.Roles[0].Scheme}
	for i := range m.p.Traits {
		if slices.Contains(m.unit.Traits, m.p.Traits[i].Name) {
			for _, v := range m.p.Traits[i].Values {
				out = append(out, v.Scheme)
			}
		}
	}
	return out
}

// medium is what was really laid, by a name the new project knows; other is
// false where it is what was planned.
func (m *matcher) medium(key facings.TaskKey, u facings.Used) (name string, other bool) {
	parts, _, mixed, known := m.p.Medium(u.Medium)
	switch {
	case known && (!mixed || len(u.Mix) == 0 || slices.Equal(parts, u.Mix)):
		return u.Medium, u.Medium != key.Medium
	case len(u.Mix) > 0:
		for _, part := range u.Mix {
			m.pot(part.Paint, key)
		}
		name = u.Medium
		for n := 1; known; n++ { // mixed otherwise than the file says
			name = u.Medium + " as mixed"
			if n > 1 {
				name = fmt.Sprintf("%s %d", name, n)
			}
			var again []facings.Part
			again, _, _, known = m.p.Medium(name)
			if known && slices.Equal(again, u.Mix) {
				return name, true
			}
		}
		m.p.Mixes = append(m.p.Mixes, facings.Mix{Name: name, Parts: u.Mix, Note: "as it was mixed at the bench"})
		return name, true
	}
	m.pot(u.Medium, key)
	return u.Medium, true
}

// pot puts a paint on the rack that the log names and the file does not: as
// the starter paint of that name, or as a guess from what the area was to show.
func (m *matcher) pot(name string, key facings.TaskKey) {
	if _, ok := m.p.FindPaint(name); ok {
		return
	}
	no := false
	x := facings.Paint{Name: name, Kind: facings.Opaque, Owned: &no}
	if s, ok := pigment.FindStarter(name); ok {
		x.Kind, x.Like = s.Kind, s.Name
	} else {
		x.Note = "from the log; its colour was not kept and is taken from " + key.Medium
		x.Colour = "#808080"
		for _, t := range m.plan.Coats.Tasks {
			if t.Area == key.Area && t.Medium == key.Medium {
				x.Colour, x.Kind = t.Look.Hex, t.Kind
				break
			}
		}
	}
	m.p.Rack = append(m.p.Rack, x)
}

// repaint is a finish with another medium in one coat; false when the finish
// has no such coat.
func (m *matcher) repaint(finish string, key facings.TaskKey, medium string) (string, bool) {
	f, ok := m.p.FindFinish(finish)
	if !ok || key.Coat >= len(f.Coats) || f.Coats[key.Coat].Paint != key.Medium {
		return "", false
	}
	coats := slices.Clone(f.Coats)
	coats[key.Coat].Paint = medium
	name := strings.TrimSuffix(finish, " as painted") + " as painted"
	for n := 2; ; n++ {
		i := slices.IndexFunc(m.p.Finishes, func(x facings.Finish) bool { return x.Name == name })
		if i < 0 {
			break
		}
		if slices.Equal(m.p.Finishes[i].Coats, coats) {
			return name, true
		}
		name = fmt.Sprintf("%s as painted %d", strings.TrimSuffix(finish, " as painted"), n)
	}
	m.p.Finishes = append(m.p.Finishes, facings.Finish{Name: name, Coats: coats, Source: f.Source, Uncertain: f.Uncertain})
	return name, true
}

// rackOfNow takes what is left of each pot from the rack of now; pots of then
// that it has not are owned no more.
func (m *matcher) rackOfNow(rack []facings.Paint) {
	if rack == nil {
		return
	}
	no := false
	for i, x := range m.p.Rack {
		at := slices.IndexFunc(rack, func(n facings.Paint) bool { return n.Name == x.Name })
		if at >= 0 {
			m.p.Rack[i].Owned, m.p.Rack[i].LeftML, m.p.Rack[i].LeftG = rack[at].Owned, rack[at].LeftML, rack[at].LeftG
		} else {
			m.p.Rack[i].Owned, m.p.Rack[i].LeftML, m.p.Rack[i].LeftG = &no, 0, 0
		}
	}
	for _, n := range rack {
		_, mix := m.p.FindMix(n.Name)
		if _, ok := m.p.FindPaint(n.Name); !ok && !mix {
			m.p.Rack = append(m.p.Rack, n)
		}
	}
}

// missing lists what the new project needs and the rack has not.
func (a *App) missing(ctx context.Context, plan *Plan, more *More) error {
	short := map[string]bool{}
	for _, n := range plan.Shopping.Paints {
		short[n.Paint] = n.Buy > 0
	}
	for _, n := range plan.Shopping.Paints {
		if n.Buy == 0 {
			continue
		}
		x := MissingPaint{Paint: n.Paint, Owned: n.Owned, NeedML: n.NeedML, LeftML: n.LeftML}
		answer, guess, err := a.replacement(ctx, plan.Project, n.Paint, short)
		if err != nil {
			return err
		}
		x.Words = fmt.Sprintf("%s is not on the rack any more: buy %d", n.Paint, n.Buy)
		if n.Owned {
			x.Words = fmt.Sprintf("%s is short, %.2f mL of %.2f: buy %d", n.Paint, n.LeftML, n.NeedML, n.Buy)
		}
		if answer != nil {
			x.DeltaE, x.Guess = &answer.DeltaE, guess
			for _, p := range answer.Parts {
				x.Mix = append(x.Mix, facings.Part{Paint: p.Paint, Parts: p.Parts})
			}
			x.Words += fmt.Sprintf(", or mix %s, which is off by ΔE %.1f", answer.Words(), answer.DeltaE)
			if answer.DeltaE > float64(plan.Project.Tolerance()) {
				x.Words += " and will show"
			}
		}
		more.Missing = append(more.Missing, x)
	}
	return nil
}
