package due_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"facings/internal/solve"
	"facings/internal/solve/due"
)

// problem is small, with dates that cannot all be kept and ends that lag.
func problem(seed uint64, n int) *due.Problem {
	rng := rand.New(rand.NewPCG(seed, 9))
	p := &due.Problem{}
	total := int64(0)
	lag := make([]int64, n)
	for i := range n {
		w := int64(1 + rng.IntN(30))
		p.Work = append(p.Work, w)
		total += w
		lag[i] = int64(rng.IntN(8))
	}
	p.End = func(job int, before int64) int64 { return before + p.Work[job] + lag[job] }
	for range 1 + rng.IntN(3) {
		by := 1 + rng.Int64N(total)
		d := due.Date{By: by, Capacity: by}
		for range n {
			d.Weight = append(d.Weight, int64(rng.IntN(6)))
		}
		p.Dates = append(p.Dates, d)
	}
	return p
}

// all calls yield with every sequence of n jobs.
func all(n int, yield func([]int)) {
	seq := make([]int, n)
	for i := range seq {
		seq[i] = i
	}
	var walk func(int)
	walk = func(k int) {
		if k == n {
			yield(seq)
			return
		}
		for i := k; i < n; i++ {
			seq[k], seq[i] = seq[i], seq[k]
			walk(k + 1)
			seq[k], seq[i] = seq[i], seq[k]
		}
	}
	walk(0)
}

// The dynamic programme is as good as trying every sequence, and the search
// lies between nothing and it, it under the bound.
func TestExactAgainstEverySequence(t *testing.T) {
	gaps := 0
	for seed := range uint64(150) {
		n := 1 + int(seed%7)
		p := problem(seed, n)
		best := int64(0)
		all(n, func(seq []int) { best = max(best, p.Worth(seq)) })
		got, err := due.Solve(context.Background(), p, due.Options{})
		if err != nil || got.Status != solve.Optimal || got.Worth != best || p.Worth(got.Sequence) != best {
			t.Fatalf("seed %d: %+v, %v; the best of all sequences is worth %d", seed, got, err, best)
		}
		sorted := slices.Sorted(slices.Values(got.Sequence))
		for i, j := range sorted {
			if i != j {
				t.Fatalf("seed %d: not every job once: %v", seed, got.Sequence)
			}
		}
		found, err := due.Solve(context.Background(), p, due.Options{Heuristic: true})
		if err != nil || found.Worth > best || found.Bound < best {
			t.Fatalf("seed %d: searched %+v, best %d", seed, found, best)
		}
		if found.Worth < best {
			gaps++
		}
	}
	if gaps > 3 {
		t.Errorf("the search missed the best in %d of 150", gaps)
	}
}

// One date and equal work: the most valuable that fit (a textbook case).
func TestTheMostValuableFit(t *testing.T) {
	p := &due.Problem{Work: []int64{10, 10, 10, 10}, Dates: []due.Date{{By: 20, Capacity: 20, Weight: []int64{1, 4, 2, 3}}}}
	r, err := due.Solve(context.Background(), p, due.Options{})
	if err != nil || r.Worth != 7 || !slices.Equal(r.Sequence[:2], []int{1, 3}) {
		t.Errorf("got %+v, %v", r, err)
	}
}

func TestManyJobsAreBoundedAndRepeatable(t *testing.T) {
	p := problem(4, 60)
	a, err := due.Solve(context.Background(), p, due.Options{Seed: 1})
	b, _ := due.Solve(context.Background(), p, due.Options{Seed: 1})
	if err != nil || a.Worth > a.Bound || !slices.Equal(a.Sequence, b.Sequence) {
		t.Errorf("%+v, %v", a, err)
	}
	t.Logf("60 jobs: worth %d, bound %d", a.Worth, a.Bound)
	if float64(a.Worth) < 0.9*float64(a.Bound) {
		t.Errorf("worth %d, bound %d", a.Worth, a.Bound)
	}
}

func TestBrokenProblems(t *testing.T) {
	for _, p := range []*due.Problem{
		{Work: []int64{-1}}, {Work: []int64{1}, Dates: []due.Date{{Weight: nil}}}, {Work: []int64{1}, Dates: []due.Date{{Weight: []int64{-3}}}},
	} {
		if _, err := due.Solve(context.Background(), p, due.Options{}); !errors.Is(err, due.ErrShape) {
			t.Errorf("got %v", err)
		}
	}
	if r, err := due.Solve(context.Background(), &due.Problem{}, due.Options{}); err != nil || len(r.Sequence) != 0 {
		t.Errorf("nothing to do: %+v, %v", r, err)
	}
}
