package app

import (
	"fmt"
	"maps"
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
	plan   *Plan
	studio *studio
	before map[int]bool // tasks done before the plan's own passes
}

// studio keeps the castings used last with their light, and the paints used
// last, for all plans.
type studio struct {
	lit    *cache[*castingLight]
	own    *cache[*castingLight] // of meshes beside projects
	paints *Paints
	coarse float64 // how many times as coarsely castings are built; 0 for what a picture's size needs
}

// heldCastings is how many castings a studio keeps, some megabytes each.
const heldCastings = 60

func newStudio() *studio {
	return &studio{lit: newCache(heldCastings, func(*castingLight) int { return 1 }),
		own: newCache(heldOwn, func(*castingLight) int { return 1 }), paints: NewPaints()}
}

// colourist works out a project's paints, those it had before from memory.
func (st *studio) colourist(p *facings.Project) (*colourist, facings.Diagnostics) {
	return colouristBy(p, st.paints.resolve)
}

// castingLight is a casting with the spray from above and its recesses.
type castingLight struct {
	once     sync.Once
	mesh     *geom.Mesh
	coverage []float64 // share covered by light undercoat, per vertex
	recess   []float64
	flag     *flown // nil for one without a printed flag
	err      error
}

// NewPictures makes ready to draw the figures of a plan that has its coats.
func NewPictures(plan *Plan) *Pictures { return &Pictures{plan: plan, studio: newStudio()} }

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
	// Underway, if not 0, is the number of a pass whose areas are outlined; the
	// rest is faded but for the share Keep. A casting that is being cleaned is
	// shown bare, one under the dark undercoat all dark.
	Underway      int
	Keep          float64
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
	c := ps.bearing(v)
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

// Pictures no larger than smallPicture, in pixels, show castings that are built
// smallCoarse times as coarsely, in a third of the time: nobody sees more on them.
const (
	smallPicture = 240
	smallCoarse  = 1.6
)

// coarse is how many times as coarsely a picture's casting may be built; a size
// of 0 is that of a model to be turned.
func (ps *Pictures) coarse(width, height int) float64 {
	switch edge := max(width, height); {
	case ps.studio.coarse > 0:
		return ps.studio.coarse
	case edge > 0 && edge <= smallPicture:
		return smallCoarse
	}
	return 1
}

// casting finds or works out the casting a figure is shown as.
func (ps *Pictures) casting(index int, coarse float64) *castingLight {
	f := &ps.plan.Roster.Figures[index]
	if own := ps.ownCasting(f); own != nil {
		return own
	}
	return ps.studio.casting(ps.spec(f), ps.plan.Project.Elevation(), coarse)
}

// spec describes the casting that a figure is shown as.
func (ps *Pictures) spec(f *facings.Figure) figure.Spec {
	return figure.Like(f.Body, f.ID.Role, f.ID.Number, ps.hints(f))
}

// casting is a casting in the light from an elevation in degrees.
func (st *studio) casting(spec figure.Spec, elevation, coarse float64) *castingLight {
	c := st.lit.getOrPut(fmt.Sprintf("%g %g %+v", coarse, elevation, spec), func() *castingLight { return &castingLight{} })
	c.once.Do(func() { c.work(spec, elevation, coarse) })
	return c
}

func (c *castingLight) work(spec figure.Spec, elevation, coarse float64) {
	rays := 1.0
	if coarse > 1 {
		rays = coarseRays
	}
	if c.mesh, c.err = figure.BuildCoarse(spec, coarse); c.err == nil {
		c.light(elevation, recessRadius, rays)
	}
}

