package app_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/projectfile"
)

// twoPainters is the starter project with a quick and a slow painter.
func twoPainters(t *testing.T) []byte {
	t.Helper()
	text := projectfile.Starter()
	at := bytes.Index(text, []byte("  painters:\n"))
	if at < 0 {
		t.Fatal("the starter project has no painters")
	}
	return append(bytes.Clone(text[:at]), `  painters:
    quick: {pace: 0.8, sittings: [{days: [tue, thu], from: "19:30", to: "22:00"}]}
    slow: {pace: 1.2, sittings: [{days: [tue, thu], from: "19:30", to: "22:00"}]}
`...)
}

// Of painters who take exactly as long as their own pace says nothing is to be
// learned: the quick one's evenings must not make the plan quicker still.
func TestOwnPacesAreNotLearnedTwice(t *testing.T) {
	ctx := context.Background()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 2000, Runs: 10}
	o, err := a.Read("army.yaml", twoPainters(t))
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Plan(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	for painter, name := range []string{"quick", "slow"} {
		var log []facings.Entry
		for i, pass := range plan.Order.Passes {
			if pass.Painter != painter {
				continue
			}
			e := facings.Entry{ID: fmt.Sprint(i), Kind: facings.EntryDone, At: pass.End, Painter: painter, Seconds: pass.Minutes.Seconds()}
			for _, t := range pass.Tasks {
				e.Tasks = append(e.Tasks, facings.KeyOf(plan.Roster, plan.Coats.Tasks[t]))
			}
			log = append(log, e)
		}
		r, err := a.Pace(ctx, o, log)
		if err != nil {
			t.Fatal(err)
		}
		if r.Passes < 5 {
			t.Fatalf("the %s painter has %d passes: too few to tell", name, r.Passes)
		}
		for _, f := range r.Factors {
			if f.Passes > 0 && math.Abs(f.Factor-1) > 0.02 {
				t.Errorf("of the %s painter %s on %s areas is learned as %.3f of what is planned, want 1", name, f.Technique, f.Fiddliness, f.Factor)
			}
		}
	}
}

// The bench tells the minutes that the order tells, whoever paints.
func TestTheBenchTellsEachPaintersOwnMinutes(t *testing.T) {
	ctx := context.Background()
	d := desk(t)
	head, err := d.Import(ctx, "", "", twoPainters(t))
	if err != nil {
		t.Fatal(err)
	}
	bench := benchOf(t, d, head.Kept.ID)
	left, painters := facings.Minutes(0), map[int]bool{}
	for _, pass := range bench.Passes {
		painters[pass.Painter] = true
		left += pass.Minutes
		if got := facings.Seconds(pass.Seconds).Minutes(); math.Abs(float64(got-pass.Minutes)) > 0.01*float64(pass.Minutes)+0.1 {
			t.Errorf("%s: %.1f min at the bench, %.1f in the order", pass.Title, float64(got), float64(pass.Minutes))
		}
	}
	if len(painters) != 2 {
		t.Fatalf("%d of two painters have passes", len(painters))
	}
	if got := bench.Progress.MinutesLeft; math.Abs(float64(got-left)) > 0.01*float64(left) {
		t.Errorf("%.0f min are left, the passes sum to %.0f", float64(got), float64(left))
	}

	// What the slow painter did counts as long as the slow painter takes.
	var slow app.BenchPass
	for _, pass := range bench.Passes {
		if pass.Painter == 1 {
			slow = pass
			break
		}
	}
	e := facings.Entry{ID: "8d2f0e3a-0000-4000-8000-000000000001", Kind: facings.EntryDone, At: bench.Now, Painter: 1, Seconds: facings.Seconds(slow.Seconds)}
	for _, task := range slow.Tasks {
		e.Tasks = append(e.Tasks, task.TaskKey)
	}
	// What is skipped is not left either, from the moment it is.
	last := bench.Passes[len(bench.Passes)-1]
	skip := facings.Entry{ID: "8d2f0e3a-0000-4000-8000-000000000002", Kind: facings.EntrySkip, At: bench.Now}
	for _, task := range last.Tasks {
		skip.Tasks = append(skip.Tasks, task.TaskKey)
	}
	if _, err := d.Append(ctx, head.Kept.ID, "", []facings.Entry{e, skip}); err != nil {
		t.Fatal(err)
	}
	progress := benchOf(t, d, head.Kept.ID).Progress
	if got, want := progress.MinutesLeft, left-slow.Minutes-last.Minutes; math.Abs(float64(got-want)) > 0.02*float64(want) {
		t.Errorf("%.1f min are left, want %.1f", float64(got), float64(want))
	}
	if math.Abs(float64(progress.MinutesDone-slow.Minutes)) > 0.05*float64(slow.Minutes) || math.Abs(progress.Pace-1) > 0.05 {
		t.Errorf("%.1f min done at a pace of %.2f; %.1f min were planned and taken", float64(progress.MinutesDone), progress.Pace, float64(slow.Minutes))
	}
}

// benchOf waits for a project's first plan and returns its bench.
func benchOf(t *testing.T, d *app.Desk, id string) *app.Bench {
	t.Helper()
	for range 600 {
		if bench, err := d.Bench(context.Background(), id); err == nil {
			return bench
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("no plan within half a minute")
	return nil
}

// Painters of unlike pace are kept in step: the busier one sits there for not
// much longer than the work shared out would take. Shared out at the mean of
// their paces and left at that, it was 1.8 times as long here.
func TestUnlikePaintersAreKeptInStep(t *testing.T) {
	text := twoPainters(t)
	at := bytes.Index(text, []byte("    quick:"))
	text = append(bytes.Clone(text[:at]), `    Ann: {sittings: [{days: [tue, thu], from: "19:30", to: "22:00"}]}
    Bob: {pace: 1.6, sittings: [{days: [wed, fri], from: "19:30", to: "21:00"}]}
`...)
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Runs: 10}
	o, err := a.Read("army.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	if o := plan.Order; o.ElapsedMinutes > 1.4*o.ElapsedLowerBoundMinutes {
		t.Errorf("the busier painter sits there for %.0f min, of which %.0f are proved necessary", float64(o.ElapsedMinutes), float64(o.ElapsedLowerBoundMinutes))
	}
}
