package sched

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// plan reads a plan as the program asks for it.
func plan(tb testing.TB, name string) *Problem {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "plans", name+".json"))
	if err != nil {
		tb.Fatal(err)
	}
	var p Problem
	if err := json.Unmarshal(data, &p); err != nil {
		tb.Fatal(err)
	}
	return &p
}

// Whatever the beam builds keeps every lag, and its own times and costs are
// those of Evaluate.
func TestBeamBuildsAllowedOrders(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		p := randomProblem(rng, shape{3 + rng.IntN(12), 1, 5 + rng.IntN(10), rng.IntN(2) == 0, rng.IntN(4) > 0, true})
		m := compile(p)
		g := newStage(m)
		g.reset(m.topo, desk{class: -1}, g.mixB)
		b := beam{stage: g, width: 1 + rng.IntN(5), calm: 1 + rng.IntN(50), jobs: m.topo}

		order := b.build(func() bool { return false })
		if order == nil {
			continue // the calendar is too short for the few orders tried
		}
		s := newSim(m)
		s.load(order, make([]uint8, m.n))
		idle := s.before[m.n].idle
		sol, err := Evaluate(p, s.sequences())
		if err != nil {
			t.Fatal(err)
		}
		if err := verify(p, sol); err != nil {
			t.Fatal(err)
		}
		if sol.Setup+sol.Wait != idle {
			t.Fatalf("set-up %d and waiting %d, simulated %d", sol.Setup, sol.Wait, idle)
		}
	}
}

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
