package sched

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// instance reads a file of the pure family.
func instance(tb testing.TB, name string) *Problem { return stored(tb, "lags", name) }

// stored reads a problem from a folder of testdata.
func stored(tb testing.TB, folder, name string) *Problem {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", folder, name+".json"))
	if err != nil {
		tb.Fatal(err)
	}
	var p Problem
	if err := json.Unmarshal(data, &p); err != nil {
		tb.Fatal(err)
	}
	return &p
}

// The instances must stay what the generator and the README say they are.
func TestInstancesAreOfThePureFamily(t *testing.T) {
	files, err := filepath.Glob("testdata/lags/*.json")
	if err != nil || len(files) != 54 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		name := filepath.Base(f)
		p := instance(t, name[:len(name)-len(".json")])
		if err := p.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if p.Windows != nil || p.Make != nil {
			t.Errorf("%s: a calendar or makes", name)
		}
		for _, j := range p.Jobs {
			if len(j.Chunks) != 1 || j.Figures != nil || j.Workers != 0 {
				t.Errorf("%s: %+v", name, j)
			}
		}
		for a, row := range p.Switch {
			for b := range row {
				for k := range row {
					if row[k]+p.Switch[k][b] < row[b] {
						t.Fatalf("%s: a detour from %d to %d by %d is shorter", name, a, b, k)
					}
				}
			}
		}
	}
}

// One of the pure family with 20 jobs is proved by a moderate number of steps.
func TestTwentyJobsAreProved(t *testing.T) {
	res, err := Solve(context.Background(), instance(t, "pair-n20-m1-s2"), Options{})
	if err != nil || res.Status != "optimal" {
		t.Fatalf("%s, bound %d of %d, %v", res.Status, res.LowerBound, res.Objective, err)
	}
	if err := verify(instance(t, "pair-n20-m1-s2"), res.Solution); err != nil {
		t.Error(err)
	}
}

func benchSolve(b *testing.B, p *Problem, steps int64) {
	b.ReportAllocs()
	for b.Loop() {
		res, err := Solve(context.Background(), p, Options{Steps: steps})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(res.Objective), "objective")
		b.ReportMetric(float64(res.LowerBound), "bound")
	}
}

func BenchmarkSolveOneWorker40(b *testing.B) { benchSolve(b, instance(b, "pair-n40-m1-s1"), 2_000_000) }
func BenchmarkSolveThreeWorkers40(b *testing.B) {
	benchSolve(b, instance(b, "class-n40-m3-s2"), 2_000_000)
}

func BenchmarkSolveCalendar100(b *testing.B) {
	benchSolve(b, randomProblem(rand.New(rand.NewPCG(1, 1)), shape{100, 1, 40, true, true, true}), 2_000_000)
}

func BenchmarkEvaluateCalendar100(b *testing.B) {
	p := randomProblem(rand.New(rand.NewPCG(1, 1)), shape{100, 1, 40, true, true, true})
	seqs := [][]int{{}}
	for j := range p.Jobs {
		seqs[0] = append(seqs[0], j)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Evaluate(p, seqs); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStep is one move of the annealing with a calendar; it should not
// allocate but for the pieces of jobs that are cut.
func BenchmarkStep(b *testing.B) {
	p := randomProblem(rand.New(rand.NewPCG(1, 1)), shape{100, 1, 40, true, true, true})
	a := newAnneal(compile(p), 1, 1)
	a.construct()
	b.ReportAllocs()
	for b.Loop() {
		a.step(2048)
	}
}
