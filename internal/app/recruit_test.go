package app_test

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/demo"
)

func recruiter() *app.App {
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 4000, Runs: 20}
	if testing.Short() {
		a.Steps, a.Dealing, a.Runs = 100, 2000, 2
	}
	return a
}

// everyRecruit is every body with every headgear and cut, a few figures each.
func everyRecruit() []app.Recruit {
	var out []app.Recruit
	few := []app.RecruitRole{{Role: "officer", Count: 1}, {Role: "standard-bearer", Count: 1}, {Role: "musician", Count: 1}, {Role: "private", Count: 1}}
	for _, body := range []string{facings.BodyFoot, facings.BodyMounted, facings.BodyGun} {
		if body == facings.BodyGun {
			few = []app.RecruitRole{{Role: "gun", Count: 1}, {Role: "gunner", Count: 2}}
		}
		for _, hat := range facings.Headgears() {
			for _, cut := range facings.Cuts() {
				out = append(out, app.Recruit{Body: body, Headgear: hat, Cut: cut, Figures: few, Start: "2027-01-04"})
			}
		}
	}
	return out
}

// What the guided way builds has neither faults nor areas nobody speaks of, and
// every coat of it can be predicted, whatever was chosen.
func TestEveryRecruitIsDressed(t *testing.T) {
	a := recruiter()
	for i, r := range everyRecruit() {
		if testing.Short() && i%29 != 0 {
			continue
		}
		p, text, err := a.Recruit(context.Background(), r)
		if err != nil {
			t.Fatalf("%s, %s, %s: %v", r.Body, r.Headgear, r.Cut, err)
		}
		o, err := a.Read("new.yaml", text)
		if err != nil {
			t.Fatalf("%s, %s, %s: %v", r.Body, r.Headgear, r.Cut, o.Findings)
		}
		for _, f := range o.Findings {
			t.Errorf("%s, %s, %s: %v", r.Body, r.Headgear, r.Cut, f)
		}
		plan, err := a.Coats(context.Background(), o)
		if err != nil {
			t.Fatalf("%s, %s, %s: %v", r.Body, r.Headgear, r.Cut, plan.Findings)
		}
		if len(plan.Coats.Bare) > 0 {
			t.Errorf("%s, %s, %s: bare: %v", r.Body, r.Headgear, r.Cut, plan.Coats.Bare)
		}
		if got := p.Shape(p.Units[0].Body); got.Headgear != r.Headgear || got.Cut != r.Cut {
			t.Errorf("the casting is %v", got)
		}
		if i%29 == 0 { // the checker goes over these
			if _, err := a.Plan(context.Background(), o); err != nil {
				t.Errorf("%s, %s, %s: %v", r.Body, r.Headgear, r.Cut, err)
			}
		}
	}
}

