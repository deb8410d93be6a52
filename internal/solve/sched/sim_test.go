package sched

import (
	"errors"
	"math/rand/v2"
	"testing"
)

// agree checks that the kept state of s says what Evaluate says.
func agree(t *testing.T, s *sim) {
	t.Helper()
	sol, err := Evaluate(s.m.p, s.sequences())
	if err != nil {
		if errors.Is(err, ErrCalendar) && s.cost.a >= short {
			return
		}
		t.Fatalf("Evaluate: %v, but the search says %v", err, s.cost)
	}
	want := cost{sol.Makespan, sol.WallEnd, sol.Changes}
	if s.m.m > 1 {
		want = cost{sol.Makespan, sol.Setup + sol.Wait, sol.WallEnd}
	}
	if s.cost != want {
		t.Fatalf("search says %v, Evaluate %v", s.cost, want)
	}
	for j, times := range sol.Jobs {
		if s.start[j] != times.Start {
			t.Fatalf("job %d starts at %d, Evaluate says %d", j, s.start[j], times.Start)
		}
	}
}

func TestSimSaysWhatEvaluateSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 40 {
		for _, sh := range shapes(3 + rng.IntN(12)) {
			p := randomProblem(rng, sh)
			if err := p.Validate(); err != nil {
				t.Fatal(err)
			}
			a := newAnneal(compile(p), 1, 1)
			a.load(randomOrder(rng, a.m))
			agree(t, a.sim)
			for range 30 {
				a.step(1024 * 20)
				agree(t, a.sim)
			}
		}
	}
}