// light sprays the mesh from an elevation in degrees, and finds its recesses, with
// a share of the usual rays.
func (c *castingLight) light(elevation, radius, rays float64) {
	spray := light.DefaultSpray()
	spray.ElevationDeg = elevation
	spray.Directions = int(rays * float64(spray.Directions))
	sources, err := spray.Sources()
	if err != nil {
		c.err = err
		return
	}
	c.coverage = light.Expose(c.mesh, sources, light.Options{}).Coverage()
	c.recess = light.Recess(c.mesh, radius, int(rays*recessDirections), light.Options{})
	if rays < 1 {
		c.recess = light.Smooth(c.mesh, c.mesh.VertexNormals(), c.recess)
	}
}

const (
	recessRadius     = 1.2 // mm at 28 mm size: how near a wall must be for a wash to pool
	recessDirections = 32
	// coarseRays is the share of the rays that coarse castings get: coverage is then
	// 0.017 from the true one, root mean square, recesses 0.045.
	coarseRays = 0.5
)

// hints takes the shape of headgear and coat from the figure's casting.
func (ps *Pictures) hints(f *facings.Figure) figure.Hints {
	h := ps.plan.Project.Shape(f.Body.Name)
	return figure.Hints{Headgear: figure.Headgear(h.Headgear), Coat: figure.Coat(h.Cut)}
}

// paint works out how each label looks at the moment shown.
func (ps *Pictures) paint(c *castingLight, v View) light.Paint {
	p := light.Paint{Exposure: c.coverage, Recess: c.recess, Background: v.Background, Keep: v.Keep}
	pass := ps.underway(v)
	if bare, ok := ps.bare(pass); ok {
		for range c.mesh.Labels {
			p.Looks = append(p.Looks, bare)
		}
		return p
	}
	if pass != nil && pass.Stage == facings.StageUndercoat {
		v.Passes = Undercoated
	}
	done := ps.done(v.Passes)
	areas := ps.areaTasks(v.Figure)
	for _, label := range c.mesh.Labels {
		p.Looks = append(p.Looks, ps.look(v.Figure, label, areas, done, rampSteps))
		if label == flagArea && c.flag != nil {
			p.UV, p.Looks[len(p.Looks)-1].Texture = c.flag.uv, c.flag.texture
		}
	}
	if pass != nil && !slices.Contains(pass.Areas, facings.WholeFigure) {
		p.Active = labelNumbers(c.mesh, pass.Areas)
	}
	return p
}

// done tells which tasks are done after so many passes.
func (ps *Pictures) done(passes int) func(task int) bool {
	if ps.plan.Order == nil || passes >= Finished {
		return func(int) bool { return passes >= Finished }
	}
	set := maps.Clone(ps.before)
	if set == nil {
		set = map[int]bool{}
	}
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

// rampSteps is how many exposures a look is worked out for in a picture.
const rampSteps = 9

// look predicts one area from no light undercoat to full.
func (ps *Pictures) look(index int, area string, areas map[string][]int, done func(int) bool, steps int) light.Look {
	var out light.Look
	colours := ps.plan.colours
	var top facings.Task
	for step := range steps {
		s := colours.Undercoat(float64(step) / float64(steps-1))
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

// flagArea is printed; a flag described in words only is shown as paper.
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
	return look(&shown, f.guess), true
}

// Key draws a figure's areas as lines, flatly tinted, with a numbered leader to
// each; the second result names the numbers. Areas that cannot be seen from this
// side have no leader but keep their number.
func (ps *Pictures) Key(index int, camera light.Camera, width, height int) (*light.Image, []string, error) {
	d, names, err := ps.keyDrawing(index, camera, width, height)
	if err != nil {
		return nil, nil, err
	}
	img, _, err := light.DrawLines(d)
	return img, names, err
}

func (ps *Pictures) keyDrawing(index int, camera light.Camera, width, height int) (light.Drawing, []string, error) {
	if index < 0 || index >= len(ps.plan.Roster.Figures) {
		return light.Drawing{}, nil, fmt.Errorf("figure %d of %d", index, len(ps.plan.Roster.Figures))
	}
	c := ps.casting(index, ps.coarse(width, height))
	if c.err != nil {
		return light.Drawing{}, nil, c.err
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
	return d, names, nil
}
