package app

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"facings"
	"facings/internal/light"
	"facings/internal/sheet"
)

// GuideOptions say how a guide is made.
type GuideOptions struct {
	SheetOptions // Out ends in .pdf, .html, or .svg or .png for a file per page
	// Log is the project's progress so far, if any was kept: the guide then tells
	// real dates and what was really used.
	Log []facings.Entry
}

// mostShown is how many finished figures a guide shows of one unit.
const mostShown = 60

// planShare is how much of the time a guide takes goes into its plan.
const planShare = 0.4

// Guide plans a project and makes the illustrated booklet of it, as pages or as
// one page of HTML by the ending of Out.
func (a *App) Guide(ctx context.Context, o *Opened, opt GuideOptions) (*Plan, []SheetFile, error) {
	planning := *a
	planning.Progress = func(stage string, share float64) { a.progress(stage, planShare*share) }
	plan, err := planning.Coats(ctx, o)
	if err != nil {
		return plan, nil, err
	}
	// Castings do not hang on the order: they are built while it is searched for,
	// from the plan as it is now.
	early := *plan
	art := newArtist(&early)
	beside, stop := context.WithCancel(ctx)
	var building sync.WaitGroup
	building.Go(func() { _ = new(App).inParallel(beside, "", 0, 0, art.castings()) }) // what fails is tried again below
	plan, err = planning.arrange(ctx, o, plan)
	stop()
	building.Wait()
	if err != nil {
		return plan, nil, err
	}
	art.plan, art.ps.plan = plan, plan
	files, err := a.guideBy(ctx, art, opt)
	return plan, files, err
}

// GuideOf makes the guide of a plan that has its order.
func (a *App) GuideOf(ctx context.Context, plan *Plan, opt GuideOptions) ([]SheetFile, error) {
	return a.guideBy(ctx, newArtist(plan), opt)
}

// guideBy makes the guide of an artist's plan.
func (a *App) guideBy(ctx context.Context, art *artist, opt GuideOptions) ([]SheetFile, error) {
	plan := art.plan
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, err
	}
	ending := strings.ToLower(filepath.Ext(opt.Out))
	if !slices.Contains([]string{".pdf", ".html", ".svg", ".png"}, ending) {
		return nil, fmt.Errorf("%q does not say what kind of guide to write; end it in .pdf or .html", opt.Out)
	}
	shots, err := a.guideShots(ctx, art)
	if err != nil {
		return nil, err
	}
	shots.Swatches, shots.Dark, shots.Light = plan.swatches()
	shots.Bare = func(exposure float64) facings.Look { return plan.colours.Look(plan.colours.Undercoat(exposure)) }
	shots.Log = opt.Log
	b := &sheet.Bench{Project: plan.Project, Roster: plan.Roster, Coats: plan.Coats, Order: plan.Order}
	a.progress("setting the pages", 0.97)
	guide := sheet.NewGuide(b, plan.Shopping, shots)
	var files []SheetFile
	if ending == ".html" {
		var out bytes.Buffer
		err = guide.WriteHTML(&out)
		files = []SheetFile{{Name: opt.Out, Data: out.Bytes()}}
	} else {
		files, err = render(guide.Print(paper), opt.SheetOptions)
	}
	a.progress("done", 1)
	return files, err
}

// swatches predicts one coat of every paint and mix over the undercoat, where
// the light from above is full and where there is none.
func (plan *Plan) swatches() (map[string]sheet.Pair, facings.Look, facings.Look) {
	c := plan.colours
	dark, light := c.Undercoat(0), c.Undercoat(1)
	out := map[string]sheet.Pair{}
	for name := range c.films {
		_, kind, _, _ := plan.Project.Medium(name)
		technique := facings.DefaultTechnique(kind)
		out[name] = sheet.Pair{Light: c.Look(c.Lay(light, name, technique, 1)), Dark: c.Look(c.Lay(dark, name, technique, 1))}
	}
	return out, c.Look(dark), c.Look(light)
}

// castings are the jobs of building and lighting every casting of a guide.
func (a *artist) castings() []func() error {
	found := map[string]bool{}
	var jobs []func() error
	for i := range a.plan.Roster.Figures {
		key := fmt.Sprintf("%+v", a.ps.spec(&a.plan.Roster.Figures[i]))
		if found[key] {
			continue
		}
		found[key] = true
		jobs = append(jobs, func() error {
			if _, err := a.side(a.casting(i, Undercoated), standardSide); err != nil {
				return err
			}
			_, err := a.side(a.casting(i, Finished), standardSide) // with its flag
			return err
		})
	}
	return jobs
}

// guideShots draws all pictures of a guide on all processors.
func (a *App) guideShots(ctx context.Context, art *artist) (*sheet.GuideShots, error) {
	plan := art.plan
	span := 0.95 - planShare
	if err := a.inParallel(ctx, "building the castings", planShare, planShare+0.5*span, art.castings()); err != nil {
		return nil, err
	}
	shots := &sheet.GuideShots{Passes: make([]sheet.Shot, len(plan.Order.Passes))}
	views := make([]passView, len(plan.Order.Passes))
	var rest []func() error
	for i := range views {
		rest = append(rest, func() (err error) {
			views[i], err = art.view(&plan.Order.Passes[i])
			return err
		})
	}
	if err := a.inParallel(ctx, "choosing the views", planShare+0.5*span, planShare+0.55*span, rest); err != nil {
		return nil, err
	}
	rest = nil
	for _, list := range alike(views) {
		rest = append(rest, func() error { return art.passes(views, list, shots.Passes) })
	}
	shots.Units = make([]sheet.UnitShots, len(plan.Project.Units))
	for i := range plan.Project.Units {
		rest = append(rest, art.unit(&plan.Project.Units[i], &shots.Units[i])...)
	}
	err := a.inParallel(ctx, "drawing the pictures", planShare+0.55*span, planShare+span, rest)
	return shots, err
}

