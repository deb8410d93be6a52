// Package due puts pieces of work in sequence so that the most valuable are
// ready at each of several dates: one machine, no preemption, and for every
// date a weight per job that counts if the job has ended by then. With one date
// per job this is the weighted number of tardy jobs (1||ΣwU in the notation of
// graham1979), which is NP-hard; with several it is no easier.
//
// Up to MostExact jobs it is solved exactly, by dynamic programming over
// subsets (Ref: held1962): when the jobs before it are known as a set, so is
// the work before it, and with that when a job ends. Beyond, a local search
// finds a sequence and a relaxation bounds it: at each date by itself, no set
// of jobs can count that does not fit in the work possible till then, parts of
// jobs allowed (Ref: dantzig1957).
//
// It knows integers only: no unit, no calendar. Ties go to the sequence with
// the smallest sum of weight times work before it, so that what counts for more
// comes first, then to the earlier jobs.
//
// Start with Solve.
package due

import (
	"context"
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"facings/internal/solve"
)

// MostExact is how many jobs are solved exactly: 2^16 subsets.
const MostExact = 16

// MostJobs and MostDates bound a problem; weights must be at most MostWeight.
const (
	MostJobs   = 300
	MostDates  = 100
	MostWeight = 1 << 20
)

// Problem is jobs, and the dates that they should be ready by.
type Problem struct {
	// Work is how much each job takes, 0 or more.
	Work []int64
	// End is when a job ends if so much work goes before it; it never falls
	// when before grows, nor is it earlier than that of Capacity. nil means
	// before + Work.
	End func(job int, before int64) int64
	// Dates are to be kept.
	Dates []Date
}

// Date is one date with what each job is worth if it is ready then.
type Date struct {
	By int64
	// Capacity is the most work that can be done by this date.
	Capacity int64
	Weight   []int64
}

// Options steer Solve.
type Options struct {
	Seed uint64
	// Rounds of the local search, 0 for the default; no matter for few jobs.
	Rounds int
	// Heuristic has few jobs searched too, for measuring the search.
	Heuristic bool
}

// Result is a sequence and what it is worth.
type Result struct {
	Status   solve.Status
	Sequence []int
	Worth    int64 // over all dates
	Bound    int64 // no sequence is worth more
}

// ErrShape says that the parts of a problem do not fit each other.
var ErrShape = errors.New("due: broken problem")

func (p *Problem) check() error {
	if len(p.Work) > MostJobs || len(p.Dates) > MostDates {
		return ErrShape
	}
	for _, w := range p.Work {
		if w < 0 {
			return ErrShape
		}
	}
	for _, d := range p.Dates {
		if len(d.Weight) != len(p.Work) {
			return ErrShape
		}
		for _, w := range d.Weight {
			if w < 0 || w > MostWeight {
				return ErrShape
			}
		}
	}
	return nil
}

// end is when a job ends after so much work.
func (p *Problem) end(job int, before int64) int64 {
	if p.End == nil {
		return before + p.Work[job]
	}
	return p.End(job, before)
}

// value is what a job counts for, and its weight for breaking ties.
func (p *Problem) value(job int, before int64) (worth, cost int64) {
	at := p.end(job, before)
	for _, d := range p.Dates {
		if at <= d.By {
			worth += d.Weight[job]
		}
		cost += d.Weight[job]
	}
	return worth, cost * before
}

// Worth is what a sequence is worth.
func (p *Problem) Worth(sequence []int) int64 {
	worth, _ := p.both(sequence)
	return worth
}

func (p *Problem) both(sequence []int) (worth, cost int64) {
	before := int64(0)
	for _, j := range sequence {
		w, c := p.value(j, before)
		worth, cost = worth+w, cost+c
		before += p.Work[j]
	}
	return worth, cost
}

// Solve finds a sequence of all jobs. The same problem and options give the
// same answer. The error is ErrShape, or that of the context.
func Solve(ctx context.Context, p *Problem, o Options) (Result, error) {
	if err := p.check(); err != nil {
		return Result{}, err
	}
	n := len(p.Work)
	if n <= MostExact && !o.Heuristic {
		seq, err := p.exact(ctx)
		if err != nil {
			return Result{}, err
		}
		worth := p.Worth(seq)
		return Result{Status: solve.Optimal, Sequence: seq, Worth: worth, Bound: worth}, nil
	}
	seq, err := p.search(ctx, o)
	if err != nil {
		return Result{}, err
	}
	r := Result{Status: solve.Feasible, Sequence: seq, Worth: p.Worth(seq), Bound: p.bound()}
	if r.Worth >= r.Bound {
		r.Status = solve.Optimal
	}
	return r, nil
}

