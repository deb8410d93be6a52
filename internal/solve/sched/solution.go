package sched

import (
	"cmp"

	"facings/internal/solve"
)

// Solution is what a set of sequences means: every job with its times, and
// the totals.
type Solution struct {
	// Sequences[w] are worker w's jobs in order.
	Sequences [][]int
	// Jobs holds every job's times, indexed like Problem.Jobs.
	Jobs []Times
	// Work, Setup and Wait are seconds over all workers.
	Work, Setup, Wait int
	// Makespan is the most bench seconds (work, set-up and waiting) of any
	// one worker; without windows, the last end.
	Makespan int
	// WallEnd is the wall second at which the last job ends.
	WallEnd int
	// Changes counts how often a class was loaded that was not on the bench.
	Changes int
}

// Times says when one job is done.
type Times struct {
	Worker     int
	Start, End int // wall seconds
	Pieces     []Piece
}

// Piece is a stretch of one job inside one window.
type Piece struct {
	Window int // index into the worker's windows; 0 without windows
	Chunk  int // the first chunk of the piece
	Count  int // how many chunks it has
	// Left is the waiting counted at the end of an earlier window that was
	// left because nothing of this piece would have been dry in time.
	Left        int
	Wait, Setup int // seconds spent in front of it, in this order; Wait as counted
	Start, End  int // wall seconds of the work itself
}

// Bench is the seconds spent at the bench over all workers.
func (s Solution) Bench() int { return s.Work + s.Setup + s.Wait }

// Objective is what is to be made small, in seconds: the bench seconds of one
// worker, or the makespan of several.
func (s Solution) Objective() int { return s.Makespan }

// Compare orders solutions of one problem, the better first: the objective;
// then for one worker the earlier wall end and the fewer changes, for several
// the less set-up and waiting in all.
func (s Solution) Compare(t Solution) int {
	if c := cmp.Compare(s.Makespan, t.Makespan); c != 0 {
		return c
	}
	if len(s.Sequences) > 1 {
		if c := cmp.Compare(s.Setup+s.Wait, t.Setup+t.Wait); c != 0 {
			return c
		}
	}
	if c := cmp.Compare(s.WallEnd, t.WallEnd); c != 0 {
		return c
	}
	return cmp.Compare(s.Changes, t.Changes)
}

// Options steer a search; the zero value is sensible.
type Options struct {
	// Seed picks the random numbers.
	Seed uint64
	// Steps is the work allowed: about one step for each move tried and each
	// job placed. 0 chooses by size. The same problem, seed and steps give
	// the same answer on every machine.
	Steps int64
	// Start are sequences to begin from, if they are complete and allowed.
	Start [][]int
	// Rough spends nothing on the bound: it is what is known at once. The
	// solution is the same.
	Rough bool
}

// Result is the answer of Solve.
type Result struct {
	Status solve.Status
	// Solution is the best found; its Sequences are nil when there is none.
	Solution Solution
	// Objective is the solution's, in seconds. Status Optimal speaks of this
	// value; the order among equals is as good as the search found.
	Objective int
	// LowerBound is proved: no solution has a smaller objective. Seconds.
	LowerBound int
	// Gap is (Objective-LowerBound)/Objective, 0 to 1.
	Gap float64
	// Steps is the work used.
	Steps int64
	Seed  uint64
	// Impossible says why, when Status is Infeasible (proved) or Unknown
	// because the calendar was too short for every sequence tried.
	Impossible *Impossible
}

// Why names a kind of impossibility.
type Why string

const (
	// WhyCycle: the lags in Impossible.Lags, in order, lead back to their start.
	WhyCycle Why = "cycle"
	// WhyChunk: chunk Chunk of job Job, with its set-up, fits in no window.
	WhyChunk Why = "chunk"
	// WhyCalendar: the windows of all workers end before the work does.
	WhyCalendar Why = "calendar"
)

// Impossible says why there is no solution.
type Impossible struct {
	Why        Why
	Lags       []int // indexes into Problem.Lags, for WhyCycle
	Job, Chunk int   // for WhyChunk
	Short      int   // at least so many seconds are missing, for WhyCalendar; 0: not known
}
