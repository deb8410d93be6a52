package app

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"slices"
	"strings"
	"sync"

	"facings"
	"facings/internal/colour"
	"facings/internal/light"
	"facings/internal/pigment"
	"facings/internal/sheet"
)

// artist draws the pictures of a guide. Castings are built coarser than for a
// screen, since no picture of a guide is large, and each side of a casting is
// lit once for all its pictures. Safe for use from several goroutines.
type artist struct {
	plan *Plan
	ps   *Pictures
	mu   sync.Mutex
	lit  map[side]*litSide
	free []*light.Easel
}

// side is a casting seen from one azimuth, in degrees.
type side struct {
	casting *castingLight
	azimuth float64
}

type litSide struct {
	once  sync.Once
	stage *light.Stage
	seen  []light.Extent // of a small picture, by label
	err   error
}

const (
	guideCoarse  = 1.6
	passPixels   = 440 // edge of a pass's picture
	smallPixels  = 320 // and of a pass on few figures
	sidePixels   = 440
	keyPixels    = 620
	surveyPixels = 80 // edge of the small pictures that sides are compared by
	jpegQuality  = 88
	keepLook     = 0.5  // of what is not under way: its state so far can be told
	standardSide = 35.0 // the usual view: from the front, a little from the figure's right
	eyeLevel     = 13.0
)

// guideSides are the azimuths a pass may be shown from, the usual one first.
func guideSides() []float64 { return []float64{standardSide, 325, 80, 280, 125, 235, 170, 215} }

func newArtist(plan *Plan) *artist {
	ps := NewPictures(plan)
	ps.studio.coarse = guideCoarse
	ps.studio.lit = newCache(facings.MaxFigures, func(*castingLight) int { return 1 }) // none is to be built twice
	ps.studio.own = newCache(facings.MaxFigures, func(*castingLight) int { return 1 })
	return &artist{plan: plan, ps: ps, lit: map[side]*litSide{}}
}

// casting is the casting that shows a figure after so many passes.
func (a *artist) casting(figure, passes int) *castingLight {
	return a.ps.bearing(View{Figure: figure, Passes: passes})
}

func guideCamera(azimuth float64) light.Camera {
	return light.Camera{AzimuthDeg: azimuth, ElevationDeg: eyeLevel, Margin: 0.03}
}

// guideStudio is the bench with fewer rays, enough for small pictures.
func guideStudio() light.Studio {
	s := light.Bench()
	s.SkyDirections, s.KeyDirections = 36, 8
	return s
}

// side lights a casting for one side. All sides share what the sky gives.
func (a *artist) side(c *castingLight, azimuth float64) (*litSide, error) {
	if c.err != nil {
		return nil, c.err
	}
	get := func(azimuth float64) *litSide {
		a.mu.Lock()
		defer a.mu.Unlock()
		k := side{c, azimuth}
		if a.lit[k] == nil {
			a.lit[k] = &litSide{}
		}
		return a.lit[k]
	}
	first := get(standardSide)
	first.once.Do(func() {
		first.stage, first.err = light.NewStage(light.Scene{Mesh: c.mesh, Camera: guideCamera(standardSide), Studio: guideStudio(),
			Width: passPixels, Height: passPixels, GroundShadow: true, ByVertex: true})
	})
	s := get(azimuth)
	s.once.Do(func() {
		if s.err = first.err; s.err == nil {
			s.stage = first.stage.From(guideCamera(azimuth))
		}
	})
	return s, s.err
}

// seen is what can be seen of each label from a side.
func (a *artist) seen(c *castingLight, azimuth float64) ([]light.Extent, error) {
	if c.err != nil {
		return nil, c.err
	}
	a.mu.Lock()
	k := side{c, -1 - azimuth}
	s := a.lit[k]
	if s == nil {
		s = &litSide{}
		a.lit[k] = s
	}
	a.mu.Unlock()
	s.once.Do(func() {
		var lit *litSide
		if lit, s.err = a.side(c, standardSide); s.err == nil {
			s.seen, s.err = lit.stage.Seen(guideCamera(azimuth), surveyPixels, surveyPixels)
		}
	})
	return s.seen, s.err
}

