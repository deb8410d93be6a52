package sched

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Where the calendar is ignored, a change is followed only as far as it is felt
// and the rest put off: it must come to what playing everything again does.
func TestIgnoredCalendarIsPlayedTheShortWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	shortened := 0
	for range 300 {
		p := randomProblem(rng, shape{20 + rng.IntN(40), 1, 4 + rng.IntN(10), rng.IntN(2) == 0, true, true})
		p.Lags = slices.DeleteFunc(p.Lags, func(l Lag) bool { return l.To > l.From+4 })
		m := compile(p)
		a, again := newAnneal(m, 1, 1), newSim(m)
		a.frontier = rng.IntN(4) * rng.IntN(6)
		again.frontier = a.frontier
		a.load(randomOrder(rng, m))
		for range 60 {
			before := a.cost
			steps := a.sim.steps
			a.step(1024 * 20)
			again.load(a.order, a.who)
			if a.cost != again.cost || !slices.Equal(a.before, again.before) || !slices.Equal(a.start, again.start) {
				t.Fatalf("frontier %d: %+v and %+v", a.frontier, a.cost, again.cost)
			}
			if a.cost != before && a.sim.steps-steps < int64(m.n)/3 {
				shortened++
			}
		}
	}
	if shortened < 100 {
		t.Errorf("only %d changes were played the short way", shortened)
	}
}
