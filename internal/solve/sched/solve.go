package sched

import (
	"context"
	"slices"

	"facings/internal/solve"
)

// Solve looks for the best sequences and for a bound on how good any could be.
//
// It stops when it has a proof, when the steps allowed are used, or when ctx
// is done; only in the last case does the answer depend on the machine. The
// error is for an invalid problem alone.
func Solve(ctx context.Context, p *Problem, opt Options) (Result, error) {
	res := Result{Status: solve.Unknown, Seed: opt.Seed}
	if err := p.Validate(); err != nil {
		return res, err
	}
	if res.Impossible = impossible(p); res.Impossible != nil {
		res.Status = solve.Infeasible
		return res, nil
	}
	m := compile(p)
	b := newBounds(m)
	s := newSearch(ctx, m, b, opt)
	best := s.run()
	res.Steps = s.used()
	if best == nil {
		res.Impossible = &Impossible{Why: WhyCalendar}
		if s.none {
			res.Status = solve.Infeasible
		}
		return res, nil
	}
	sol, err := Evaluate(p, best)
	if err != nil {
		return res, err
	}
	res.Solution, res.Objective = sol, sol.Objective()
	res.Status, res.LowerBound = solve.Feasible, b.value
	if res.Objective <= res.LowerBound {
		res.Status, res.LowerBound = solve.Optimal, res.Objective
	}
	if res.Objective > 0 {
		res.Gap = float64(res.Objective-res.LowerBound) / float64(res.Objective)
	}
	return res, nil
}

// fromSequences turns sequences into one order over all workers that keeps the
// lags; ok is false if they are incomplete or not allowed.
func (m *model) fromSequences(sequences [][]int) (order []int32, who []uint8, ok bool) {
	if complete(m.p, sequences) != nil {
		return nil, nil, false
	}
	who = make([]uint8, m.n)
	done := make([]bool, m.n)
	next := make([]int, m.m)
	for len(order) < m.n {
		before := len(order)
		for w, seq := range sequences {
			for next[w] < len(seq) {
				j := seq[next[w]]
				if slices.ContainsFunc(m.into[j], func(a arc) bool { return !done[a.job] }) {
					break
				}
				order, who[j], done[j] = append(order, int32(j)), uint8(w), true
				next[w]++
			}
		}
		if len(order) == before {
			return nil, nil, false
		}
	}
	return order, who, true
}

// impossible finds what can be proved to have no solution before any search.
func impossible(p *Problem) *Impossible {
	if cycle := Cycle(len(p.Jobs), p.Lags); cycle != nil {
		return &Impossible{Why: WhyCycle, Lags: cycle}
	}
	room := 0
	for w := range p.Workers {
		list := p.windows(w)
		if list == nil {
			return nil
		}
		for _, win := range list {
			room += win.End - win.Start
		}
	}
	work := 0
	for i, j := range p.Jobs {
		work += j.Work()
		for k, s := range j.Chunks {
			if !fitsSome(p, j, s) {
				return &Impossible{Why: WhyChunk, Job: i, Chunk: k}
			}
		}
	}
	if work > room {
		return &Impossible{Why: WhyCalendar, Short: work - room}
	}
	return nil
}

// fitsSome reports whether some window of a worker who may do the job is as
// long as a chunk.
func fitsSome(p *Problem, j Job, seconds int) bool {
	for w := range p.Workers {
		if j.Workers != 0 && j.Workers&(1<<w) == 0 {
			continue
		}
		for _, win := range p.windows(w) {
			if win.End-win.Start >= seconds {
				return true
			}
		}
	}
	return false
}
