package check

import (
	"fmt"
	"math"
	"slices"
	"time"

	"facings"
)

// Order checks a whole plan: that the tasks are those of the project and its
// roster, what is left out may be, every task is done once inside a sitting of
// its painter, every rule of the plan holds on every figure, set-ups have their
// time, and the totals are the sums of the parts.
func Order(p *facings.Project, r *facings.Roster, c *facings.Coats, o *facings.Order) facings.Diagnostics {
	return Rest(p, r, c, o, facings.Progress{}, time.Time{})
}

// Rest checks a plan of what is left at an instant: nothing that is done or
// skipped is planned again, nothing that is left is missing or begins before
// the instant, and what is done has dried where something goes over it.
func Rest(p *facings.Project, r *facings.Roster, c *facings.Coats, o *facings.Order, progress facings.Progress, from time.Time) facings.Diagnostics {
	k := &checker{findings: &findings{}, p: p, r: r, c: c, o: o, progress: progress, from: from,
		leave: make([]map[string]bool, len(r.Figures))}
	k.tasks()
	k.past()
	if !k.pieces() {
		return k.list // without times for every task the rest means nothing
	}
	k.rules()
	k.batches()
	k.benches()
	k.passes()
	k.totals()
	return k.list
}

type checker struct {
	*findings
	p *facings.Project
	r *facings.Roster
	c *facings.Coats
	o *facings.Order

	progress facings.Progress
	from     time.Time
	done     []bool // per task: before the plan

	when  []span // per task
	by    []int  // painter per task, -1 for what was done before
	index map[taskKey]int
	leave []map[string]bool // per figure, filled when asked for: areas that stay bare
}

type span struct{ start, end time.Time }

type taskKey struct {
	figure int
	stage  facings.Stage
	area   string
	coat   int
}

// pieces checks that every task has exactly one stretch of time, as long as it
// takes, on one painter, inside one of that painter's sittings, and that no
// painter does two things at once.
func (k *checker) pieces() bool {
	seen := make([]bool, len(k.c.Tasks))
	ok := true
	for _, piece := range k.o.Pieces {
		if piece.Task < 0 || piece.Task >= len(seen) || piece.Pass < 0 || piece.Pass >= len(k.o.Passes) {
			k.add("piece-index", "", "a stretch of time belongs to task %d of pass %d, which does not exist", piece.Task, piece.Pass)
			ok = false
			continue
		}
		if seen[piece.Task] {
			k.add("task-twice", "", "%s is done twice", k.name(piece.Task))
			ok = false
		}
		seen[piece.Task] = true
		if k.done[piece.Task] {
			k.add("task-done", "", "%s is planned though it is done", k.name(piece.Task))
			ok = false
		}
		if piece.Start.Before(k.from) {
			k.add("task-past", "", "%s begins at %v, before the plan does", k.name(piece.Task), piece.Start)
		}
		k.when[piece.Task] = span{piece.Start, piece.End}
		if k.by[piece.Task] = k.o.Passes[piece.Pass].Painter; k.by[piece.Task] < 0 || k.by[piece.Task] >= max(1, len(k.p.Calendar.Painters)) {
			k.add("painter", "/calendar", "pass %d is for painter %d, who does not exist", piece.Pass+1, k.by[piece.Task]+1)
			ok = false
		}
		need := k.pace(k.by[piece.Task]) * float64(k.c.Tasks[piece.Task].Seconds)
		if took := piece.End.Sub(piece.Start); math.Abs(took.Seconds()-need) > 1 || len(k.p.Calendar.Painters) < 2 && took.Seconds() != need {
			k.add("task-time", "", "%s takes %.0f s and is given %v", k.name(piece.Task), need, took)
		}
	}
	for t, planned := range seen {
		if !planned && !k.done[t] {
			k.add("task-missing", "", "%s is in no pass", k.name(t))
			ok = false
		}
	}
	if ok {
		k.oneAtATime()
	}
	return ok
}

