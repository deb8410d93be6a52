package order

import (
	"math"
	"time"

	"facings/internal/solve/sched"
)

// Replayer plays an order through again with other durations.
type Replayer struct {
	problem   *sched.Problem
	wet       *wet
	sequences [][]int
	passOf    []int
	start     time.Time
}

// Further lets the replay run on through more of the calendar than the order
// was made with: each painter's windows, of which those it knows are the first.
func (r *Replayer) Further(windows [][]Window) {
	p := *r.problem
	p.Windows = r.wet.windows(engineWindows(r.start, windows))
	r.problem = &p
}

// Replay returns when the last pass ends if the work of each pass takes
// factors[pass] times as long as planned and the sittings for which missed is
// true (counted over all painters' windows from 0) fall through; false if the
// calendar then ends before the work.
func (r *Replayer) Replay(factors []float64, missed func(sitting int) bool) (time.Time, bool) {
	p := *r.problem
	p.Jobs = make([]sched.Job, len(r.problem.Jobs))
	for j, job := range r.problem.Jobs {
		p.Jobs[j] = job
		if j >= len(r.passOf) {
			continue // no pass: it stands for the past
		}
		p.Jobs[j].Chunks = make([]int, len(job.Chunks))
		for c, s := range job.Chunks {
			slow := max(1, int(math.Round(float64(float64(s)*factors[r.passOf[j]]))))
			p.Jobs[j].Chunks[c] = slow
		}
	}
	n := 0
	p.Windows = make([][]sched.Window, len(r.problem.Windows))
	for w, list := range r.problem.Windows {
		for k, window := range list {
			if r.wet.any && w+k == 0 {
				p.Windows[w] = append(p.Windows[w], window)
				continue
			}
			if !missed(n) {
				p.Windows[w] = append(p.Windows[w], window)
			}
			n++
		}
	}
	sol, err := sched.Evaluate(&p, r.sequences)
	if err != nil {
		return time.Time{}, false
	}
	return r.start.Add(time.Duration(sol.WallEnd-r.wet.ahead()) * time.Second), true
}
