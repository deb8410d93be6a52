package sched

import (
	"math/rand/v2"
	"testing"
)

// Two ways to count the blocks of one group: by the longest chain, and by the
// shortest path over the sets that greedy blocks lead to.
func TestBlocksOfOneGroupAreCountedAlike(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 2))
	several := false
	for range 300 {
		m := compile(randomProblem(rng, shape{4 + rng.IntN(12), 1, 5 + rng.IntN(20), false, false, true}))
		b := newBlockCounter(m, m.topo, 1<<20)
		group := make([]int8, m.c)
		for c := range group {
			group[c] = int8(rng.IntN(2))
		}
		want := b.fewest(group, 1)
		if got := b.fewestAlone(group); got != want {
			t.Fatalf("%d blocks, want %d", got, want)
		}
		several = several || want > 1
	}
	if !several {
		t.Error("no group needed two blocks")
	}
}
