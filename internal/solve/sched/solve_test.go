package sched

import (
	"context"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

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

func TestSmallProblemsAreProvedAndEqualExhaustiveSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 8 {
		jobs := 2 + rng.IntN(4)
		for _, sh := range shapes(jobs) {
			if sh.workers == 1 {
				sh.jobs += 1
			}
			p := randomProblem(rng, sh)
			want, found := exhaustive(p)
			res, err := Solve(context.Background(), p, Options{Steps: 2_000_000})
			if err != nil {
				t.Fatal(err)
			}
			if !found {
				if res.Status != solve.Infeasible {
					t.Fatalf("%+v: %s, objective %d, where there is no solution", sh, res.Status, res.Objective)
				}
				continue
			}
			if res.Status != solve.Optimal || res.Objective != want || res.LowerBound != want {
				t.Fatalf("%+v: %s, objective %d, bound %d, want %d", sh, res.Status, res.Objective, res.LowerBound, want)
			}
			if err := verify(p, res.Solution); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// The bound without any search must not exceed the optimum either; found by a
// search that uses no bound but its own pruning.
func TestBoundsStayBelowTheOptimum(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 40 {
		for _, sh := range shapes(3 + rng.IntN(3)) {
			p := randomProblem(rng, sh)
			if rng.IntN(3) == 0 {
				p.Switch = blockSetups(rng, len(p.First))
			}
			m := compile(p)
			all := newTiny(m)
			all.run(1<<40, func() bool { return false })
			if !all.found {
				continue
			}
			b := newBounds(m)
			b.improve(context.Background(), 100, all.best+rng.IntN(10))
			if b.value > all.best {
				t.Fatalf("%+v: bound %d above the optimum %d", sh, b.value, all.best)
			}
		}
	}
}

// blockSetups has cheap groups of classes, as paints with a few brushes have.
func blockSetups(rng *rand.Rand, n int) [][]int {
	brush := make([]int, n)
	for c := range brush {
		brush[c] = rng.IntN(2)
	}
	s := make([][]int, n)
	for a := range s {
		s[a] = make([]int, n)
		for b := range s[a] {
			if a != b {
				s[a][b] = 6
			}
			if brush[a] != brush[b] {
				s[a][b] += 4
			}
		}
	}
	return s
}

// Makes that last and windows between two long dryings have bounds of their
// own: chains of single jobs with long lags bring them out.
func TestBoundsOfChainsStayBelowTheOptimum(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	raised := 0
	for range 400 {
		p := chainProblem(rng)
		m := compile(p)
		all := newTiny(m)
		all.run(1<<40, func() bool { return false })
		if !all.found {
			continue
		}
		b := newBounds(m)
		b.improve(context.Background(), 60, all.best)
		if b.value > all.best {
			t.Fatalf("bound %d above the optimum %d of %+v", b.value, all.best, p)
		}
		if b.forced > 0 {
			raised++
		}
	}
	if raised < 20 {
		t.Errorf("only %d problems had waiting that was sure", raised)
	}
}

// chainProblem is a batch or two: one job on all figures, some in the middle,
// one on all figures at the end.
func chainProblem(rng *rand.Rand) *Problem {
	p := randomProblem(rng, shape{jobs: 0, workers: 1, classes: 3, makes: rng.IntN(2) == 0})
	p.Patience, p.LongDry, p.Close = rng.IntN(2)*rng.IntN(30), 60, rng.IntN(2)*rng.IntN(20)
	for at := rng.IntN(20); len(p.Windows) == 0 || len(p.Windows[0]) < 40; at += 100 + rng.IntN(50) {
		if p.Windows == nil {
			p.Windows = [][]Window{nil}
		}
		p.Windows[0] = append(p.Windows[0], Window{at, at + 30 + rng.IntN(25)})
	}
	job := func(figures ...int) int {
		j := Job{Class: rng.IntN(3), Figures: figures}
		for range figures {
			j.Chunks = append(j.Chunks, 1+rng.IntN(5))
		}
		p.Jobs = append(p.Jobs, j)
		return len(p.Jobs) - 1
	}
	before := -1
	for range 1 + rng.IntN(2) {
		first := job(0, 1)
		if before >= 0 {
			p.Lags = append(p.Lags, Lag{From: before, To: first, Dry: rng.IntN(2) * rng.IntN(20)})
		}
		var middle []int
		for range 1 + rng.IntN(2) {
			middle = append(middle, job([][]int{{0, 1}, {0}, {1}}[rng.IntN(3)]...))
		}
		before = job(0, 1)
		for _, j := range middle {
			p.Lags = append(p.Lags,
				Lag{From: first, To: j, Dry: 5 + rng.IntN(30)},
				Lag{From: j, To: before, Dry: 58 + rng.IntN(10)})
		}
	}
	return p
}

func TestSameSeedSameAnswerOnAnyNumberOfProcessors(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, sh := range []shape{{30, 1, 8, true, true, true}, {25, 2, 8, false, false, true}, {40, 3, 9, true, false, true}} {
		p := randomProblem(rng, sh)
		var first Result
		for i, procs := range []int{1, 2, 4} {
			before := runtime.GOMAXPROCS(procs)
			res, err := Solve(context.Background(), p, Options{Seed: 7, Steps: 300_000})
			runtime.GOMAXPROCS(before)
			if err != nil {
				t.Fatal(err)
			}
			if err := verify(p, res.Solution); err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				first = res
			} else if diff := cmp.Diff(first, res); diff != "" {
				t.Fatalf("%d processors: %s", procs, diff)
			}
		}
	}
}

func TestStartIsNotMadeWorse(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for _, sh := range shapes(20) {
		p := randomProblem(rng, sh)
		good, err := Solve(context.Background(), p, Options{Steps: 400_000})
		if err != nil || good.Status == solve.Unknown {
			continue
		}
		again, err := Solve(context.Background(), p, Options{Seed: 9, Steps: 2, Start: good.Solution.Sequences})
		if err != nil || again.Solution.Compare(good.Solution) > 0 {
			t.Errorf("%+v: from %d to %d, %v", sh, good.Objective, again.Objective, err)
		}
	}
}

func TestDoneContextStillAnswers(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := randomProblem(rand.New(rand.NewPCG(1, 9)), shape{50, 1, 9, true, true, true})
	res, err := Solve(ctx, p, Options{})
	if err != nil || res.Status != solve.Feasible {
		t.Errorf("%s, %v", res.Status, err)
	}
}

// Two exact searches of different kinds agree, on more jobs than can be tried
// exhaustively with Evaluate.
func TestExactSearchesAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	never := func() bool { return false }
	for range 30 {
		for workers := 1; workers <= 3; workers++ {
			p := randomProblem(rng, shape{8, workers, 4, false, false, true})
			m := compile(p)
			e := newExact(m)
			if e == nil {
				continue // a lag that lets a job start before the other
			}
			all := newTiny(m)
			all.run(1<<40, never)
			e.prepare(1<<28, 1<<20)
			order, who, bound, _ := e.run(never)
			s := newSim(m)
			s.load(order, who)
			if s.cost.a != all.best || bound != all.best {
				t.Fatalf("%d workers: %d, bound %d; trying all says %d", workers, s.cost.a, bound, all.best)
			}
			// With little memory the bound must still hold.
			e.prepare(all.best+5, 3)
			if _, _, bound, _ = e.run(never); bound > all.best {
				t.Fatalf("%d workers: bound %d above %d", workers, bound, all.best)
			}
		}
	}
}

// Worked by hand. The first job leaves 15 of the window's 100 seconds; the
// second, of another class, takes 3 + 10 + 10.
func TestNothingElseIsLoadedInTheLastSeconds(t *testing.T) {
	for _, c := range []struct {
		close, class, setup, pieces int
		start                       int
	}{
		{0, 1, 4 + 3 + 4, 2, 88},  // begun, and cut
		{14, 1, 4 + 3 + 4, 2, 88}, // more than 14 seconds are left
		{15, 1, 4 + 4, 1, 204},    // no more than 15: it opens the next window
		{15, 0, 4 + 4, 2, 85},     // loaded already: work goes on
		{100, 1, 4 + 4, 1, 204},   // longer than all that is left
	} {
		p := &Problem{Workers: 1, First: []int{4, 4}, Switch: [][]int{{0, 3}, {3, 0}}, Close: c.close,
			Jobs:    []Job{{Chunks: []int{81}}, {Chunks: []int{10, 10}, Class: c.class}},
			Windows: [][]Window{{{0, 100}, {200, 300}}}}
		sol, err := Evaluate(p, [][]int{{0, 1}})
		if err != nil {
			t.Fatal(err)
		}
		got := sol.Jobs[1]
		if sol.Setup != c.setup || len(got.Pieces) != c.pieces || got.Start != c.start || sol.Wait != 0 {
			t.Errorf("close %d: set-up %d, %d pieces from %d, waiting %d; want %d, %d from %d, 0",
				c.close, sol.Setup, len(got.Pieces), got.Start, sol.Wait, c.setup, c.pieces, c.start)
		}
		if err := verify(p, sol); err != nil {
			t.Errorf("close %d: %v", c.close, err)
		}
	}
}

// A rough search finds the same and proves less.
func TestRoughFindsTheSame(t *testing.T) {
	p := plan(t, "army24")
	whole, err := Solve(context.Background(), p, Options{Seed: 3, Steps: 60_000})
	if err != nil {
		t.Fatal(err)
	}
	rough, err := Solve(context.Background(), p, Options{Seed: 3, Steps: 60_000, Rough: true})
	if err != nil {
		t.Fatal(err)
	}
	if !cmp.Equal(rough.Solution, whole.Solution) || rough.LowerBound >= whole.LowerBound {
		t.Errorf("rough: %d, at least %d; whole: %d, at least %d", rough.Objective, rough.LowerBound, whole.Objective, whole.LowerBound)
	}
}
