package sched

import (
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"testing"

	"facings/internal/solve"
)

// FuzzSolve: whatever a file says, there is an answer that the verifier accepts,
// or the calendar is too short for the work.
func FuzzSolve(f *testing.F) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, sh := range shapes(5) {
		data, err := json.Marshal(randomProblem(rng, sh))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(`{"workers":1,"jobs":[{"chunks":[1000000000],"class":0},{"chunks":[5],"class":0}],"switch":[[0]],"first":[1000000000],"lags":[{"from":0,"to":1,"dry":1000000000}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var p Problem
		if json.Unmarshal(data, &p) != nil || p.Validate() != nil || len(p.Jobs) > 40 || len(p.Lags) > 400 {
			return
		}
		res, err := Solve(context.Background(), &p, Options{Steps: 3000})
		if errors.Is(err, ErrCalendar) && len(p.Windows) > 0 {
			return // work that no window holds
		}
		if err != nil {
			t.Fatal(err)
		}
		switch res.Status {
		case solve.Optimal, solve.Feasible:
			if err := verify(&p, res.Solution); err != nil {
				t.Fatal(err)
			}
			if res.LowerBound > res.Objective {
				t.Fatalf("bound %d above %d", res.LowerBound, res.Objective)
			}
		default:
			if res.Impossible == nil {
				t.Fatalf("%s without a reason", res.Status)
			}
		}
	})
}

func TestEmptyProblem(t *testing.T) {
	res, err := Solve(context.Background(), &Problem{Workers: 2}, Options{})
	if err != nil || res.Status != solve.Optimal || res.Objective != 0 {
		t.Errorf("%+v, %v", res, err)
	}
	if _, err := Evaluate(&Problem{Workers: 1, Jobs: []Job{{Chunks: []int{1}}}, First: []int{0}, Switch: [][]int{{0}}}, [][]int{{}}); err == nil ||
		errors.Is(err, ErrCalendar) {
		t.Errorf("a missing job: %v", err)
	}
}