// easel lends an easel; it is to be given back.
func (a *artist) easel() (e *light.Easel, back func()) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if n := len(a.free); n > 0 {
		e, a.free = a.free[n-1], a.free[:n-1]
	} else {
		e = &light.Easel{}
	}
	return e, func() {
		a.mu.Lock()
		defer a.mu.Unlock()
		a.free = append(a.free, e)
	}
}

// scene is a casting seen by a camera, for pictures of one size that are drawn one
// after another.
type scene struct {
	casting *castingLight
	stage   *light.Stage
	easel   *light.Easel
	w, h    int
}

// scene points a camera at a casting. Its easel is to be given back.
func (a *artist) scene(c *castingLight, camera light.Camera, width, height int) (s scene, back func(), err error) {
	lit, err := a.side(c, camera.AzimuthDeg)
	if err != nil {
		return s, func() {}, err
	}
	stage, err := lit.stage.At(camera, width, height)
	if err != nil {
		return s, func() {}, err
	}
	easel, back := a.easel()
	return scene{c, stage, easel, width, height}, back, nil
}

// draw draws the casting painted so.
func (s *scene) draw(p light.Paint) (sheet.Shot, error) {
	p.Background = &colour.Linear{R: 1, G: 1, B: 1}
	img, err := s.easel.Draw(s.stage, p)
	if err != nil {
		return sheet.Shot{}, err
	}
	flat := img.NRGBA()
	// What is opaque is the same with its alpha multiplied in, which is written
	// a good deal faster.
	opaque := &image.RGBA{Pix: flat.Pix, Stride: flat.Stride, Rect: flat.Rect}
	var b bytes.Buffer
	err = jpeg.Encode(&b, opaque, &jpeg.Options{Quality: jpegQuality})
	return sheet.Shot{Data: b.Bytes(), W: s.w, H: s.h}, err
}

// finished draws figures with all their paint, all as the same casting.
func (a *artist) finished(figures []int, camera light.Camera, width, height int) ([]sheet.Shot, error) {
	c := a.casting(figures[0], Finished)
	s, back, err := a.scene(c, camera, width, height)
	defer back()
	if err != nil {
		return nil, err
	}
	out := make([]sheet.Shot, len(figures))
	for i, f := range figures {
		if out[i], err = s.draw(a.ps.paint(c, View{Figure: f, Passes: Finished})); err != nil {
			return nil, err
		}
		out[i].Alt = fmt.Sprintf("%s, finished, from %s: %s", a.plan.Roster.Figures[f].ID, sideWords(camera.AzimuthDeg), a.lookWords(f))
	}
	return out, nil
}

// lookWords names what a figure's larger areas will show.
func (a *artist) lookWords(figure int) string {
	type area struct {
		name, look string
		mm2        float64
	}
	var list []area
	for _, t := range a.plan.Coats.Tasks {
		if t.Figure != figure || t.Stage != facings.StagePaint || t.Look.Name == "" {
			continue
		}
		spec, _ := a.plan.Roster.Figures[figure].Body.Area(t.Area)
		if i := slices.IndexFunc(list, func(x area) bool { return x.name == t.Area }); i >= 0 {
			list[i].look = t.Look.Name
		} else {
			list = append(list, area{t.Area, t.Look.Name, float64(spec.AreaMM2)})
		}
	}
	slices.SortStableFunc(list, func(x, y area) int { return cmp.Compare(y.mm2, x.mm2) })
	var words []string
	for _, x := range list[:min(6, len(list))] {
		words = append(words, x.name+" "+strings.ToLower(x.look))
	}
	return strings.Join(words, ", ")
}

// passView is how a pass is shown: on which figure, from which side and how near.
type passView struct {
	figure  int
	casting *castingLight
	camera  light.Camera
	pixels  int      // edge of the picture
	areas   []string // that the pass paints on the figure; nil for all of it
	active  []uint16 // their labels
}

