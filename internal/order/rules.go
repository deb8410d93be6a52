package order

import (
	"fmt"
	"slices"

	"facings"
)

// lags adds the rules of a plan for one figure: what must come before what,
// and how long it must have dried by then.
func (t *figureTasks) lags(areas []*plannedArea) {
	first := len(t.s.coats.Lags)
	t.lagUndercoat(areas)
	for _, a := range areas {
		t.lagCoats(a)
	}
	byName := map[string]*plannedArea{}
	for _, a := range areas {
		byName[a.spec.Name] = a
	}
	own := t.lagOwn(byName)
	rules := t.s.project.Rules
	if facings.On(rules.InsideBeforeOutside) {
		t.lagInside(areas, byName, own)
	}
	if facings.On(rules.MessyBeforeNeat) {
		t.lagMessy(areas, byName, own)
	}
	if facings.On(rules.EyesLast) {
		t.lagEyes(areas)
	}
	t.lagEnding(areas)
	if facings.On(rules.MessyBeforeNeat) {
		t.lagSpoilt(areas, byName, own, first)
	}
}

func (t *figureTasks) lag(from, to int, dry facings.Minutes, rule facings.RuleID, why string) {
	if from == to || from < 0 {
		return
	}
	t.s.coats.Lags = append(t.s.coats.Lags, facings.Lag{From: from, To: to, Seconds: dry.Seconds(), Rule: rule, Why: why})
}

// Dry is how long a coat must dry before the next is laid over it: the long
// time before a wash, a glaze, an ink or a translucent paint (they creep into
// a film that is only touch dry and lift it), the overcoating time otherwise.
// A translucent paint over sprayed primer goes by the overcoating time: that
// is what the undercoat is for (common practice).
func Dry(p *facings.Project, under facings.Kind, next facings.Kind, technique facings.Technique) facings.Minutes {
	d := p.DryingOf(under)
	if technique == facings.WashOn || technique == facings.Glaze {
		return d.WashOver
	}
	switch next {
	case facings.Translucent, facings.Ink:
		if under == facings.Primer {
			return d.Overcoat
		}
		return d.WashOver
	case facings.Wash, facings.OilWash:
		return d.WashOver
	}
	return d.Overcoat
}

func (t *figureTasks) lagUndercoat(areas []*plannedArea) {
	p := t.s.project
	before := t.prepared
	dry := func(m facings.Minutes) facings.Minutes {
		if before == t.prepared { // no undercoat at all
			return 0
		}
		return m
	}
	for _, u := range t.undercoat {
		if before == t.prepared && before >= 0 {
			t.lag(before, u, 0, facings.RulePrepare, "castings are cleaned and mounted before the undercoat")
		} else if before >= 0 {
			t.lag(before, u, p.DryingOf(facings.Primer).Overcoat, facings.RuleUndercoat, "the light undercoat goes over the dry dark one")
		}
		before = u
	}
	for _, a := range areas {
		if len(a.tasks) > 0 {
			c := a.laid[0]
			t.lag(before, a.tasks[0], dry(Dry(p, facings.Primer, c.kind, c.technique)), facings.RuleUndercoat,
				fmt.Sprintf("the undercoat is dry before %s on the %s", c.medium, a.spec.Name))
		}
	}
	if len(t.painted) == 0 {
		for _, end := range t.ends {
			for _, e := range end {
				t.lag(before, e, dry(p.DryingOf(facings.Primer).Overcoat), facings.RuleUndercoat, "the undercoat is dry first")
			}
		}
	}
}

func (t *figureTasks) lagCoats(a *plannedArea) {
	for i := 1; i < len(a.laid); i++ {
		under, c := a.laid[i-1], a.laid[i]
		t.lag(a.tasks[i-1], a.tasks[i], Dry(t.s.project, under.kind, c.kind, c.technique), facings.RuleCoats,
			fmt.Sprintf("%s on the %s dries before %s goes over it", under.medium, a.spec.Name, c.medium))
	}
}

