package seat

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"facings/internal/solve"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// smallProblem draws a problem small enough to try everything. Counts are
// taken from a random assignment, and now and then bent, so that some problems
// have no answer.
func smallProblem(t *rapid.T) Problem {
	n := rapid.IntRange(1, 7).Draw(t, "places")
	return drawProblem(t, n, rapid.IntRange(1, 3).Draw(t, "traits"))
}

func drawProblem(t *rapid.T, n, traits int) Problem {
	p := Problem{Main: rapid.IntRange(-1, traits-1).Draw(t, "main"), Reach: rapid.IntRange(0, 3).Draw(t, "reach")}
	cells := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}).Draw(t, "cells")
	for i := range n {
		pl := Place{Rank: cells[i] / 4, File: cells[i] % 4}
		switch rapid.IntRange(0, 9).Draw(t, "where") {
		case 0:
			pl.Loose = true
		case 1:
			pl.Block = 1
		}
		p.Places = append(p.Places, pl)
	}
	for i := range traits {
		k := rapid.IntRange(1, 3).Draw(t, "values")
		tr := Trait{Name: fmt.Sprint(i), Values: k, Weight: rapid.IntRange(0, 3).Draw(t, "weight"), Hidden: rapid.IntRange(0, 5).Draw(t, "hidden") == 0}
		if rapid.Bool().Draw(t, "matrix") {
			tr.Distance = make([][]int, k)
			for a := range k {
				tr.Distance[a] = make([]int, k)
			}
			for a := range k {
				for b := range a {
					d := rapid.IntRange(0, 3).Draw(t, "d")
					tr.Distance[a][b], tr.Distance[b][a] = d, d
				}
			}
		}
		p.Traits = append(p.Traits, tr)
		drawCounts(t, &p, i)
	}
	drawPairs(t, &p)
	p.Weights = Standard(&p)
	if rapid.Bool().Draw(t, "own weights") {
		w := rapid.IntRange(0, 5)
		p.Weights = Weights{w.Draw(t, "b"), w.Draw(t, "p"), w.Draw(t, "n"), w.Draw(t, "r"), w.Draw(t, "q")}
	}
	return p
}

func drawCounts(t *rapid.T, p *Problem, trait int) {
	k, n := p.Traits[trait].Values, len(p.Places)
	seen := make([]int, k)
	half := make([]int, k) // among the first half of the places
	for q := range n {
		v := rapid.IntRange(0, k-1).Draw(t, "v")
		seen[v]++
		if q < n/2 {
			half[v]++
		}
	}
	grouped := n > 1 && rapid.IntRange(0, 3).Draw(t, "grouped") == 0
	for v := range k {
		if rapid.IntRange(0, 5).Draw(t, "uncounted") == 0 {
			continue
		}
		c := Count{ID: fmt.Sprintf("count %d=%d", trait, v), Trait: trait, Value: v, N: seen[v]}
		if rapid.IntRange(0, 30).Draw(t, "bend") == 0 && c.N > 0 {
			c.N--
		}
		if grouped {
			c.N = half[v]
			for q := range n / 2 {
				c.Places = append(c.Places, q)
			}
		}
		p.Counts = append(p.Counts, c)
	}
}

func drawPairs(t *rapid.T, p *Problem) {
	for i := range rapid.IntRange(0, 3).Draw(t, "pairs") {
		if len(p.Traits) < 2 {
			break
		}
		a := rapid.IntRange(0, len(p.Traits)-1).Draw(t, "ta")
		b := (a + rapid.IntRange(1, len(p.Traits)-1).Draw(t, "tb")) % len(p.Traits)
		pr := Pair{
			ID: fmt.Sprint("pair ", i), TraitA: a, TraitB: b, Weight: rapid.IntRange(0, 3).Draw(t, "pw"),
			A: rapid.IntRange(0, p.Traits[a].Values-1).Draw(t, "a"), B: rapid.IntRange(0, p.Traits[b].Values-1).Draw(t, "b"),
		}
		if rapid.Bool().Draw(t, "forbid") {
			p.Forbid = append(p.Forbid, pr)
		} else {
			p.Prefer = append(p.Prefer, pr)
		}
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "allows") {
		tr := rapid.IntRange(0, len(p.Traits)-1).Draw(t, "at")
		p.Allow = append(p.Allow, Allow{
			ID: fmt.Sprint("allow ", i), Trait: tr,
			Places: []int{rapid.IntRange(0, len(p.Places)-1).Draw(t, "ap")},
			Values: []int{rapid.IntRange(0, p.Traits[tr].Values-1).Draw(t, "av")},
		})
	}
}