func TestARecruitGetsWhatWasAskedFor(t *testing.T) {
	a := recruiter()
	r := app.Recruit{Name: "Ferry Guard of Oolmstede", Body: facings.BodyMounted, Headgear: "shako", Cut: "laced jacket",
		Figures: []app.RecruitRole{{Role: "officer", Count: 1}, {Role: "standard-bearer", Count: 1}, {Role: "trooper", Count: 6}}, Horses: "black",
		Colours: map[string]string{"coat": "#3f7d64", "facing": "yellow", "lace": "silver", "legwear": "#7d2f52"},
		Flag:    &app.RecruitFlag{Colours: []string{"dark blue", "#f3d420"}}, Evenings: 2, Start: "2027-01-04", ReadyBy: "2027-03-01"}
	p, text, err := a.Recruit(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	u := p.Units[0]
	if u.Name != r.Name || u.Size() != 8 || u.Flag == nil || len(p.Calendar.Painters[0].Sittings[0].Days) != 2 || p.Calendar.ReadyBy != r.ReadyBy {
		t.Errorf("got\n%s", text)
	}
	// Yellow hides little and gets white beneath it; silver lace is metal.
	collar, _ := p.FindFinish(u.Scheme["collar"])
	if len(collar.Coats) != 2 || collar.Coats[0].Paint != "titanium white" {
		t.Errorf("a yellow collar gets %+v", collar.Coats)
	}
	lace, _ := p.FindFinish(u.Scheme["jacket lace"])
	if last := lace.Coats[len(lace.Coats)-1]; last.Paint != "silver" || last.Technique != facings.Line {
		t.Errorf("silver lace gets %+v", lace.Coats)
	}
	// A green that no single paint shows is mixed, and the file says how near.
	jacket, _ := p.FindFinish(u.Scheme["jacket"])
	mix, ok := p.FindMix(jacket.Coats[0].Paint)
	if !ok || len(mix.Parts) > 3 || !strings.Contains(mix.Note, "ΔE") {
		t.Errorf("the jacket gets %+v, %+v", jacket, mix)
	}
	o, err := a.Read("new.yaml", text)
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	for _, f := range plan.Roster.Figures {
		if f.Traits["horse"] != "black" {
			t.Errorf("%s rides a %s", f.ID, f.Traits["horse"])
		}
	}
	again, twice, err := a.Recruit(context.Background(), r)
	if err != nil || !bytes.Equal(text, twice) || again.Name != p.Name {
		t.Error("the same answers gave another file")
	}
}

// A second unit shares what the first has: nothing is there twice.
func TestARecruitJoinsAProject(t *testing.T) {
	a := recruiter()
	first, _, err := a.Recruit(context.Background(), app.Recruit{Body: facings.BodyFoot, Start: "2027-01-04"})
	if err != nil {
		t.Fatal(err)
	}
	both, text, err := a.RecruitInto(context.Background(), first, app.Recruit{Body: facings.BodyFoot, Name: "Neighbours", Cut: "short coat", Colours: map[string]string{"facing": "#1f5c3c"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(first.Units) != 1 || len(both.Units) != 2 || len(both.Traits) != len(first.Traits) {
		t.Errorf("%d and %d units, %d and %d traits", len(first.Units), len(both.Units), len(first.Traits), len(both.Traits))
	}
	if more := len(both.Finishes) - len(first.Finishes); more != 1 {
		t.Errorf("%d finishes more, want the new facings only:\n%s", more, text)
	}
	if both.Units[0].Scheme["jacket"] != both.Units[1].Scheme["jacket"] {
		t.Error("the same coat has two finishes")
	}
	if testing.Short() {
		return
	}
	// Into the demo, whose rack is its own.
	o, err := a.Read("demo.yaml", demoText(t))
	if err != nil {
		t.Fatal(o.Findings)
	}
	into, text, err := a.RecruitInto(context.Background(), o.Project, app.Recruit{Body: facings.BodyMounted, Name: "Late Arrivals", Headgear: "bicorne"})
	if err != nil {
		t.Fatal(err)
	}
	if len(into.Traits) != len(o.Project.Traits) {
		t.Errorf("traits were added to the demo's")
	}
	o2, err := a.Read("demo.yaml", text)
	if err != nil {
		t.Fatal(o2.Findings)
	}
	if plan, err := a.Coats(context.Background(), o2); err != nil {
		t.Error(err, plan.Findings)
	}
}

func TestRecruitFaultsNameTheirPlace(t *testing.T) {
	_, _, err := recruiter().Recruit(context.Background(), app.Recruit{Body: "camel", Headgear: "turban", Evenings: 9,
		Colours: map[string]string{"coat": "dark bleu", "horn": "red"}, Flag: &app.RecruitFlag{}})
	var faults *app.RecruitFaults
	if !errors.As(err, &faults) || !errors.Is(err, app.ErrFaulty) {
		t.Fatalf("got %v", err)
	}
	var paths []string
	for _, f := range faults.Findings {
		paths = append(paths, f.Path)
		if f.Hint == "" || f.Message == "" {
			t.Errorf("%+v says no way out", f)
		}
	}
	want := []string{"/body", "/colours/coat", "/colours/horn", "/evenings_per_week", "/flag/colours", "/headgear"}
	if !slices.Equal(paths, want) {
		t.Errorf("got %v, want %v", paths, want)
	}
	if !strings.Contains(faults.Error(), `"dark blue"`) {
		t.Errorf("no better spelling: %v", faults)
	}
}

// What only the whole project shows to be wrong is told by its answer too.
func TestRecruitFaultsOfTheWholeAreAnswers(t *testing.T) {
	for want, r := range map[string]app.Recruit{
		"/start":         {Body: "gun", Start: "tomorrow"},
		"/ready_by":      {Body: "gun", Start: "2027-05-01", ReadyBy: "2027-04-01"},
		"/zone":          {Body: "gun", Zone: "Yaldermark/Wethelmouth"},
		"/ranks":         {Body: "foot", Ranks: -2},
		"/base/width_mm": {Body: "foot", Base: facings.BaseSize{WidthMM: 900, DepthMM: 20}},
		"/size_mm":       {Body: "gun", SizeMM: 900},
		"/name":          {Body: "gun", Name: " spaced "},
		"/flag/fly_mm":   {Body: "foot", Flag: &app.RecruitFlag{Colours: []string{"red"}, FlyMM: -3, HoistMM: 4}},
	} {
		_, _, err := recruiter().Recruit(context.Background(), r)
		var faults *app.RecruitFaults
		if !errors.As(err, &faults) {
			t.Errorf("%s: %v", want, err)
			continue
		}
		if !slices.ContainsFunc(faults.Findings, func(f facings.Diagnostic) bool { return f.Path == want }) {
			t.Errorf("%s: %+v", want, faults.Findings)
		}
	}
}

// Answers of any kind give a project or faults, never a panic.
func FuzzRecruit(f *testing.F) {
	f.Add("foot", "shako", "tail coat", "coat", "#123456", "trooper", 3, 2, "2027-01-04", "per pale", "red", "mixed")
	f.Add("mounted", "", "", "lace", "gold", "", -1, 9, "x", "", "", "grey")
	f.Fuzz(func(t *testing.T, body, hat, cut, key, colour, role string, count, evenings int, start, division, flag, horses string) {
		r := app.Recruit{Name: role, Body: body, Headgear: hat, Cut: cut, Colours: map[string]string{key: colour}, Horses: horses, Evenings: evenings, Start: start,
			Figures: []app.RecruitRole{{Role: role, Count: count % 5}, {Role: "standard-bearer", Count: 1}}, Flag: &app.RecruitFlag{Division: division, Colours: []string{flag, colour}}}
		p, text, err := recruiter().Recruit(context.Background(), r)
		var faults *app.RecruitFaults
		if err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		}
		if err == nil && (p == nil || len(text) == 0) {
			t.Fatal("neither a project nor faults")
		}
	})
}

func demoText(t *testing.T) []byte {
	t.Helper()
	f, err := demo.Files().Open("demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var b bytes.Buffer
	if _, err := b.ReadFrom(f); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