// lagOwn adds the project's own rules and returns the pairs they speak of, as
// "a|b" in both directions: the defaults about those pairs are silent.
func (t *figureTasks) lagOwn(areas map[string]*plannedArea) map[string]bool {
	own := map[string]bool{}
	for _, r := range t.s.project.Rules.Also {
		own[r.First+"|"+r.Then], own[r.Then+"|"+r.First] = true, true
		a, b := areas[r.First], areas[r.Then]
		if a == nil || b == nil {
			continue
		}
		last, first := lastBase(a), firstCoat(b)
		if last < 0 {
			last = lastCoat(a)
		}
		if last >= 0 && first >= 0 {
			t.lag(a.tasks[last], b.tasks[first], t.s.project.DryingOf(a.laid[last].kind).Touch, facings.RuleOwn,
				fmt.Sprintf("rule %q", r.First+" before "+r.Then))
		}
	}
	return own
}

func (t *figureTasks) lagInside(areas []*plannedArea, byName map[string]*plannedArea, own map[string]bool) {
	for _, a := range areas {
		first := firstCoat(a)
		if first < 0 {
			continue
		}
		for _, name := range a.spec.Over {
			under := byName[name]
			if under == nil || own[name+"|"+a.spec.Name] {
				continue
			}
			if last := lastBase(under); last >= 0 {
				t.lag(under.tasks[last], a.tasks[first], t.s.project.DryingOf(under.laid[last].kind).Touch, facings.RuleInside,
					fmt.Sprintf("%s before what lies over it, %s", name, a.spec.Name))
			}
		}
	}
}

// lagMessy keeps every messy coat before the last coat of each neat area in
// its reach: what strays is then painted over.
func (t *figureTasks) lagMessy(areas []*plannedArea, byName map[string]*plannedArea, own map[string]bool) {
	for _, a := range areas {
		var reach []string
		for i, c := range a.laid {
			if c.after || !c.messy() {
				continue
			}
			if reach == nil {
				reach = t.figure.Body.Reach(a.spec.Name)
			}
			for _, name := range reach {
				b := byName[name]
				if b == nil || own[name+"|"+a.spec.Name] {
					continue
				}
				last := lastCoat(b)
				if last < 0 || b.laid[last].messy() {
					continue
				}
				t.lag(a.tasks[i], b.tasks[last], t.s.project.DryingOf(c.kind).Touch, facings.RuleMessy,
					fmt.Sprintf("%s with the %s on the %s strays onto the %s", c.medium, c.tool, a.spec.Name, name))
			}
		}
	}
}

// lagSpoilt protects areas that end in a wash or drybrushing from other such
// work in whose reach they lie, where the strayed coat would spoil their final
// look: the inner area's goes first, as with all else. One wash over both is no
// harm. Lags from first on are the figure's; a rule that would lead back to its
// beginning is let go, for somebody must be last.
func (t *figureTasks) lagSpoilt(areas []*plannedArea, byName map[string]*plannedArea, own map[string]bool, first int) {
	rank := map[string]int{}
	for i, spec := range insideOut(t.figure.Body.Areas) {
		rank[spec.Name] = i
	}
	var behind map[int][]int // task → those that wait for it
	leads := func(from, to int) bool {
		seen := map[int]bool{}
		var walk func(int) bool
		walk = func(x int) bool {
			if x == to {
				return true
			}
			for _, y := range behind[x] {
				if !seen[y] {
					seen[y] = true
					if walk(y) {
						return true
					}
				}
			}
			return false
		}
		return walk(from)
	}
	for _, a := range areas {
		for i, c := range a.laid {
			if c.after || !c.messy() {
				continue
			}
			for _, name := range t.figure.Body.Reach(a.spec.Name) {
				b := byName[name]
				if b == nil || own[name+"|"+a.spec.Name] || rank[name] < rank[a.spec.Name] {
					continue
				}
				last := lastCoat(b)
				if last < 0 || !b.laid[last].messy() || b.laid[last].medium == c.medium || !t.s.spoils(b, c) {
					continue
				}
				if behind == nil {
					behind = map[int][]int{}
					for _, l := range t.s.coats.Lags[first:] {
						behind[l.From] = append(behind[l.From], l.To)
					}
				}
				if leads(b.tasks[last], a.tasks[i]) {
					continue
				}
				behind[a.tasks[i]] = append(behind[a.tasks[i]], b.tasks[last])
				t.lag(a.tasks[i], b.tasks[last], t.s.project.DryingOf(c.kind).Touch, facings.RuleMessy,
					fmt.Sprintf("%s with the %s on the %s would spoil the %s on the %s", c.medium, c.tool, a.spec.Name, b.laid[last].medium, name))
			}
		}
	}
}