// view finds the figure and the side that show most of what a pass paints. Small
// areas count for more than their size, so that all are seen rather than one
// well; the usual side and the common soldier are kept to where others show
// little more.
func (a *artist) view(pass *facings.Pass) (passView, error) {
	if len(pass.Figures) == 0 {
		return passView{}, fmt.Errorf("pass %d paints no figure", pass.Number)
	}
	areas := map[int][]string{}
	for _, t := range pass.Tasks {
		task := &a.plan.Coats.Tasks[t]
		areas[task.Figure] = append(areas[task.Figure], task.Area)
	}
	pixels := passPixels
	if sheet.IsSmall(pass) {
		pixels = smallPixels
	}
	best, found := passView{}, -1.0
	tried := map[string]bool{}
	for _, f := range pass.Figures {
		c := a.casting(f, shownAfter(pass))
		if c.err != nil {
			return best, c.err
		}
		slices.Sort(areas[f])
		here := slices.Compact(areas[f])
		key := fmt.Sprintf("%p %q", c, here)
		if tried[key] {
			continue
		}
		tried[key] = true
		v := passView{figure: f, casting: c, camera: guideCamera(standardSide), pixels: pixels}
		if !slices.Contains(here, facings.WholeFigure) {
			v.areas = here
			v.active = labelNumbers(c.mesh, here)
		}
		liking := 1.0
		if facings.IsCommand(a.plan.Roster.Figures[f].ID.Role) {
			liking = 0.9
		}
		if v.active == nil {
			if liking > found {
				best, found = v, liking
			}
			continue
		}
		for i, azimuth := range guideSides() {
			seen, err := a.seen(c, azimuth)
			if err != nil {
				return best, err
			}
			score := liking * showing(seen, v.active, i == 0)
			if score > found {
				v.camera = closeUp(guideCamera(azimuth), seen, v.active)
				best, found = v, score
			}
		}
	}
	return best, nil
}

// closeUp comes so near that what is under way fills a good part of the picture,
// and never so near that nobody can tell where on the figure it is.
func closeUp(c light.Camera, seen []light.Extent, active []uint16) light.Camera {
	const fill, nearest, worthwhile = 0.62, 2.8, 1.15
	box := light.Extent{X0: 1, Y0: 1}
	for _, l := range active {
		if e := seen[l]; e.Samples > 0 {
			box.X0, box.Y0, box.X1, box.Y1 = min(box.X0, e.X0), min(box.Y0, e.Y0), max(box.X1, e.X1), max(box.Y1, e.Y1)
		}
	}
	size := max(box.X1-box.X0, box.Y1-box.Y0)
	if size <= 0 {
		return c
	}
	times := min(fill/size, nearest)
	if times < worthwhile {
		return c
	}
	half := 0.5 / times
	middle := func(a, b float64) float64 { return min(max((a+b)/2, half), 1-half) }
	c.Close = &light.Frame{X: middle(box.X0, box.X1), Y: middle(box.Y0, box.Y1), Times: times}
	return c
}

// alike lists which passes are shown the same way.
func alike(views []passView) [][]int {
	type key struct {
		casting *castingLight
		azimuth float64
		close   light.Frame
		pixels  int
	}
	at := map[key]int{}
	var out [][]int
	for i, v := range views {
		k := key{casting: v.casting, azimuth: v.camera.AzimuthDeg, pixels: v.pixels}
		if v.camera.Close != nil {
			k.close = *v.camera.Close
		}
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k], out = n, append(out, nil)
		}
		out[n] = append(out[n], i)
	}
	return out
}

// passes draws passes that are shown the same way, each into its place.
func (a *artist) passes(views []passView, list []int, out []sheet.Shot) error {
	v := views[list[0]]
	s, back, err := a.scene(v.casting, v.camera, v.pixels, v.pixels)
	defer back()
	for _, i := range list {
		if err == nil {
			out[i], err = a.pass(&s, &a.plan.Order.Passes[i], views[i])
		}
	}
	return err
}

