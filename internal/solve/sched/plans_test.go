package sched

import (
	"context"
	"reflect"
	"testing"
)

// plan reads a plan as the program asks for it.
func plan(tb testing.TB, name string) *Problem { return stored(tb, "plans", name) }

// The same steps give the same answer, and one that Evaluate and an
// independent reading of the rules agree with.
func TestPlansAreSolvedAlikeTwice(t *testing.T) {
	for _, name := range []string{"mounted24", "army24"} {
		p := plan(t, name)
		var before Result
		for i := range 2 {
			res, err := Solve(context.Background(), p, Options{Seed: 3, Steps: 600_000})
			if err != nil {
				t.Fatal(err)
			}
			if err := verify(p, res.Solution); err != nil {
				t.Fatal(err)
			}
			if res.LowerBound > res.Objective {
				t.Errorf("%s: bound %d above %d", name, res.LowerBound, res.Objective)
			}
			if i > 0 && !reflect.DeepEqual(before, res) {
				t.Errorf("%s: %d and %d", name, before.Objective, res.Objective)
			}
			before = res
		}
	}
}

func BenchmarkSolveMounted24(b *testing.B) { benchSolve(b, plan(b, "mounted24"), 4_000_000) }
func BenchmarkSolveArmy120(b *testing.B)   { benchSolve(b, plan(b, "army120"), 10_000_000) }
