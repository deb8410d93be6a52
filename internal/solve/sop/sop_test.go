package sop

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"facings/internal/solve"
)

// small draws a problem of up to most nodes. Costs have few values as often as
// many, so that ties occur.
func small(t *rapid.T, most int) Problem {
	n := rapid.IntRange(0, most).Draw(t, "n")
	top := rapid.SampledFrom([]int{0, 1, 5, 100, MaxCost}).Draw(t, "top")
	p := Problem{N: n, Cost: make([][]int, n)}
	for i := range n {
		p.Cost[i] = rapid.SliceOfN(rapid.IntRange(0, top), n, n).Draw(t, "row")
	}
	if n > 1 {
		p.Before = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) [2]int {
			a := rapid.IntRange(0, n-2).Draw(t, "a")
			return [2]int{a, rapid.IntRange(a+1, n-1).Draw(t, "b")}
		}), 0, n).Draw(t, "before")
	}
	// Numbers should not give the precedences away.
	names := rapid.Permutation(upTo(n)).Draw(t, "names")
	for i, b := range p.Before {
		p.Before[i] = [2]int{names[b[0]], names[b[1]]}
	}
	return p
}

func upTo(n int) []int {
	l := make([]int, n)
	for i := range l {
		l[i] = i
	}
	return l
}

// cheapest tries every order.
func cheapest(p Problem) int {
	best := -1
	order := make([]int, 0, p.N)
	var extend func(used, cost int)
	extend = func(used, cost int) {
		if len(order) == p.N {
			if best < 0 || cost < best {
				best = cost
			}
			return
		}
	next:
		for v := range p.N {
			if used>>v&1 != 0 {
				continue
			}
			for _, b := range p.Before {
				if b[1] == v && used>>b[0]&1 == 0 {
					continue next
				}
			}
			step := 0
			if len(order) > 0 {
				step = p.Cost[order[len(order)-1]][v]
			}
			order = append(order, v)
			extend(used|1<<v, cost+step)
			order = order[:len(order)-1]
		}
	}
	extend(0, 0)
	return best
}

func TestSmallProblemsAgreeWithTryingEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := small(t, 7)
		r, err := Solve(context.Background(), p, Settings{Work: 20_000_000, Seed: rapid.Uint64().Draw(t, "seed"), Threads: rapid.IntRange(1, 3).Draw(t, "threads")})
		if err != nil {
			t.Fatal(err)
		}
		want := cheapest(p)
		if r.Status != solve.Optimal || r.Cost != want || r.LowerBound != want {
			t.Fatalf("got %s, cost %d, bound %d; trying every order gives %d", r.Status, r.Cost, r.LowerBound, want)
		}
		if cost, err := p.CostOf(r.Order); err != nil || cost != r.Cost {
			t.Fatalf("order %v costs %d, result says %d; %v", r.Order, cost, r.Cost, err)
		}
	})
}

// With hardly any work left the answer is still an order, and the bound one.
func TestLittleWorkStillGivesAnOrderAndABound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := small(t, 8)
		r, err := Solve(context.Background(), p, Settings{Work: rapid.Int64Range(1, 20_000).Draw(t, "work")})
		if err != nil {
			t.Fatal(err)
		}
		if cost, err := p.CostOf(r.Order); err != nil || cost != r.Cost {
			t.Fatalf("order %v costs %d, result says %d; %v", r.Order, cost, r.Cost, err)
		}
		want := cheapest(p)
		if r.LowerBound > want || r.Cost < want || r.Status == solve.Optimal && r.Cost != want {
			t.Fatalf("%s, cost %d, bound %d; the optimum is %d", r.Status, r.Cost, r.LowerBound, want)
		}
	})
}

func TestACycleIsNamedAndShortest(t *testing.T) {
	p := Problem{N: 6, Cost: square(6, 1), Before: [][2]int{{0, 1}, {1, 2}, {2, 3}, {3, 0}, {4, 2}, {3, 4}, {4, 5}}}
	r, err := Solve(context.Background(), p, Settings{})
	if err != nil || r.Status != solve.Infeasible || r.Order != nil {
		t.Fatalf("%+v, %v", r, err)
	}
	if len(r.Cycle) != 3 {
		t.Fatalf("cycle %v, want the three nodes 2, 3, 4", r.Cycle)
	}
	for i, v := range r.Cycle {
		if !slices.Contains(p.Before, [2]int{v, r.Cycle[(i+1)%3]}) {
			t.Errorf("no precedence of %d before %d", v, r.Cycle[(i+1)%3])
		}
	}
	p.Before = append(p.Before, [2]int{5, 5})
	if r, _ := Solve(context.Background(), p, Settings{}); !slices.Equal(r.Cycle, []int{5}) {
		t.Errorf("cycle %v, want node 5 alone", r.Cycle)
	}
}

