package ranks

import (
	"context"
	"fmt"
	"math"
	"slices"

	"facings"
	"facings/internal/solve"
	"facings/internal/solve/seat"
)

// Settings steer Deal. Work bounds the search per unit in the engine's steps,
// 0 for a default; the answer depends on it, on the project and on its seed,
// on nothing else. Keep holds figures to traits already dealt (pinned ones).
type Settings struct {
	Work int
	Keep map[facings.FigureID]map[string]string
}

const defaultWork = 400_000

// Deal lays out every unit and deals its traits. Where the wishes cannot all
// be met it returns findings that name the smallest set of them in conflict.
func Deal(ctx context.Context, p *facings.Project, set Settings) (*facings.Roster, facings.Diagnostics, error) {
	roster := &facings.Roster{Seed: p.Seed}
	var findings facings.Diagnostics
	numbers := batches(p)
	for i := range p.Units {
		u := &p.Units[i]
		places, ranks, files := Layout(u)
		d := &dealer{project: p, unit: u, places: places, keep: set.Keep}
		outcome, found, err := d.deal(ctx, set.Work, p.Seed+uint64(i))
		if err != nil {
			return nil, nil, fmt.Errorf("unit %q: %w", u.Name, err)
		}
		findings = append(findings, found...)
		outcome.Unit, outcome.Ranks, outcome.Files = u.Name, ranks, files
		roster.Units = append(roster.Units, outcome)
		for n, place := range places {
			body, _ := p.FigureBody(u, d.role(place.ID), place.ID.Number)
			roster.Figures = append(roster.Figures, facings.Figure{ID: place.ID, Body: body, Rank: place.Rank, File: place.File,
				Index: len(roster.Figures), Traits: d.values[n], Batch: numbers[i][n]})
		}
	}
	return roster, findings, nil
}

// dealer deals the traits of one unit.
type dealer struct {
	project *facings.Project
	unit    *facings.Unit
	places  []Place
	keep    map[facings.FigureID]map[string]string

	traits []*facings.Trait
	// applies[t][n] is whether trait t shows on the figure at place n at all.
	applies [][]bool
	counts  [][]int // per trait and value; nil when the trait's shares are free
	values  []map[string]string
}

func (d *dealer) role(id facings.FigureID) *facings.Role {
	for i := range d.unit.Roles {
		if d.unit.Roles[i].Name == id.Role {
			return &d.unit.Roles[i]
		}
	}
	return nil
}

func (d *dealer) deal(ctx context.Context, work int, seed uint64) (facings.UnitRoster, facings.Diagnostics, error) {
	out := facings.UnitRoster{Status: string(solve.Optimal)}
	d.values = make([]map[string]string, len(d.places))
	for n := range d.values {
		d.values[n] = map[string]string{}
	}
	d.choose()
	if len(d.traits) == 0 || len(d.places) == 0 {
		return out, nil, nil
	}
	problem, err := d.problem()
	if err != nil {
		return out, nil, err
	}
	if work == 0 {
		work = defaultWork
	}
	res, err := seat.Solve(ctx, problem, seat.Settings{Work: work, Seed: seed})
	if err != nil {
		return out, nil, err
	}
	out.Status = string(res.Status)
	if res.Values == nil {
		return out, d.conflict(res), nil
	}
	for n := range d.places {
		for t, trait := range d.traits {
			if d.applies[t][n] {
				d.values[n][trait.Name] = trait.Values[res.Values[n][t]].Name
			}
		}
	}
	out.Distance, out.Alike = res.Terms.Distance, res.Terms.Breaches
	out.Objective, out.Bound = res.Objective, res.UpperBound
	out.Shares = d.shares()
	return out, nil, nil
}

// choose picks the traits that can show on at least one figure.
func (d *dealer) choose() {
	for _, name := range d.unit.Traits {
		t, ok := d.project.FindTrait(name)
		if !ok || len(t.Values) == 0 {
			continue
		}
		applies := make([]bool, len(d.places))
		for n, place := range d.places {
			body, _ := d.project.FigureBody(d.unit, d.role(place.ID), place.ID.Number)
			applies[n] = shows(t, body)
		}
		if slices.Contains(applies, true) {
			d.traits = append(d.traits, t)
			d.applies = append(d.applies, applies)
		}
	}
}

// shows reports whether a trait speaks of an area that the body has.
func shows(t *facings.Trait, b facings.Body) bool {
	for _, v := range t.Values {
		for area := range v.Scheme {
			if _, ok := b.Area(area); ok {
				return true
			}
		}
	}
	return false
}

// problem translates into the engine's integers. A place on which a trait does
// not show gets an extra value, the last, that is as near to every other as to
// itself.
func (d *dealer) problem() (seat.Problem, error) {
	p := seat.Problem{Name: d.unit.Name, Main: d.main(), Reach: 3}
	for n, place := range d.places {
		plain := !slices.ContainsFunc(d.applies, func(applies []bool) bool { return applies[n] })
		p.Places = append(p.Places, seat.Place{Rank: place.Rank, File: place.File, Loose: plain})
	}
	d.counts = make([][]int, len(d.traits))
	for t, trait := range d.traits {
		k := len(trait.Values)
		blank := slices.Contains(d.applies[t], false)
		p.Traits = append(p.Traits, engineTrait(trait, blank))
		on, off := split(d.applies[t])
		if blank {
			p.Allow = append(p.Allow, seat.Allow{ID: fmt.Sprintf("%s does not show", trait.Name), Trait: t, Places: off, Values: []int{k}})
			p.Allow = append(p.Allow, seat.Allow{ID: fmt.Sprintf("%s shows", trait.Name), Trait: t, Places: on, Values: upTo(k)})
		}
		fixed := d.fix(&p, t)
		if d.follows(t) {
			continue
		}
		counts, err := apportion(d.wanted(trait), fixed, len(on))
		if err != nil {
			return p, fmt.Errorf("trait %q: %w", trait.Name, err)
		}
		d.counts[t] = counts
		for v, n := range counts {
			p.Counts = append(p.Counts, seat.Count{ID: fmt.Sprintf("%d of %d with %s %s", n, len(on), trait.Name, trait.Values[v].Name),
				Trait: t, Value: v, N: n})
		}
	}
	d.pairs(&p)
	p.Weights = seat.Standard(&p)
	return p, nil
}

