package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"facings"
)

// The choices of what to leave out are those that no other choice beats, as
// found by trying every one.
func TestDropsAgainstEveryChoice(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for round := range 200 {
		var cuts []Cut
		for i := range 1 + rng.IntN(9) {
			cuts = append(cuts, Cut{Unit: fmt.Sprint(i % 3), What: cuttings()[i%5], Minutes: facings.Minutes(1 + rng.IntN(40)), Loss: rng.Float64(), figures: 4})
		}
		short := facings.Minutes(1 + rng.IntN(120))
		best, most := math.Inf(1), facings.Minutes(0)
		figures := 4 * min(3, len(cuts))
		choices := [][2]float64{}
		for set := range 1 << len(cuts) {
			saved, loss := facings.Minutes(0), 0.0
			for i, c := range cuts {
				if set>>i&1 == 1 {
					saved, loss = saved+c.Minutes, loss+c.Loss*4/float64(figures)
				}
			}
			choices = append(choices, [2]float64{float64(saved), loss})
			if most = max(most, saved); saved >= short {
				best = min(best, loss)
			}
		}
		got := drops(cuts, short)
		for _, d := range got {
			for _, c := range choices {
				if c[0] > float64(d.Minutes)+1e-9 && c[1] < d.Loss-1e-9 && !(d.Enough) {
					t.Fatalf("round %d: %.0f min for %.4f is beaten by %.0f min for %.4f", round, float64(d.Minutes), d.Loss, c[0], c[1])
				}
			}
		}
		last := got[len(got)-1]
		if last.Enough != (most >= short) {
			t.Fatalf("round %d: enough is %v, where at most %.0f of %.0f can be saved", round, last.Enough, float64(most), float64(short))
		}
		if last.Enough && math.Abs(last.Loss-best) > 1e-9 {
			t.Fatalf("round %d: enough costs %.4f, the least is %.4f", round, last.Loss, best)
		}
	}
}

// threeUnits is an army of three small units, the second worth most.
func threeUnits(t *testing.T, a *App) *facings.Project {
	t.Helper()
	var p *facings.Project
	for i, name := range []string{"Ankrevoort Foot", "Guard of the Bell", "Skerroval Foot"} {
		var err error
		p, _, err = a.RecruitInto(context.Background(), p, Recruit{Name: name, Body: facings.BodyFoot, Cut: facings.Cuts()[i], Start: "2027-01-04", Evenings: 3,
			Figures: []RecruitRole{{"officer", 1}, {"private", 3 + i}}})
		if err != nil {
			t.Fatal(err)
		}
	}
	p.Units[1].Worth = 5
	return p
}

func TestACampaignPaintsWhatMattersFirst(t *testing.T) {
	ctx := context.Background()
	a := &App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 3000, Runs: 10}
	o := &Opened{Project: threeUnits(t, a)}
	if _, err := a.Campaign(ctx, o, CampaignOptions{}); !errors.Is(err, ErrNoDates) {
		t.Fatalf("without dates: %v", err)
	}
	o.Project.Calendar.Games = []facings.Game{{Date: "2027-01-15", Name: "the ford"}, {Date: "2027-06-01", Name: "the bridge", Units: []string{"Skerroval Foot"}}}
	c, err := a.Campaign(ctx, o, CampaignOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Status != "optimal" || c.Sequence[0].Units[0] != "Guard of the Bell" || !c.Checked {
		t.Errorf("%s: %+v", c.Status, c.Sequence)
	}
	ford := c.Dates[0]
	if !slices.Contains(ford.Ready, "Guard of the Bell") || len(ford.Late) == 0 || ford.Wanted != 7 || c.Wanted != 8 {
		t.Errorf("the ford: %+v, wanted in all %.0f", ford, c.Wanted)
	}
	// By the plan of the whole army the first is ready by then too.
	if c.Sequence[0].Planned == "" || c.Sequence[0].Planned > "2027-01-15" {
		t.Errorf("the plan has the Guard ready on %s", c.Sequence[0].Planned)
	}
	for _, late := range ford.Late {
		if late.Short <= 0 || len(late.Drops) == 0 || len(late.Drops[0].Cuts) == 0 {
			t.Errorf("late: %+v", late)
		}
		for i := 1; i < len(late.Drops); i++ {
			if late.Drops[i].Loss < late.Drops[i-1].Loss {
				t.Errorf("saving more costs less: %+v", late.Drops)
			}
		}
	}
	byWhat := map[string]Cut{}
	for _, cut := range c.Cuts {
		if cut.Unit == "Guard of the Bell" {
			byWhat[cut.What] = cut
		}
		if cut.Minutes <= 0 || cut.Coats <= 0 || cut.Loss < 0 || cut.Most == "" || cut.DeltaE < cut.Loss {
			t.Errorf("%+v", cut)
		}
	}
	for _, what := range []string{"eyes", "lace", "buttons", "washes"} {
		if byWhat[what].What == "" {
			t.Errorf("no %s could be left out", what)
		}
	}
	// Eyes are the least of what is seen from three feet.
	if byWhat["eyes"].Loss > byWhat["washes"].Loss {
		t.Errorf("eyes cost %.3f, washes %.3f", byWhat["eyes"].Loss, byWhat["washes"].Loss)
	}
	if o.Project.Units[0].Batch != "" || o.Project.Units[0].Name != "Ankrevoort Foot" {
		t.Error("the project was changed")
	}
}
