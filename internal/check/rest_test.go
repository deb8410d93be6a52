package check_test

import (
	"context"
	"io/fs"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/check"
	"facings/internal/demo"
)

// begun plans the mounted demo, paints half of it and plans the rest.
func begun(t *testing.T) (*app.Plan, facings.Progress, time.Time) {
	t.Helper()
	whole := planned(t, "mounted24.yaml")
	text, err := fs.ReadFile(demo.Files(), "mounted24.yaml")
	if err != nil {
		t.Fatal(err)
	}
	now := whole.Order.Pieces[len(whole.Order.Pieces)/2].Start
	progress := facings.Progress{Done: map[facings.TaskKey]time.Time{}, Skipped: map[facings.TaskKey]bool{}}
	for _, piece := range whole.Order.Pieces {
		if !piece.End.After(now) {
			progress.Done[facings.KeyOf(whole.Roster, whole.Coats.Tasks[piece.Task])] = piece.End
		}
	}
	for i := 0; i < len(whole.Order.Pieces); i += 37 {
		if k := facings.KeyOf(whole.Roster, whole.Coats.Tasks[whole.Order.Pieces[i].Task]); progress.Done[k].IsZero() {
			progress.Skipped[k] = true
		}
	}
	a := &app.App{Now: func() time.Time { return now }, Steps: 100_000, Runs: 5}
	o, err := a.Read("mounted24.yaml", text)
	if err != nil {
		t.Fatal(o.Findings)
	}
	o.Progress = progress
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	return plan, progress, now
}

// restMutations break what a plan of what is left must keep.
var restMutations = []struct {
	name string
	do   func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool
}{
	{"something done is planned again", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		piece := o.Pieces[rng.IntN(len(o.Pieces))]
		g.Done[facings.KeyOf(r, c.Tasks[piece.Task])] = now.Add(-time.Hour)
		return true
	}},
	{"something left is missing", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		keys := slices.Collect(maps.Values(doneKeys(r, c, *g)))
		slices.Sort(keys)
		k := facings.KeyOf(r, c.Tasks[keys[rng.IntN(len(keys))]])
		if k.Area == facings.WholeFigure {
			return false // paint on it says that it is done all the same
		}
		delete(g.Done, k)
		return true
	}},
	{"painted over before it is dry", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		done := doneKeys(r, c, *g)
		for range 1000 {
			l := c.Lags[rng.IntN(len(c.Lags))]
			_, before := done[facings.KeyOf(r, c.Tasks[l.From])]
			_, after := done[facings.KeyOf(r, c.Tasks[l.To])]
			if before && !after && l.Seconds > 60 {
				g.Done[facings.KeyOf(r, c.Tasks[l.From])] = pieceOf(o, l.To).Start.Add(-30 * time.Second)
				return true
			}
		}
		return false
	}},
	{"what shall be skipped is planned", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		g.Skipped[facings.KeyOf(r, c.Tasks[o.Pieces[rng.IntN(len(o.Pieces))].Task])] = true
		return true
	}},
	{"a coat is gone though nobody skipped it", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		clear(g.Skipped)
		return true
	}},
	{"work begins in the past", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		*now = o.Pieces[0].Start.Add(time.Second)
		return true
	}},
	{"too little is said to be done", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		o.DoneMinutes--
		return true
	}},
	{"too many are said to be done", func(rng *rand.Rand, r *facings.Roster, c *facings.Coats, o *facings.Order, g *facings.Progress, now *time.Time) bool {
		o.DoneTasks++
		return true
	}},
}

func doneKeys(r *facings.Roster, c *facings.Coats, g facings.Progress) map[facings.TaskKey]int {
	out := map[facings.TaskKey]int{}
	for i, task := range c.Tasks {
		if k := facings.KeyOf(r, task); !g.Done[k].IsZero() {
			out[k] = i
		}
	}
	return out
}

// TestEveryMutationOfTheRestIsRejected does for a plan that goes on what
// TestEveryMutationIsRejected does for a fresh one.
func TestEveryMutationOfTheRestIsRejected(t *testing.T) {
	plan, progress, now := begun(t)
	if found := check.Rest(plan.Project, plan.Roster, plan.Coats, plan.Order, progress, now); len(found) > 0 {
		t.Fatalf("the plan itself is rejected: %v", found[0])
	}
	for _, m := range restMutations {
		t.Run(strings.ReplaceAll(m.name, " ", "-"), func(t *testing.T) {
			done := 0
			for seed := range uint64(8) {
				r, c, o := clone(plan)
				g, at := facings.Progress{Done: maps.Clone(progress.Done), Skipped: maps.Clone(progress.Skipped)}, now
				if !m.do(rand.New(rand.NewPCG(seed, 7)), &r, &c, &o, &g, &at) {
					continue
				}
				done++
				if len(check.Rest(plan.Project, &r, &c, &o, g, at)) == 0 {
					t.Errorf("seed %d: the checker accepts it", seed)
				}
			}
			if done == 0 {
				t.Error("the mutation found nothing to break, so it tests nothing")
			}
		})
	}
}
