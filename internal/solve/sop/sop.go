// Package sop solves the sequential ordering problem: put n nodes in one
// sequence so that every node comes after all that must precede it and the sum
// of the costs from each node to the next is least (an asymmetric travelling
// salesman path with precedences).
//
// It knows plain integers: costs have the caller's unit, nodes are 0..N-1. It
// leaves alone time lags, several workers and what a cost means; solve/sched
// has those.
//
// Two parts work side by side. Searches (search.go) improve orders by
// exchanging neighbouring blocks; a prover (prove.go) raises a lower bound by
// priced spanning trees (arbor.go) and position-indexed paths (relax.go,
// climb.go) and tries to finish with a bounded dynamic programme over the sets
// closed under precedence (states.go; exhaust.go where there are few nodes).
// They meet at fixed points counted in work steps, so that an answer depends on
// problem, settings and seed only, never on the machine, unless a wall clock
// limit is set.
//
// Start reading at Solve, then run.go. ReadTSPLIB reads TSPLIB's .sop files.
package sop

import (
	"context"
	"fmt"
	"time"

	"facings/internal/solve"
)

// Limits of a problem; beyond them Solve returns an error.
const (
	MaxNodes = 4000
	MaxCost  = 1_000_000_000
)

// DefaultWork is the work budget where Settings names neither work nor a limit:
// a second or two of one core.
const DefaultWork = 500_000_000

// Problem is one sequential ordering problem.
type Problem struct {
	// N is the number of nodes, 0 to MaxNodes.
	N int
	// Cost[i][j], 0 to MaxCost, is the cost of j coming straight after i.
	// The diagonal, and entries that the precedences rule out, are not read.
	Cost [][]int
	// Before holds pairs {a, b}: a must come somewhere before b.
	Before [][2]int
}

// Settings say how long to search and with what. The zero value is usable.
type Settings struct {
	// Work is the budget in steps, a step being about one arc looked at (some
	// nanoseconds), summed over all threads. 0 means DefaultWork, or no budget
	// if Limit is set.
	Work int64
	// Limit, if above 0, stops by the wall clock; answers then vary with the
	// machine.
	Limit time.Duration
	// Seed of every random choice.
	Seed uint64
	// Threads is the number of searches side by side; 0 means 2 on every
	// machine. The answer depends on it, but not on how many of them the
	// machine can really run at once.
	Threads int
	// Memory, in bytes, bounds the prover's tables; 0 means 256 MiB.
	Memory int64
}

// Result is what a search found and proved.
type Result struct {
	Status solve.Status
	// Order lists all nodes, first to last; nil if the problem is infeasible.
	Order []int
	// Cost of Order.
	Cost int
	// LowerBound is proved: no order costs less.
	LowerBound int
	// Cycle, for an infeasible problem, lists nodes each of which must come
	// before the next, and the last before the first; no shorter one exists.
	Cycle []int
	// Work is the number of steps spent.
	Work int64
	// Elapsed is the wall time taken; for show only.
	Elapsed time.Duration
}

// Solve searches for the cheapest order until it is proved, the budget or
// limit is spent, or ctx is done. A problem without a node that precedes (or
// follows) all others may start (or end) anywhere. The error reports a
// malformed problem only: wrong sizes, nodes out of range, costs out of range.
func Solve(ctx context.Context, p Problem, s Settings) (Result, error) {
	began := time.Now()
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	if s.Threads <= 0 {
		s.Threads = 2
	}
	if s.Work <= 0 && s.Limit <= 0 {
		s.Work = DefaultWork
	}
	if s.Memory <= 0 {
		s.Memory = 256 << 20
	}
	if c := shortestCycle(p.N, p.Before); c != nil {
		return Result{Status: solve.Infeasible, Cycle: c, Elapsed: time.Since(began)}, nil
	}
	if p.N == 0 {
		return Result{Status: solve.Optimal, Order: []int{}, Elapsed: time.Since(began)}, nil
	}
	r := run(ctx, newInstance(p), s, began)
	r.Elapsed = time.Since(began)
	return r, nil
}

// Validate reports the first fault of form: sizes, node numbers, costs.
func (p Problem) Validate() error {
	if p.N < 0 || p.N > MaxNodes {
		return fmt.Errorf("sop: %d nodes, want 0 to %d", p.N, MaxNodes)
	}
	if len(p.Cost) != p.N {
		return fmt.Errorf("sop: %d cost rows for %d nodes", len(p.Cost), p.N)
	}
	for i, row := range p.Cost {
		if len(row) != p.N {
			return fmt.Errorf("sop: cost row %d has %d entries, want %d", i, len(row), p.N)
		}
	}
	for _, b := range p.Before {
		if b[0] < 0 || b[0] >= p.N || b[1] < 0 || b[1] >= p.N {
			return fmt.Errorf("sop: precedence %d before %d names a node outside 0 to %d", b[0], b[1], p.N-1)
		}
	}
	// An entry from a node to one that must precede it is never read, so a
	// file's -1 may stay there.
	ruledOut := make(map[[2]int]bool, len(p.Before))
	for _, b := range p.Before {
		ruledOut[[2]int{b[1], b[0]}] = true
	}
	for i, row := range p.Cost {
		for j, c := range row {
			if i != j && (c < 0 || c > MaxCost) && !ruledOut[[2]int{i, j}] {
				return fmt.Errorf("sop: cost from %d to %d is %d, want 0 to %d", i, j, c, MaxCost)
			}
		}
	}
	return nil
}

// CostOf returns the cost of an order, or an error that names the first rule
// it breaks: a node missing, doubled or before one that must precede it.
func (p Problem) CostOf(order []int) (int, error) {
	if len(order) != p.N {
		return 0, fmt.Errorf("sop: order has %d nodes, want %d", len(order), p.N)
	}
	at := make([]int, p.N)
	for i := range at {
		at[i] = -1
	}
	cost := 0
	for i, v := range order {
		if v < 0 || v >= p.N {
			return 0, fmt.Errorf("sop: place %d holds node %d, want 0 to %d", i, v, p.N-1)
		}
		if at[v] >= 0 {
			return 0, fmt.Errorf("sop: node %d stands at places %d and %d", v, at[v], i)
		}
		at[v] = i
		if i > 0 {
			cost += p.Cost[order[i-1]][v]
		}
	}
	for _, b := range p.Before {
		if at[b[0]] >= at[b[1]] {
			return 0, fmt.Errorf("sop: node %d must come before %d", b[0], b[1])
		}
	}
	return cost, nil
}
