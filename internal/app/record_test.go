package app_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/projectfile"
)

// More figures of a unit get, coat for coat, what the log says the first ones
// got: the two projects predict the same colours on the areas that were painted
// by the file, and the new paint's where another was used.
func TestMoreOfAUnitMatchesIt(t *testing.T) {
	ctx := context.Background()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Coats(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	var log []facings.Entry
	for i, task := range plan.Coats.Tasks {
		e := facings.Entry{ID: string(rune(i + 1)), Kind: facings.EntryDone, At: time.Date(2027, 1, 5, 20, 0, i, 0, time.UTC), Tasks: []facings.TaskKey{facings.KeyOf(plan.Roster, task)}}
		switch {
		case task.Area == "collar":
			e.Used = &facings.Used{Medium: "dark green"}
		case task.Area == "hair" && task.Medium == "fair hair brown":
			e.Used = &facings.Used{Medium: task.Medium, Mix: []facings.Part{{Paint: "yellow ochre", Parts: 1}, {Paint: "burnt umber", Parts: 3}}}
		}
		log = append(log, e)
	}
	before := string(projectfile.Starter())
	more, err := a.More(ctx, o, log, "Third Foot", 5, nil)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := projectfile.Marshal(o.Project); err != nil || strings.Contains(string(again), "as painted") || before != string(projectfile.Starter()) {
		t.Error("the first project was changed")
	}
	fresh, err := a.Read("more.yaml", more.Text)
	if err != nil {
		t.Fatal(fresh.Findings)
	}
	next, err := a.Coats(ctx, fresh)
	if err != nil {
		t.Fatal(err, next.Findings)
	}
	last := func(p *app.Plan, role string) map[string]facings.Task {
		out := map[string]facings.Task{}
		for _, task := range p.Coats.Tasks {
			if id := p.Roster.Figures[task.Figure].ID; id.Role == role && id.Number == 1 {
				out[task.Area] = task
			}
		}
		return out
	}
	was, is := last(plan, "private"), last(next, "private")
	for area, task := range was {
		switch got := is[area]; {
		case area == "collar":
			if got.Medium != "dark green" {
				t.Errorf("the collar gets %s, really it got dark green", got.Medium)
			}
		case area != "hair" && (got.Medium != task.Medium || got.Look != task.Look):
			t.Errorf("%s: %s shows %s, before %s showed %s", area, got.Medium, got.Look.Hex, task.Medium, task.Look.Hex)
		}
	}
	if m, ok := more.Project.FindMix("fair hair brown as mixed"); !ok || m.Parts[0].Parts != 1 {
		t.Errorf("the mix as made is %v", m)
	}
	if len(next.Roster.Figures) != 5 || next.Roster.Figures[0].ID.Role != "private" {
		t.Errorf("figures: %v", next.Roster.Figures[0].ID)
	}
	// An entry undone was never laid.
	log = append(log, facings.Entry{ID: "u", Kind: facings.EntryUndo, Undoes: log[0].ID})
	key := log[0].Tasks[0]
	for _, u := range a.Record(plan, log).Units {
		for _, l := range u.Laid {
			for _, id := range l.Figures {
				if l.Medium == key.Medium && l.Areas[0] == key.Area && l.Coat == key.Coat && id == key.Figure {
					t.Error("an undone coat is in the record")
				}
			}
		}
	}
}

const greyAndWhite = `facings: 1
name: grey and white
undercoat: {dark: primer}
prepare: false
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  white: {kind: opaque, over_white: "#eeeeee", over_black: "#e0e0e0"}
  brown: {kind: opaque, over_white: "#7d4f2e", over_black: "#744729"}
finishes: {}
traits:
  horse:
    values:
      bay: {share: 90, scheme: {horse coat: brown}}
      grey: {share: 10, scheme: {horse coat: white}}
    forbid: [{value: grey, trait: mane, with: dark}, {value: bay, trait: mane, with: white}]
  mane:
    values:
      dark: {scheme: {mane: brown}}
      white: {scheme: {mane: white}}
units:
  Troop:
    body: mounted
    figures: {trooper: 12}
    scheme: {}
    traits: [horse, mane]
    shares: {mane: {dark: 92, white: 8}}
calendar: {start: 2027-01-04}
`

// Of twelve one is grey and one has a white mane; of six one would be grey and
// none have a white mane. Then manes go with the horses, and it is said.
func TestMoreOfAFewGoTogether(t *testing.T) {
	a := &app.App{Dealing: 2000}
	o, err := a.Read("army.yaml", []byte(greyAndWhite))
	if err != nil {
		t.Fatal(o.Findings)
	}
	for n, freed := range map[int]int{12: 0, 6: 1} {
		more, err := a.More(t.Context(), o, nil, "Troop", n, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(more.Freed) != freed || freed == 1 && more.Freed[0] != "mane" {
			t.Errorf("of %d: freed %q", n, more.Freed)
		}
		plan, err := a.Roster(t.Context(), &app.Opened{Project: more.Project})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range plan.Roster.Figures {
			if (f.Traits["horse"] == "grey") != (f.Traits["mane"] == "white") {
				t.Errorf("of %d: %v", n, f.Traits)
			}
		}
	}
}

// What only figures have that are left behind is not spoken of: a drum that the
// drummer alone adds is no area of the new project at all.
func TestMoreForgetsWhatIsLeftBehind(t *testing.T) {
	ctx := context.Background()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }}
	text := strings.Replace(string(projectfile.Starter()), "      private: 10\n", "      drummer: {count: 1, adds: [{area: kettle, area_mm2: 200}]}\n      private: 10\n", 1)
	text = strings.Replace(text, "base: earth brown, base rim", "kettle: brass, base: earth brown, base rim", 1)
	text = strings.Replace(text, `["cross straps before pouch"]`, `["cross straps before pouch", "jacket before kettle"]`, 1)
	o, err := a.Read("army.yaml", []byte(text))
	if err != nil || !strings.Contains(text, "before kettle") || !strings.Contains(text, "kettle: brass") {
		t.Fatal(err, o.Findings)
	}
	more, err := a.More(ctx, o, nil, "Third Foot", 4, nil)
	if err != nil {
		t.Fatal(err)
	}
	if fresh, err := a.Read("more.yaml", more.Text); err != nil || len(fresh.Findings) > 0 {
		t.Errorf("%v: %v\n%s", err, fresh.Findings, more.Text)
	}
	if s := string(more.Text); strings.Contains(s, "kettle") || strings.Contains(s, "finial") || !strings.Contains(s, "cross straps before pouch") {
		t.Errorf("%s", s)
	}
	if _, there := o.Project.Units[0].Scheme["kettle"]; !there {
		t.Error("the project itself was changed")
	}
}