// exact is the dynamic programme over subsets of jobs done so far.
func (p *Problem) exact(ctx context.Context) ([]int, error) {
	n := len(p.Work)
	type state struct {
		worth, cost int64
		last        int8
	}
	best := make([]state, 1<<n)
	for set := 1; set < 1<<n; set++ {
		if set&0xfff == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		all := int64(0)
		for s := set; s != 0; s &= s - 1 {
			all += p.Work[bits.TrailingZeros(uint(s))]
		}
		first := true
		for s := set; s != 0; s &= s - 1 {
			j := bits.TrailingZeros(uint(s))
			from := best[set&^(1<<j)]
			w, c := p.value(j, all-p.Work[j])
			got := state{from.worth + w, from.cost + c, int8(j)}
			if have := best[set]; first || got.worth > have.worth || got.worth == have.worth && got.cost < have.cost {
				best[set], first = got, false
			}
		}
	}
	seq := make([]int, n)
	for set, i := 1<<n-1, n-1; i >= 0; i-- {
		j := int(best[set].last)
		seq[i] = j
		set &^= 1 << j
	}
	return seq, nil
}

// bound adds up, over the dates, the most that can be ready by each: the jobs
// of greatest worth for their work till the capacity is full, the last in part.
func (p *Problem) bound() int64 {
	sum := int64(0)
	for _, d := range p.Dates {
		var can []int
		for j := range p.Work {
			if d.Weight[j] > 0 && p.end(j, 0) <= d.By {
				can = append(can, j)
			}
		}
		slices.SortStableFunc(can, func(a, b int) int { // weight ÷ work, falling
			return compare(d.Weight[b]*p.Work[a], d.Weight[a]*p.Work[b])
		})
		room := d.Capacity
		for _, j := range can {
			if p.Work[j] <= room {
				room -= p.Work[j]
				sum += d.Weight[j]
				continue
			}
			sum += int64(math.Floor(float64(d.Weight[j]) * float64(room) / float64(p.Work[j])))
			break
		}
	}
	return sum
}

func compare(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

const defaultRounds = 60

// search improves sequences by moving one job elsewhere, from several starts
// and from shaken copies of the best.
func (p *Problem) search(ctx context.Context, o Options) ([]int, error) {
	n := len(p.Work)
	rng := rand.New(rand.NewPCG(o.Seed, uint64(n)))
	rounds := o.Rounds
	if rounds <= 0 {
		rounds = max(2, min(defaultRounds, 200_000/(n*n+1)))
	}
	var best []int
	worth, cost := int64(-1), int64(0)
	try := func(seq []int) {
		w, c := p.climb(ctx, seq)
		if w > worth || w == worth && c < cost {
			best, worth, cost = slices.Clone(seq), w, c
		}
	}
	for _, less := range []func(a, b int) int{
		func(a, b int) int { return 0 },
		func(a, b int) int { return compare(p.total(b)*(p.Work[a]+1), p.total(a)*(p.Work[b]+1)) },
		func(a, b int) int { return compare(p.first(a), p.first(b)) },
	} {
		seq := make([]int, n)
		for i := range seq {
			seq[i] = i
		}
		slices.SortStableFunc(seq, less)
		try(seq)
	}
	for range rounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		seq := slices.Clone(best)
		for range 1 + n/8 {
			i, k := rng.IntN(n), rng.IntN(n)
			seq[i], seq[k] = seq[k], seq[i]
		}
		try(seq)
	}
	return best, ctx.Err()
}

// total is what a job is worth over all dates, first the first date it counts for.
func (p *Problem) total(j int) int64 {
	sum := int64(0)
	for _, d := range p.Dates {
		sum += d.Weight[j]
	}
	return sum
}

func (p *Problem) first(j int) int64 {
	by := int64(math.MaxInt64)
	for _, d := range p.Dates {
		if d.Weight[j] > 0 {
			by = min(by, d.By)
		}
	}
	return by
}

// climb moves single jobs while that helps.
func (p *Problem) climb(ctx context.Context, seq []int) (worth, cost int64) {
	worth, cost = p.both(seq)
	n := len(seq)
	moved := make([]int, 0, n)
	for better := true; better && ctx.Err() == nil; {
		better = false
		for i := range n {
			for k := range n {
				if i == k {
					continue
				}
				moved = append(append(moved[:0], seq[:i]...), seq[i+1:]...)
				moved = slices.Insert(moved, k, seq[i])
				if w, c := p.both(moved); w > worth || w == worth && c < cost {
					copy(seq, moved)
					worth, cost, better = w, c, true
				}
			}
		}
	}
	return worth, cost
}
