package sched

import (
	"context"
	"sync"
	"sync/atomic"
	"time"
)

// search runs two threads side by side, whatever the machine has, and lets
// them exchange what they found at the ends of a few rounds. One anneals; the
// other searches exactly where the problem allows it, with more and more
// memory, and anneals with another seed otherwise.
type search struct {
	m       *model
	bounds  *bounds
	opt     Options
	threads [2]*thread
	exact   *exact // nil: not of the kind
	tiny    *tiny  // nil: too large, or exact will do
	width   int
	none    bool // proved that nothing fits the calendar
	proved  atomic.Bool
}

// thread is one of the two, with its share of the work.
type thread struct {
	*anneal
	ctx    context.Context
	begin  time.Time
	limit  time.Duration // wall time for the search; 0: none
	budget int64         // steps
	cooler int           // by how much it is cooler from the beginning; 0: not
	extra  int64         // steps not counted by the annealing
	lower  int           // what the thread knows to be a bound, seconds
}

// fewForExact is up to how many jobs the exact search is likely to end.
const fewForExact = 30

// rounds are the ends of the rounds, in thousandths of the whole: a few for
// problems so small that the exact search should soon have all its time.
func (s *search) rounds() []int {
	if s.tiny != nil || s.exact != nil && s.m.n <= fewForExact {
		return []int{80, 1000}
	}
	return []int{60, 125, 250, 500, 1000}
}

func newSearch(ctx context.Context, m *model, b *bounds, opt Options) *search {
	s := &search{m: m, bounds: b, opt: opt, width: 250}
	if s.exact = newExact(m); s.exact == nil {
		s.tiny = newTiny(m)
	}
	if opt.Steps == 0 {
		opt.Steps = defaultSteps(m)
	}
	for i := range s.threads {
		t := &thread{anneal: newAnneal(m, opt.Seed, uint64(i)), ctx: ctx, begin: time.Now(), lower: b.value}
		if m.m == 1 && m.calendar {
			t.cooler = []int{8, 4}[i]
		}
		t.budget = max(opt.Steps/int64(len(s.threads)), 1)
		if end, ok := ctx.Deadline(); ok {
			all := time.Until(end)
			t.limit = max(all-all/20, 1) // the bound has begun long before
		}
		s.threads[i] = t
	}
	return s
}

func defaultSteps(m *model) int64 { return min(4_000_000+100_000*int64(m.n), 120_000_000) }

func (s *search) used() (steps int64) {
	for _, t := range s.threads {
		steps += t.steps + t.extra
	}
	return steps
}

// done is how much of its share the thread has used, in thousandths.
func (t *thread) done() int { return t.used() / 1000 }

// used is the same in millionths.
func (t *thread) used() int {
	f := (t.steps + t.extra) * 1_000_000 / t.budget
	if t.limit > 0 {
		f = max(f, int64(time.Since(t.begin)*1_000_000/t.limit))
	}
	if t.ctx.Err() != nil {
		f = 1_000_000
	}
	return int(min(f, 1_000_000))
}

// run returns the best sequences found, nil if none fits the calendar.
func (s *search) run() [][]int {
	if s.m.n == 0 {
		return s.threads[0].sequences()
	}
	a, b := s.threads[0], s.threads[1]
	var group sync.WaitGroup
	for _, t := range s.threads {
		group.Go(func() { t.start(s.opt) })
	}
	group.Wait()
	defer s.bound(min(a.best.a, b.best.a))()
	from := 0
	for r, to := range s.rounds() {
		if a.best.a <= s.bounds.value || b.best.a <= s.bounds.value {
			break
		}
		before := a.steps
		group.Go(func() { a.round(max(from, a.done()), to, &s.proved) })
		group.Go(func() {
			switch {
			case r > 0 && s.exact != nil:
				s.prove(b, to)
			case r > 0 && s.tiny != nil:
				s.tryAll(b)
			}
			if !s.proved.Load() {
				b.round(max(from, b.done()), to, nil)
			}
		})
		group.Wait()
		s.bounds.raise(b.lower)
		if s.proved.Load() {
			// When a was stopped is chance, so nothing it did may matter.
			a.steps = before
			return b.answer()
		}
		from = to
		s.exchange()
	}
	return s.exchange().answer()
}

