package app

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"

	"facings"
	"facings/internal/geom"
	"facings/internal/light"
	"facings/internal/order"
	"facings/internal/pigment"
)

// colourSteps is how many exposures the pages get a colour for.
const colourSteps = 16

// Colours is what every area of a figure will show.
func (d *Desk) Colours(ctx context.Context, id string, figure int) (*Colours, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	f, err := d.figureOf(ctx, r, figure)
	if err != nil {
		return nil, err
	}
	out, err := d.coloursOf(r.opened.Project, f)
	if err == nil {
		out.Revision = r.number
	}
	return out, err
}

// Try is the same for the project as a patch would make it, with the figure as
// it was dealt. Nothing is kept, and nothing planned.
func (d *Desk) Try(ctx context.Context, id string, figure int, patch []byte) (*Colours, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	f, err := d.figureOf(ctx, r, figure)
	if err != nil {
		return nil, err
	}
	p, err := patched(r.opened.Project, patch)
	if err != nil {
		return nil, err
	}
	unit, role, ok := p.UnitAt(f.ID)
	if !ok {
		return nil, &Mistake{Message: fmt.Sprintf("there would be no %s", f.ID)}
	}
	// The other units play no part, and looking them over would take longest.
	p.Units = []facings.Unit{*unit}
	if found := p.Validate(); found.Faulty() {
		return nil, &Mistake{Message: "the project would have faults", Findings: found}
	}
	body, ok := p.FigureBody(unit, role, f.ID.Number)
	if !ok {
		return nil, &Mistake{Message: fmt.Sprintf("%s would have no body", f.ID)}
	}
	if sameAreas(body, f.Body) {
		body = f.Body // as measured
	}
	f.Body = body
	out, err := d.coloursOf(p, f)
	if err == nil {
		out.Revision = r.number
	}
	return out, err
}

func sameAreas(a, b facings.Body) bool {
	return a.Name == b.Name && slices.EqualFunc(a.Areas, b.Areas, func(x, y facings.AreaSpec) bool { return x.Name == y.Name })
}

// figureOf is a copy of a figure of the roster.
func (d *Desk) figureOf(ctx context.Context, r *revision, index int) (facings.Figure, error) {
	plan, err := r.coated(ctx, d)
	if err != nil {
		return facings.Figure{}, err
	}
	if index < 0 || index >= len(plan.Roster.Figures) {
		return facings.Figure{}, fmt.Errorf("figure %d of %d: %w", index, len(plan.Roster.Figures), facings.ErrNotFound)
	}
	return plan.Roster.Figures[index], nil
}

// coloursOf works one figure out, as if it were alone in the project.
func (d *Desk) coloursOf(p *facings.Project, f facings.Figure) (*Colours, error) {
	colours, found := d.studio.colourist(p)
	if found.Faulty() {
		return nil, &Mistake{Message: "a colour cannot be told", Findings: found}
	}
	alone := &facings.Roster{Seed: p.Seed, Figures: []facings.Figure{f}}
	plan := &Plan{Project: p, Roster: alone, Coats: order.Settle(p, alone, colours), colours: colours}
	ps := &Pictures{plan: plan, studio: d.studio}
	all := func(int) bool { return true }
	areas := ps.areaTasks(0)
	unit, role, ok := p.UnitAt(f.ID)
	if !ok {
		return nil, fmt.Errorf("%s: %w", f.ID, facings.ErrNotFound)
	}
	out := &Colours{Figure: f.ID, Body: f.Body.Name, Areas: []AreaColours{}}
	for _, spec := range f.Body.Areas {
		chosen := p.Choose(unit, role, f.ID.Number, f.Traits, spec.Name)
		look := ps.look(0, spec.Name, areas, all, colourSteps)
		a := AreaColours{Area: spec.Name, Finish: chosen.Finish, From: chosen.From, Path: chosen.Path, Exposure: spec.Exposure, Metal: look.Metal,
			AreaMM2: spec.AreaMM2 * facings.SquareMillimetres(facings.Scale(p.Size())), Ramp: hexes(look), Coats: []CoatColour{}, Left: []LeftOff{}}
		s, _ := ps.layAll(colours.Undercoat(spec.Exposure), 0, spec.Name, areas, all)
		a.Look = colours.Look(s)
		a.Cover = ps.doubtOf(0, spec.Name, areas, s)
		for _, t := range areas[spec.Name] {
			task := plan.Coats.Tasks[t]
			a.Coats = append(a.Coats, CoatColour{Medium: task.Medium, Technique: task.Technique, Tool: task.Tool, Look: task.Look})
		}
		for _, l := range plan.Coats.LeftOut {
			if l.Area == spec.Name {
				a.Left = append(a.Left, LeftOff{Medium: l.Medium, Reason: l.Reason, DeltaE: l.DeltaE})
			}
		}
		out.Areas = append(out.Areas, a)
	}
	return out, nil
}

// worthSaying is from how many tolerances on the undercoat is worth a word: one
// would not be noticed (common practice).
const worthSaying = 2

