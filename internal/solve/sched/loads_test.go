package sched

import (
	"math"
	"math/rand/v2"
	"testing"
)

// cheapestLoads goes through all orders that the lags allow.
func cheapestLoads(l *loads, done []bool, last int32) int {
	m, best, left := l.m, none, false
	for j := range int32(m.n) {
		if done[j] {
			continue
		}
		left = true
		free := true
		for _, x := range m.into[j] {
			free = free && done[x.job]
		}
		if !free {
			continue
		}
		cost, c := 0, m.class[j]
		switch {
		case last < 0 || l.group[last] != l.group[c]:
			cost = l.entry[c]
		case last != c:
			cost = min(l.within(last, c), l.entry[c])
		}
		done[j] = true
		best = min(best, cost+cheapestLoads(l, done, c))
		done[j] = false
	}
	if !left {
		return 0
	}
	return best
}

// The bound by loads is what the cheapest of all orders costs; with few states it is
// no more; and no order of the true model has less set-up.
func TestLoadsAgainstAllOrders(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 3))
	several, stopped := 0, 0
	for range 1500 {
		p := randomProblem(rng, shape{3 + rng.IntN(6), 1, 2 + rng.IntN(5), rng.IntN(2) == 0, rng.IntN(2) == 0, true})
		if rng.IntN(2) == 0 { // paints with several tools
			for a, row := range p.Switch {
				for b := range row {
					if a != b && a/2 == b/2 {
						row[b] = 1 + rng.IntN(3)
					} else if a != b {
						row[b] = 9 + 3*((a^b)&1)
					}
				}
			}
			for b := range p.First {
				p.First[b] = 9
			}
		}
		m := compile(p)
		rules := newBlockCounter(m, m.topo, 500).rules(300)
		never := func() bool { return false }
		l := newLoads(m, 1<<30)
		want := cheapestLoads(l, make([]bool, m.n), -1)
		if got := l.bound(rules, math.MaxInt32, never); got != want {
			t.Fatalf("bound %d, the cheapest of all orders %d", got, want)
		}
		if len(l.classes) < m.c {
			several++
		}
		if got := newLoads(m, rng.IntN(6)).bound(rules, math.MaxInt32, never); got > want {
			t.Fatalf("with few states %d, the cheapest of all orders %d", got, want)
		} else if got < want {
			stopped++
		}
		a := newAnneal(m, rng.Uint64(), 0)
		a.construct()
		if a.cost.a >= short {
			continue
		}
		sol, err := Evaluate(p, a.sequences())
		if err != nil {
			t.Fatal(err)
		}
		if sol.Setup < want {
			t.Fatalf("an order with %d of set-up, bound %d", sol.Setup, want)
		}
	}
	if several < 300 || stopped < 15 {
		t.Errorf("%d cases with groups, %d stopped early", several, stopped)
	}
}

// A packing whose best value is known: the fractional matching number of a circle
// of five is 5/2 (every edge one half; Schrijver, Combinatorial Optimization, 2003, chapter 30,
// from memory), and a larger price of one edge draws all to it.
func TestPackingOfACircle(t *testing.T) {
	rows, most := make([][]float64, 5), make([]float64, 5)
	for i := range rows {
		rows[i] = make([]float64, 5)
		rows[i][i], rows[i][(i+4)%5] = 1, 1
		most[i] = 1
	}
	value := func(gain []float64) (sum float64) {
		for i, y := range packing(rows, most, gain) {
			sum += y * gain[i]
		}
		return sum
	}
	if v := value([]float64{1, 1, 1, 1, 1}); math.Abs(v-2.5) > 1e-9 {
		t.Errorf("a circle of five: %g", v)
	}
	if v := value([]float64{9, 1, 1, 1, 1}); math.Abs(v-10) > 1e-9 {
		t.Errorf("with a dear edge: %g", v)
	}
}
