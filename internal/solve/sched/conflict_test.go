package sched

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"facings/internal/solve"
)

// cyclic reports a cycle by following lags until they repeat; for small n.
func cyclic(n int, lags []Lag) bool {
	reach := make([][]bool, n)
	for i := range reach {
		reach[i] = make([]bool, n)
	}
	for _, l := range lags {
		reach[l.From][l.To] = true
	}
	for k := range n {
		for i := range n {
			for j := range n {
				reach[i][j] = reach[i][j] || reach[i][k] && reach[k][j]
			}
		}
	}
	for i := range n {
		if reach[i][i] {
			return true
		}
	}
	return false
}

func randomLags(rng *rand.Rand, n, count int) []Lag {
	var lags []Lag
	for range count {
		lags = append(lags, Lag{From: rng.IntN(n), To: rng.IntN(n), Rule: rng.IntN(6) - 1})
	}
	return lags
}

func TestCycleIsAMinimalContradiction(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		n := 2 + rng.IntN(7)
		lags := randomLags(rng, n, rng.IntN(12))
		cycle := Cycle(n, lags)
		if (cycle != nil) != cyclic(n, lags) {
			t.Fatalf("%+v: cycle %v", lags, cycle)
		}
		for i, k := range cycle {
			if lags[k].To != lags[cycle[(i+1)%len(cycle)]].From {
				t.Fatalf("%+v: %v does not close", lags, cycle)
			}
			var rest []Lag
			for _, x := range cycle {
				if x != k {
					rest = append(rest, lags[x])
				}
			}
			if cyclic(n, rest) {
				t.Fatalf("%+v: %v is not minimal", lags, cycle)
			}
		}
	}
}

func TestConflictNamesAMinimalSetOfRules(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 2000 {
		n := 2 + rng.IntN(7)
		lags := randomLags(rng, n, rng.IntN(14))
		keep := func(rules []int) (some []Lag) {
			for _, l := range lags {
				if l.Rule < 0 || slices.Contains(rules, l.Rule) {
					some = append(some, l)
				}
			}
			return some
		}
		rules := Conflict(n, lags)
		if (rules != nil) != cyclic(n, lags) {
			t.Fatalf("%+v: conflict %v", lags, rules)
		}
		if rules == nil {
			continue
		}
		if !cyclic(n, keep(rules)) {
			t.Fatalf("%+v: %v do not contradict each other", lags, rules)
		}
		for i := range rules {
			if cyclic(n, keep(slices.Delete(slices.Clone(rules), i, i+1))) {
				t.Fatalf("%+v: %v is not minimal", lags, rules)
			}
		}
	}
}

func TestMinimalFindsTheOnlyCulprits(t *testing.T) {
	rules := make([]int, 500)
	for i := range rules {
		rules[i] = i
	}
	culprits := []int{3, 77, 401}
	calls := 0
	got := Minimal(rules, func(keep []int) bool {
		calls++
		for _, c := range culprits {
			if !slices.Contains(keep, c) {
				return true
			}
		}
		return false
	})
	if !slices.Equal(got, culprits) {
		t.Errorf("got %v", got)
	}
	if calls > 200 {
		t.Errorf("%d calls for 3 of 500 rules", calls)
	}
}

func TestSolveSaysWhyThereIsNoSolution(t *testing.T) {
	one := func(change func(p *Problem)) *Problem {
		p := &Problem{Workers: 1, Switch: [][]int{{0}}, First: []int{5},
			Jobs: []Job{{Chunks: []int{10, 10}}, {Chunks: []int{30}}}}
		change(p)
		return p
	}
	evening := [][]Window{{{0, 40}, {100, 140}}}
	for name, test := range map[string]struct {
		p    *Problem
		want Impossible
	}{
		"cycle": {one(func(p *Problem) { p.Lags = []Lag{{From: 0, To: 1}, {From: 1, To: 0}} }),
			Impossible{Why: WhyCycle, Lags: []int{0, 1}}},
		"chunk": {one(func(p *Problem) { p.Windows = evening; p.Jobs[1].Chunks[0] = 41 }),
			Impossible{Why: WhyChunk, Job: 1}},
		"first set-up": {one(func(p *Problem) { p.Windows = evening; p.First[0] = 20 }),
			Impossible{Why: WhyCalendar}},
		"calendar": {one(func(p *Problem) { p.Windows = [][]Window{{{0, 40}}} }),
			Impossible{Why: WhyCalendar, Short: 10}},
	} {
		res, err := Solve(context.Background(), test.p, Options{})
		if err != nil || res.Status != solve.Infeasible || res.Impossible == nil {
			t.Fatalf("%s: %+v, %v", name, res, err)
		}
		if got := res.Impossible; got.Why != test.want.Why || got.Job != test.want.Job || got.Short != test.want.Short ||
			len(got.Lags) != len(test.want.Lags) {
			t.Errorf("%s: got %+v, want %+v", name, *got, test.want)
		}
	}
}

func TestValidateNamesThePlace(t *testing.T) {
	good := func() *Problem { return randomProblem(rand.New(rand.NewPCG(1, 1)), shape{4, 2, 3, true, true, true}) }
	for want, spoil := range map[string]func(p *Problem){
		"workers: 4 is outside 1 to 3":                           func(p *Problem) { p.Workers = 4 },
		"jobs[1].chunks[0]: 0 is outside 1 to 1000000000":        func(p *Problem) { p.Jobs[1].Chunks[0] = 0 },
		"jobs[2].class: 3 is outside the 3 classes":              func(p *Problem) { p.Jobs[2].Class = 3 },
		"jobs[0].workers: 100 names none of the 2 workers":       func(p *Problem) { p.Jobs[0].Workers = 4 },
		"switch[1][1]: 2, but a class needs no switch to itself": func(p *Problem) { p.Switch[1][1] = 2 },
		"lags[0]: 0 to 9 is outside the 4 jobs":                  func(p *Problem) { p.Lags = []Lag{{To: 9}} },
		"mix: 1 values for 3 classes":                            func(p *Problem) { p.Mix = []int{1} },
		"life: 1 values for 3 classes":                           func(p *Problem) { p.Life = []int{1} },
		"close: -1 is outside 0 to 1000000000":                   func(p *Problem) { p.Close = -1 },
		"patience: -1 is outside 0 to 1000000000":                func(p *Problem) { p.Patience = -1 },
	} {
		p := good()
		spoil(p)
		if err := p.Validate(); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}
