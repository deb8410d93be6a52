package order_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/check"
	"facings/internal/demo"
	"facings/internal/order"
	"facings/internal/ranks"
	"facings/internal/sitting"
)

// rest plans what is left of a project at an instant.
func rest(t *testing.T, p *facings.Project, roster *facings.Roster, progress facings.Progress, from time.Time) (*facings.Coats, *facings.Order, map[int]time.Time) {
	t.Helper()
	coats := order.SettleWithout(p, roster, flat{p}, progress.Skipped)
	done, _ := order.Match(roster, coats, progress)
	var windows [][]order.Window
	for _, painter := range sitting.Painters(p.Calendar) {
		ws, err := sitting.Windows(painter, from, 60000, 60)
		if err != nil {
			t.Fatal(err)
		}
		var list []order.Window
		for _, w := range sitting.After(ws, from) {
			list = append(list, order.Window(w))
		}
		windows = append(windows, list)
	}
	o, replay, err := order.Plan(context.Background(), p, roster, coats, order.Settings{Start: from, Windows: windows, Steps: 5000, Done: done})
	if err != nil {
		t.Fatal(err)
	}
	if replay != nil {
		same := slices.Repeat([]float64{1}, len(o.Passes))
		end, ok := replay.Replay(same, func(int) bool { return false })
		last := from
		for _, piece := range o.Pieces {
			if piece.End.After(last) {
				last = piece.End
			}
		}
		if !ok || !end.Equal(last) {
			t.Errorf("played again the order ends at %v, not at %v", end, last)
		}
	}
	return coats, o, done
}

// The main job of a plan that goes on: whatever part of an order was painted,
// what is left is planned, all of it and only it, and keeps every rule, the
// drying of what was painted included (the checker knows them for itself).
func TestWhatIsLeftIsPlannedAndOnlyThat(t *testing.T) {
	waited := false
	for seed := range uint64(8) {
		p := demo.Army(seed, 9+int(seed))
		rng := rand.New(rand.NewPCG(seed, 3))
		roster, found, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 2000})
		if err != nil || found.Faulty() {
			t.Fatal(err, found)
		}
		start, _ := sitting.Start(p.Calendar, time.Time{})
		coats, whole, _ := rest(t, p, roster, facings.Progress{}, start)
		// A random prefix of the order, and a few coats that shall not be.
		upTo := rng.IntN(len(whole.Pieces))
		now := whole.Pieces[upTo].Start
		progress := facings.Progress{Done: map[facings.TaskKey]time.Time{}, Skipped: map[facings.TaskKey]bool{}}
		for _, piece := range whole.Pieces {
			k := facings.KeyOf(roster, coats.Tasks[piece.Task])
			if !piece.End.After(now) {
				progress.Done[k] = piece.End
			} else if rng.IntN(40) == 0 {
				progress.Skipped[k] = true
			}
		}
		t.Run(fmt.Sprintf("army-%d", seed), func(t *testing.T) {
			coats, o, done := rest(t, p, roster, progress, now)
			if found := check.Rest(p, roster, coats, o, progress, now); len(found) > 0 {
				t.Fatalf("%d of %d done: %d findings, the first: %v", upTo, len(whole.Pieces), len(found), found[0])
			}
			if len(done) < len(progress.Done) {
				t.Errorf("%d of %d tasks of the log are found", len(done), len(progress.Done))
			}
			covered := map[facings.TaskKey]bool{}
			for k := range progress.Done {
				covered[k] = true
			}
			for _, piece := range o.Pieces {
				k := facings.KeyOf(roster, coats.Tasks[piece.Task])
				if covered[k] {
					t.Errorf("%v is planned again", k)
				}
				covered[k] = true
			}
			for _, task := range coats.Tasks {
				if k := facings.KeyOf(roster, task); !covered[k] {
					t.Errorf("%v is neither done nor planned", k)
				}
			}
			if o.DoneTasks != len(done) {
				t.Errorf("the order says that %d tasks are done, want %d", o.DoneTasks, len(done))
			}
			for _, l := range coats.Lags {
				if at, ok := done[l.From]; ok && at.Add(time.Duration(l.Seconds)*time.Second).After(now) {
					_, also := done[l.To]
					waited = waited || !also
				}
			}
		})
	}
	if !waited {
		t.Error("nothing was wet when the work went on: the test tests too little")
	}
}

// A coat planned in another paint than was laid is painted anew, and what lies
// over it is named.
func TestAnotherPaintIsPaintedAnew(t *testing.T) {
	p := project(t, small)
	roster, coats, o := plan(t, p)
	progress := facings.Progress{Done: map[facings.TaskKey]time.Time{}}
	for _, piece := range o.Pieces {
		progress.Done[facings.KeyOf(roster, coats.Tasks[piece.Task])] = piece.End
	}
	p = project(t, strings.Replace(small, "{jacket: blue,", "{jacket: green,", 1))
	coats = order.Settle(p, roster, flat{p})
	done, found := order.Match(roster, coats, progress)
	for i, task := range coats.Tasks {
		if _, ok := done[i]; ok == (task.Area == "jacket") {
			t.Errorf("%s on the %s: done %v", task.Medium, task.Area, ok)
		}
	}
	if len(found) != 1 || !strings.Contains(found[0].Message, "was painted blue and is now planned anew in green") ||
		!strings.Contains(found[0].Message, "turquoise on the cuffs") {
		t.Errorf("findings %v", found)
	}
}

// Paint on a figure says that it was undercoated, though nobody logged it.
func TestPaintLiesOnUndercoat(t *testing.T) {
	p := project(t, small)
	roster, coats, _ := plan(t, p)
	at := time.Date(2027, 1, 5, 20, 0, 0, 0, time.UTC)
	progress := facings.Progress{Done: map[facings.TaskKey]time.Time{{Figure: roster.Figures[1].ID, Area: "face", Medium: "brown"}: at}}
	done, _ := order.Match(roster, coats, progress)
	for i, task := range coats.Tasks {
		under := task.Stage == facings.StagePrepare || task.Stage == facings.StageUndercoat
		if _, ok := done[i]; ok != (task.Figure == 1 && (under || task.Area == "face")) {
			t.Errorf("%s coat %d of figure %d: done %v", task.Area, task.Coat, task.Figure, ok)
		}
	}
	coats, o, _ := rest(t, p, roster, progress, at)
	if found := check.Rest(p, roster, coats, o, progress, at); len(found) > 0 {
		t.Fatal(found[0])
	}
}

// Painted out of turn: what lay between is done, and what is left on either
// side of it keeps its order and its drying.
func TestRulesReachAcrossWhatIsDone(t *testing.T) {
	p := project(t, strings.Replace(small, "toned steel: [steel, dark wash]", "toned steel: [steel, brown, dark wash]", 1))
	roster, _, _ := plan(t, p)
	at := time.Date(2027, 1, 5, 20, 0, 0, 0, time.UTC)
	progress := facings.Progress{Done: map[facings.TaskKey]time.Time{}}
	for _, f := range roster.Figures {
		progress.Done[facings.TaskKey{Figure: f.ID, Area: "hat", Coat: 1, Medium: "brown"}] = at
	}
	coats, o, _ := rest(t, p, roster, progress, at)
	if found := check.Rest(p, roster, coats, o, progress, at); len(found) > 0 {
		t.Fatal(found[0])
	}
	_, found := order.Match(roster, coats, progress)
	if len(found) != 1 || !strings.Contains(found[0].Message, "the hat of all 4 is still to get steel") {
		t.Errorf("findings %v", found)
	}
}
