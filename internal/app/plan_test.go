package app_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"facings/internal/app"
	"facings/internal/projectfile"
)

// changed plans the starter project with some words replaced, in pairs.
func changed(t *testing.T, words ...string) (*app.Plan, error) {
	t.Helper()
	text := string(projectfile.Starter())
	for i := 0; i < len(words); i += 2 {
		if !strings.Contains(text, words[i]) {
			t.Fatalf("the starter does not hold %q", words[i])
		}
		text = strings.Replace(text, words[i], words[i+1], 1)
	}
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 20_000, Runs: 40}
	o, err := a.Read("army.yaml", []byte(text))
	if err != nil {
		t.Fatal(err, o.Findings)
	}
	return a.Plan(context.Background(), o)
}

const evenings = `{days: [tue, thu], from: "19:30", to: "22:00"}`

func TestAShortCalendarIsAFaultWithItsPlace(t *testing.T) {
	for _, to := range []string{"19:35", "19:42"} {
		plan, err := changed(t, evenings, `{days: [tue], from: "19:30", to: "`+to+`"}`)
		if !errors.Is(err, app.ErrFaulty) {
			t.Fatalf("sittings to %s: got error %v", to, err)
		}
		last := plan.Findings[len(plan.Findings)-1]
		if last.ID != "calendar-short" || last.Line == 0 || last.Hint == "" {
			t.Errorf("sittings to %s: got %+v", to, last)
		}
	}
}

// Painters with little time each, of whom one sits seldom: the forecast runs
// on through the calendar until the work is done.
func TestAForecastEnds(t *testing.T) {
	plan, err := changed(t, "painters:\n", `painters:
    rare: {sittings: [{days: [sun], from: "09:00", to: "10:30"}]}
    busy: {sittings: [{days: [mon, tue, wed, thu, fri, sat, sun], from: "17:00", to: "22:00"}]}
`)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	if plan.Order.FinishP90 >= "2030" || plan.Order.FinishP50 > plan.Order.FinishP90 {
		t.Errorf("ready on %s, by %s", plan.Order.FinishP50, plan.Order.FinishP90)
	}
}

func TestAUnitThatWillBeLateIsSaid(t *testing.T) {
	for _, c := range []struct {
		date string
		late bool
	}{{"2027-01-08", true}, {"2027-12-01", false}} {
		plan, err := changed(t, "    body: Hathmere fusilier\n", "    body: Hathmere fusilier\n    ready_by: "+c.date+"\n")
		if err != nil {
			t.Fatal(err, plan.Findings)
		}
		late := false
		for _, f := range plan.Findings {
			late = late || f.ID == "unit-late" && f.Line > 0
		}
		if late != c.late {
			t.Errorf("ready_by %s: late %v, want %v", c.date, late, c.late)
		}
	}
}
