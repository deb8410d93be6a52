package order

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"facings"
	"facings/internal/solve/sched"
)

// Match finds the tasks that a log calls done, with when that was. A coat of
// another paint than the one planned now is not done: it is planned anew. A
// figure that has paint on it was prepared and undercoated, and a flag that is
// on was made, whatever the log says of that; where it says nothing the time is the zero one. The findings warn of coats to be laid beneath what is painted.
func Match(roster *facings.Roster, coats *facings.Coats, progress facings.Progress) (map[int]time.Time, facings.Diagnostics) {
	done := map[int]time.Time{}
	begun := map[int]bool{} // figures with paint on
	flown := map[int]bool{} // figures with a flag on
	for i, t := range coats.Tasks {
		at, ok := progress.Done[facings.KeyOf(roster, t)]
		if !ok {
			continue
		}
		done[i] = at
		begun[t.Figure] = begun[t.Figure] || partOf(t.Stage) == painting || partOf(t.Stage) == finishing
		flown[t.Figure] = flown[t.Figure] || t.Stage == facings.StageFlag
	}
	for i, t := range coats.Tasks {
		sure := begun[t.Figure] && partOf(t.Stage) == beginning || flown[t.Figure] && t.Stage == facings.StageMakeFlag
		if _, has := done[i]; !has && sure {
			done[i] = time.Time{}
		}
	}
	return done, beneath(roster, coats, progress, done)
}

// beneath warns where a coat that is left goes under one that is done, or onto
// it astray.
func beneath(roster *facings.Roster, coats *facings.Coats, progress facings.Progress, done map[int]time.Time) facings.Diagnostics {
	type place struct {
		area   string
		coat   int
		figure facings.FigureID
	}
	was := map[place]string{} // the paint that was laid there
	for k := range progress.Done {
		p := place{k.Area, k.Coat, k.Figure}
		was[p] = max(was[p], k.Medium) // any, but the same one every time
	}
	type spot struct{ medium, area, was string }
	figures, over := map[spot]map[int]bool{}, map[spot]map[string]bool{}
	for _, l := range coats.Lags {
		_, before := done[l.From]
		if _, after := done[l.To]; before || !after || l.Rule == facings.RuleOwn {
			continue
		}
		from, to := coats.Tasks[l.From], coats.Tasks[l.To]
		s := spot{from.Medium, from.Area, was[place{from.Area, from.Coat, roster.Figures[from.Figure].ID}]}
		if figures[s] == nil {
			figures[s], over[s] = map[int]bool{}, map[string]bool{}
		}
		figures[s][from.Figure] = true
		over[s][taskName(to)] = true
	}
	spots := slices.SortedFunc(maps.Keys(figures), func(a, b spot) int {
		return cmp.Or(strings.Compare(a.area, b.area), strings.Compare(a.medium, b.medium), strings.Compare(a.was, b.was))
	})
	var out facings.Diagnostics
	for _, s := range spots {
		who := facings.FiguresInWords(roster, slices.Sorted(maps.Keys(figures[s])))
		message := fmt.Sprintf("the %s of %s is still to get %s", s.area, who, s.medium)
		if s.was != "" && s.was != s.medium {
			message = fmt.Sprintf("the %s of %s was painted %s and is now planned anew in %s", s.area, who, s.was, s.medium)
		}
		const most = 4
		names := slices.Sorted(maps.Keys(over[s]))
		if n := len(names); n > most {
			names = append(names[:most:most], fmt.Sprintf("%d more", n-most))
		}
		out = append(out, facings.Diagnostic{ID: "painted-over", Severity: facings.Warning, Path: facings.Pointer("units"), Value: s.area,
			Message: message + "; what comes after it is painted already: " + strings.Join(names, ", "),
			Hint:    "touch up what is painted over, or say that the coat shall be skipped"})
	}
	return out
}

// rest is what is left to be done.
type rest struct {
	when map[int]time.Time // of the tasks that are done
	lags []facings.Lag     // between tasks that are left
	wait []facings.Lag     // from a task that is done to one that is left
}

func (r rest) done(task int) bool {
	_, ok := r.when[task]
	return ok
}

// left finds the rules that still matter. Where a task that is done lies
// between two that are left, these keep their order.
func left(p *facings.Project, coats *facings.Coats, done map[int]time.Time) rest {
	r := rest{when: done, lags: coats.Lags}
	if len(done) == 0 {
		return r
	}
	r.lags = nil
	behind := map[int][]facings.Lag{} // done task → the rules from it
	for _, l := range coats.Lags {
		if r.done(l.From) {
			behind[l.From] = append(behind[l.From], l)
		}
	}
	for _, l := range coats.Lags {
		switch {
		case r.done(l.From) && r.done(l.To):
		case r.done(l.From):
			r.wait = append(r.wait, l)
		case r.done(l.To):
			r.lags = append(r.lags, across(p, coats, r, behind, l)...)
		default:
			r.lags = append(r.lags, l)
		}
	}
	return r
}

