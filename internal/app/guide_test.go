package app

import (
	"bytes"
	"context"
	"encoding/base64"
	"image"
	"image/color"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"facings"
	"facings/internal/light"
	"facings/internal/sheet"
)

// oneMan is in a few colours, with something on his back.
const oneMan = `facings: 1
name: One man
undercoat: {dark: black primer, light: white primer}
prepare: false
rack:
  black primer: {kind: primer, like: black primer, can: true}
  white primer: {kind: primer, like: white primer, can: true}
  glass blue: {kind: translucent, over_white: "#1f3a74", over_black: "#10162a"}
  scarlet: {kind: opaque, like: scarlet}
  saddle brown: {kind: opaque, over_white: "#7d4f2e", over_black: "#744729"}
mixes:
  plum: {glass blue: 2, scarlet: 1}
finishes: {}
units:
  First:
    body: foot
    figures: {private: 1}
    scheme: {jacket: glass blue, breeches: plum, collar: scarlet, pack: saddle brown}
calendar: {start: 2027-01-04}
`

func oneManPlan(t testing.TB) (*App, *Plan) {
	t.Helper()
	a := &App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Runs: 1}
	o, err := a.Read("one.yaml", []byte(oneMan))
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	return a, plan
}

// The guide's samples and steps show what the plan predicts, digit for digit;
// progress ends at 1, and drawn twice the pictures are the same, byte for byte.
func TestGuideShowsWhatIsPredicted(t *testing.T) {
	skipDrawing(t)
	a, plan := oneManPlan(t)
	last := 0.0
	a.Progress = func(_ string, share float64) {
		if share < last-1e-9 {
			t.Errorf("progress falls from %g to %g", last, share)
		}
		last = share
	}
	make := func(name string) []byte {
		last = 0
		files, err := a.GuideOf(context.Background(), plan, GuideOptions{SheetOptions: SheetOptions{Out: name}})
		if err != nil {
			t.Fatal(err)
		}
		return files[0].Data
	}
	page := string(make("guide.html"))
	if last != 1 {
		t.Errorf("progress ends at %g", last)
	}
	c := plan.colours
	for name := range c.films {
		_, kind, _, _ := plan.Project.Medium(name)
		if name == "black primer" || name == "white primer" { // undercoats have a sample of their own
			continue
		}
		for _, exposure := range []float64{0, 1} {
			if _, mixed := plan.Project.FindMix(name); mixed && exposure == 0 {
				continue // a mix has one sample, in the light
			}
			want := c.Look(c.Lay(c.Undercoat(exposure), name, facings.DefaultTechnique(kind), 1))
			if !strings.Contains(page, name) || !strings.Contains(page, "background:"+want.Hex) || !strings.Contains(page, strings.ToLower(want.Name)) {
				t.Errorf("%s over the undercoat at %g should show %s, %s", name, exposure, want.Hex, want.Name)
			}
		}
	}
	for _, pass := range plan.Order.Passes {
		if pass.Look.Hex != "" && !strings.Contains(page, "background:"+pass.Look.Hex) {
			t.Errorf("pass %d does not show %s", pass.Number, pass.Look.Hex)
		}
	}
	pdf := make("guide.pdf")
	if !bytes.HasPrefix(pdf, []byte("%PDF-1")) {
		t.Errorf("no PDF: %.20q", pdf)
	}
	pictures := 0
	for _, part := range strings.Split(page, "data:image/jpeg;base64,")[1:] {
		text, _, _ := strings.Cut(part, "\"")
		data, err := base64.StdEncoding.DecodeString(strings.ReplaceAll(text, "&#43;", "+"))
		if err != nil {
			t.Fatal(err)
		}
		pictures++
		if !bytes.Contains(pdf, data) {
			t.Error("a picture drawn for the page differs from the one drawn for the PDF")
		}
	}
	if pictures < len(plan.Order.Passes) {
		t.Errorf("%d pictures for %d passes", pictures, len(plan.Order.Passes))
	}
	a.Progress = nil
	if _, err := a.GuideOf(context.Background(), plan, GuideOptions{SheetOptions: SheetOptions{Out: "guide.doc"}}); err == nil || !strings.Contains(err.Error(), ".pdf or .html") {
		t.Errorf("guide.doc: %v", err)
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err := a.GuideOf(stopped, plan, GuideOptions{SheetOptions: SheetOptions{Out: "guide.pdf"}}); err == nil {
		t.Error("a guide that was called off was made")
	}
}

// A guide whose castings are built beside the search for the order is that of its
// plan, byte for byte.
func TestGuideBesideItsPlan(t *testing.T) {
	skipDrawing(t)
	a, plan := oneManPlan(t)
	o, err := a.Read("one.yaml", []byte(oneMan))
	if err != nil {
		t.Fatal(err)
	}
	opt := GuideOptions{SheetOptions: SheetOptions{Out: "guide.pdf"}}
	also, files, err := a.Guide(context.Background(), o, opt)
	if err != nil || also.Order == nil {
		t.Fatal(err)
	}
	alone, err := a.GuideOf(context.Background(), plan, opt)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(files[0].Data, alone[0].Data) {
		t.Error("made beside its plan the guide is another")
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := a.Guide(stopped, o, opt); err == nil {
		t.Error("a guide that was called off was made")
	}
}

// Every pass is shown from a side where its areas are seen, at least as well as
// from the front: a pack is shown from behind.
func TestGuideShowsWhereItIs(t *testing.T) {
	skipDrawing(t)
	_, plan := oneManPlan(t)
	art := newArtist(plan)
	packs := 0
	for i := range plan.Order.Passes {
		pass := &plan.Order.Passes[i]
		v, err := art.view(pass)
		if err != nil {
			t.Fatal(err)
		}
		if v.active == nil {
			continue
		}
		count := func(azimuth float64) int {
			seen, err := art.seen(art.casting(v.figure, pass.Number), azimuth)
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			for _, l := range v.active {
				n += seen[l].Samples
			}
			return n
		}
		chosen, front := count(v.camera.AzimuthDeg), count(standardSide)
		if chosen == 0 || chosen < front {
			t.Errorf("pass %d (%s, %v): %d samples seen from %g°, %d from the front", pass.Number, pass.Medium, pass.Areas, chosen, v.camera.AzimuthDeg, front)
		}
		if len(v.areas) == 1 && v.areas[0] == "pack" {
			packs++
			if az := v.camera.AzimuthDeg; az < 90 || az > 270 {
				t.Errorf("the pack is shown from %g°", az)
			}
		}
	}
	if packs == 0 {
		t.Error("no pass paints the pack alone")
	}
}

// skipDrawing leaves out what draws or measures finely built castings, a minute
// of work under the race detector.
func skipDrawing(t *testing.T) {
	if testing.Short() {
		t.Skip("builds fine castings")
	}
}

// Several hands may ask one artist for the same sides at once, and see the same.
func TestAnArtistServesSeveral(t *testing.T) {
	_, plan := oneManPlan(t)
	art := newArtist(plan)
	art.ps.studio.coarse = 6
	var wg sync.WaitGroup
	var seen [4][]light.Extent
	for i := range seen {
		wg.Go(func() {
			for _, azimuth := range []float64{standardSide, 215} {
				s, err := art.seen(art.casting(0, Finished), azimuth)
				if err != nil || len(s) == 0 {
					t.Errorf("from %g°: %d areas, %v", azimuth, len(s), err)
				}
				seen[i] = append(seen[i], s...)
			}
		})
	}
	wg.Wait()
	for _, s := range seen[1:] {
		if !slices.Equal(s, seen[0]) {
			t.Error("two hands see different things")
		}
	}
	// Its key is drawn of the same casting: to build another takes as long again.
	d, _, err := art.ps.keyDrawing(0, guideCamera(standardSide), keyPixels, keyPixels)
	if err != nil || d.Mesh != art.casting(0, Finished).mesh {
		t.Errorf("the key is of another casting (%v)", err)
	}
}

// A close-up keeps what is under way inside the picture and never comes nearer
// than so that the figure can be told.
func TestCloseUpHoldsWhatIsUnderWay(t *testing.T) {
	for _, box := range []light.Extent{{Samples: 9, X0: 0.4, X1: 0.44, Y0: 0.05, Y1: 0.1}, {Samples: 9, X0: 0.1, X1: 0.3, Y0: 0.7, Y1: 0.98}, {Samples: 9, X0: 0.05, X1: 0.95, Y0: 0.1, Y1: 0.9}} {
		c := closeUp(guideCamera(0), []light.Extent{{}, box}, []uint16{1})
		if c.Close == nil {
			if box.X1-box.X0 < 0.5 {
				t.Errorf("%+v is not shown nearer", box)
			}
			continue
		}
		half := 0.5 / c.Close.Times
		if box.X0 < c.Close.X-half-1e-9 || box.X1 > c.Close.X+half+1e-9 || box.Y0 < c.Close.Y-half-1e-9 || box.Y1 > c.Close.Y+half+1e-9 || c.Close.Times > 3 {
			t.Errorf("%+v does not fit into %+v", box, *c.Close)
		}
	}
}

// Passes that are shown the same way are drawn together, each as it looks when
// drawn alone; those shown in another way are not among them.
func TestPassesDrawnTogether(t *testing.T) {
	_, plan := oneManPlan(t)
	art := newArtist(plan)
	art.ps.studio.coarse = 6
	var views []passView
	for i := range plan.Order.Passes {
		v, err := art.view(&plan.Order.Passes[i])
		if err != nil {
			t.Fatal(err)
		}
		views = append(views, v)
	}
	together, drawn := make([]sheet.Shot, len(views)), 0
	groups := alike(views)
	for _, list := range groups {
		if err := art.passes(views, list, together); err != nil {
			t.Fatal(err)
		}
		drawn += len(list)
	}
	if drawn != len(views) || len(groups) == drawn || len(groups) == 1 {
		t.Errorf("%d passes in %d groups, of %d", drawn, len(groups), len(views))
	}
	alone := make([]sheet.Shot, len(views))
	for i := range views {
		if err := art.passes(views, []int{i}, alone); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(alone[i].Data, together[i].Data) || alone[i].Alt != together[i].Alt {
			t.Errorf("pass %d looks different among others", i+1)
		}
	}
}

// White above and below a drawing is cut away, and nothing of the drawing.
func TestDrawingsWithoutWhite(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, keyPixels, keyPixels))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	if got := withoutWhite(img).Rect; got != img.Rect {
		t.Errorf("a white sheet is cut to %v", got)
	}
	img.Set(3, 200, color.NRGBA{A: 255})
	img.Set(300, 420, color.NRGBA{254, 255, 255, 255})
	if got := withoutWhite(img).Rect; got.Dx() != keyPixels || got.Min.Y > 200 || got.Max.Y < 421 || got.Dy() > 221+keyPixels/15 {
		t.Errorf("cut to %v", got)
	}
	img.Set(0, 0, color.NRGBA{A: 255})
	img.Set(0, keyPixels-1, color.NRGBA{A: 255})
	if got := withoutWhite(img).Rect; got != img.Rect {
		t.Errorf("a full sheet is cut to %v", got)
	}
}