// spoils reports whether a coat that strays onto an area's finished surface
// would change its colour by more than the project's tolerance; without one, by
// more than the usual.
func (s *settler) spoils(b *plannedArea, c laidCoat) bool {
	tolerance := s.project.Tolerance()
	if tolerance == 0 {
		tolerance = facings.DefaultToleranceDeltaE
	}
	key := fmt.Sprint(s.colours.Look(b.final).Lab, c.medium, c.technique, c.cover)
	spoilt, known := s.spoilt[key]
	if !known {
		spoilt = s.colours.Distance(b.final, s.colours.Lay(b.final, c.medium, c.technique, c.cover)) > tolerance
		s.spoilt[key] = spoilt
	}
	return spoilt
}

// EyeAreas are painted after everything else on the figure but its base.
func EyeAreas() []string { return []string{"eyes", "horse eyes"} }

func (t *figureTasks) lagEyes(areas []*plannedArea) {
	eyes := EyeAreas()
	var firsts, others []int
	for _, a := range areas {
		isEye := slices.Contains(eyes, a.spec.Name)
		if first := firstCoat(a); isEye && first >= 0 {
			firsts = append(firsts, a.tasks[first])
		}
		if last := lastCoat(a); !isEye && a.spec.Part != facings.PartBase && last >= 0 {
			others = append(others, a.tasks[last])
		}
	}
	for _, eye := range firsts {
		for _, o := range others {
			t.lag(o, eye, 0, facings.RuleEyes, "eyes are dotted last")
		}
	}
}

// lagEnding puts the closing steps after all painting, in the project's order,
// varnish after the long drying time, and what goes on after varnish last.
func (t *figureTasks) lagEnding(areas []*plannedArea) {
	p := t.s.project
	varnish := -1
	for n, end := range t.ends {
		for _, e := range end {
			for _, a := range areas {
				if last := t.lastBefore(a, n); last >= 0 {
					t.lag(a.tasks[last], e, t.dryBefore(a.laid[last].kind, t.kinds[n]), t.ruleBefore(n),
						fmt.Sprintf("painting (%s) is dry before the %s", a.spec.Name, t.kinds[n]))
				}
			}
			for m := range n {
				for _, earlier := range t.ends[m] {
					kind := t.s.coats.Tasks[earlier].Kind
					t.lag(earlier, e, t.dryBefore(kind, t.kinds[n]), facings.RuleEnding,
						fmt.Sprintf("the project puts %s before %s", t.kinds[m], t.kinds[n]))
				}
			}
			switch t.kinds[n] {
			case facings.EndVarnish:
				varnish = e
			case facings.EndBase:
				t.lagRim(areas, e)
			}
		}
	}
	if varnish >= 0 {
		for _, late := range t.after {
			t.lag(varnish, late, p.DryingOf(facings.Varnish).Overcoat, facings.RuleAfter, "marked to go on after the varnish")
		}
	}
}

// lagRim keeps the rim of the base for after the texture, whose glue strays.
func (t *figureTasks) lagRim(areas []*plannedArea, texture int) {
	for _, a := range areas {
		if last := lastCoat(a); last >= 0 && a.spec.Name == rimArea {
			t.lag(texture, a.tasks[last], t.s.project.DryingOf(facings.Glue).Touch, facings.RuleMessy,
				"glue and texture stray onto the "+a.spec.Name)
		}
	}
}

// lastBefore is the index of an area's last coat that comes before closing step
// n, -1 for none: its last of all, but the rim of a base is touched up once the
// texture is on, and so after whatever is done before the texture.
func (t *figureTasks) lastBefore(a *plannedArea, n int) int {
	last := lastCoat(a)
	if a.spec.Name == rimArea && slices.Contains(t.kinds[n:], facings.EndBase) {
		return last - 1
	}
	return last
}

func (t *figureTasks) ruleBefore(n int) facings.RuleID {
	if t.kinds[n] == facings.EndVarnish {
		return facings.RuleVarnish
	}
	return facings.RuleEnding
}

func (t *figureTasks) dryBefore(k facings.Kind, end facings.EndingKind) facings.Minutes {
	d := t.s.project.DryingOf(k)
	if end == facings.EndVarnish {
		return d.BeforeVarnish
	}
	return d.Touch
}
