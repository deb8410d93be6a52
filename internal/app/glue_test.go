package app

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"facings"
	"facings/internal/projectfile"
)

// The pass that glues the bases puts out what the shopping list has for them: on
// 25 x 50 mm go 0.25 mL of PVA and 0.3 times as much again for waste (estimates of
// docs/defaults.md), so on the twelve bases of 20 x 20 mm of the starter 1.248 mL,
// 25 drops of 20 to the mL.
func TestGlueOfBasesAsListed(t *testing.T) {
	a := &App{Now: func() time.Time { return time.Date(2027, 1, 4, 9, 0, 0, 0, time.UTC) }, Steps: 1000, Runs: 1}
	o, err := a.Read("starter", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	drops, flag := 0.0, 0.0
	for _, pass := range plan.Order.Passes {
		if pass.Stage == facings.StageBase {
			drops += pass.Drops
		}
	}
	for _, task := range plan.Coats.Tasks {
		if task.Stage == facings.StageFlag {
			flag += task.AreaMM2 * 250e-6 * 1.3 // a wet film of 250 µm, and the loss of glue
		}
	}
	at := slices.IndexFunc(plan.Shopping.Paints, func(n facings.Need) bool { return n.Paint == "PVA glue" })
	if need := plan.Shopping.Paints[at].NeedML - flag; drops != 25 || math.Abs(need-1.248) > 1e-3 {
		t.Errorf("the bases get %v drops, and %.3f mL are listed for them", drops, need)
	}
}
