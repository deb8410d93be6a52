package app_test

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/store"
)

// desk is the use cases behind the pages over a real database.
func desk(t *testing.T) *app.Desk {
	t.Helper()
	now := func() time.Time { return time.Date(2027, 3, 1, 18, 0, 0, 0, time.UTC) }
	db, err := store.Open(filepath.Join(t.TempDir(), "facings.db"), store.Options{Clock: now})
	if err != nil {
		t.Fatal(err)
	}
	d := app.NewDesk(&app.App{Now: now, Steps: 500, Runs: 2}, db)
	t.Cleanup(func() {
		d.Close()
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

// What a casting may be made of is whole: every ready-made body has areas, each
// of which the catalogue knows or the body sizes itself, and nothing is null.
func TestBodiesAreWhole(t *testing.T) {
	b := desk(t).Bodies()
	var names []string
	for _, body := range b.Bodies {
		names = append(names, body.Name)
		if len(body.Areas) == 0 {
			t.Errorf("%s has no areas", body.Name)
		}
		for _, a := range body.Areas {
			if a.AreaMM2 <= 0 || a.Fiddly <= 0 {
				t.Errorf("%s: the %s has %v mm², fiddly %v", body.Name, a.Name, a.AreaMM2, a.Fiddly)
			}
		}
	}
	if !slices.Contains(names, facings.BodyFoot) || !slices.Contains(names, facings.BodyMounted) || !slices.Contains(names, facings.BodyGun) {
		t.Errorf("bodies: %q", names)
	}
	seen := map[string]bool{}
	for _, a := range b.Catalogue {
		if seen[a.Name] || a.Name == "" || a.AreaMM2 <= 0 {
			t.Errorf("the catalogue has %+v", a)
		}
		seen[a.Name] = true
	}
	if len(b.Headgears) == 0 || len(b.Cuts) == 0 {
		t.Errorf("headgears %q, cuts %q", b.Headgears, b.Cuts)
	}
}

// A unit led in by the guided way joins a project that somebody wrote by hand,
// whose comments stay; one edit takes it back.
func TestAUnitJoinsByTheGuidedWay(t *testing.T) {
	d := desk(t)
	head, err := d.Create(t.Context(), app.NewProject{From: "starter"})
	if err != nil {
		t.Fatal(err)
	}
	before, _, err := d.Text(t.Context(), head.Kept.ID)
	if err != nil {
		t.Fatal(err)
	}
	edit := app.Edit{ID: head.Kept.ID, Base: head.Revision, Why: "a second unit"}
	joined, err := d.Recruit(t.Context(), edit, app.Recruit{Name: "Late Arrivals", Body: facings.BodyFoot, Colours: map[string]string{"facing": "#1f5c3c"}})
	if mistake := (*app.Mistake)(nil); errors.As(err, &mistake) {
		t.Fatal(err, mistake.Findings)
	} else if err != nil {
		t.Fatal(err)
	}
	if n := len(joined.Project.Units); n != len(head.Project.Units)+1 || joined.Project.Units[n-1].Name != "Late Arrivals" || joined.Findings.Faulty() {
		t.Errorf("%d units after %d, findings %v", n, len(head.Project.Units), joined.Findings)
	}
	after, _, err := d.Text(t.Context(), head.Kept.ID)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(before)) {
		if _, comment, ok := strings.Cut(line, "# "); ok && !strings.Contains(string(after), comment) {
			t.Errorf("a comment is gone: %s", comment)
		}
	}

	// Answers that cannot be taken are findings, and nothing is kept; an answer to
	// an older revision comes too late.
	edit.Base = joined.Revision
	var mistake *app.Mistake
	if _, err := d.Recruit(t.Context(), edit, app.Recruit{Name: "Late Arrivals", Body: "boat"}); !errors.As(err, &mistake) || len(mistake.Findings) != 2 {
		t.Errorf("a boat of a name that is taken: %v", err)
	}
	edit.Base = head.Revision
	var late *app.LateEdit
	if _, err := d.Recruit(t.Context(), edit, app.Recruit{Name: "Others", Body: facings.BodyFoot}); !errors.As(err, &late) || late.Current.Revision != joined.Revision {
		t.Errorf("an edit of revision %d: %v", head.Revision, err)
	}
	edit.Base = joined.Revision
	back, err := d.Undo(t.Context(), edit)
	if err != nil || len(back.Project.Units) != len(head.Project.Units) {
		t.Errorf("after undo: %v", err)
	}
}

const thinPaint = `facings: 1
name: thin paint
undercoat: {dark: black primer, light: white primer}
prepare: false
rack:
  black primer: {kind: primer, like: black primer, can: true}
  white primer: {kind: primer, like: white primer, can: true}
  weak yellow: {kind: opaque, over_white: "#f2e24c", over_black: "#3a3a10"}
  dense brown: {kind: opaque, over_white: "#7d4f2e", over_black: "#744729"}
  lake: {kind: translucent, over_white: "#c03050", over_black: "#180408"}
finishes: {}
units:
  First:
    body: foot
    figures: {private: 1}
    scheme: {jacket: weak yellow, breeches: dense brown, turnbacks: lake}
calendar: {start: 2027-03-01}
`

// An opaque paint whose swatch differs over black and white shows the undercoat
// through; one whose swatch is nearly alike does not. A translucent one darkens
// where little of the light undercoat arrives.
func TestDoubtfulCoverIsSaid(t *testing.T) {
	d := desk(t)
	head, err := d.Create(t.Context(), app.NewProject{From: "text", Text: thinPaint})
	if err != nil {
		t.Fatal(err)
	}
	c, err := d.Colours(t.Context(), head.Kept.ID, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range c.Areas {
		switch a.Area {
		case "jacket":
			if a.Cover == nil || a.Cover.Kind != "shows-through" || a.Cover.Paint != "weak yellow" || a.Cover.Dark != a.Ramp[0] || a.Cover.Light != a.Ramp[15] || a.Cover.DeltaE < 20 {
				t.Errorf("weak yellow: %+v", a.Cover)
			}
		case "breeches":
			if a.Cover != nil {
				t.Errorf("dense brown: %+v", a.Cover)
			}
		case "turnbacks":
			if a.Exposure < 0.6 && (a.Cover == nil || a.Cover.Kind != "over-dark" || a.Cover.Dark != a.Look.Hex) {
				t.Errorf("lake at an exposure of %.2f: %+v", a.Exposure, a.Cover)
			}
		}
	}
}

// A plan made on the terminal is the pages' first, and is not made again.
func TestThePlanOfTheTerminalIsKept(t *testing.T) {
	now := func() time.Time { return time.Date(2027, 3, 1, 18, 0, 0, 0, time.UTC) }
	a := &app.App{Now: now, Steps: 500, Runs: 2}
	o, err := a.Read("x.yaml", []byte(thinPaint))
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Plan(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	plan.Order.FinishP50 = "2099-01-01" // what no planning would say
	d := desk(t)
	head, err := d.Import(t.Context(), "", "", []byte(thinPaint))
	if err != nil {
		t.Fatal(err)
	}
	if err := d.KeepPlan(t.Context(), head.Kept.ID, plan); err != nil {
		t.Fatal(err)
	}
	for {
		p, err := d.Plan(t.Context(), head.Kept.ID)
		if err != nil {
			t.Fatal(err)
		}
		if p.State == app.PlanWorking || p.Stale {
			time.Sleep(10 * time.Millisecond)
			continue
		}
		if p.State != app.PlanReady || p.Order.FinishP50 != "2099-01-01" {
			t.Errorf("%s, planned anew: finish %s", p.State, p.Order.FinishP50)
		}
		return
	}
}