// inParallel runs jobs on all processors and says how far they are, from one
// share of the whole to another. The first error ends it.
func (a *App) inParallel(ctx context.Context, stage string, from, to float64, jobs []func() error) error {
	var mu sync.Mutex
	var first error
	next, done := 0, 0
	take := func() int {
		mu.Lock()
		defer mu.Unlock()
		if first == nil && ctx.Err() != nil {
			first = ctx.Err()
		}
		if first != nil || next >= len(jobs) {
			return -1
		}
		next++
		return next - 1
	}
	a.progress(stage, from)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		wg.Go(func() {
			for i := take(); i >= 0; i = take() {
				err := jobs[i]()
				mu.Lock()
				if err != nil && first == nil {
					first = err
				}
				done++
				a.progress(stage, from+(to-from)*float64(done)/float64(len(jobs)))
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	return first
}

// A unit as it stands is drawn at standScale pixels per millimetre, every figure
// in a picture of the same size, with standEdge pixels left free.
const (
	standScale = 5.0
	standEdge  = 14
)

// standSize is the size of a picture that holds any figure of a unit, but not
// all of a flag.
func (a *artist) standSize(members []facings.Figure) (width, height int) {
	sin, cos := math.Sincos(standardSide * math.Pi / 180)
	up, down := math.Sincos(eyeLevel * math.Pi / 180)
	for _, f := range members {
		c := a.casting(f.Index, Undercoated)
		if c.err != nil {
			continue
		}
		size := c.mesh.Bounds().Size()
		deep := size.X*sin + size.Y*cos
		width = max(width, int(standScale*(size.X*cos+size.Y*sin)))
		height = max(height, int(standScale*(size.Z*down+deep*up)))
	}
	return min(width, 600) + 2*standEdge, min(height, 600) + 2*standEdge
}

// unit says how to draw the pictures of a unit: the key and the four sides of
// each kind of body in it, and its figures as they stand.
func (a *artist) unit(u *facings.Unit, out *sheet.UnitShots) []func() error {
	var jobs []func() error
	add := func(job func() error) { jobs = append(jobs, job) }
	members := sheet.Members(a.plan.Roster, u.Name)
	for _, figure := range a.typical(u) {
		k := len(out.Bodies)
		out.Bodies = append(out.Bodies, sheet.BodyShots{Figure: figure, Keys: make([]sheet.Shot, 2), Sides: make([]sheet.Shot, 4)})
		add(func() (err error) {
			b := &out.Bodies[k]
			for i, azimuth := range []float64{standardSide, standardSide + 180} {
				if b.Keys[i], b.Names, err = a.key(figure, azimuth); err != nil {
					return err
				}
			}
			return nil
		})
		for i := range 4 {
			add(func() (err error) {
				camera := guideCamera(standardSide + 90*float64(i))
				shots, err := a.finished([]int{figure}, camera, sidePixels, sidePixels)
				if err == nil {
					out.Bodies[k].Sides[i] = shots[0]
					out.Bodies[k].Sides[i].Caption = "from " + sideWords(camera.AzimuthDeg)
				}
				return err
			})
		}
	}
	out.All = len(members)
	members = members[:min(len(members), mostShown)]
	out.Figures = make([]sheet.FigureShot, len(members))
	width, height := a.standSize(members)
	same := map[*castingLight]int{} // which job draws it
	var cast [][]int                // of members
	for i, f := range members {
		c := a.casting(f.Index, Finished)
		k, ok := same[c]
		if !ok {
			k = len(cast)
			same[c], cast = k, append(cast, nil)
		}
		cast[k] = append(cast[k], i)
	}
	for _, list := range cast {
		add(func() error {
			camera := light.Camera{AzimuthDeg: standardSide, ElevationDeg: eyeLevel, Margin: standEdge / float64(height), PixelsPerMM: standScale}
			var figures []int
			for _, i := range list {
				figures = append(figures, members[i].Index)
			}
			shots, err := a.finished(figures, camera, width, height)
			for k, shot := range shots {
				f := members[list[k]]
				shot.Caption = facings.SingleName(f.ID.Role, f.ID.Number)
				out.Figures[list[k]] = sheet.FigureShot{Shot: shot, Rank: f.Rank, File: f.File}
			}
			return err
		})
	}
	return jobs
}

// typical is one figure for each body of a unit: of the role with most figures.
func (a *artist) typical(u *facings.Unit) []int {
	count := map[string]int{}
	for _, r := range u.Roles {
		count[r.Name] = r.Count
	}
	best := map[string]int{}
	var bodies []string
	for _, f := range sheet.Members(a.plan.Roster, u.Name) {
		other, ok := best[f.Body.Name]
		if !ok {
			bodies = append(bodies, f.Body.Name)
		}
		if !ok || count[f.ID.Role] > count[a.plan.Roster.Figures[other].ID.Role] ||
			f.ID.Role == a.plan.Roster.Figures[other].ID.Role && f.ID.Number < a.plan.Roster.Figures[other].ID.Number {
			best[f.Body.Name] = f.Index
		}
	}
	slices.SortStableFunc(bodies, func(x, y string) int {
		return count[a.plan.Roster.Figures[best[y]].ID.Role] - count[a.plan.Roster.Figures[best[x]].ID.Role]
	})
	var out []int
	for _, b := range bodies {
		out = append(out, best[b])
	}
	return out
}
