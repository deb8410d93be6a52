package sched

import (
	"context"
	"math/rand/v2"
	"testing"

	"facings/internal/solve"
)

// exhaustive is the best objective over every order and every choice of
// workers, by Evaluate alone.
func exhaustive(p *Problem) (best int, found bool) {
	seqs := make([][]int, p.Workers)
	used := make([]bool, len(p.Jobs))
	var rec func(w int)
	rec = func(w int) {
		if w == p.Workers {
			if sol, err := Evaluate(p, seqs); err == nil && (!found || sol.Objective() < best) {
				best, found = sol.Objective(), true
			}
			return
		}
		if w < p.Workers-1 || allUsed(used) {
			rec(w + 1)
		}
		for j := range p.Jobs {
			if used[j] || p.Jobs[j].Workers != 0 && p.Jobs[j].Workers&(1<<w) == 0 {
				continue
			}
			used[j] = true
			seqs[w] = append(seqs[w], j)
			rec(w)
			seqs[w] = seqs[w][:len(seqs[w])-1]
			used[j] = false
		}
	}
	rec(0)
	return best, found
}

func allUsed(used []bool) bool {
	for _, u := range used {
		if !u {
			return false
		}
	}
	return true
}

func TestSolveEqualsExhaustiveSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 6 {
		for _, sh := range shapes(2 + rng.IntN(3)) {
			p := randomProblem(rng, sh)
			want, found := exhaustive(p)
			res, err := Solve(context.Background(), p, Options{Steps: 200_000})
			if err != nil {
				t.Fatal(err)
			}
			if !found {
				if res.Status == solve.Feasible || res.Status == solve.Optimal {
					t.Fatalf("%+v: a solution of %d where there is none", sh, res.Objective)
				}
				continue
			}
			if res.Objective != want || res.LowerBound > want {
				t.Fatalf("%+v: objective %d, bound %d, want %d", sh, res.Objective, res.LowerBound, want)
			}
		}
	}
}
