// Package sched puts jobs in sequence for one to three workers so that the
// fewest seconds are spent at the bench: working, setting up and waiting.
//
// It knows integers only. A job is a pass over numbered figures in a fixed
// order; it belongs to a class (what is loaded on the bench while it is done);
// changing class costs set-up; a lag keeps two jobs apart, figure by figure,
// for as long as something must dry; a calendar of windows says when a worker
// sits at the bench. What the classes and figures mean is left to the caller.
//
// All times are whole seconds: wall seconds from the caller's own zero for
// instants, plain seconds for durations.
//
// Start with Problem, then Evaluate (the exact meaning of a sequence, in
// simple code), then Solve (search, bounds and proofs).
//
// References: allahverdi2015 for scheduling with set-ups, wikum1994 for lags
// between jobs, heldkarp1971 for the Lagrangian bound.
package sched

import (
	"fmt"
)

// Bounds on the size of a problem; Validate refuses anything larger.
const (
	MaxWorkers = 3
	MaxJobs    = 5000
	MaxClasses = 5000
	MaxLags    = 500_000
	MaxChunks  = 500_000       // over all jobs
	MaxWindows = 100_000       // over all workers
	MaxSeconds = 1_000_000_000 // any one duration or instant
)

// Problem is one sequencing task.
type Problem struct {
	// Workers is how many workers there are, 1 to MaxWorkers.
	Workers int `json:"workers"`
	// Jobs are the passes to be done, each exactly once, by one worker.
	Jobs []Job `json:"jobs"`
	// Switch[a][b] is the set-up in seconds before a job of class b that
	// follows a job of class a in the same window; 0 on the diagonal.
	Switch [][]int `json:"switch"`
	// First[b] is the set-up in seconds before a job of class b that opens a
	// worker's window (and so before a worker's first job).
	First []int `json:"first"`
	// Make[b] is the seconds it takes to make what class b needs (a mix); it
	// is added to the set-up when the worker has none that is fresh. Nil or
	// 0: nothing to make.
	Make []int `json:"make,omitempty"`
	// Life[b] is how many wall seconds a make lasts, counted from the start
	// of the work it was made for; age is looked at when a job or a piece of
	// it starts, not inside. Nil or 0 for a class with Make > 0: for ever.
	Life []int `json:"life,omitempty"`
	// Mix[b] is a number for what class b needs made: classes with the same
	// number share one make (a mix laid with two brushes). Nil: each its own.
	Mix []int `json:"mix,omitempty"`
	// Lags keep pairs of jobs in order and apart.
	Lags []Lag `json:"lags"`
	// Windows lists, for each worker, when work may happen: ascending and
	// disjoint. Nil (or nil for one worker): one endless window from 0. A
	// single list stands for all workers.
	Windows [][]Window `json:"windows,omitempty"`
	// Patience is the most seconds counted for one wait inside a window; 0:
	// no limit. It has no effect for a worker without windows.
	Patience int `json:"patience,omitempty"`
	// LongDry is the Dry, in seconds, from which nobody sits and waits: the
	// sitting ends instead and the rest of the window is not counted. 0: no
	// lag is long. It has no effect for a worker without windows.
	LongDry int `json:"long_dry,omitempty"`
	// Close is how many seconds before a window's end nothing else is loaded
	// any more: a job of another class that the window can't finish then opens
	// the worker's next one. What is left of the window is not counted. It has
	// no effect for a worker without windows.
	Close int `json:"close,omitempty"`
}

// Job is one pass: the same thing done to some figures, one after the other.
type Job struct {
	// Chunks are the seconds for each figure, at least 1 each, in the fixed
	// order of figures. A job is cut between chunks only, at a window's end.
	Chunks []int `json:"chunks"`
	// Figures are the figures' numbers, one per chunk, without repeats, in
	// an order that all jobs share. Nil: the job shares no figure with any
	// other.
	Figures []int `json:"figures,omitempty"`
	// Class is an index into Switch, First, Make and Life.
	Class int `json:"class"`
	// Workers is a set of bits: bit w is set when worker w may do the job.
	// 0: any worker.
	Workers uint `json:"workers,omitempty"`
}

// Work is the job's seconds without set-up.
func (j Job) Work() int {
	sum := 0
	for _, c := range j.Chunks {
		sum += c
	}
	return sum
}

// Lag says that job To comes after job From. For each figure in both, the
// start of its chunk in To is at least Dry wall seconds after the end of its
// chunk in From. If they share no figure, or Whole is set, To starts at least
// Dry wall seconds after From's end. Lags must not form a cycle.
type Lag struct {
	From  int  `json:"from"` // index into Problem.Jobs
	To    int  `json:"to"`   // index into Problem.Jobs
	Dry   int  `json:"dry"`  // wall seconds, 0 or more
	Whole bool `json:"whole,omitempty"`
	// Rule is the caller's number for the rule this lag comes from; only
	// Conflict reads it.
	Rule int `json:"rule,omitempty"`
}

// Window is one stretch of wall time, [Start, End) in seconds.
type Window struct {
	Start int `json:"start"`
	End   int `json:"end"`
}

