package sched

import (
	"math/rand/v2"
	"testing"
)

// bestTree is the least cost over every choice of parents that forms a tree.
func bestTree(cost [][]int) int {
	n := len(cost)
	parent := make([]int, n)
	best := none
	var rec func(v, sum int)
	rec = func(v, sum int) {
		if v == n {
			for s := 1; s < n; s++ {
				steps := 0
				for at := s; at != 0; at = parent[at] {
					if steps++; steps > n {
						return
					}
				}
			}
			best = min(best, sum)
			return
		}
		for u := range n {
			if u != v && cost[v][u] < none {
				parent[v] = u
				rec(v+1, sum+cost[v][u])
			}
		}
	}
	rec(1, 0)
	return best
}

func TestArborescenceIsTheCheapestTree(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 400 {
		n := 2 + rng.IntN(5)
		tree := newArborescence(n)
		cost := make([][]int, n)
		for v := range n {
			cost[v] = make([]int, n)
			for u := range n {
				cost[v][u] = none
				if c := rng.IntN(20) - 5; u != v && rng.IntN(4) > 0 {
					cost[v][u] = c
					tree.arcs[v] = append(tree.arcs[v], leg{int32(u), int32(v), c})
				}
			}
		}
		want := bestTree(cost)
		got, ok := tree.solve()
		if ok != (want < none) || ok && got != want {
			t.Fatalf("%v: got %d, %v, want %d", cost, got, ok, want)
		}
		if !ok {
			continue
		}
		sum := 0
		for v := 1; v < n; v++ {
			sum += cost[v][tree.parent[v]]
		}
		if sum != want {
			t.Fatalf("parents cost %d, want %d", sum, want)
		}
	}
}