// across follows a rule to a task that is done on to what is left behind it.
func across(p *facings.Project, coats *facings.Coats, r rest, behind map[int][]facings.Lag, l facings.Lag) []facings.Lag {
	var out []facings.Lag
	seen := map[int]bool{}
	var walk func(task int)
	walk = func(task int) {
		for _, next := range behind[task] {
			if seen[next.To] {
				continue
			}
			seen[next.To] = true
			if r.done(next.To) {
				walk(next.To)
				continue
			}
			further := l
			further.To = next.To
			a, b := coats.Tasks[l.From], coats.Tasks[next.To]
			if a.Area == b.Area && partOf(a.Stage) != beginning {
				further.Seconds = max(l.Seconds, Dry(p, a.Kind, b.Kind, b.Technique).Seconds())
			}
			out = append(out, further)
		}
	}
	walk(l.To)
	return out
}

// wet is what was painted so lately that something left must wait for it. The
// engine knows nothing of a past, so it is told of one job more, a second long
// and in front of all others, which they wait for.
type wet struct {
	after []int // job → seconds from the start until it may begin, 0 for at once
	any   bool
}

// ahead is how many seconds that job takes, all of them before the start.
const ahead = 1

func (w *wet) ahead() int {
	if w.any {
		return ahead
	}
	return 0
}

// newWet reckons with the fastest painter's pace: it is he who first comes to a
// figure that stands late in a job.
func newWet(g jobs, rest rest, coats *facings.Coats, start time.Time, pace float64) *wet {
	w := &wet{after: make([]int, len(g.list))}
	offset := make([]int, len(g.of)) // task → seconds from its job's start to its own
	for _, j := range g.list {
		at := 0
		for _, t := range j.tasks {
			offset[t] = at
			at += int(float64(coats.Tasks[t].Seconds) * pace)
		}
	}
	for _, l := range rest.wait {
		dry := rest.when[l.From].Add(time.Duration(l.Seconds)*time.Second + time.Second - 1).Truncate(time.Second)
		j := g.of[l.To]
		if after := seconds(start, dry) - offset[l.To]; after > w.after[j] {
			w.after[j], w.any = after, true
		}
	}
	return w
}

// put adds the job in front, and moves time on to make room for it.
func (w *wet) put(p *sched.Problem) {
	if !w.any {
		return
	}
	front, class := len(p.Jobs), len(p.First)
	p.Jobs = append(p.Jobs, sched.Job{Chunks: []int{ahead}, Class: class, Workers: 1})
	p.First = append(slices.Clone(p.First), 0)
	p.Make, p.Life, p.Mix = append(slices.Clone(p.Make), 0), append(slices.Clone(p.Life), 0), append(slices.Clone(p.Mix), -1)
	p.Switch = slices.Clone(p.Switch)
	for a := range p.Switch {
		p.Switch[a] = append(slices.Clone(p.Switch[a]), 0)
	}
	p.Switch = append(p.Switch, p.First) // what follows opens a sitting
	for j, after := range w.after {
		p.Lags = append(p.Lags, sched.Lag{From: front, To: j, Dry: after, Whole: true, Rule: len(p.Lags)})
	}
	p.Windows = w.windows(p.Windows)
}

// windows moves windows on by the job in front, which has one of its own.
func (w *wet) windows(windows [][]sched.Window) [][]sched.Window {
	if !w.any {
		return windows
	}
	out := make([][]sched.Window, len(windows))
	for k, list := range windows {
		if k == 0 {
			out[k] = append(out[k], sched.Window{Start: 0, End: ahead})
		}
		for _, x := range list {
			out[k] = append(out[k], sched.Window{Start: x.Start + ahead, End: x.End + ahead})
		}
	}
	return out
}

// take makes the engine's answer one without the job in front.
func (w *wet) take(res sched.Result) sched.Result {
	sol := &res.Solution
	if !w.any || sol.Sequences == nil {
		return res
	}
	front := len(w.after)
	sequences := make([][]int, len(sol.Sequences))
	for k, seq := range sol.Sequences {
		sequences[k] = slices.DeleteFunc(slices.Clone(seq), func(j int) bool { return j == front })
	}
	jobs := slices.Clone(sol.Jobs[:front])
	busy := make([]int, len(sequences))
	for j := range jobs {
		t := &jobs[j]
		t.Start, t.End = t.Start-ahead, t.End-ahead
		t.Pieces = slices.Clone(t.Pieces)
		for k := range t.Pieces {
			piece := &t.Pieces[k]
			piece.Start, piece.End = piece.Start-ahead, piece.End-ahead
			if t.Worker == 0 {
				piece.Window--
			}
			busy[t.Worker] += piece.Left + piece.Wait + piece.Setup + piece.End - piece.Start
		}
	}
	sol.Sequences, sol.Jobs = sequences, jobs
	sol.Work, sol.Changes, sol.WallEnd = sol.Work-ahead, sol.Changes-1, sol.WallEnd-ahead
	sol.Makespan = slices.Max(busy)
	res.LowerBound = max(0, res.LowerBound-ahead)
	res.Objective = sol.Makespan
	return res
}