// past finds what was done before the plan: what the log says, and what lies
// under paint that it says was laid.
func (k *checker) past() {
	n := len(k.c.Tasks)
	k.done, k.when, k.by = make([]bool, n), make([]span, n), make([]int, n)
	under := func(t facings.Task) bool {
		return t.Stage == facings.StagePrepare || t.Stage == facings.StageUndercoat
	}
	painted, flown := map[int]bool{}, map[int]bool{}
	for i, t := range k.c.Tasks {
		if t.Figure < 0 || t.Figure >= len(k.r.Figures) {
			continue
		}
		at, done := k.progress.Done[facings.TaskKey{Figure: k.r.Figures[t.Figure].ID, Area: t.Area, Coat: t.Coat, Medium: t.Medium}]
		if !done {
			continue
		}
		k.done[i], k.when[i], k.by[i] = true, span{at, at}, -1
		painted[t.Figure] = painted[t.Figure] || !under(t) && t.Stage != facings.StageMakeFlag
		flown[t.Figure] = flown[t.Figure] || t.Stage == facings.StageFlag
	}
	for i, t := range k.c.Tasks {
		if (painted[t.Figure] && under(t) || flown[t.Figure] && t.Stage == facings.StageMakeFlag) && !k.done[i] {
			k.done[i], k.by[i] = true, -1 // long ago: paint has gone over it
		}
	}
}

// pace is how many times as long as tasks are timed a painter takes: they are
// timed at the mean of all.
func (k *checker) pace(painter int) float64 {
	all := k.p.Calendar.Painters
	if painter < 0 || painter >= len(all) {
		return 1
	}
	of := func(i int) float64 {
		if all[i].Pace > 0 {
			return all[i].Pace
		}
		return 1
	}
	mean := 0.0
	for i := range all {
		mean += of(i) / float64(len(all))
	}
	return of(painter) / mean
}

func (k *checker) oneAtATime() {
	for painter, tasks := range k.perPainter() {
		for i, t := range tasks {
			if i > 0 && k.when[t].start.Before(k.when[tasks[i-1]].end) {
				k.add("two-at-once", "", "%s begins before %s ends", k.name(t), k.name(tasks[i-1]))
			}
			if !k.inSitting(painter, k.when[t]) {
				k.add("outside-sitting", "/calendar", "%s is done at %s, when painter %d does not sit at the bench", k.name(t),
					k.when[t].start.Format("2006-01-02 15:04:05"), painter+1)
			}
		}
	}
}

// inSitting reads the calendar anew: the span lies inside a weekly sitting of
// its own weekday, or inside an exception of its date.
func (k *checker) inSitting(painter int, s span) bool {
	days := func(rules []facings.SittingRule, except []facings.SittingDay) []span {
		var out []span
		date := s.start.Format("2006-01-02")
		at := func(hhmm string) time.Time {
			t, err := time.Parse("15:04", hhmm)
			if err != nil {
				return time.Time{}
			}
			y, m, d := s.start.Date()
			return time.Date(y, m, d, t.Hour(), t.Minute(), 0, 0, s.start.Location())
		}
		special := false
		for _, e := range except {
			if e.Date == date {
				special = true
				if !e.None {
					out = append(out, span{at(e.From), at(e.To)})
				}
			}
		}
		day := facings.Weekdays()[(int(s.start.Weekday())+6)%7]
		for _, r := range rules {
			if !special && slices.Contains(r.Days, day) {
				out = append(out, span{at(r.From), at(r.To)})
			}
		}
		return out
	}
	all := k.p.Calendar.Painters
	if len(all) == 0 {
		return k.insideSitting(s)
	}
	if painter < 0 || painter >= len(all) {
		return false
	}
	windows := days(all[painter].Sittings, all[painter].Except)
	slices.SortFunc(windows, func(a, b span) int { return a.start.Compare(b.start) })
	// Sittings that touch or overlap are one.
	for i := 0; i < len(windows); i++ {
		whole := windows[i]
		for j := i + 1; j < len(windows) && !windows[j].start.After(whole.end); j++ {
			if windows[j].end.After(whole.end) {
				whole.end = windows[j].end
			}
		}
		if !s.start.Before(whole.start) && !s.end.After(whole.end) {
			return true
		}
	}
	return false
}

// insideSitting checks against the sittings the order itself lists.
func (k *checker) insideSitting(s span) bool {
	return slices.ContainsFunc(k.o.Sittings, func(x facings.Sitting) bool {
		return !s.start.Before(x.Start) && !s.end.After(x.Until)
	})
}

// name says which task is meant.
func (k *checker) name(t int) string {
	task := k.c.Tasks[t]
	figure := "figure ?"
	if task.Figure >= 0 && task.Figure < len(k.r.Figures) {
		figure = k.r.Figures[task.Figure].ID.String()
	}
	what := task.Medium
	if what == "" {
		what = string(task.Technique)
	}
	return fmt.Sprintf("%s (%s, %s coat %d)", figure, what, task.Area, task.Coat+1)
}
