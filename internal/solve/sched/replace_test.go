package sched

import (
	"math/rand/v2"
	"testing"
)

// Whatever replace does, the order stays one that the lags allow, in stretches of
// any length, and costs what Evaluate says.
func TestReplaceKeepsTheLags(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	changed := 0
	for range 300 {
		p := randomProblem(rng, shape{3 + rng.IntN(15), 1, 2 + rng.IntN(6), rng.IntN(2) == 0, rng.IntN(4) > 0, true})
		m := compile(p)
		a := newAnneal(m, rng.Uint64(), 0)
		a.construct()
		a.out = newReplacer(m)
		a.out.reach = 2 + rng.IntN(m.n)
		for range 50 {
			before := a.cost
			a.replace(rng.IntN(60_000), 1<<40)
			if a.cost != before {
				changed++
			}
			for i, j := range a.order {
				if a.pos[j] != int32(i) {
					t.Fatalf("job %d is at place %d, not %d", j, i, a.pos[j])
				}
				for _, x := range m.into[j] {
					if a.pos[x.job] > int32(i) {
						t.Fatalf("job %d lies in front of job %d, which it must follow", j, x.job)
					}
				}
			}
			if a.cost.a >= short {
				continue // the calendar is too short
			}
			sol, err := Evaluate(p, a.sequences())
			if err != nil {
				t.Fatal(err)
			}
			if sol.Objective() != a.cost.a {
				t.Fatalf("cost %d, Evaluate says %d", a.cost.a, sol.Objective())
			}
		}
	}
	if changed < 1000 {
		t.Errorf("only %d of 15000 changed anything", changed)
	}
}

// Without noise the gaps chosen cost as little as any that leave no job of the
// class without one: every set of gaps is tried.
func TestGapsAreTheCheapest(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	several := 0
	for range 4000 {
		p := randomProblem(rng, shape{4 + rng.IntN(9), 1, 2 + rng.IntN(3), rng.IntN(2) == 0, true, true})
		m := compile(p)
		a := newAnneal(m, rng.Uint64(), 0)
		a.construct()
		a.out = newReplacer(m)
		r := a.out
		r.lo, r.hi = 0, m.n
		a.takeOut(rng.IntN(m.n))
		c := r.classes[0]
		a.reaches(c)
		if !a.chooseGaps(c, 0) {
			t.Fatal("no gaps found")
		}
		got := 0
		for _, g := range r.chosen {
			got += a.gapCost(int(g), c)
		}
		begin, end := int32(len(r.rest)), int32(0)
		for _, j := range r.run {
			begin, end = min(begin, r.first[j]), max(end, r.last[j])
		}
		best := 1 << 40
		for set := range 1 << (end + 1) {
			if set&(1<<begin-1) != 0 {
				continue // where no job may go
			}
			cost := 0
			for g := range int(end) + 1 {
				if set>>g&1 == 1 {
					cost += a.gapCost(g, c)
				}
			}
			for _, j := range r.run {
				if set>>r.first[j]&(1<<(r.last[j]-r.first[j]+1)-1) == 0 {
					cost = 1 << 40
				}
			}
			best = min(best, cost)
		}
		if got != best {
			t.Fatalf("gaps %v cost %d, others %d", r.chosen, got, best)
		}
		if len(r.chosen) > 1 {
			several++
		}
	}
	if several < 100 {
		t.Errorf("only %d cases wanted several gaps", several)
	}
}
