package sched

import "math/rand/v2"

// shape says what a random problem should contain.
type shape struct {
	jobs, workers, classes int
	makes, windows, lags   bool
}

// randomProblem draws a small problem of the given shape.
func randomProblem(rng *rand.Rand, s shape) *Problem {
	p := &Problem{Workers: s.workers}
	for a := range s.classes {
		row := make([]int, s.classes)
		for b := range row {
			if a != b {
				row[b] = 1 + rng.IntN(12)
			}
		}
		p.Switch = append(p.Switch, row)
		p.First = append(p.First, rng.IntN(12))
	}
	if s.makes {
		for range s.classes {
			p.Make = append(p.Make, rng.IntN(3)*rng.IntN(6))
			p.Life = append(p.Life, rng.IntN(60))
			p.Mix = append(p.Mix, rng.IntN(3))
		}
	}
	for range s.jobs {
		j := Job{Class: rng.IntN(s.classes)}
		if rng.IntN(4) == 0 && s.workers > 1 {
			j.Workers = 1 + uint(rng.IntN(1<<s.workers-1))
		}
		for f := range 4 {
			if rng.IntN(2) == 0 {
				j.Figures = append(j.Figures, f)
				j.Chunks = append(j.Chunks, 1+rng.IntN(8))
			}
		}
		if j.Chunks == nil {
			j.Chunks = []int{1 + rng.IntN(20)}
		}
		p.Jobs = append(p.Jobs, j)
	}
	if s.lags {
		for a := range s.jobs {
			for b := a + 1; b < s.jobs; b++ {
				if rng.IntN(4) == 0 {
					p.Lags = append(p.Lags, Lag{From: a, To: b, Dry: rng.IntN(3) * rng.IntN(20), Whole: rng.IntN(5) == 0})
				}
			}
		}
	}
	if s.windows {
		p.Patience = rng.IntN(2) * rng.IntN(20)
		p.LongDry = rng.IntN(2) * (10 + rng.IntN(20))
		p.Close = rng.IntN(2) * rng.IntN(12)
		for range 1 + rng.IntN(2)*(s.workers-1) {
			at := rng.IntN(10)
			var list []Window
			for range 4 * s.jobs {
				end := at + 15 + rng.IntN(40)
				list = append(list, Window{at, end})
				at = end + rng.IntN(40)
			}
			p.Windows = append(p.Windows, list)
		}
	}
	return p
}

// shapes are the kinds of problem the tests go through.
func shapes(jobs int) []shape {
	var all []shape
	for workers := 1; workers <= 3; workers++ {
		for _, makes := range []bool{false, true} {
			for _, windows := range []bool{false, true} {
				all = append(all, shape{jobs, workers, 1 + jobs/2, makes, windows, true})
			}
		}
	}
	return all
}

// randomOrder is a random order that keeps the lags, with random workers.
func randomOrder(rng *rand.Rand, m *model) (order []int32, who []uint8) {
	left := make([]int, m.n)
	var open []int32
	for j := range left {
		if left[j] = len(m.into[j]); left[j] == 0 {
			open = append(open, int32(j))
		}
	}
	who = make([]uint8, m.n)
	for len(open) > 0 {
		i := rng.IntN(len(open))
		j := open[i]
		open = append(open[:i], open[i+1:]...)
		order = append(order, j)
		for {
			who[j] = uint8(rng.IntN(m.m))
			if m.allowed[j]&(1<<who[j]) != 0 {
				break
			}
		}
		for _, a := range m.out[j] {
			if left[a.job]--; left[a.job] == 0 {
				open = append(open, a.job)
			}
		}
	}
	return order, who
}
