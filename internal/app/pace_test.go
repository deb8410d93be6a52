package app_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/pace"
	"facings/internal/projectfile"
	"facings/internal/sitting"
)

// logOf is the log of a painter who follows a plan's first passes and takes so
// many times as long, give or take a tenth.
func logOf(plan *app.Plan, passes int, slower float64) []facings.Entry {
	rng := rand.New(rand.NewPCG(1, 2))
	var log []facings.Entry
	for i, pass := range plan.Order.Passes[:passes] {
		e := facings.Entry{ID: fmt.Sprint(i), Kind: facings.EntryDone, At: pass.End}
		var planned facings.Seconds
		for _, t := range pass.Tasks {
			e.Tasks = append(e.Tasks, facings.KeyOf(plan.Roster, plan.Coats.Tasks[t]))
			planned += plan.Coats.Tasks[t].Seconds
		}
		e.Seconds = facings.Seconds(float64(planned) * slower * math.Exp(0.1*rng.NormFloat64()))
		e.SetUp = facings.Seconds(float64(pass.SetUp.Seconds()) * slower)
		log = append(log, e)
	}
	return log
}

func TestALoggedPaceIsLearnedAndPlannedBy(t *testing.T) {
	ctx := context.Background()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 20_000, Runs: 100}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	before, err := a.Plan(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	log := logOf(before, 20, 1.5)
	log[7].Seconds = 9 * 3600
	// Of an entry undone nothing is learned.
	log = append(log, facings.Entry{ID: "x", Kind: facings.EntryDone, At: log[3].At, Tasks: log[3].Tasks, Seconds: 1}, facings.Entry{ID: "y", Kind: facings.EntryUndo, Undoes: "x"})
	r, err := a.Pace(ctx, o, log)
	if err != nil {
		t.Fatal(err)
	}
	if r.Passes != 20 || r.Unread != 0 || len(r.Doubted) != 1 || r.Doubted[0].At != log[7].At {
		t.Errorf("%d passes, %d unread, doubted: %+v", r.Passes, r.Unread, r.Doubted)
	}
	for _, f := range r.Factors {
		if f.Low > 1.55 || f.High < 1.4 {
			t.Errorf("%s, %s: %.2f to %.2f, truly 1.5", f.Technique, f.Fiddliness, f.Low, f.High)
		}
	}
	o.Pace = r.Model
	after, err := a.Plan(ctx, o) // the checker goes over it too
	if err != nil {
		t.Fatal(err, after.Findings)
	}
	if ratio := float64(after.Order.WorkMinutes / before.Order.WorkMinutes); ratio < 1.3 || ratio > 1.7 {
		t.Errorf("the work grows by %.2f, want about 1.5", ratio)
	}
	if after.Order.SetUpMinutes < 1.2*before.Order.SetUpMinutes {
		t.Errorf("set-up goes from %.0f to %.0f min", float64(before.Order.SetUpMinutes), float64(after.Order.SetUpMinutes))
	}
	if o.Project.Learned != nil || o.Project.SetUp != nil {
		t.Error("the project itself was changed")
	}
	// A slow but steady painter is late, not unsure.
	if after.Order.FinishP50 <= before.Order.FinishP50 {
		t.Errorf("finish on %s, before on %s", after.Order.FinishP50, before.Order.FinishP50)
	}
}

// A clock that ran for three seconds of a quarter of an hour tells nothing, and
// makes no date that nobody lives to see.
func TestAClockThatWasNotWatchedIsNotBelieved(t *testing.T) {
	ctx := context.Background()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 2000, Runs: 100}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Plan(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	// The last figure of a pass is ticked a second after the others: that one
	// counts with them, as all of them took what they took.
	log := logOf(plan, 3, 1)
	together := log[2]
	last := together
	last.ID, last.Tasks, last.Seconds, last.SetUp, last.At = "last", together.Tasks[len(together.Tasks)-1:], 1, 0, together.At.Add(time.Second)
	log[2].Tasks = together.Tasks[:len(together.Tasks)-1]
	log = append(log, last)
	log[0].Seconds = 3
	r, err := a.Pace(ctx, o, log)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Doubted) != 1 || r.Doubted[0].At != log[0].At || r.Passes != 3 {
		t.Errorf("%d passes, doubted: %+v", r.Passes, r.Doubted)
	}
	for _, alone := range [][]facings.Entry{log[:1], log} {
		o.Progress = facings.ProgressOf(alone)
		if o.Pace, err = a.LearnedPace(ctx, o, alone); err != nil {
			t.Fatal(err)
		}
		rest, err := a.Plan(ctx, o)
		if err != nil {
			t.Fatal(err)
		}
		if rest.Order.FinishP90 > "2027-06" {
			t.Errorf("after %d entries the work is done by %s", len(alone), rest.Order.FinishP90)
		}
	}
}

// A painter of whom nothing can be foretold gets a late date, not the end of a
// calendar that was looked at too little ahead.
func TestTheCalendarReachesAsFarAsTheFutures(t *testing.T) {
	start := time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC)
	a := &app.App{Now: func() time.Time { return start }, Steps: 20_000, Runs: 60}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	tame, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	var wild []pace.Observation
	for i := range 40 {
		wild = append(wild, pace.Observation{Technique: facings.Brush, Fiddliness: facings.EasyAreas, Planned: 600, Measured: []facings.Seconds{5, 50_000}[i%2]})
	}
	o.Pace = pace.Learn(wild)
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	usual, err := time.Parse(time.DateOnly, tame.Order.FinishP90)
	if err != nil {
		t.Fatal(err)
	}
	late, last := usual.AddDate(0, 3, 0).Format(time.DateOnly), start.AddDate(0, 0, sitting.Horizon).Format(time.DateOnly)
	if p90 := plan.Order.FinishP90; p90 <= late || p90 >= last {
		t.Errorf("finish by %s in nine cases of ten, by %s at the usual pace", p90, tame.Order.FinishP90)
	}
}
