package sop

import (
	"context"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"facings/internal/solve"
)

// firstSlice and lastSlice bound the steps each thread takes between two
// meetings: short at first, so that small problems end at once.
const (
	firstSlice = 100_000
	lastSlice  = 10_000_000
)

// run lets islands and prover work in slices. Between slices, and only there,
// they exchange the best cost and order, so the course of events depends on
// counted steps alone unless the wall limit cuts a slice short.
func run(ctx context.Context, in *instance, s Settings, began time.Time) Result {
	var stop atomic.Bool
	defer context.AfterFunc(ctx, func() { stop.Store(true) })()
	if s.Limit > 0 {
		timer := time.AfterFunc(s.Limit-time.Since(began), func() { stop.Store(true) })
		defer timer.Stop()
	}
	c := &crew{in: in, stop: &stop, near: followers(in), best: elite{cost: 1 << 62}}
	c.hire(s)
	defer c.prover.release()
	for slice := int64(firstSlice); !c.finished(s); slice = min(2*slice, lastSlice) {
		share := slice
		if s.Work > 0 {
			share = min(slice, (s.Work-c.used())/int64(s.Threads)+1)
		}
		c.slice(share)
	}
	return c.result()
}

// crew is everyone at work on one problem.
type crew struct {
	in      *instance
	stop    *atomic.Bool
	near    [][]int32
	islands []*island
	prover  *prover
	best    elite
}

func (c *crew) hire(s Settings) {
	c.islands = make([]*island, s.Threads)
	c.prover = newProver(c.in, &budget{stop: c.stop}, s.Memory)
	var wg sync.WaitGroup
	for i := range c.islands {
		wg.Go(func() {
			c.islands[i] = newIsland(c.in, c.near, s.Seed, uint64(i), &budget{stop: c.stop})
		})
	}
	wg.Wait()
	c.meet()
}

// slice lets every island take n steps, the last of them sharing its thread
// with the prover.
func (c *crew) slice(n int64) {
	var wg sync.WaitGroup
	// Whatever the prover decides is read before it works on.
	lower, proof, each := c.prover.lower, c.proof(n), n
	if c.exhausting() {
		each = n / 32
	}
	for i, is := range c.islands {
		wg.Go(func() {
			share := each
			if i == len(c.islands)-1 {
				share -= c.prover.advance(proof, c.best.cost)
			}
			is.s.b.grant(max(0, share))
			is.run(lower)
		})
	}
	wg.Wait()
	c.meet()
}

// meet makes the best order known to all.
func (c *crew) meet() {
	if c.prover.found.cost < c.best.cost {
		c.best = c.prover.found
	}
	for _, is := range c.islands {
		if is.s.best.cost < c.best.cost {
			c.best = elite{slices.Clone(is.s.best.p), is.s.best.cost}
		}
	}
	for _, is := range c.islands {
		if is.s.best.cost > c.best.cost {
			is.accept(c.best)
		}
	}
}

func (c *crew) used() int64 {
	sum := c.prover.b.used
	for _, is := range c.islands {
		sum += is.s.b.used
	}
	return sum
}

func (c *crew) finished(s Settings) bool {
	return c.prover.lower >= c.best.cost || c.stop.Load() || s.Work > 0 && c.used() >= s.Work
}

func (c *crew) result() Result {
	r := Result{Status: solve.Feasible, Order: c.in.userOrder(c.best.p), Cost: c.best.cost,
		LowerBound: min(c.prover.lower, c.best.cost), Work: c.used()}
	if r.LowerBound == r.Cost {
		r.Status = solve.Optimal
	}
	return r
}

// exhausting reports whether the search has had its time on a small problem, so
// that the prover, which can use two processors, goes first.
func (c *crew) exhausting() bool {
	return !c.prover.done && c.prover.patienceLost()
}

// proof is the part of n steps that goes to the prover: all of one thread where
// a proof is likely, little where the bound has not risen for long.
func (c *crew) proof(n int64) int64 {
	const long = 200_000_000
	switch {
	case c.in.n <= 40:
		return n
	case c.prover.b.used-c.prover.raised > long:
		return n / 8
	case c.in.n <= 64:
		return n
	}
	return n / 4
}
