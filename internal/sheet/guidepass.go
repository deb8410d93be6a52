package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"facings"
)

// passes is every pass in its order, sitting by sitting.
func (g *guideMaker) passes() []Block {
	out := []Block{Words{"", "Each picture shows one figure as it stands when the pass is done. What the pass paints is in its full colour within a black and white line; " +
		"the rest is paler. The figure and the side are those on which most of the pass is seen, and the picture comes nearer where its areas are small. " +
		"Colours are named, so that nobody has to tell them apart by eye."}}
	last := 0
	for i := range g.Order.Passes {
		pass := &g.Order.Passes[i]
		if s := g.sittingOf(pass.Number); s != nil && s.Number != last {
			last = s.Number
			out = append(out, g.sittingHeading(s))
		}
		out = append(out, g.step(i, pass))
	}
	return out
}

// IsSmall reports whether a pass is on so few figures that a small picture does.
func IsSmall(pass *facings.Pass) bool {
	return len(pass.Figures) <= 3 && pass.Stage != facings.StagePrepare && pass.Stage != facings.StageUndercoat
}

func (g *guideMaker) sittingHeading(s *facings.Sitting) Heading {
	h := Heading{Text: fmt.Sprintf("Sitting %d: %s", s.Number, s.Start.Format("Monday 2 January 2006")),
		Rest: fmt.Sprintf(", %s to %s", s.Start.Format("15:04"), s.End.Format("15:04"))}
	if len(g.Project.Calendar.Painters) > 1 {
		h.Text += ", " + s.Painter
	}
	return h
}

func (g *guideMaker) step(i int, pass *facings.Pass) Step {
	s := Step{Number: pass.Number, Title: g.passTitle(pass), Meta: g.passMeta(pass), Caution: cautionOf(pass), Small: IsSmall(pass)}
	if pass.Look.Name != "" {
		s.Look, s.Shows = pass.Look, shownAs(pass.Look)
	}
	if i < len(g.shots.Passes) {
		s.Shot = g.shots.Passes[i]
	}
	add := func(head, text string) {
		if text != "" {
			s.Words = append(s.Words, Words{head, text})
		}
	}
	s.Words = append(s.Words, g.record[pass.Number].words(len(pass.Tasks))...)
	if len(pass.Mix) > 0 {
		add("Mix", partsWords(pass.Mix)+" (parts); for this pass "+mixDrops(pass.Mix, pass.Drops)+" (drops).")
	}
	for _, on := range byAreas(g.Coats, pass) {
		add(upperFirst(list(on.areas)), g.who(pass, on)+".")
	}
	add("Go over too", g.sentence(pass.AlsoCover, "the same colour is wanted there"))
	add("Keep off", g.sentence(pass.KeepOff, ""))
	if pass.Wait >= 0.5 {
		add("Wait", duration(pass.Wait)+" before this.")
	}
	add("Why here", g.why(pass))
	add("Then", g.then(pass))
	return s
}

// sentence lists names, with a reason after them.
func (g *guideMaker) sentence(names []string, why string) string {
	switch {
	case len(names) == 0:
		return ""
	case why == "":
		return list(names) + "."
	}
	return list(names) + ": " + why + "."
}

