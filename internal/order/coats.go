package order

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"facings"
)

// Settle works out every task of the project: preparation, undercoat, each
// coat of each area of each figure with the colour it will show, and the
// ending; leaves out what is already right; and lists what must come before
// what. The project must have passed Validate and the roster must be its own.
func Settle(p *facings.Project, roster *facings.Roster, colours Colourist) *facings.Coats {
	return SettleWithout(p, roster, colours, nil)
}

// SettleWithout is Settle where some coats shall not be painted: the colours of
// those that go on are then without them.
func SettleWithout(p *facings.Project, roster *facings.Roster, colours Colourist, skipped map[facings.TaskKey]bool) *facings.Coats {
	s := &settler{
		project: p, colours: colours, skipped: skipped, coats: &facings.Coats{Bare: map[int][]string{}},
		grounds: map[float64]Surface{}, memo: map[string]outcome{}, spoilt: map[string]bool{},
	}
	for i := range roster.Figures {
		s.figure(i, &roster.Figures[i])
	}
	return s.coats
}

type settler struct {
	project *facings.Project
	colours Colourist
	skipped map[facings.TaskKey]bool
	coats   *facings.Coats
	grounds map[float64]Surface
	memo    map[string]outcome
	spoilt  map[string]bool // see spoils
}

// plannedArea is an area of one figure with the coats that are really laid.
type plannedArea struct {
	spec   facings.AreaSpec
	finish facings.Finish
	laid   []laidCoat
	tasks  []int // indexes in Coats.Tasks, one per laid coat
	final  Surface
	// by names the area beneath whose messy coats give this one its colour.
	by string
	// mess lists the messy coats that go over the area, and so over what lies
	// on it: its own, or where those were left out, those from beneath; from
	// names the area they are laid on.
	mess []laidCoat
	from string
}

type laidCoat struct {
	coat      int // index in the finish
	medium    string
	kind      facings.Kind
	technique facings.Technique
	tool      string
	cover     float64
	after     bool // after varnish
	base      bool
	look      facings.Look
}

// Messy reports whether a coat strays: by its technique, or because a large
// brush lays it (horse coats are the messiest brushwork of all).
func (c laidCoat) messy() bool { return Messy(c.technique, c.tool) }

// Messy reports whether a technique with a tool strays onto neighbours.
func Messy(t facings.Technique, tool string) bool {
	h, _ := facings.HandlingOf(t)
	return h.Messy || (t == facings.Brush && tool == facings.ToolLarge)
}

// figure adds all tasks of one figure.
func (s *settler) figure(index int, f *facings.Figure) {
	unit, role, ok := s.project.UnitAt(f.ID)
	if !ok {
		return
	}
	t := figureTasks{s: s, index: index, figure: f, unit: unit}
	t.first()
	areas := s.areas(index, f, unit, role)
	for _, a := range areas {
		t.paint(a)
	}
	t.ending()
	t.lags(areas)
}

// areas decides the coats of every area of a figure, inner areas first, so
// that what strays from beneath is known when an outer one is looked at.
func (s *settler) areas(index int, f *facings.Figure, unit *facings.Unit, role *facings.Role) []*plannedArea {
	byName := map[string]*plannedArea{}
	var out []*plannedArea
	for _, spec := range insideOut(f.Body.Areas) {
		if spec.Name == flagArea {
			continue // printed, not painted
		}
		chosen := s.project.Choose(unit, role, f.ID.Number, f.Traits, spec.Name)
		finish, ok := s.project.FindFinish(chosen.Finish)
		if !ok {
			continue
		}
		a := &plannedArea{spec: spec, finish: finish}
		skip := s.skips(f.ID, spec.Name, finish)
		byName[spec.Name] = a
		out = append(out, a)
		stain, by := s.stain(f.Body, spec, byName)
		if len(finish.Coats) == 0 {
			s.coats.Bare[index] = append(s.coats.Bare[index], spec.Name)
			a.final = s.ground(spec.Exposure)
			continue
		}
		ground, beneath := s.ground(spec.Exposure), ""
		if first := slices.Index(skip, false); first >= 0 && thin(finish.Coats[first]) {
			if under := topmost(f.Body, spec, byName); under != nil {
				ground, beneath = under.final, under.spec.Name
			}
		}
		got := s.outcome(spec, finish, skip, ground, stain, by)
		if got.by == "" {
			got.by = beneath
		}
		a.laid, a.final, a.by = got.laid, got.final, got.by
		a.mess, a.from = messOf(a, byName)
		for _, l := range got.left {
			l.Figure, l.ID, l.Area, l.By = index, f.ID, spec.Name, got.by
			l.Reason = reason(l, got.by)
			s.coats.LeftOut = append(s.coats.LeftOut, l)
		}
	}
	return inBodyOrder(f.Body, out)
}

