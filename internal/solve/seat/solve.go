package seat

import (
	"context"
	"iter"
	"runtime"
	"sync"
	"time"

	"facings/internal/solve"
)

// Settings of a search. Work is how many exchanges are tried in all; the
// prover gets work in proportion. With Work 0 it is 3 million, or without end
// if there is a Limit. Limit, if not 0, also stops by the clock, and then the
// answer may depend on the machine. Threads (0: as many as there are
// processors) changes the speed, never the answer.
type Settings struct {
	Work    int
	Limit   time.Duration
	Seed    uint64
	Threads int
}

const (
	lanes       = 3
	defaultWork = 3_000_000
	firstRound  = 2_000
	lastRound   = 64_000
)

// Solve deals the traits out. The error is about faulty input only; what the
// search could do is in the Result.
func Solve(ctx context.Context, p Problem, set Settings) (Result, error) {
	if err := p.Check(); err != nil {
		return Result{}, err
	}
	m, err := newModel(&p)
	if err != nil {
		return Result{}, err
	}
	parts, a, err := m.parts(nil)
	switch {
	case err != nil:
		return Result{}, err
	case a == no:
		r := Result{Status: solve.Infeasible, Seed: set.Seed}
		r.Conflict, r.Minimal = m.conflict(parts[0].traits)
		return r, nil
	case a == undecided:
		return Result{Status: solve.Unknown, Seed: set.Seed}, nil
	}
	s := newSearch(m, parts, set)
	s.run(ctx)
	return s.result(), nil
}

// search runs lanes and prover in rounds. They meet between rounds only, so
// what each knows of the others does not depend on their speed.
type search struct {
	m      *model
	set    Settings
	lanes  []*lane
	prover *prover
	best   []uint8
	value  int
	terms  Terms
	chance *[1024]int
}

func newSearch(m *model, parts []*part, set Settings) *search {
	if set.Work <= 0 && set.Limit <= 0 {
		set.Work = defaultWork
	}
	if set.Threads <= 0 {
		set.Threads = runtime.GOMAXPROCS(0)
	}
	s := &search{m: m, set: set, prover: newProver(m), chance: surprise()}
	for i := range lanes {
		s.lanes = append(s.lanes, newLane(m, parts, set.Seed, i))
	}
	s.value = s.lanes[0].value - 1
	s.meet()
	return s
}

func (s *search) run(ctx context.Context) {
	deadline := time.Time{}
	if s.set.Limit > 0 {
		deadline = time.Now().Add(s.set.Limit)
	}
	stop := func() bool {
		return ctx.Err() != nil || !deadline.IsZero() && time.Now().After(deadline)
	}
	s.prover.stop = stop
	prove, quit := iter.Pull(s.prover.run)
	defer quit()
	proving, done := true, 0
	for steps := firstRound; ; steps = min(2*steps, lastRound) {
		if s.set.Work > 0 {
			steps = min(steps, (s.set.Work-done+lanes-1)/lanes)
		}
		done += lanes * steps
		var jobs []func()
		if proving {
			s.prover.quota += 2 * steps
			jobs = append(jobs, func() { _, proving = prove() })
		}
		for _, l := range s.lanes {
			jobs = append(jobs, func() { l.run(steps, s.chance, stop) })
		}
		parallel(s.set.Threads, jobs)
		s.meet()
		if s.value >= s.prover.upper || stop() || s.set.Work > 0 && done >= s.set.Work {
			return
		}
	}
}

// meet takes the best of the lanes and the prover, the first among equals,
// and tells the prover.
func (s *search) meet() {
	take := func(value int, best []uint8, terms Terms) {
		if value > s.value {
			s.value, s.terms = value, terms
			s.best = append(s.best[:0], best...)
		}
	}
	for _, l := range s.lanes {
		take(l.value, l.best, l.terms)
	}
	if p := s.prover; p.found != nil {
		st := newState(s.m)
		st.load(p.found)
		take(s.m.p.Weights.Objective(st.terms), p.found, st.terms)
	}
	s.prover.hear(s.value, s.best)
}

// parallel runs the jobs on at most n goroutines.
func parallel(n int, jobs []func()) {
	var wait sync.WaitGroup
	room := make(chan struct{}, n)
	for _, job := range jobs {
		room <- struct{}{}
		wait.Go(func() {
			defer func() { <-room }()
			job()
		})
	}
	wait.Wait()
}

func (s *search) result() Result {
	r := Result{Status: solve.Feasible, Values: unpack(s.m, s.best), Seed: s.set.Seed}
	r.Terms, r.Breaches = Score(s.m.p, r.Values)
	r.Objective = s.m.p.Weights.Objective(r.Terms)
	r.UpperBound = s.prover.upper
	if r.Objective >= r.UpperBound {
		r.Status = solve.Optimal
		return r
	}
	r.Gap = float64(r.UpperBound-r.Objective) / float64(max(1, r.UpperBound, -r.UpperBound))
	return r
}
