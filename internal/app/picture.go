package app

import (
	"fmt"
	"slices"
	"sync"

	"facings"
	"facings/internal/colour"
	"facings/internal/figure"
	"facings/internal/geom"
	"facings/internal/light"
	"facings/internal/order"
	"facings/internal/pigment"
)

// Pictures draws the figures of a plan in the colours it predicts. Castings and
// their light are worked out once and shared by all pictures; it is safe for
// use from several goroutines.
type Pictures struct {
	plan  *Plan
	cache figure.Cache
	mu    sync.Mutex
	lit   map[string]*castingLight
}

// castingLight is a casting with the spray from above and its recesses.
type castingLight struct {
	once     sync.Once
	mesh     *geom.Mesh
	coverage []float64 // share covered by light undercoat, per vertex
	recess   []float64
	err      error
}

// NewPictures makes ready to draw the figures of a plan that has its coats.
func NewPictures(plan *Plan) *Pictures {
	return &Pictures{plan: plan, lit: map[string]*castingLight{}}
}

// Finished shows a figure after all passes; any smaller number shows it after
// that many. Undercoated shows it before the first brush.
const (
	Finished    = 1 << 30
	Undercoated = 0
)

// View says what a picture shows.
type View struct {
	Figure int // index in the roster
	// Passes is how many passes are done; Finished for all. A plan without an
	// order knows Undercoated and Finished only.
	Passes int
	// Underway, if not 0, is the number of a pass whose areas are outlined.
	Underway      int
	Camera        light.Camera
	Width, Height int
	Background    *colour.Linear // nil: transparent
	GroundShadow  bool
}

// Draw draws one picture.
func (ps *Pictures) Draw(v View) (*light.Image, error) {
	if v.Figure < 0 || v.Figure >= len(ps.plan.Roster.Figures) {
		return nil, fmt.Errorf("figure %d of %d", v.Figure, len(ps.plan.Roster.Figures))
	}
	c := ps.casting(v.Figure)
	if c.err != nil {
		return nil, c.err
	}
	stage, err := light.NewStage(light.Scene{Mesh: c.mesh, Camera: v.Camera, Studio: light.Bench(), Width: v.Width, Height: v.Height,
		GroundShadow: v.GroundShadow})
	if err != nil {
		return nil, err
	}
	return stage.Draw(ps.paint(c, v))
}

// casting finds or works out the casting a figure is shown as.
func (ps *Pictures) casting(index int) *castingLight {
	f := &ps.plan.Roster.Figures[index]
	spec := figure.Like(f.Body, f.ID.Role, f.ID.Number, ps.hints(f))
	key := fmt.Sprintf("%+v", spec)
	ps.mu.Lock()
	c := ps.lit[key]
	if c == nil {
		c = &castingLight{}
		ps.lit[key] = c
	}
	ps.mu.Unlock()
	c.once.Do(func() { c.work(&ps.cache, spec, ps.plan.Project) })
	return c
}

func (c *castingLight) work(cache *figure.Cache, spec figure.Spec, p *facings.Project) {
	if c.mesh, c.err = cache.Build(spec); c.err != nil {
		return
	}
	spray := light.DefaultSpray()
	spray.ElevationDeg = p.Elevation()
	sources, err := spray.Sources()
	if err != nil {
		c.err = err
		return
	}
	c.coverage = light.Expose(c.mesh, sources, light.Options{}).Coverage()
	c.recess = light.Recess(c.mesh, recessRadius, recessDirections, light.Options{})
}

const (
	recessRadius     = 1.2 // mm: how near a wall must be for a wash to pool
	recessDirections = 32
)

// hints takes the shape of headgear and coat from the figure's casting.
func (ps *Pictures) hints(f *facings.Figure) figure.Hints {
	h := ps.plan.Project.Shape(f.Body.Name)
	return figure.Hints{Headgear: figure.Headgear(h.Headgear), Coat: figure.Coat(h.Cut)}
}

// paint works out how each label looks at the moment shown.
func (ps *Pictures) paint(c *castingLight, v View) light.Paint {
	p := light.Paint{Exposure: c.coverage, Recess: c.recess, Background: v.Background}
	done := ps.done(v.Passes)
	areas := ps.areaTasks(v.Figure)
	for _, label := range c.mesh.Labels {
		p.Looks = append(p.Looks, ps.look(v.Figure, label, areas, done))
	}
	if v.Underway > 0 && ps.plan.Order != nil && v.Underway <= len(ps.plan.Order.Passes) {
		pass := ps.plan.Order.Passes[v.Underway-1]
		for i, label := range c.mesh.Labels {
			if slices.Contains(pass.Areas, label) || slices.Contains(pass.Areas, facings.WholeFigure) && label != "" {
				p.Active = append(p.Active, uint16(i))
			}
		}
	}
	return p
}

