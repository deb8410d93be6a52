package check

import (
	"cmp"
	"math"
	"slices"
	"time"

	"facings"
)

// benches checks that changes between pieces of work have their time: another
// paint, another tool, a mix to be made, fresh water, a clean brush. It asks for
// the least that any of them takes, since what a change costs in all is the
// project's own table.
func (k *checker) benches() {
	c := k.p.Changes()
	byPainter := map[int][]int{}
	for t := range k.when {
		byPainter[k.by[t]] = append(byPainter[k.by[t]], t)
	}
	for _, tasks := range byPainter {
		slices.SortFunc(tasks, func(a, b int) int { return k.when[a].start.Compare(k.when[b].start) })
		made := map[string]time.Time{}
		for i, t := range tasks {
			task := k.c.Tasks[t]
			if i == 0 {
				continue
			}
			before := k.c.Tasks[tasks[i-1]]
			gap := k.when[t].start.Sub(k.when[tasks[i-1]].end)
			var need facings.Minutes
			if task.Medium != before.Medium {
				need += c.PaintMinutes
			}
			if task.Tool != before.Tool {
				need += c.ToolMinutes
			}
			if _, _, mixed, _ := k.p.Medium(task.Medium); mixed {
				if _, ok := made[task.Medium]; !ok {
					need += max(0, c.MixMinutes-c.PaintMinutes)
				}
				made[task.Medium] = k.when[t].start
			}
			if gap < time.Duration(need.Seconds())*time.Second {
				k.add("set-up-time", "", "only %v between %s and %s, where changing takes %.1f minutes", gap, k.name(tasks[i-1]), k.name(t), float64(need))
			}
		}
	}
}

// passes checks that each pass is one paint, tool, technique and stage, and
// says what its tasks are.
func (k *checker) passes() {
	inPass := make([][]int, len(k.o.Passes))
	for _, piece := range k.o.Pieces {
		inPass[piece.Pass] = append(inPass[piece.Pass], piece.Task)
	}
	for n, pass := range k.o.Passes {
		if pass.Number != n+1 {
			k.add("pass-number", "", "pass %d stands at place %d", pass.Number, n+1)
		}
		var minutes facings.Minutes
		figures, areas := map[int]bool{}, map[string]bool{}
		for _, i := range inPass[n] {
			t := k.c.Tasks[i]
			if t.Medium != pass.Medium || t.Tool != pass.Tool || t.Technique != pass.Technique || t.Stage != pass.Stage {
				k.add("pass-mixed", "", "pass %d is %s with %s and holds %s", pass.Number, pass.Medium, pass.Tool, k.name(i))
			}
			minutes += t.Seconds.Minutes()
			figures[t.Figure], areas[t.Area] = true, true
			if k.when[i].start.Before(pass.Start) || k.when[i].end.After(pass.End) {
				k.add("pass-time", "", "%s lies outside its pass %d", k.name(i), pass.Number)
			}
		}
		if len(figures) != len(pass.Figures) || len(areas) != len(pass.Areas) {
			k.add("pass-figures", "", "pass %d names %d figures and %d areas and works on %d and %d", pass.Number, len(pass.Figures),
				len(pass.Areas), len(figures), len(areas))
		}
		if off(minutes, pass.Minutes) {
			k.add("pass-minutes", "", "pass %d says %.2f minutes and takes %.2f", pass.Number, float64(pass.Minutes), float64(minutes))
		}
		h, _ := facings.HandlingOf(pass.Technique)
		if h.Caution != "" && pass.Caution == "" {
			k.add("pass-caution", "", "pass %d (%s) shows no caution", pass.Number, pass.Technique)
		}
	}
}

func off(a, b facings.Minutes) bool { return math.Abs(float64(a-b)) > 0.01 }

// totals checks sums, bound and gap.
func (k *checker) totals() {
	var work, setUp, wait facings.Minutes
	for _, t := range k.c.Tasks {
		work += t.Seconds.Minutes()
	}
	for _, pass := range k.o.Passes {
		setUp += pass.SetUp
		wait += pass.Wait
	}
	o := k.o
	if off(work, o.WorkMinutes) || off(setUp, o.SetUpMinutes) || off(wait, o.WaitMinutes) || off(work+setUp+wait, o.Minutes) {
		k.add("totals", "", "work %.2f, set-up %.2f and waiting %.2f minutes do not add up to the order's %.2f, %.2f, %.2f (%.2f)",
			float64(work), float64(setUp), float64(wait), float64(o.WorkMinutes), float64(o.SetUpMinutes), float64(o.WaitMinutes), float64(o.Minutes))
	}
	if o.LowerBoundMinutes > o.Minutes+0.01 {
		k.add("bound", "", "the lower bound, %.2f minutes, is above the order's %.2f", float64(o.LowerBoundMinutes), float64(o.Minutes))
	}
	gap := 0.0
	if loose := float64(o.Minutes - o.WorkMinutes); loose > 0 {
		gap = math.Max(0, float64(o.Minutes-o.LowerBoundMinutes)/loose)
	}
	if math.Abs(gap-o.Gap) > 1e-6 {
		k.add("gap", "", "the gap is %.4f, the order says %.4f", gap, o.Gap)
	}
	k.sittings()
}

// sittings checks that the sittings hold the work, and idle time is counted.
func (k *checker) sittings() {
	var work, setUp, wait facings.Minutes
	for _, s := range k.o.Sittings {
		work, setUp, wait = work+s.WorkMinutes, setUp+s.SetUpMinutes, wait+s.WaitMinutes
		if s.End.After(s.Until) || s.Start.After(s.End) {
			k.add("sitting-time", "/calendar", "sitting %d runs from %v to %v in a window that ends at %v", s.Number, s.Start, s.End, s.Until)
		}
	}
	if off(work, k.o.WorkMinutes) || off(setUp, k.o.SetUpMinutes) || off(wait, k.o.WaitMinutes) {
		k.add("sitting-sums", "", "the sittings hold %.2f, %.2f and %.2f minutes of work, set-up and waiting; the order %.2f, %.2f and %.2f",
			float64(work), float64(setUp), float64(wait), float64(k.o.WorkMinutes), float64(k.o.SetUpMinutes), float64(k.o.WaitMinutes))
	}
	k.idle()
}

// idle checks that no time between two pieces of work in one sitting goes
// unexplained: it is set-up or counted waiting.
func (k *checker) idle() {
	byPainter := map[int][]int{}
	for t := range k.when {
		byPainter[k.by[t]] = append(byPainter[k.by[t]], t)
	}
	var gaps facings.Minutes
	for _, tasks := range byPainter {
		slices.SortFunc(tasks, func(a, b int) int { return cmp.Or(k.when[a].start.Compare(k.when[b].start)) })
		for i := 1; i < len(tasks); i++ {
			a, b := k.when[tasks[i-1]], k.when[tasks[i]]
			if k.sameSitting(a.end, b.start) {
				gaps += facings.Minutes(b.start.Sub(a.end).Minutes())
			}
		}
	}
	if gaps > k.o.SetUpMinutes+k.o.WaitMinutes+0.01 {
		k.add("idle", "", "%.2f minutes lie between pieces of work inside sittings, more than the %.2f of set-up and waiting counted",
			float64(gaps), float64(k.o.SetUpMinutes+k.o.WaitMinutes))
	}
}

func (k *checker) sameSitting(a, b time.Time) bool {
	return slices.ContainsFunc(k.o.Sittings, func(s facings.Sitting) bool {
		return !a.Before(s.Start) && !b.After(s.Until)
	})
}