// Validate reports the first thing wrong with p, naming the place and the
// value; a cycle of lags is not looked for here (see Cycle).
func (p *Problem) Validate() error {
	switch {
	case p.Workers < 1 || p.Workers > MaxWorkers:
		return fmt.Errorf("workers: %d is outside 1 to %d", p.Workers, MaxWorkers)
	case len(p.Jobs) > MaxJobs:
		return fmt.Errorf("jobs: %d are more than %d", len(p.Jobs), MaxJobs)
	case len(p.First) > MaxClasses:
		return fmt.Errorf("first: %d classes are more than %d", len(p.First), MaxClasses)
	case len(p.Lags) > MaxLags:
		return fmt.Errorf("lags: %d are more than %d", len(p.Lags), MaxLags)
	case bad(p.Patience):
		return fmt.Errorf("patience: %d is outside 0 to %d", p.Patience, MaxSeconds)
	case bad(p.LongDry):
		return fmt.Errorf("long_dry: %d is outside 0 to %d", p.LongDry, MaxSeconds)
	case bad(p.Close):
		return fmt.Errorf("close: %d is outside 0 to %d", p.Close, MaxSeconds)
	}
	for _, check := range []func() error{p.validClasses, p.validJobs, p.validLags, p.validWindows} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func bad(seconds int) bool { return seconds < 0 || seconds > MaxSeconds }

func (p *Problem) validClasses() error {
	c := len(p.First)
	if len(p.Switch) != c {
		return fmt.Errorf("switch: %d rows for %d classes in first", len(p.Switch), c)
	}
	for a, row := range p.Switch {
		if len(row) != c {
			return fmt.Errorf("switch[%d]: %d values for %d classes", a, len(row), c)
		}
		for b, s := range row {
			if bad(s) {
				return fmt.Errorf("switch[%d][%d]: %d is outside 0 to %d", a, b, s, MaxSeconds)
			}
		}
		if row[a] != 0 {
			return fmt.Errorf("switch[%d][%d]: %d, but a class needs no switch to itself", a, a, row[a])
		}
	}
	if p.Make != nil && len(p.Make) != c {
		return fmt.Errorf("make: %d values for %d classes", len(p.Make), c)
	}
	if p.Life != nil && len(p.Life) != c {
		return fmt.Errorf("life: %d values for %d classes", len(p.Life), c)
	}
	if p.Mix != nil && len(p.Mix) != c {
		return fmt.Errorf("mix: %d values for %d classes", len(p.Mix), c)
	}
	for name, list := range map[string][]int{"first": p.First, "make": p.Make, "life": p.Life} {
		for b, s := range list {
			if bad(s) {
				return fmt.Errorf("%s[%d]: %d is outside 0 to %d", name, b, s, MaxSeconds)
			}
		}
	}
	return nil
}

func (p *Problem) validJobs() error {
	chunks := 0
	for i, j := range p.Jobs {
		if len(j.Chunks) == 0 {
			return fmt.Errorf("jobs[%d]: no chunks", i)
		}
		if chunks += len(j.Chunks); chunks > MaxChunks {
			return fmt.Errorf("jobs[%d]: more than %d chunks in all", i, MaxChunks)
		}
		for k, s := range j.Chunks {
			if s < 1 || bad(s) {
				return fmt.Errorf("jobs[%d].chunks[%d]: %d is outside 1 to %d", i, k, s, MaxSeconds)
			}
		}
		if j.Figures != nil && len(j.Figures) != len(j.Chunks) {
			return fmt.Errorf("jobs[%d].figures: %d for %d chunks", i, len(j.Figures), len(j.Chunks))
		}
		seen := make(map[int]bool, len(j.Figures))
		for k, f := range j.Figures {
			if seen[f] {
				return fmt.Errorf("jobs[%d].figures[%d]: figure %d twice", i, k, f)
			}
			seen[f] = true
		}
		if j.Class < 0 || j.Class >= len(p.First) {
			return fmt.Errorf("jobs[%d].class: %d is outside the %d classes", i, j.Class, len(p.First))
		}
		if j.Workers != 0 && j.Workers&(1<<p.Workers-1) == 0 {
			return fmt.Errorf("jobs[%d].workers: %b names none of the %d workers", i, j.Workers, p.Workers)
		}
	}
	return nil
}

func (p *Problem) validLags() error {
	for k, l := range p.Lags {
		if l.From < 0 || l.From >= len(p.Jobs) || l.To < 0 || l.To >= len(p.Jobs) {
			return fmt.Errorf("lags[%d]: %d to %d is outside the %d jobs", k, l.From, l.To, len(p.Jobs))
		}
		if bad(l.Dry) {
			return fmt.Errorf("lags[%d].dry: %d is outside 0 to %d", k, l.Dry, MaxSeconds)
		}
	}
	return nil
}

func (p *Problem) validWindows() error {
	if n := len(p.Windows); n > 1 && n != p.Workers {
		return fmt.Errorf("windows: %d lists for %d workers", n, p.Workers)
	}
	total := 0
	for w, list := range p.Windows {
		if total += len(list); total > MaxWindows {
			return fmt.Errorf("windows[%d]: more than %d in all", w, MaxWindows)
		}
		before := 0
		for k, win := range list {
			if win.Start < before || win.End <= win.Start || bad(win.End) {
				return fmt.Errorf("windows[%d][%d]: %d to %d is empty, overlaps or is outside 0 to %d",
					w, k, win.Start, win.End, MaxSeconds)
			}
			before = win.End
		}
	}
	return nil
}

// mixOf is the number of what a class needs made.
func (p *Problem) mixOf(class int) int {
	if p.Mix == nil {
		return class
	}
	return p.Mix[class]
}

// windows gives worker w's windows, or nil for one endless window.
func (p *Problem) windows(w int) []Window {
	switch {
	case len(p.Windows) == 1:
		return p.Windows[0]
	case w < len(p.Windows):
		return p.Windows[w]
	}
	return nil
}