// done tells which tasks are done after so many passes.
func (ps *Pictures) done(passes int) func(task int) bool {
	if ps.plan.Order == nil || passes >= Finished {
		return func(int) bool { return passes >= Finished }
	}
	set := map[int]bool{}
	for _, pass := range ps.plan.Order.Passes {
		for _, t := range pass.Tasks {
			if pass.Number <= passes {
				set[t] = true
			}
		}
	}
	return func(t int) bool { return set[t] }
}

// areaTasks lists a figure's painting tasks per area, in coat order.
func (ps *Pictures) areaTasks(index int) map[string][]int {
	out := map[string][]int{}
	for i, t := range ps.plan.Coats.Tasks {
		if t.Figure == index && (t.Stage == facings.StagePaint || t.Stage == facings.StageAfterVarnish) {
			out[t.Area] = append(out[t.Area], i)
		}
	}
	return out
}

// rampSteps is how many exposures a look is worked out for.
const rampSteps = 9

// look predicts one area from no light undercoat to full.
func (ps *Pictures) look(index int, area string, areas map[string][]int, done func(int) bool) light.Look {
	var out light.Look
	colours := ps.plan.colours
	var top facings.Task
	for step := range rampSteps {
		s := colours.Undercoat(float64(step) / (rampSteps - 1))
		s, top = ps.layAll(s, index, area, areas, done)
		out.Ramp = append(out.Ramp, linear(s))
		if step == 0 {
			out.WashColour = linear(colours.Lay(s, washMedium(top), facings.WashOn, 1))
		}
	}
	switch {
	case area == "base" && ps.textured(index, done):
		if c, ok := ps.texture(); ok {
			out.Ramp = []colour.Linear{c}
		}
	case top.Kind == facings.Metallic:
		out.Metal, out.Roughness = true, 0.35
		for i := range out.Ramp {
			out.Ramp[i] = sheen(out.Ramp[i])
		}
	case area == flagArea:
		out.Ramp = []colour.Linear{{R: 0.85, G: 0.85, B: 0.82}}
	}
	out.Wash = ps.washed(areas[area], done)
	return out
}

// sheen is the colour of a metallic paint's reflection: what the film scatters
// on the mean is a good deal less than what its flakes throw back one way (a
// named approximation, not a model of flakes).
func sheen(c colour.Linear) colour.Linear {
	const gain = 1.9
	return colour.Linear{R: min(1, gain*c.R), G: min(1, gain*c.G), B: min(1, gain*c.B)}
}

// textured reports whether the texture is on a figure's base.
func (ps *Pictures) textured(index int, done func(int) bool) bool {
	for i, t := range ps.plan.Coats.Tasks {
		if t.Figure == index && t.Stage == facings.StageBase && done(i) {
			return true
		}
	}
	return false
}

// texture is the mean colour of the last step's materials, the last on top.
func (ps *Pictures) texture() (colour.Linear, bool) {
	for _, step := range slices.Backward(ps.plan.Project.Ending) {
		for _, name := range slices.Backward(step.Materials) {
			paint, _ := ps.plan.Project.FindPaint(name)
			if c, err := colour.ParseHex(paint.Colour); err == nil {
				return c.SRGB().Decode(), true
			}
		}
	}
	return colour.Linear{}, false
}

// flagArea is printed; until its print is known it is shown as paper.
const flagArea = "flag"

// washMedium is what darkens recesses: the wash laid last, or the paint itself.
func washMedium(top facings.Task) string { return top.Medium }