// insideOut sorts areas so that each comes after those it lies over; areas in
// a circle keep their place.
func insideOut(areas []facings.AreaSpec) []facings.AreaSpec {
	done := map[string]bool{}
	present := map[string]bool{}
	for _, a := range areas {
		present[a.Name] = true
	}
	var out []facings.AreaSpec
	for left := slices.Clone(areas); len(left) > 0; {
		before := len(left)
		left = slices.DeleteFunc(left, func(a facings.AreaSpec) bool {
			for _, u := range a.Over {
				if present[u] && !done[u] {
					return false
				}
			}
			done[a.Name] = true
			out = append(out, a)
			return true
		})
		if len(left) == before {
			return append(out, left...)
		}
	}
	return out
}

func inBodyOrder(b facings.Body, areas []*plannedArea) []*plannedArea {
	place := map[string]int{}
	for i, a := range b.Areas {
		place[a.Name] = i
	}
	slices.SortStableFunc(areas, func(a, b *plannedArea) int { return cmp.Compare(place[a.spec.Name], place[b.spec.Name]) })
	return areas
}

// thin reports whether a finish begins with a stroke or a dot: it goes on over
// the painted area beneath, not on undercoat kept clean.
func thin(c facings.Coat) bool {
	return c.Technique == facings.Line || c.Technique == facings.Dot
}

// topmost is the painted area directly beneath another, the last in body order
// if there are several; nil if there is none.
func topmost(body facings.Body, spec facings.AreaSpec, done map[string]*plannedArea) *plannedArea {
	var top *plannedArea
	for _, b := range body.Areas {
		if under := done[b.Name]; under != nil && slices.Contains(spec.Over, b.Name) && len(under.laid) > 0 {
			top = under
		}
	}
	return top
}

// messOf lists the messy coats that go over an area, and on which area they
// are laid.
func messOf(a *plannedArea, done map[string]*plannedArea) ([]laidCoat, string) {
	var own []laidCoat
	for _, c := range a.laid {
		if c.messy() && !c.after {
			own = append(own, c)
		}
	}
	if beneath := done[a.by]; len(a.laid) == 0 && beneath != nil {
		return beneath.mess, beneath.from
	}
	return own, a.spec.Name
}

// stain is the surface that an area shows when the messy coats of what it lies
// over have gone over it too, and the name of the area they are laid on; nil
// when none has. The topmost of several wins.
func (s *settler) stain(body facings.Body, spec facings.AreaSpec, done map[string]*plannedArea) (Surface, string) {
	var surface Surface
	by := ""
	for _, b := range body.Areas {
		under := done[b.Name]
		if under == nil || !slices.Contains(spec.Over, b.Name) || len(under.mess) == 0 {
			continue
		}
		surface, by = s.ground(spec.Exposure), under.from
		for _, c := range under.mess {
			surface = s.colours.Lay(surface, c.medium, c.technique, c.cover)
		}
	}
	return surface, by
}

func (s *settler) ground(exposure float64) Surface {
	if g, ok := s.grounds[exposure]; ok {
		return g
	}
	g := s.colours.Undercoat(exposure)
	s.grounds[exposure] = g
	return g
}

// outcome is what becomes of a finish on an area.
type outcome struct {
	laid  []laidCoat
	left  []facings.LeftOut
	final Surface
	by    string
}

// outcome decides which coats of a finish are laid over a ground. Two ways are
// weighed: the area kept clean, and the area as it is stained from beneath; the
// stain is accepted where more coats can then be left out and the end still
// shows the wanted colour.
func (s *settler) outcome(spec facings.AreaSpec, finish facings.Finish, skip []bool, ground, stain Surface, by string) outcome {
	key := fmt.Sprintf("%s|%v|%v|%s|%v|%v|", spec.Name, spec.AreaMM2, spec.Fiddly, finish.Name, skip, s.colours.Look(ground).Lab)
	if stain != nil {
		key += fmt.Sprint(s.colours.Look(stain).Lab)
	}
	if o, ok := s.memo[key]; ok {
		if o.by != "" {
			o.by = by
		}
		return o
	}
	coats, wanted := s.wanted(spec, finish, skip, ground)
	best := s.leaveOut(coats, skip, wanted, ground)
	if stain != nil {
		o := s.leaveOut(coats, skip, wanted, stain)
		last := wanted[len(wanted)-1]
		if len(o.left) > len(best.left) && s.colours.Distance(o.final, last) <= s.project.Tolerance() {
			o.by = by
			best = o
		}
	}
	s.memo[key] = best
	return best
}