// doubtOf looks whether the finish of an area, which shows so, hides what lies
// beneath it; nil where it does, or where it is not meant to.
func (ps *Pictures) doubtOf(index int, area string, areas map[string][]int, here order.Surface) *CoverDoubt {
	if len(areas[area]) == 0 {
		return nil
	}
	all := func(int) bool { return true }
	last := ps.plan.Coats.Tasks[areas[area][len(areas[area])-1]]
	colours, enough := ps.plan.colours, worthSaying*ps.plan.Project.Tolerance()
	over := func(exposure float64) order.Surface {
		s, _ := ps.layAll(colours.Undercoat(exposure), index, area, areas, all)
		return s
	}
	doubt := func(kind string, dark, light order.Surface) *CoverDoubt {
		out := &CoverDoubt{Kind: kind, Paint: last.Medium, Dark: colours.Look(dark).Hex, Light: colours.Look(light).Hex, DeltaE: colours.Distance(dark, light)}
		if out.DeltaE <= enough {
			return nil
		}
		return out
	}
	switch {
	case last.Kind == facings.Opaque && (last.Technique == facings.Brush || last.Technique == facings.Line || last.Technique == facings.Spray):
		return doubt("shows-through", over(0), over(1))
	case last.Kind == facings.Translucent || last.Kind == facings.Ink:
		if light := over(1); colours.Look(light).Lab[0] > colours.Look(here).Lab[0] {
			return doubt("over-dark", here, light)
		}
	}
	return nil
}

// hexes writes a look's colours; one that does not change with the light from
// above is given at every step.
func hexes(l light.Look) []string {
	out := make([]string, colourSteps)
	for i := range out {
		out[i] = l.Ramp[i*(len(l.Ramp)-1)/(colourSteps-1)].Encode().Hex()
	}
	return out
}

// Mix finds the best mix for a colour.
func (d *Desk) Mix(ctx context.Context, q MixAsk) (*MixResult, error) {
	ask, err := d.mixRequest(ctx, q)
	if err != nil {
		return nil, err
	}
	out, err := d.app.Mix(ctx, ask)
	if err != nil {
		return nil, asked(ctx, err)
	}
	fill(out)
	return out, nil
}

// Match finds the paints nearest to a colour.
func (d *Desk) Match(ctx context.Context, q MixAsk) (*MatchResult, error) {
	ask, err := d.mixRequest(ctx, q)
	if err != nil {
		return nil, err
	}
	out, err := d.app.Match(ctx, ask)
	if err != nil {
		return nil, asked(ctx, err)
	}
	fill(out)
	return out, nil
}

// asked takes an error of a question for the asker's mistake, but not one of
// giving up.
func asked(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	message, hint, _ := strings.Cut(err.Error(), "\n    ") // the way out stands on a line of its own
	return &Mistake{Message: message, Hint: hint}
}

// The same bounds as the command line's.
const (
	mostMixPaints = 3
	mostMixParts  = 20
)

func (d *Desk) mixRequest(ctx context.Context, q MixAsk) (MixRequest, error) {
	out := MixRequest{Target: q.Target, Over: q.Over, Paints: q.Paints, Parts: q.Parts, AreaMM2: q.AreaMM2, Technique: q.Technique, Coats: q.Coats, Starter: q.Starter}
	if q.Paints < 0 || q.Paints > mostMixPaints || q.Parts < 0 || q.Parts > mostMixParts {
		return out, &Mistake{Message: fmt.Sprintf("%d paints in %d parts: a mix has 1 to %d paints in at most %d parts", q.Paints, q.Parts, mostMixPaints, mostMixParts)}
	}
	if q.Project == "" {
		return out, nil
	}
	_, r, err := d.head(ctx, q.Project)
	if err != nil {
		return out, err
	}
	if r.opened.Findings.Faulty() {
		return out, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.opened.Findings}
	}
	out.Project = r.opened.Project
	return out, nil
}

// Air says whether the air is fit to spray and paint in.
func (d *Desk) Air(q AirQuestion) (*AirReport, error) {
	r, err := d.app.Air(q)
	if err != nil {
		return nil, &Mistake{Message: err.Error()}
	}
	fill(r)
	return r, nil
}

// Starter is the paints everyone starts with.
func (d *Desk) Starter() []StarterPaint {
	black, white := pigment.Chart()
	out := []StarterPaint{}
	for _, p := range pigment.StarterRack() {
		over := func(ground pigment.Inner) facings.Look {
			s := pigment.Show(&p.KS, p.Surface, &ground, 1)
			return facings.Look{Hex: s.Hex, Lab: [3]float64{s.Lab.L, s.Lab.A, s.Lab.B}, Name: s.Name, Guess: p.Basis == pigment.FromMemory || p.Basis == pigment.Guessed}
		}
		out = append(out, StarterPaint{Name: p.Name, Kind: p.Kind, Basis: string(p.Basis), OverBlack: over(black), OverWhite: over(white)})
	}
	return out
}

// RecruitChoices is what the guided way offers.
func (d *Desk) RecruitChoices() RecruitChoices {
	c := d.app.RecruitChoices()
	fill(&c)
	return c
}