// layAll lays what is done on an area over an undercoat, beginning with what
// strays onto it or lies beneath it, and returns the last base coat's task.
func (ps *Pictures) layAll(s order.Surface, index int, area string, areas map[string][]int, done func(int) bool) (order.Surface, facings.Task) {
	var top facings.Task
	lay := func(list []int, onlyMessy bool) {
		for _, i := range list {
			t := ps.plan.Coats.Tasks[i]
			if !done(i) || onlyMessy && !order.Messy(t.Technique, t.Tool) || t.Kind == facings.Varnish {
				continue
			}
			s = ps.plan.colours.Lay(s, t.Medium, t.Technique, ps.cover(index, t))
			if t.Base {
				top = t
			}
		}
	}
	body := ps.plan.Roster.Figures[index].Body
	spec, ok := body.Area(area)
	if by := ps.coveredBy(index, area); by != "" {
		lay(areas[by], true)
	} else if ok && thin(ps.plan.Coats.Tasks, areas[area]) {
		for _, b := range body.Areas {
			if slices.Contains(spec.Over, b.Name) && len(areas[b.Name]) > 0 {
				s, top = ps.layAll(ps.plan.colours.Undercoat(b.Exposure), index, b.Name, areas, done)
			}
		}
	}
	lay(areas[area], false)
	return s, top
}

// thin reports whether an area begins with a stroke or dot over what is beneath.
func thin(tasks []facings.Task, list []int) bool {
	if len(list) == 0 {
		return false
	}
	t := tasks[list[0]].Technique
	return t == facings.Line || t == facings.Dot
}

// cover is the share of its area that a task covers.
func (ps *Pictures) cover(index int, t facings.Task) float64 {
	spec, _ := ps.plan.Roster.Figures[index].Body.Area(t.Area)
	whole := float64(spec.AreaMM2) * facings.Scale(ps.plan.Project.Size())
	if whole <= 0 {
		return 1
	}
	return min(1, t.AreaMM2/whole)
}

// coveredBy names the area whose paint goes over this one, "" for none.
func (ps *Pictures) coveredBy(index int, area string) string {
	for _, l := range ps.plan.Coats.LeftOut {
		if l.Figure == index && l.Area == area && l.By != "" {
			return l.By
		}
	}
	return ""
}

// washed is how much recesses are darkened: by washes most, by translucent paint
// that shades itself less.
func (ps *Pictures) washed(list []int, done func(int) bool) float64 {
	out := 0.0
	for _, i := range list {
		t := ps.plan.Coats.Tasks[i]
		switch {
		case !done(i):
		case t.Technique == facings.WashOn:
			out = max(out, 0.7)
		case t.Kind == facings.Translucent || t.Kind == facings.Ink:
			out = max(out, 0.45)
		}
	}
	return out
}

// linear is a surface's colour as light.
func linear(s order.Surface) colour.Linear {
	r := s.(*surface).show().Reflectance
	c := colour.ViewD65().XYZ(&r).Linear()
	return colour.Linear{R: max(0, c.R), G: max(0, c.G), B: max(0, c.B)}
}

// Swatch is the colour of a paint or mix, so many coats over a grey of the given
// inner reflectance.
func (plan *Plan) Swatch(medium string, ground, coats float64) (facings.Look, bool) {
	f, ok := plan.colours.films[medium]
	if !ok {
		return facings.Look{}, false
	}
	g := pigment.FlatGround(ground)
	shown := pigment.Show(&f.ks, f.surface, &g, coats)
	return facings.Look{Hex: shown.Hex, Lab: [3]float64{shown.Lab.L, shown.Lab.A, shown.Lab.B}, Name: shown.Name, Guess: f.guess}, true
}

// Key draws a figure's areas as lines, flatly tinted, with a numbered leader to
// each; the second result names the numbers. Areas that cannot be seen from this
// side have no leader but keep their number.
func (ps *Pictures) Key(index int, camera light.Camera, width, height int) (*light.Image, []string, error) {
	if index < 0 || index >= len(ps.plan.Roster.Figures) {
		return nil, nil, fmt.Errorf("figure %d of %d", index, len(ps.plan.Roster.Figures))
	}
	c := ps.casting(index)
	if c.err != nil {
		return nil, nil, c.err
	}
	d := light.Drawing{Mesh: c.mesh, Camera: camera, Width: width, Height: height, Paper: colour.Linear{R: 1, G: 1, B: 1}}
	var names []string
	for i, label := range c.mesh.Labels {
		// Hues go round by the golden angle, so that neighbours in the list differ.
		tint := colour.LCh{L: 0.90 - 0.05*float64(i%3), C: 0.06, H: float64(i) * 137.508}.OKLab().Linear()
		d.Fill = append(d.Fill, tint)
		if label == "" {
			continue
		}
		names = append(names, label)
		d.Callouts = append(d.Callouts, light.Callout{Label: uint16(i), Text: fmt.Sprint(len(names))})
	}
	img, _, err := light.DrawLines(d)
	return img, names, err
}
