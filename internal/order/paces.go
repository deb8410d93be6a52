package order

import (
	"cmp"
	"context"
	"math"
	"slices"

	"facings"
	"facings/internal/solve"
	"facings/internal/solve/sched"
)

// paces are how many times as long as planned each painter takes.
type paces []float64

func newPaces(p *facings.Project, painters int) paces {
	out := make(paces, painters)
	for i := range out {
		out[i] = p.PainterPace(i)
	}
	return out
}

// slowest is the pace of the slowest painter.
func slowest(p *facings.Project) float64 {
	return slices.Max(newPaces(p, max(1, len(p.Calendar.Painters))))
}

// fastest is the pace of the fastest painter.
func fastest(p *facings.Project) float64 {
	return slices.Min(newPaces(p, max(1, len(p.Calendar.Painters))))
}

func (ps paces) alike() bool { return slices.Max(ps)-slices.Min(ps) < 1e-9 }

// atPace is how many whole seconds a painter of some pace takes for what takes
// others so many.
func atPace(seconds int, pace float64) int {
	return max(1, int(math.Round(float64(float64(seconds)*pace))))
}

// own turns the engine's answer, which shares out the work at the mean of the
// paces, into one in which every job takes as long as its painter takes for it;
// some of what the slower ones were given goes to the quicker ones. jobs is how
// many of the problem's jobs are passes. It returns the problem with the times
// that count.
func (ps paces) own(ctx context.Context, p *sched.Problem, res sched.Result, jobs int, opt sched.Options) (*sched.Problem, sched.Result, error) {
	if ps.alike() {
		return p, res, nil
	}
	s := shares{paces: ps, plan: p, jobs: jobs}
	s.limit = min(1000, 1_000_000/(len(p.Lags)+1))
	timed, sol, err := s.play(res.Solution.Sequences)
	if err != nil {
		return nil, res, err
	}
	timed, sol = s.handOver(timed, sol)
	for range searches {
		t, next, err := s.again(ctx, timed, sol, opt)
		if err != nil || next.Compare(sol) >= 0 {
			break
		}
		timed, sol = s.handOver(t, next)
	}
	res.Solution, res.Status, res.Objective = sol, solve.Feasible, sol.Objective()
	res.LowerBound = s.bound()
	return timed, res, nil
}

// searches is how often an order is sought again, at most, with everybody's own
// times: each takes as long as the first search.
const searches = 2

// handOver gives some of what the busiest painter does to another for as long
// as that is better.
func (s *shares) handOver(timed *sched.Problem, sol sched.Solution) (*sched.Problem, sched.Solution) {
	for better := true; better; {
		better = false
		for _, seqs := range s.moves(timed, sol) {
			if s.limit--; s.limit < 0 {
				break
			}
			if t, next, err := s.play(seqs); err == nil && next.Compare(sol) < 0 {
				timed, sol, better = t, next, true
				break
			}
		}
	}
	return timed, sol
}

// again searches once more, with everybody's own times and each job kept to its
// painter: what was in step at the mean of the paces waits at their own.
func (s *shares) again(ctx context.Context, timed *sched.Problem, sol sched.Solution, opt sched.Options) (*sched.Problem, sched.Solution, error) {
	kept := *timed
	kept.Jobs = slices.Clone(timed.Jobs)
	for w, seq := range sol.Sequences {
		for _, j := range seq {
			kept.Jobs[j].Workers = 1 << w
		}
	}
	res, err := sched.Solve(ctx, &kept, opt)
	if err != nil || res.Solution.Sequences == nil {
		return nil, sol, cmp.Or(err, sched.ErrCalendar)
	}
	return s.play(res.Solution.Sequences)
}

// shares looks for who does what.
type shares struct {
	paces
	plan  *sched.Problem // at the mean pace
	jobs  int
	limit int // how many times more an order may be played through
}

// play says what sequences mean with every painter's own pace.
func (s *shares) play(sequences [][]int) (*sched.Problem, sched.Solution, error) {
	q := *s.plan
	q.Jobs = slices.Clone(q.Jobs)
	for w, seq := range sequences {
		for _, j := range seq {
			if j >= s.jobs {
				continue // stands for the past
			}
			q.Jobs[j].Chunks = slices.Clone(q.Jobs[j].Chunks)
			for k, seconds := range q.Jobs[j].Chunks {
				q.Jobs[j].Chunks[k] = atPace(seconds, s.paces[w])
			}
		}
	}
	sol, err := sched.Evaluate(&q, sequences)
	return &q, sol, err
}

// moves lists sequences in which the busiest painter hands one run of jobs of a
// class to the one with least to do, what promises most first.
func (s *shares) moves(timed *sched.Problem, sol sched.Solution) [][][]int {
	const most = 12
	busy := make([]int, len(s.paces))
	for _, t := range sol.Jobs {
		for _, piece := range t.Pieces {
			busy[t.Worker] += piece.Left + piece.Wait + piece.Setup + piece.End - piece.Start
		}
	}
	from, to := slices.Index(busy, slices.Max(busy)), slices.Index(busy, slices.Min(busy))
	type run struct{ first, end, promise int }
	var runs []run
	seq := sol.Sequences[from]
	for i := 0; i < len(seq); {
		end, work := i, 0
		for ; end < len(seq) && timed.Jobs[seq[end]].Class == timed.Jobs[seq[i]].Class; end++ {
			work += timed.Jobs[seq[end]].Work()
		}
		there := int(float64(work) * s.paces[to] / s.paces[from])
		if promise := max(busy[from]-work, busy[to]+there); promise < busy[from] && seq[i] < s.jobs {
			runs = append(runs, run{i, end, promise})
		}
		i = end
	}
	slices.SortStableFunc(runs, func(a, b run) int { return cmp.Compare(a.promise, b.promise) })
	var out [][][]int
	for _, r := range runs[:min(most, len(runs))] {
		seqs := slices.Clone(sol.Sequences)
		seqs[from] = slices.Delete(slices.Clone(seq), r.first, r.end)
		start := sol.Jobs[seq[r.first]].Start
		at := slices.IndexFunc(seqs[to], func(j int) bool { return sol.Jobs[j].Start >= start })
		if at < 0 {
			at = len(seqs[to])
		}
		seqs[to] = slices.Insert(slices.Clone(seqs[to]), at, seq[r.first:r.end]...)
		out = append(out, seqs)
	}
	return out
}

// bound is the least time, in seconds, for which the busiest painter must sit
// there: all together they do so much of the work in a second, however it is
// shared out. Half a second a task is for rounding.
func (s *shares) bound() int {
	work, tasks, rate := 0.0, 0.0, 0.0
	for _, j := range s.plan.Jobs[:s.jobs] {
		work += float64(j.Work())
		tasks += float64(len(j.Chunks))
	}
	for _, pace := range s.paces {
		rate += 1 / pace
	}
	return max(0, int((work-tasks/2/slices.Min(s.paces))/rate))
}