// Model is a figure's casting as glTF, with the light undercoat that arrives at
// each vertex as _EXPOSURE, and, where it bears a printed flag, the flag's colours
// as COLOR_0, which is white elsewhere.
func (d *Desk) Model(ctx context.Context, id string, figure int) ([]byte, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	plan, err := r.coated(ctx, d)
	if err != nil {
		return nil, err
	}
	if figure < 0 || figure >= len(plan.Roster.Figures) {
		return nil, fmt.Errorf("figure %d of %d: %w", figure, len(plan.Roster.Figures), facings.ErrNotFound)
	}
	c := (&Pictures{plan: plan, studio: d.studio}).bearing(View{Figure: figure, Passes: Finished})
	if c.err != nil {
		return nil, c.err
	}
	values := map[string][]float64{"_EXPOSURE": c.coverage}
	look := map[string]geom.Material{}
	if c.flag != nil {
		values["COLOR_0"] = slices.Concat(slices.Repeat([]float64{1}, 3*len(c.mesh.V)-len(c.flag.printed)), c.flag.printed)
		look[flagArea] = geom.Material{Color: [3]float64{1, 1, 1}, Roughness: 1}
	}
	return geom.WriteGLBWith(c.mesh, look, values)
}

// Picture is a figure as it will look, as PNG.
func (d *Desk) Picture(ctx context.Context, id string, q PictureAsk) ([]byte, error) {
	ps, version, err := d.picturesFor(ctx, id, q.Passes > Undercoated && q.Passes < Finished || q.Underway > 0)
	if err != nil {
		return nil, err
	}
	return d.drawn(id, "figure", version, q, func() (*light.Image, error) {
		v := View{Figure: q.Figure, Passes: q.Passes, Underway: q.Underway, Camera: pictureCamera(q), Width: q.Width, Height: q.Height}
		if q.Close {
			v.Keep = keepLook
			if v, err = ps.closeTo(v); err != nil {
				return nil, err
			}
		}
		return ps.Draw(v)
	})
}

// pictureCamera looks a little from above, as one looks at figures on a table.
func pictureCamera(q PictureAsk) light.Camera {
	return light.Camera{AzimuthDeg: q.AzimuthDeg, ElevationDeg: 12, Margin: 0.06}
}

// drawn finds a picture among those drawn last, or draws it.
func (d *Desk) drawn(id, kind, version string, q PictureAsk, draw func() (*light.Image, error)) ([]byte, error) {
	key := fmt.Sprintf("%s %s %s %+v", id, kind, version, q)
	if data, ok := d.pictures.get(key); ok {
		return data, nil
	}
	img, err := draw()
	if err != nil {
		return nil, &Mistake{Message: err.Error()}
	}
	data, err := img.PNG()
	if err != nil {
		return nil, err
	}
	d.pictures.put(key, data)
	return bytes.Clone(data), nil
}

// picturesFor finds what pictures are drawn from: the newest plan where its
// passes matter, else the coats of the revision in force.
func (d *Desk) picturesFor(ctx context.Context, id string, passes bool) (*Pictures, string, error) {
	if passes {
		_, _, p, err := d.current(ctx, id)
		if err != nil {
			return nil, "", err
		}
		if p == nil || p.state != PlanReady {
			return nil, "", ErrNotReady
		}
		before := map[int]bool{}
		for t := range p.matched(p.progress) {
			before[t] = true
		}
		return &Pictures{plan: p.plan, studio: d.studio, before: before}, "plan " + p.version(), nil
	}
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, "", err
	}
	plan, err := r.coated(ctx, d)
	if err != nil {
		return nil, "", err
	}
	return &Pictures{plan: plan, studio: d.studio}, fmt.Sprintf("revision %d", r.number), nil
}

// KeyPicture is a figure's areas as lines with numbered leaders, and the names
// behind the numbers.
func (d *Desk) KeyPicture(ctx context.Context, id string, q PictureAsk) ([]byte, []string, error) {
	ps, version, err := d.picturesFor(ctx, id, false)
	if err != nil {
		return nil, nil, err
	}
	names, err := d.KeyNames(ctx, id, q.Figure)
	if err != nil {
		return nil, nil, err
	}
	data, err := d.drawn(id, "key", version, q, func() (*light.Image, error) {
		img, _, err := ps.Key(q.Figure, pictureCamera(q), q.Width, q.Height)
		return img, err
	})
	return data, names, err
}

// KeyNames are the areas of a figure in the order of their numbers.
func (d *Desk) KeyNames(ctx context.Context, id string, figure int) ([]string, error) {
	ps, _, err := d.picturesFor(ctx, id, false)
	if err != nil {
		return nil, err
	}
	if figure < 0 || figure >= len(ps.plan.Roster.Figures) {
		return nil, fmt.Errorf("figure %d of %d: %w", figure, len(ps.plan.Roster.Figures), facings.ErrNotFound)
	}
	c := ps.casting(figure, 1)
	if c.err != nil {
		return nil, c.err
	}
	out := []string{}
	for _, label := range c.mesh.Labels {
		if label != "" {
			out = append(out, label)
		}
	}
	return out, nil
}
