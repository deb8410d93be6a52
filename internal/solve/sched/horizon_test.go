package sched

import (
	"context"
	"math/rand/v2"
	"testing"
)

// eveningsProblem has short windows far apart, one of them longer, jobs that no
// window holds, mixes that die over night, and long lags.
func eveningsProblem(rng *rand.Rand) *Problem {
	p := &Problem{Workers: 1, LongDry: 50, Close: rng.IntN(2) * rng.IntN(8)}
	classes := 2 + rng.IntN(2)
	for a := range classes {
		row := make([]int, classes)
		for b := range row {
			if a != b {
				row[b] = 1 + rng.IntN(4)
			}
		}
		p.Switch = append(p.Switch, row)
		p.First = append(p.First, 2+rng.IntN(3))
		p.Make, p.Life = append(p.Make, rng.IntN(2)*3), append(p.Life, 40+rng.IntN(220))
	}
	for range 5 + rng.IntN(2) {
		j := Job{Class: rng.IntN(classes)}
		for range 1 + rng.IntN(3)*rng.IntN(8) {
			j.Chunks = append(j.Chunks, 1+rng.IntN(4))
		}
		p.Jobs = append(p.Jobs, j)
	}
	for a := range p.Jobs {
		for b := a + 1; b < len(p.Jobs); b++ {
			if rng.IntN(3) == 0 {
				p.Lags = append(p.Lags, Lag{From: a, To: b, Dry: []int{0, rng.IntN(20), 60}[rng.IntN(3)]})
			}
		}
	}
	at := 0
	var list []Window
	for w := range 40 {
		length := 24
		if w == 4+rng.IntN(30) {
			length = 60
		}
		list = append(list, Window{at, at + length})
		at += length + 30 + rng.IntN(3)*100
	}
	p.Windows = [][]Window{list}
	return p
}

func TestBoundsWithinTheHorizonStayBelowTheOptimum(t *testing.T) {
	rng := rand.New(rand.NewPCG(99, 5))
	near, cuts, makes := 0, 0, 0
	for range 2000 {
		p := eveningsProblem(rng)
		m := compile(p)
		all := newTiny(m)
		all.run(1<<40, func() bool { return false })
		if !all.found {
			t.Fatal("no order fits the calendar")
		}
		sol, err := Evaluate(p, sequencesOf(all))
		if err != nil {
			t.Fatal(err)
		}
		upper := all.best + rng.IntN(10)
		h := newHorizon(m, upper)
		for j, times := range sol.Jobs {
			last := times.Pieces[len(times.Pieces)-1].Window
			if last >= h.windows(j) {
				t.Fatalf("job %d ends in window %d of %d", j, last, h.windows(j))
			}
			if h.windows(j) < len(p.Windows[0]) {
				near++
			}
		}
		b := newBounds(m)
		b.improve(context.Background(), 100, upper)
		if b.value > all.best {
			t.Fatalf("bound %d above the optimum %d", b.value, all.best)
		}
		cuts += b.cuts
		makes += b.makes - makesBound(m, nil)
	}
	if near == 0 || cuts == 0 || makes == 0 {
		t.Errorf("%d jobs end before the calendar's end, %d seconds of cuts, %d of makes: nothing was tried", near, cuts, makes)
	}
}

func sequencesOf(t *tiny) [][]int {
	var seq []int
	for _, j := range t.order {
		seq = append(seq, int(j))
	}
	return [][]int{seq}
}

// Two jobs of one mix with more than an evening of other work between them need
// it made twice, and a job longer than an evening is loaded twice; a longer
// window that is too far away to be reached does not change that.
func TestWhatNoWindowHoldsIsLoadedAndMadeAgain(t *testing.T) {
	p := &Problem{Workers: 1, First: []int{2, 2}, Switch: [][]int{{0, 2}, {2, 0}}, Make: []int{5, 0}, Life: []int{150, 0},
		Jobs: []Job{{Chunks: []int{5, 5}}, {Chunks: []int{8, 8, 8, 8}, Class: 1}, {Chunks: []int{5}}},
		Lags: []Lag{{From: 0, To: 1}, {From: 1, To: 2}}}
	for w := range 20 {
		length := 30
		if w == 15 {
			length = 100
		}
		p.Windows = [][]Window{append(p.windows(0), Window{200 * w, 200*w + length})}
	}
	m := compile(p)
	b := newBounds(m)
	b.improve(context.Background(), 10, 70)
	if b.makes != 10 || b.cuts != 2 {
		t.Errorf("makes %d, cuts %d; want 10 and 2", b.makes, b.cuts)
	}
	b.improve(context.Background(), 10, 10_000) // an order so bad may reach it
	if b.makes != 5 || b.cuts != 0 {
		t.Errorf("makes %d, cuts %d; want 5 and none", b.makes, b.cuts)
	}
}

func TestWorkThatTheBenchHoldsInOneGoIsMadeOnce(t *testing.T) {
	p := &Problem{Workers: 1, First: []int{2, 2}, Switch: [][]int{{0, 2}, {2, 0}}, Make: []int{5, 0}, Life: []int{150, 0},
		Jobs: []Job{{Chunks: []int{5, 5}}, {Chunks: []int{6, 6}, Class: 1}, {Chunks: []int{5}}},
		Lags: []Lag{{From: 0, To: 1}, {From: 1, To: 2}}, Windows: [][]Window{{{0, 30}, {200, 230}}}}
	b := newBounds(compile(p))
	b.improve(context.Background(), 10, 60)
	if b.makes != 5 {
		t.Errorf("makes %d, want 5", b.makes)
	}
}

// Windows of ten hold one job of six each.
func TestHorizonCountsWhatIsLostAtTheEndOfEachWindow(t *testing.T) {
	p := &Problem{Workers: 1, First: []int{2}, Switch: [][]int{{0}}}
	for w := range 50 {
		if w < 10 {
			p.Jobs = append(p.Jobs, Job{Chunks: []int{6}})
		}
		p.Windows = [][]Window{append(p.windows(0), Window{100 * w, 100*w + 10})}
	}
	if got := newHorizon(compile(p), 80).windows(9); got < 10 || got == 50 {
		t.Errorf("%d windows, want more than nine and not all", got)
	}
}

func TestBenchWithin(t *testing.T) {
	m := compile(&Problem{Workers: 1, First: []int{0}, Switch: [][]int{{0}}, Jobs: []Job{{Chunks: []int{1}}},
		Windows: [][]Window{{{0, 10}, {20, 30}, {100, 140}, {150, 160}}}})
	for _, c := range []struct{ seconds, windows, want int }{
		{10, 4, 10}, {10, 2, 10}, {25, 2, 15}, {30, 2, 20}, {30, 4, 30}, {59, 4, 49}, {60, 4, 50}, {60, 2, 20}, {5, 1, 5}, {1000, 4, 70},
	} {
		if got := m.benchWithin(c.seconds, c.windows); got != c.want {
			t.Errorf("%d s, %d windows: %d, want %d", c.seconds, c.windows, got, c.want)
		}
	}
}