// keeps says whether an assignment keeps all hard rules, from their
// definitions alone.
func keeps(p *Problem, values [][]int) error {
	for _, c := range p.Counts {
		got := 0
		for q := range values {
			if (c.Places == nil || slices.Contains(c.Places, q)) && values[q][c.Trait] == c.Value {
				got++
			}
		}
		if got != c.N {
			return fmt.Errorf("%s: %d, want %d", c.ID, got, c.N)
		}
	}
	for q, row := range values {
		for _, f := range p.Forbid {
			if row[f.TraitA] == f.A && row[f.TraitB] == f.B {
				return fmt.Errorf("place %d: %s", q, f.ID)
			}
		}
	}
	for _, a := range p.Allow {
		for _, q := range a.Places {
			if !slices.Contains(a.Values, values[q][a.Trait]) {
				return fmt.Errorf("place %d: %s", q, a.ID)
			}
		}
	}
	return nil
}

// everything walks all assignments that keep the rules.
func everything(p *Problem, visit func([][]int) bool) {
	values := make([][]int, len(p.Places))
	for q := range values {
		values[q] = make([]int, len(p.Traits))
	}
	var walk func(i int) bool
	walk = func(i int) bool {
		if i == len(p.Places)*len(p.Traits) {
			return keeps(p, values) != nil || visit(values)
		}
		q, t := i/len(p.Traits), i%len(p.Traits)
		for v := range p.Traits[t].Values {
			values[q][t] = v
			if !walk(i + 1) {
				return false
			}
		}
		return true
	}
	walk(0)
}

// few keeps exhaustive checks short: at most this many assignments.
func few(p *Problem) bool {
	n := 1
	for range p.Places {
		for _, tr := range p.Traits {
			if n *= tr.Values; n > 100_000 {
				return false
			}
		}
	}
	return true
}

func solved(t interface{ Fatal(...any) }, p Problem, set Settings) Result {
	r, err := Solve(context.Background(), p, set)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSmallProblemsAreSolvedAsByTryingEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := smallProblem(t)
		if !few(&p) {
			t.Skip("too many assignments")
		}
		best, any := 0, false
		everything(&p, func(values [][]int) bool {
			terms, _ := Score(&p, values)
			if o := p.Weights.Objective(terms); !any || o > best {
				best, any = o, true
			}
			return true
		})
		r := solved(t, p, Settings{Work: 200_000})
		if !any {
			if r.Status != solve.Infeasible {
				t.Fatalf("status %s, but nothing keeps the rules", r.Status)
			}
			return
		}
		if r.Status != solve.Optimal || r.Objective != best || r.UpperBound != best {
			t.Fatalf("%s %d (bound %d), want optimal %d", r.Status, r.Objective, r.UpperBound, best)
		}
		if err := keeps(&p, r.Values); err != nil {
			t.Fatal(err)
		}
	})
}

func TestConflictsAreRealAndMinimal(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		p := smallProblem(t)
		if !few(&p) {
			t.Skip("too many assignments")
		}
		r := solved(t, p, Settings{Work: 1})
		if r.Status != solve.Infeasible {
			return
		}
		found++
		if !r.Minimal || len(r.Conflict) == 0 {
			t.Fatalf("conflict %v, minimal %v", r.Conflict, r.Minimal)
		}
		possible := func(ids []string) bool {
			ok := false
			q := only(p, ids)
			everything(&q, func([][]int) bool { ok = true; return false })
			return ok
		}
		if possible(r.Conflict) {
			t.Fatalf("%v can hold together", r.Conflict)
		}
		for i := range r.Conflict {
			if rest := slices.Delete(slices.Clone(r.Conflict), i, i+1); !possible(rest) {
				t.Fatalf("%v is a smaller conflict than %v", rest, r.Conflict)
			}
		}
	})
	if found == 0 {
		t.Error("no infeasible problem was drawn")
	}
}

// only keeps the rules with the given IDs.
func only(p Problem, ids []string) Problem {
	drop := func(id string) bool { return !slices.Contains(ids, id) }
	p.Counts = slices.DeleteFunc(slices.Clone(p.Counts), func(c Count) bool { return drop(c.ID) })
	p.Forbid = slices.DeleteFunc(slices.Clone(p.Forbid), func(f Pair) bool { return drop(f.ID) })
	p.Allow = slices.DeleteFunc(slices.Clone(p.Allow), func(a Allow) bool { return drop(a.ID) })
	return p
}

func TestAnswersKeepTheRulesAndTheBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, rapid.IntRange(8, 12).Draw(t, "places"), rapid.IntRange(1, 4).Draw(t, "traits"))
		r := solved(t, p, Settings{Work: 5000, Seed: rapid.Uint64().Draw(t, "seed")})
		if r.Status == solve.Infeasible {
			return
		}
		if err := keeps(&p, r.Values); err != nil {
			t.Fatal(err)
		}
		terms, breaches := Score(&p, r.Values)
		if diff := cmp.Diff(r.Terms, terms); diff != "" || len(breaches) != terms.Breaches {
			t.Fatal(diff)
		}
		if r.UpperBound < r.Objective || (r.Status == solve.Optimal) != (r.UpperBound == r.Objective) {
			t.Fatalf("%s: objective %d, bound %d", r.Status, r.Objective, r.UpperBound)
		}
	})
}
