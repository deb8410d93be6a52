package order

import (
	"context"
	"fmt"

	"facings/internal/solve/sched"
)

// Several batches are too much for one search, and they need not be: each is
// painted after the one before it. So each batch is put in order by itself, in
// the evenings that the batches before it leave, and the whole search begins
// from these orders strung together. Bounds add up likewise, see paintingBound.

// batchSteps is the search work for each job of a batch, unless said otherwise.
const batchSteps = 30_000

// polishShare is the share of the work that is kept for the whole.
const polishShare = 10 // one part in so many

// search looks for the best sequences: at once for a single batch or for
// several painters, batch by batch first otherwise.
func search(ctx context.Context, e *sched.Problem, g jobs, seed uint64, steps int64) (sched.Result, error) {
	last := 0
	for _, j := range g.list {
		last = max(last, j.batch)
	}
	if last == 0 || e.Workers > 1 {
		return sched.Solve(ctx, e, sched.Options{Seed: seed, Steps: steps})
	}
	if steps == 0 {
		steps = batchSteps * int64(len(e.Jobs))
	}
	var start []int
	setUps, after := 0, 0
	for b := 0; b <= last; b++ {
		part, members := batchProblem(e, g, b, after)
		if len(members) == 0 {
			continue
		}
		res, err := sched.Solve(ctx, part, sched.Options{Seed: seed, Steps: max(1, steps*int64(len(members))/int64(len(e.Jobs)))})
		if err != nil {
			return res, err
		}
		if res.Solution.Sequences == nil {
			if res.Impossible != nil && res.Impossible.Why == sched.WhyCalendar {
				return res, sched.ErrCalendar // more evenings are to be had
			}
			// What is wrong with a part is wrong with the whole, which says it better.
			return sched.Solve(ctx, e, sched.Options{Seed: seed, Steps: steps})
		}
		for _, j := range res.Solution.Sequences[0] {
			start = append(start, members[j])
		}
		after = res.Solution.WallEnd
		bound, err := paintingBound(ctx, e, g, b, seed)
		if err != nil {
			return res, err
		}
		setUps += bound
	}
	res, err := sched.Solve(ctx, e, sched.Options{Seed: seed, Steps: max(1, steps/polishShare), Start: [][]int{start}})
	if err != nil || res.Solution.Sequences == nil {
		return res, err
	}
	if bound := res.Solution.Work + setUps; bound > res.LowerBound {
		res.LowerBound = bound
	}
	if res.LowerBound > res.Objective {
		return res, fmt.Errorf("the bound of %d s is above the order's %d s", res.LowerBound, res.Objective)
	}
	return res, nil
}

// batchProblem is the problem of one batch alone in what is left of the windows
// after a second, with the jobs of the whole problem it is made of.
func batchProblem(e *sched.Problem, g jobs, batch, after int) (*sched.Problem, []int) {
	part := *e
	part.Windows = [][]sched.Window{{}}
	for _, w := range e.Windows[0] {
		if w.Start = max(w.Start, after); w.Start < w.End {
			part.Windows[0] = append(part.Windows[0], w)
		}
	}
	return &part, restrict(&part, e, func(j int) bool { return g.list[j].batch == batch })
}

// restrict keeps only some jobs of e in part, and the lags between them.
func restrict(part, e *sched.Problem, keep func(job int) bool) []int {
	number := make([]int, len(e.Jobs))
	var members []int
	part.Jobs, part.Lags = nil, nil
	for j := range e.Jobs {
		number[j] = -1
		if keep(j) {
			number[j] = len(members)
			members = append(members, j)
			part.Jobs = append(part.Jobs, e.Jobs[j])
		}
	}
	for _, l := range e.Lags {
		if number[l.From] >= 0 && number[l.To] >= 0 {
			l.From, l.To = number[l.From], number[l.To]
			part.Lags = append(part.Lags, l)
		}
	}
	return members
}

// paintingBound is a bound, in seconds, on the set-up in front of the painting
// jobs of one batch in any order of the whole project by one painter. The
// painting of batches lies one after the other, so these bounds add up. In front
// of a painting job stands another of its batch, something else (undercoat,
// varnish or the painting of the batch before), or the beginning of a sitting:
// each set-up is taken at the cheapest of these, the first for nothing. Drying
// and the making of mixes are left out, which only lowers it.
func paintingBound(ctx context.Context, e *sched.Problem, g jobs, batch int, seed uint64) (int, error) {
	part := *e
	part.Windows, part.Make, part.Life = nil, nil, nil
	members := restrict(&part, e, func(j int) bool { return g.list[j].batch == batch && partOf(g.list[j].stage) == painting })
	if len(members) == 0 {
		return 0, nil
	}
	for i := range part.Lags {
		part.Lags[i].Dry, part.Lags[i].Whole = 0, false
	}
	other := map[int]bool{} // classes of work that is not painting
	for j := range e.Jobs {
		if partOf(g.list[j].stage) != painting {
			other[e.Jobs[j].Class] = true
		}
	}
	n := len(e.First)
	part.First, part.Switch = make([]int, n), make([][]int, n)
	for a := range n {
		part.Switch[a] = make([]int, n)
		for b := range n {
			if a == b {
				continue
			}
			cheapest := min(e.Switch[a][b], e.First[b])
			for x := range other {
				cheapest = min(cheapest, e.Switch[x][b])
			}
			part.Switch[a][b] = cheapest
		}
	}
	work := 0
	for _, j := range members {
		work += e.Jobs[j].Work()
	}
	res, err := sched.Solve(ctx, &part, sched.Options{Seed: seed, Steps: boundSteps * int64(len(members))})
	if err != nil {
		return 0, err
	}
	return max(0, res.LowerBound-work), nil
}

// boundSteps is the search work per job beside a bound: the bound is wanted, the
// order found on the way is not.
const boundSteps = 2_000