func upperFirst(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// passTitle says what is done: "deep green on the jacket".
func (g *guideMaker) passTitle(pass *facings.Pass) string {
	const most = 5
	areas := pass.Areas
	more := ""
	if len(areas) > most {
		more = fmt.Sprintf(" and %d more", len(areas)-most)
		areas = areas[:most]
	}
	on := " on the " + list(areas)
	if more != "" {
		on = " on the " + strings.Join(areas, ", ") + more
	}
	switch {
	case pass.Stage == facings.StagePrepare:
		return "clean and mount the castings"
	case pass.Stage == facings.StageFlag:
		return "glue the " + plural(len(pass.Figures), "flag", "flags") + " on with " + pass.Name()
	case pass.Stage == facings.StageMakeFlag:
		return pass.Name() + " the " + plural(len(pass.Figures), "flag", "flags")
	case len(g.strewn(pass)) > 0:
		return pass.Name() + " with " + list(g.strewn(pass)) + on
	case slices.Contains(pass.Areas, facings.WholeFigure):
		return pass.Name() + " over the whole figure"
	}
	return pass.Name() + on
}

// passMeta is tool and technique, time and drops.
func (g *guideMaker) passMeta(pass *facings.Pass) string {
	out := nonEmpty(pass.Tool, howWords(pass.Technique), many(len(pass.Figures), "figure", "figures"), duration(pass.Minutes))
	if pass.Drops > 0 && len(pass.Mix) == 0 && pass.Stage != facings.StageFlag {
		out = append(out, g.dropWords(pass))
	}
	return strings.Join(out, " · ")
}

// who names the figures of some areas of a pass, and the traits by which they
// were chosen: this is where ranks differ.
func (g *guideMaker) who(pass *facings.Pass, on areasOn) string {
	var by traitValues
	for _, t := range pass.Tasks {
		task := &g.Coats.Tasks[t]
		if !slices.Contains(on.areas, task.Area) {
			continue
		}
		trait, value := g.traitOf(task.Figure, task.Area)
		if trait == "" {
			return figureWords(g.Roster, on.figures)
		}
		by.add(trait, value)
	}
	out := figureWords(g.Roster, on.figures)
	if words := by.words(); words != "" {
		out += " (" + words + ")"
	}
	return out
}

// traitValues gathers traits with their values, each once, as they come.
type traitValues struct {
	traits []string
	values map[string][]string
}

func (v *traitValues) add(trait, value string) {
	if v.values == nil {
		v.values = map[string][]string{}
	}
	if v.values[trait] == nil {
		v.traits = append(v.traits, trait)
	}
	if !slices.Contains(v.values[trait], value) {
		v.values[trait] = append(v.values[trait], value)
	}
}

// words is "horse: bay and dark bay; faces: star".
func (v *traitValues) words() string {
	var out []string
	for _, t := range v.traits {
		out = append(out, t+": "+list(v.values[t]))
	}
	return strings.Join(out, "; ")
}

// traitOf is the trait that decided on an area of a figure, and its value; ""
// when something else did.
func (g *guideMaker) traitOf(figure int, area string) (trait, value string) {
	f := &g.Roster.Figures[figure]
	u, role, ok := g.Project.UnitAt(f.ID)
	if !ok || g.Project.Choose(u, role, f.ID.Number, f.Traits, area).From != "trait" {
		return "", ""
	}
	for _, name := range u.Traits {
		if t, ok := g.Project.FindTrait(name); ok {
			if v, ok := t.Value(f.Traits[name]); ok {
				if _, ok := v.Scheme[area]; ok {
					return name, v.Name
				}
			}
		}
	}
	return "", ""
}

// reason is why a pass stands after others: the passes, what was painted in
// them, and the longest drying.
type reason struct {
	rule   facings.RuleID
	passes []int
	areas  []string
	media  []string
	wait   facings.Seconds
	why    string
}

// reasons gathers lags by their rule; end tells which end of a lag is elsewhere.
func (g *guideMaker) reasons(lags []int, end func(facings.Lag) int) []*reason {
	var out []*reason
	for _, i := range lags {
		l := g.Coats.Lags[i]
		task := &g.Coats.Tasks[end(l)]
		j := slices.IndexFunc(out, func(r *reason) bool {
			return r.rule == l.Rule && (l.Rule != facings.RuleOwn && l.Rule != facings.RuleEnding || r.why == l.Why)
		})
		if j < 0 {
			j = len(out)
			out = append(out, &reason{rule: l.Rule, why: l.Why})
		}
		r := out[j]
		r.wait = max(r.wait, l.Seconds)
		for _, x := range []struct {
			list *[]string
			name string
		}{{&r.areas, task.Area}, {&r.media, task.Medium}} {
			if !slices.Contains(*x.list, x.name) {
				*x.list = append(*x.list, x.name)
			}
		}
		if n := g.passOf[end(l)]; !slices.Contains(r.passes, n) {
			r.passes = append(r.passes, n)
		}
	}
	return out
}

// why says in plain words why a pass stands where it does.
func (g *guideMaker) why(pass *facings.Pass) string {
	order := []facings.RuleID{facings.RulePrepare, facings.RuleCoats, facings.RuleInside, facings.RuleMessy, facings.RuleOwn, facings.RuleEyes,
		facings.RuleVarnish, facings.RuleEnding, facings.RuleAfter, facings.RuleUndercoat}
	found := g.reasons(g.lagsTo[pass.Number], func(l facings.Lag) int { return l.From })
	slices.SortStableFunc(found, func(a, b *reason) int {
		return cmp.Compare(slices.Index(order, a.rule), slices.Index(order, b.rule))
	})
	var out []string
	for _, r := range drawnTogether(found) {
		if words := g.reasonWords(r, len(found) == 1); words != "" && !slices.Contains(out, words) {
			out = append(out, words)
		}
	}
	if len(out) == 0 {
		out = pass.Why
	}
	if pass.Number > 1 && pass.Medium != "" && g.Order.Passes[pass.Number-2].Medium == pass.Medium {
		out = append(out, "the same paint is still out")
	}
	if len(out) == 0 {
		return ""
	}
	return upperFirst(strings.Join(out, "; ")) + "."
}

// drawnTogether makes one reason of those in which the project puts several things
// before the same one: "the project puts base and varnish before the flag".
func drawnTogether(reasons []*reason) []*reason {
	var out []*reason
	var first []string
	at := -1
	for _, r := range reasons {
		puts, ok := strings.CutPrefix(r.why, projectPuts)
		before, after, cut := strings.Cut(puts, " before ")
		if r.rule != facings.RuleEnding || !ok || !cut {
			out = append(out, r)
			continue
		}
		first = append(first, before)
		one := *r
		one.why = projectPuts + list(first) + " before the " + after
		if at < 0 {
			at = len(out)
			out = append(out, &one)
		}
		out[at] = &one
	}
	return out
}

// projectPuts begins the reason of a step at the end that the project orders.
const projectPuts = "the project puts "

func (g *guideMaker) reasonWords(r *reason, alone bool) string {
	after := fmt.Sprintf(" (%s %s)", plural(len(r.passes), "pass", "passes"), numberRuns(r.passes))
	dry := duration(r.wait.Minutes())
	switch r.rule {
	case facings.RulePrepare:
		return "castings are clean and mounted first" + after
	case facings.RuleCoats:
		return fmt.Sprintf("over %s%s, dry for %s", list(r.media), after, dry)
	case facings.RuleInside:
		return "after " + list(some(r.areas, 6)) + after + ", " + plural(len(r.areas), "which lies", "which lie") + " underneath"
	case facings.RuleMessy:
		return "after " + list(some(r.media, 4)) + after + ", which may stray onto it"
	case facings.RuleOwn:
		return "the project's own " + r.why
	case facings.RuleEyes:
		return "eyes come last, when nothing can splash them"
	case facings.RuleVarnish:
		return "all paint under it has dried for " + dry
	case facings.RuleEnding:
		if strings.HasPrefix(r.why, projectPuts) {
			return r.why
		}
		return "the painting is done and dry"
	case facings.RuleAfter:
		return "it goes on after the varnish, which would change its shine"
	case facings.RuleUndercoat:
		if alone {
			return "the undercoat has dried for " + dry
		}
	}
	return ""
}

// then says how long the pass dries and for what.
func (g *guideMaker) then(pass *facings.Pass) string {
	if pass.Medium == "" {
		return ""
	}
	var out []string
	for _, r := range g.reasons(g.lagsFrom[pass.Number], func(l facings.Lag) int { return l.To }) {
		if r.wait <= 0 {
			continue
		}
		wait := duration(r.wait.Minutes())
		to := fmt.Sprintf(" (%s %s)", plural(len(r.passes), "pass", "passes"), numberRuns(r.passes))
		switch r.rule {
		case facings.RuleCoats:
			out = append(out, wait+" of drying before "+list(some(r.media, 4))+" over it"+to)
		case facings.RuleUndercoat:
			out = append(out, wait+" of drying before the next paint")
		case facings.RuleVarnish:
			out = append(out, wait+" before the varnish"+to)
		}
	}
	if len(out) == 0 {
		if d := g.Project.DryingOf(pass.Kind); pass.Kind != "" && d.Touch > 0 {
			return "Touch-dry after " + duration(d.Touch) + "."
		}
		return ""
	}
	return upperFirst(strings.Join(out, "; ")) + "."
}

func plural(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// some is the first names, and the rest as a number.
func some(names []string, most int) []string {
	if len(names) <= most {
		return names
	}
	return append(slices.Clone(names[:most]), fmt.Sprintf("%d more", len(names)-most))
}
