package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"

	"facings/internal/solve/sched"
)

// genLags writes the pure family: 20, 40 and 80 jobs, one to three workers,
// set-ups by class or from every job to every other, three seeds each.
func genLags(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, n := range []int{20, 40, 80} {
		for workers := 1; workers <= 3; workers++ {
			for _, kind := range []string{"class", "pair"} {
				for seed := uint64(1); seed <= 3; seed++ {
					name := fmt.Sprintf("%s-n%d-m%d-s%d.json", kind, n, workers, seed)
					p := lagsProblem(n, workers, kind == "class", seed)
					if err := write(filepath.Join(dir, name), p); err != nil {
						return err
					}
				}
			}
		}
	}
	return nil
}

// lagsProblem draws work of 10 to 60, lags of 0 to 120 (for one worker 240)
// behind half of the precedences, set-ups of 5 to 40 that keep the triangle
// inequality.
func lagsProblem(n, workers int, byClass bool, seed uint64) *sched.Problem {
	kind := uint64(0)
	classes := n
	if byClass {
		kind, classes = 1, 3+n/8
	}
	rng := rand.New(rand.NewPCG(seed, uint64(n)<<16|uint64(workers)<<8|kind))
	p := &sched.Problem{Workers: workers}
	p.Switch = setups(rng, classes)
	for range classes {
		p.First = append(p.First, 5+rng.IntN(36))
	}
	for j := range n {
		class := j
		if byClass {
			class = rng.IntN(classes)
		}
		p.Jobs = append(p.Jobs, sched.Job{Chunks: []int{10 + rng.IntN(51)}, Class: class})
	}
	longest := 120
	if workers == 1 {
		longest = 240
	}
	// Each job but the first few follows up to three of the fifteen before it.
	for j := 1; j < n; j++ {
		seen := map[int]bool{}
		for range rng.IntN(4) {
			i := max(0, j-1-rng.IntN(15))
			if i == 0 && rng.IntN(2) == 0 || seen[i] {
				continue
			}
			seen[i] = true
			dry := 0
			if rng.IntN(2) == 0 {
				dry = rng.IntN(longest + 1)
			}
			p.Lags = append(p.Lags, sched.Lag{From: i, To: j, Dry: dry})
		}
	}
	return p
}

// setups draws switches of 5 to 40 and shortens them until no detour is
// shorter.
func setups(rng *rand.Rand, n int) [][]int {
	s := make([][]int, n)
	for a := range s {
		s[a] = make([]int, n)
		for b := range s[a] {
			if a != b {
				s[a][b] = 5 + rng.IntN(36)
			}
		}
	}
	for k := range n {
		for a := range n {
			for b := range n {
				s[a][b] = min(s[a][b], s[a][k]+s[k][b])
			}
		}
	}
	return s
}