func engineTrait(t *facings.Trait, blank bool) seat.Trait {
	weight := t.Weight
	if weight <= 0 {
		weight = defaultWeight
	}
	e := seat.Trait{Name: t.Name, Values: len(t.Values), Weight: weight}
	if !blank {
		return e
	}
	e.Values++
	e.Distance = make([][]int, e.Values)
	for a := range e.Distance {
		e.Distance[a] = make([]int, e.Values)
		for b := range e.Distance[a] {
			if a != b && a < len(t.Values) && b < len(t.Values) {
				e.Distance[a][b] = 1
			}
		}
	}
	return e
}

const defaultWeight = 3

func split(flags []bool) (on, off []int) {
	for i, f := range flags {
		if f {
			on = append(on, i)
		} else {
			off = append(off, i)
		}
	}
	return on, off
}

func upTo(k int) []int {
	out := make([]int, k)
	for i := range out {
		out[i] = i
	}
	return out
}

// fix confines places to the values their figure, role or pin says, and counts
// them per value.
func (d *dealer) fix(p *seat.Problem, t int) []int {
	trait := d.traits[t]
	fixed := make([]int, len(trait.Values))
	for n, place := range d.places {
		if !d.applies[t][n] {
			continue
		}
		name, from := d.fixedTo(place.ID, trait.Name)
		v := slices.IndexFunc(trait.Values, func(v facings.TraitValue) bool { return v.Name == name })
		if v < 0 {
			continue
		}
		fixed[v]++
		p.Allow = append(p.Allow, seat.Allow{ID: fmt.Sprintf("%s fixes %s %s", from, trait.Name, name), Trait: t,
			Places: []int{n}, Values: []int{v}})
	}
	return fixed
}

func (d *dealer) fixedTo(id facings.FigureID, trait string) (value, from string) {
	if v, ok := d.keep[id][trait]; ok {
		return v, "the pin on " + facings.SingleName(id.Role, id.Number)
	}
	if s := d.unit.FindSingle(id.Role, id.Number); s != nil {
		if v, ok := s.Traits[trait]; ok {
			return v, facings.SingleName(id.Role, id.Number)
		}
	}
	if v, ok := d.role(id).Traits[trait]; ok {
		return v, "the role " + id.Role
	}
	return "", ""
}

// follows reports whether a trait's shares are free: nobody has said any, and
// forbidden pairs tie it to another trait, which it then follows.
func (d *dealer) follows(t int) bool {
	trait := d.traits[t]
	if _, own := d.unit.Shares[trait.Name]; own || trait.ReadyMade != "" {
		return false
	}
	for _, v := range trait.Values {
		if v.Share != nil {
			return false
		}
	}
	for _, other := range d.traits {
		if other != trait && (len(d.apart(other, trait)) > 0) {
			return true
		}
	}
	return false
}

func (d *dealer) wanted(t *facings.Trait) []float64 {
	out := make([]float64, len(t.Values))
	for i, v := range t.Values {
		out[i] = t.ShareOf(d.unit, v.Name)
	}
	return out
}

// apportion turns shares into whole figures by largest remainder, with at
// least the fixed number of each value: values whose fixed figures exceed
// their quota keep just those, and the rest is shared out among the others.
func apportion(shares []float64, fixed []int, n int) ([]int, error) {
	held := make([]bool, len(shares))
	for {
		left, parts := n, make([]int, len(shares))
		for v := range shares {
			if held[v] {
				left -= fixed[v]
			} else {
				parts[v] = int(math.Round(float64(shares[v] * 1e6)))
			}
		}
		if left < 0 {
			return nil, fmt.Errorf("more figures are fixed than there are")
		}
		counts := make([]int, len(shares))
		if sum(parts) > 0 {
			var err error
			if counts, err = seat.Apportion(parts, left); err != nil {
				return nil, err
			}
		} else if left > 0 {
			return nil, fmt.Errorf("no value has a share that the remaining %d figures could take", left)
		}
		again := false
		for v := range shares {
			switch {
			case held[v]:
				counts[v] = fixed[v]
			case counts[v] < fixed[v]:
				held[v], again = true, true
			}
		}
		if !again {
			return counts, nil
		}
	}
}

func sum(xs []int) int {
	s := 0
	for _, x := range xs {
		s += x
	}
	return s
}

// main is the trait that must not stand in stripes: the weightiest.
func (d *dealer) main() int {
	best, weight := -1, 0
	for t, trait := range d.traits {
		w := trait.Weight
		if w <= 0 {
			w = defaultWeight
		}
		if w > weight {
			best, weight = t, w
		}
	}
	return best
}