func square(n, cost int) [][]int {
	m := make([][]int, n)
	for i := range m {
		m[i] = slices.Repeat([]int{cost}, n)
	}
	return m
}

func TestMalformedProblemsAreRefused(t *testing.T) {
	for name, p := range map[string]Problem{
		"nodes":      {N: -1},
		"too many":   {N: MaxNodes + 1},
		"rows":       {N: 2, Cost: [][]int{{0, 1}}},
		"entries":    {N: 2, Cost: [][]int{{0, 1}, {1}}},
		"negative":   {N: 2, Cost: [][]int{{0, 1}, {-2, 0}}},
		"too dear":   {N: 2, Cost: [][]int{{0, MaxCost + 1}, {1, 0}}},
		"precedence": {N: 2, Cost: square(2, 1), Before: [][2]int{{0, 2}}},
	} {
		if r, err := Solve(context.Background(), p, Settings{}); err == nil {
			t.Errorf("%s: no error but %+v", name, r)
		}
	}
}

// published reads the best known bounds; source: testdata/SOURCE.txt.
func published(t *testing.T) map[string][2]int {
	t.Helper()
	f, err := os.Open("testdata/bounds.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	m := map[string][2]int{}
	for _, r := range rows[1:] {
		lower, _ := strconv.Atoi(r[5])
		upper, _ := strconv.Atoi(r[6])
		m[r[0]] = [2]int{lower, upper}
	}
	return m
}

func load(t testing.TB, name string) Problem {
	t.Helper()
	file := filepath.Join("testdata", name+".sop")
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := ReadTSPLIB(f, file)
	if err != nil {
		t.Fatal(err)
	}
	return in.Problem
}

// Optima as published; source: testdata/SOURCE.txt, bounds.csv.
func TestPublishedOptimaAreProved(t *testing.T) {
	bounds := published(t)
	for _, name := range []string{"ESC07", "ESC11", "ESC12", "ESC25", "ESC63", "br17.10"} {
		t.Run(name, func(t *testing.T) {
			p := load(t, name)
			r, err := Solve(context.Background(), p, Settings{Work: 2_000_000_000})
			if err != nil {
				t.Fatal(err)
			}
			if want := bounds[name][1]; r.Status != solve.Optimal || r.Cost != want {
				t.Errorf("%s, cost %d, bound %d; published optimum %d", r.Status, r.Cost, r.LowerBound, want)
			}
			if cost, err := p.CostOf(r.Order); err != nil || cost != r.Cost {
				t.Errorf("order costs %d, %v", cost, err)
			}
		})
	}
}

// Best known costs and bounds as published; source: testdata/SOURCE.txt,
// bounds.csv. The work allowed is small, so costs may be 3 % above.
func TestLargerPublishedInstancesComeClose(t *testing.T) {
	bounds := published(t)
	for _, name := range []string{"ry48p.2", "ft53.4", "rbg048a", "p43.1", "prob.42"} {
		t.Run(name, func(t *testing.T) {
			p := load(t, name)
			r, err := Solve(context.Background(), p, Settings{Work: 25_000_000})
			if err != nil {
				t.Fatal(err)
			}
			lower, upper := bounds[name][0], bounds[name][1]
			if r.Cost < lower || r.Cost > upper*103/100 {
				t.Errorf("cost %d, published %d to %d", r.Cost, lower, upper)
			}
			if r.LowerBound > upper {
				t.Errorf("bound %d is above the published cost %d", r.LowerBound, upper)
			}
			if cost, err := p.CostOf(r.Order); err != nil || cost != r.Cost {
				t.Errorf("order costs %d, %v", cost, err)
			}
		})
	}
}

func TestAnswersDoNotDependOnTheMachine(t *testing.T) {
	p := load(t, "ry48p.2")
	solveOn := func(procs int) Result {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		r, err := Solve(context.Background(), p, Settings{Work: 15_000_000, Seed: 7, Threads: 3})
		if err != nil {
			t.Fatal(err)
		}
		r.Elapsed = 0
		return r
	}
	one := solveOn(1)
	for _, procs := range []int{1, 4} {
		if diff := cmp.Diff(one, solveOn(procs)); diff != "" {
			t.Errorf("on %d processors: %s", procs, diff)
		}
	}
}

func TestADoneContextEndsTheSearch(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := load(t, "ry48p.2")
	r, err := Solve(ctx, p, Settings{Work: 1 << 60})
	if err != nil || r.Status != solve.Feasible {
		t.Fatalf("%+v, %v", r, err)
	}
	if _, err := p.CostOf(r.Order); err != nil {
		t.Error(err)
	}
}