// pass draws the figure of a pass as it stands when the pass is done, what is
// under way outlined.
func (a *artist) pass(s *scene, pass *facings.Pass, v passView) (sheet.Shot, error) {
	after := shownAfter(pass)
	p := a.ps.paint(v.casting, View{Figure: v.figure, Passes: after, Underway: pass.Number, Keep: keepLook})
	p.Active = v.active
	state := "after pass " + fmt.Sprint(pass.Number)
	switch {
	case pass.Stage == facings.StagePrepare:
		state = "bare casting"
	case pass.Stage == facings.StageUndercoat && a.ps.firstUndercoat(pass):
		state = "undercoat " + a.plan.colours.Look(&surface{inner: a.plan.colours.dark, top: pigment.Matt()}).Name
	case pass.Stage == facings.StageUndercoat:
		state = "undercoat with the light from above"
	case after == Finished:
		state = "as it will be"
	}
	shot, err := s.draw(p)
	id := a.plan.Roster.Figures[v.figure].ID
	shot.Caption = id.String()
	shot.Alt = fmt.Sprintf("%s, from %s, %s", id, sideWords(v.camera.AzimuthDeg), state)
	if v.areas != nil {
		shot.Alt += "; under way: " + a.underWay(pass, v)
	}
	return shot, err
}

// shownAfter is how many passes are done in a pass's picture: its own is. A flag
// that is being made is shown as it will fly.
func shownAfter(pass *facings.Pass) int {
	if pass.Stage == facings.StageMakeFlag {
		return Finished
	}
	return pass.Number
}

// underWay names areas and what they show.
func (a *artist) underWay(pass *facings.Pass, v passView) string {
	var words []string
	for _, t := range pass.Tasks {
		if task := &a.plan.Coats.Tasks[t]; task.Figure == v.figure {
			words = append(words, strings.TrimSpace(task.Area+" "+strings.ToLower(task.Look.Name)))
		}
	}
	return strings.Join(words, ", ")
}

// key draws a figure's areas with their numbers from two sides.
func (a *artist) key(figure int, azimuth float64) (sheet.Shot, []string, error) {
	d, names, err := a.ps.keyDrawing(figure, guideCamera(azimuth), keyPixels, keyPixels)
	if err != nil {
		return sheet.Shot{}, nil, err
	}
	sheet.InCatalogueOrder(names)
	for i := range d.Callouts {
		d.Callouts[i].Text = fmt.Sprint(1 + slices.Index(names, d.Mesh.Labels[d.Callouts[i].Label]))
	}
	d.TextPixels = keyPixels / 28
	img, hidden, err := light.DrawLines(d)
	if err != nil {
		return sheet.Shot{}, nil, err
	}
	cut := withoutWhite(img.NRGBA())
	var b bytes.Buffer
	err = png.Encode(&b, cut)
	var shown []string
	for i, name := range names {
		if !slices.ContainsFunc(hidden, func(c light.Callout) bool { return c.Text == fmt.Sprint(i+1) }) {
			shown = append(shown, fmt.Sprintf("%d %s", i+1, name))
		}
	}
	return sheet.Shot{Data: b.Bytes(), W: cut.Rect.Dx(), H: cut.Rect.Dy(), Caption: "from " + sideWords(azimuth),
		Alt: fmt.Sprintf("areas of %s from %s: %s", a.plan.Roster.Figures[figure].ID, sideWords(azimuth), strings.Join(shown, ", "))}, names, err
}

// withoutWhite cuts the white above and below a drawing away but for a little: a
// gun is far wider than it is high.
func withoutWhite(img *image.NRGBA) *image.NRGBA {
	const edge = keyPixels / 40
	inked := func(y int) bool {
		row := img.Pix[img.PixOffset(img.Rect.Min.X, y):img.PixOffset(img.Rect.Max.X, y)]
		return slices.ContainsFunc(row, func(v uint8) bool { return v != 255 })
	}
	top, foot := img.Rect.Min.Y, img.Rect.Max.Y
	for top < foot && !inked(top) {
		top++
	}
	for foot > top && !inked(foot-1) {
		foot--
	}
	if top == foot {
		return img
	}
	return img.SubImage(image.Rect(img.Rect.Min.X, top-edge, img.Rect.Max.X, foot+edge)).(*image.NRGBA)
}

// sideWords says where the camera stands.
func sideWords(azimuth float64) string {
	words := []string{"the front", "the front, to its right", "its right", "the back, to its right", "the back", "the back, to its left", "its left", "the front, to its left"}
	return words[int(math.Round(azimuth/45))%8]
}