// skips tells for each coat of a finish whether it shall not be painted.
func (s *settler) skips(id facings.FigureID, area string, finish facings.Finish) []bool {
	out := make([]bool, len(finish.Coats))
	for i, c := range finish.Coats {
		out[i] = s.skipped[facings.TaskKey{Figure: id, Area: area, Coat: i, Medium: c.Paint}]
	}
	return out
}

// wanted lists a finish's coats with every default filled in, and the surface
// after each when all that shall be painted are laid on the ground.
func (s *settler) wanted(spec facings.AreaSpec, finish facings.Finish, skip []bool, ground Surface) ([]facings.Coat, []Surface) {
	surface := ground
	coats := make([]facings.Coat, len(finish.Coats))
	surfaces := make([]Surface, len(finish.Coats))
	for i, c := range finish.Coats {
		_, kind, _, _ := s.project.Medium(c.Paint)
		if c.Technique == "" {
			c.Technique = facings.DefaultTechnique(kind)
		}
		if c.Tool == "" {
			c.Tool = facings.DefaultTool(c.Technique, kind, spec)
		}
		if c.CoverPercent == 0 {
			c.CoverPercent = DefaultCover(c.Technique)
		}
		if !skip[i] {
			surface = s.colours.Lay(surface, c.Paint, c.Technique, c.CoverPercent/100)
		}
		coats[i], surfaces[i] = c, surface
	}
	return coats, surfaces
}

// DefaultCover is the percentage of an area that a technique covers when the
// coat does not say (estimates: drybrushing catches the raised third, a dot is
// a pupil in an eye).
func DefaultCover(t facings.Technique) float64 {
	switch t {
	case facings.Drybrush:
		return 35
	case facings.Dot:
		return 30
	}
	return 100
}

// mostly is the percentage of an area that a coat must cover for the area's
// mean colour to say whether it shows; less is a highlight or a pattern.
const mostly = 50

// leaveOut goes through the coats over a ground and leaves out those whose
// area already shows what it should show after them; a tolerance of 0 keeps
// them all. Washes, drybrushing,
// dots and metals are never judged by their mean colour: they act in recesses,
// on edges or by their shine.
func (s *settler) leaveOut(coats []facings.Coat, skip []bool, wanted []Surface, ground Surface) outcome {
	o := outcome{final: ground}
	for i, c := range coats {
		if skip[i] {
			continue
		}
		_, kind, _, _ := s.project.Medium(c.Paint)
		base := isBase(c.Technique, kind)
		judged := base && kind != facings.Metallic && !c.Always && !c.AfterVarnish && c.CoverPercent >= mostly && s.project.Tolerance() > 0
		if d := s.colours.Distance(o.final, wanted[i]); judged && d <= s.project.Tolerance() {
			o.left = append(o.left, facings.LeftOut{Coat: i, Medium: c.Paint, DeltaE: d,
				Wanted: s.colours.Look(wanted[i]), Already: s.colours.Look(o.final)})
			continue
		}
		o.final = s.colours.Lay(o.final, c.Paint, c.Technique, c.CoverPercent/100)
		o.laid = append(o.laid, laidCoat{coat: i, medium: c.Paint, kind: kind, technique: c.Technique, tool: c.Tool,
			cover: c.CoverPercent / 100, after: c.AfterVarnish, base: base, look: s.colours.Look(o.final)})
	}
	return o
}

// isBase tells coats that give an area its colour from those that work over it.
func isBase(t facings.Technique, k facings.Kind) bool {
	switch t {
	case facings.WashOn, facings.Drybrush, facings.Dot:
		return false
	}
	return k != facings.Varnish
}

// reason says in words why a coat was left out.
func reason(l facings.LeftOut, by string) string {
	where := "the undercoat"
	if by != "" {
		where = "the " + by + " paint that goes over it"
	} else if l.Coat > 0 {
		where = "what is under it"
	}
	return fmt.Sprintf("already right: %s shows %s, %s wanted (ΔE %.1f)",
		where, strings.ToLower(l.Already.Name), strings.ToLower(l.Wanted.Name), float64(l.DeltaE))
}