// rounds of the bound; with twice as many it is a thousandth better.
const boundRounds = 300

// bound works on the bound beside the search, from an objective known. What it
// returns waits for the end of that, unless all is proved already.
func (s *search) bound(upper int) (wait func()) {
	ctx, cancel := context.WithCancel(s.threads[0].ctx)
	done := make(chan struct{})
	beside := *s.bounds // the search must not see how far it is: that is chance
	if upper > s.bounds.value && upper < short && !s.opt.Rough {
		go func() {
			beside.improve(ctx, boundRounds, upper)
			close(done)
		}()
	} else {
		close(done)
	}
	return func() {
		if s.proved.Load() {
			cancel()
		}
		<-done
		cancel()
		s.bounds.raise(beside.value)
	}
}

// answer gives the sequences of the best order; nil if it fits no calendar.
func (t *thread) answer() [][]int {
	if t.best.a >= short {
		return nil
	}
	t.load(t.bestOrder, t.bestWho)
	return t.sequences()
}

// exchange gives each thread the best there is, and returns who had it.
func (s *search) exchange() *thread {
	best := s.threads[0]
	for _, t := range s.threads {
		if t.best.less(best.best) {
			best = t
		}
	}
	for _, t := range s.threads {
		if best.best.less(t.best) {
			t.load(best.bestOrder, best.bestWho)
			t.remember()
		}
	}
	return best
}

// start loads the order to begin from.
func (t *thread) start(opt Options) {
	if order, who, ok := t.m.fromSequences(opt.Start); ok {
		t.load(order, who)
	} else {
		t.construct()
		t.remember()
		if t.m.m == 1 && t.m.calendar {
			t.advance(func() int { return t.used() * 1000 / advanceShare })
		}
	}
	t.remember()
}

// advanceShare is how much of a search advance takes, in thousandths.
const advanceShare = 500

// fewJobs is up to how many jobs the annealing may begin so hot that the order
// it begins from is forgotten; with more there is no time to find it again.
const fewJobs = 800

// round anneals from one point of the thread's share to another, from the best
// order so far, unless stop is set on the way.
func (t *thread) round(from, to int, stop *atomic.Bool) {
	if from >= to {
		return
	}
	t.load(t.bestOrder, t.bestWho)
	hot := 1024 * max(2, t.m.usualSwitch())
	if t.cooler > 0 {
		hot /= t.cooler
	}
	if t.m.m > 1 {
		hot *= 2 // as energies are larger
	}
	if n := t.m.n; n > fewJobs {
		hot = hot * fewJobs / n
	}
	t.cool(hot, t.m.cold(), func() int {
		if t.best.a <= t.lower || stop != nil && stop.Load() {
			return 1000
		}
		return (t.done() - from) * 1000 / (to - from)
	})
}

// prove searches exactly with more and more memory until the thread's share
// up to point to is used, or the next try is sure to need more than that.
func (s *search) prove(t *thread, to int) {
	e := s.exact
	spent := 0
	for t.best.a > t.lower {
		from := t.done()
		if s.m.n > fewForExact && from+5*spent >= to {
			return
		}
		e.prepare(t.best.a, s.width)
		before := e.steps
		order, who, bound, finished := e.run(func() bool {
			t.extra += e.steps - before
			before = e.steps
			return t.done() >= to
		})
		t.extra += e.steps - before
		if !finished {
			return
		}
		spent = t.done() - from
		t.lower = max(t.lower, bound)
		if order != nil {
			t.load(order, who)
			t.remember()
		}
		grow := 4
		if s.m.n <= fewForExact {
			grow = 16 // annealing has nothing better to do with the time
		}
		s.width = min(s.width*grow, s.exact.widest())
	}
	s.proved.Store(true)
}

// tryAll goes through all orders of a small problem.
func (s *search) tryAll(t *thread) {
	before := s.tiny.steps
	count := func() {
		t.extra += s.tiny.steps - before
		before = s.tiny.steps
	}
	finished := s.tiny.run(t.best.a, func() bool {
		count()
		return t.done() >= 1000
	})
	count()
	if s.tiny.found {
		t.load(s.tiny.order, s.tiny.who)
		t.remember()
	}
	if finished {
		s.none = t.best.a >= short
		t.lower = t.best.a
		s.proved.Store(true)
	}
}
