package seat

import (
	"testing"

	"pgregory.net/rapid"
)

// Whatever the prices, and however a block is cut into strips, the relaxed
// bound of a trait must not fall below the exact best of its table; nor must
// the bound for all traits together fall below an assignment's worth.
func TestPricesNeverBoundTooLow(t *testing.T) {
	cut := false
	book := func(int) bool { return true }
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, rapid.IntRange(6, 12).Draw(t, "places"), rapid.IntRange(1, 2).Draw(t, "traits"))
		m, err := newModel(&p)
		if err != nil {
			t.Fatal(err)
		}
		parts, a, err := m.parts(nil)
		if err != nil || a != yes {
			return
		}
		var every []int
		for _, b := range m.blocks() {
			every = append(every, b...)
		}
		check := func(traits []int, w Weights, least int) {
			r := m.newRelax(traits, w, rapid.SampledFrom([]int{30, 4096}).Draw(t, "limit"), book)
			if r == nil {
				return
			}
			cut = cut || len(r.ties) > 0
			for range 12 {
				b, _ := r.bound()
				if floorDiv(b, whole) < least {
					t.Fatalf("traits %v: bound %d/%d, but %d is possible", traits, b, whole, least)
				}
				if !r.move(float64(max(whole, b-least*whole))) {
					return
				}
			}
		}
		for tr := range m.t {
			if tb := m.newTable(tr, m.sweep(every), tableLimit, book); tb != nil {
				check([]int{tr}, Weights{Neighbour: 1}, int(tb.best[0][0]))
			}
		}
		l := newLane(m, parts, 1, 0)
		l.run(2000, surprise(), func() bool { return false })
		w := p.Weights
		w.Run, w.Repeat = 0, 0
		if w.Objective(Terms{Preferred: 1, Breaches: -1}) < 1<<30 {
			all := make([]int, m.t)
			for i := range all {
				all[i] = i
			}
			check(all, w, w.Objective(l.terms))
		}
	})
	if !cut {
		t.Error("no block was cut into strips")
	}
}
