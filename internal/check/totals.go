package check

import (
	"cmp"
	"math"
	"slices"
	"time"

	"facings"
)

// perPainter lists every painter's tasks by when they start.
func (k *checker) perPainter() [][]int {
	var out [][]int
	for t, painter := range k.by {
		if k.done[t] {
			continue
		}
		for len(out) <= painter {
			out = append(out, nil)
		}
		out[painter] = append(out[painter], t)
	}
	for _, tasks := range out {
		slices.SortFunc(tasks, func(a, b int) int {
			return cmp.Or(k.when[a].start.Compare(k.when[b].start), cmp.Compare(a, b))
		})
	}
	return out
}

// sitting finds the sitting of a painter that an instant lies in.
func (k *checker) sitting(painter int, at time.Time) (facings.Sitting, bool) {
	i := slices.IndexFunc(k.o.Sittings, func(s facings.Sitting) bool {
		all := k.p.Calendar.Painters
		own := len(all) == 0 || painter < len(all) && s.Painter == all[painter].Name
		return own && !at.Before(s.Start) && !at.After(s.Until)
	})
	if i < 0 {
		return facings.Sitting{}, false
	}
	return k.o.Sittings[i], true
}

// benches checks that changes between pieces of work have their time: laying
// out at the start of a sitting, then another paint, another tool, fresh water
// after a metallic, and a mix to be made where the painter has none that is
// fresh. It asks for the least that any of them takes: of a clean brush for a
// light paint after a dark one it knows nothing, and a pause long enough to
// make a mix counts as its making.
func (k *checker) benches() {
	c := k.p.Changes()
	life := c.MixLifeWetMinutes
	if k.p.Palette == "dry" {
		life = c.MixLifeDryMinutes
	}
	for painter, tasks := range k.perPainter() {
		made := map[string]time.Time{}
		for i, t := range tasks {
			start, medium := k.when[t].start, k.c.Tasks[t].Medium
			sitting, ok := k.sitting(painter, start)
			if !ok {
				k.add("outside-sitting", "/calendar", "%s lies in none of the order's sittings", k.name(t))
				continue
			}
			opens := i == 0 || k.when[tasks[i-1]].end.Before(sitting.Start)
			free, need := sitting.Start, c.PaintMinutes
			if !opens {
				free, need = k.when[tasks[i-1]].end, k.change(tasks[i-1], t)
			}
			gap := facings.Minutes(start.Sub(free).Minutes())
			if _, _, mixed, _ := k.p.Medium(medium); mixed {
				making := max(0, c.MixMinutes-c.PaintMinutes)
				at, there := made[medium]
				if !there || k.when[t].end.Sub(at) > time.Duration(life.Seconds())*time.Second {
					need += making
					made[medium] = start
				} else if gap >= need+making {
					made[medium] = start
				}
			}
			if gap < need-second {
				k.add("set-up-time", "", "only %.1f minutes before %s, where changing takes %.1f", float64(gap), k.name(t), float64(need))
			}
		}
	}
}

// second is what rounding minutes to whole seconds may take from a change.
const second = facings.Minutes(1.0 / 60)

// change is the least time between two pieces of work of one sitting.
func (k *checker) change(from, to int) facings.Minutes {
	c, a, b := k.p.Changes(), k.c.Tasks[from], k.c.Tasks[to]
	var need facings.Minutes
	if a.Medium != b.Medium {
		need += c.PaintMinutes
		switch b.Kind {
		case facings.Opaque, facings.Translucent, facings.Wash, facings.Ink:
			if a.Kind == facings.Metallic {
				need += c.WaterMinutes
			}
		}
	}
	if a.Tool != b.Tool {
		need += c.ToolMinutes
	}
	return need
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
			minutes += facings.Minutes(k.when[i].end.Sub(k.when[i].start).Minutes())
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
		k.keepOff(pass, inPass[n])
		h, _ := facings.HandlingOf(pass.Technique)
		if h.Caution != "" && pass.Caution == "" {
			k.add("pass-caution", "", "pass %d (%s) shows no caution", pass.Number, pass.Technique)
		}
	}
}

// keepOff checks that a pass names every bare area that it comes near, other
// than those that it paints or is to go over.
func (k *checker) keepOff(pass facings.Pass, tasks []int) {
	named := slices.Concat(pass.KeepOff, pass.AlsoCover, pass.Areas)
	for _, i := range tasks {
		t := k.c.Tasks[i]
		spec, ok := k.r.Figures[t.Figure].Body.Area(t.Area)
		if !ok {
			continue // the whole figure, or a flag
		}
		for _, name := range append(k.r.Figures[t.Figure].Body.Reach(t.Area), spec.Over...) {
			if k.bare(t.Figure, name) && !slices.Contains(named, name) {
				k.add("keep-off", "", "pass %d comes near the bare %s of %s and does not say so", pass.Number, name, k.r.Figures[t.Figure].ID)
			}
		}
	}
}

// bare reports whether the finish of an area is to leave it.
func (k *checker) bare(f int, area string) bool {
	if k.leave[f] == nil {
		figure := k.r.Figures[f]
		k.leave[f] = map[string]bool{}
		unit, role, ok := k.p.UnitAt(figure.ID)
		for _, a := range figure.Body.Areas {
			if !ok || a.Name == "flag" {
				continue
			}
			finish, known := k.p.FindFinish(k.p.Choose(unit, role, figure.ID.Number, figure.Traits, a.Name).Finish)
			k.leave[f][a.Name] = known && len(finish.Coats) == 0
		}
	}
	return k.leave[f][area]
}

func off(a, b facings.Minutes) bool { return math.Abs(float64(a-b)) > 0.01 }

// totals checks sums, bound and gap.
func (k *checker) totals() {
	var work, setUp, wait facings.Minutes
	var doneWork facings.Minutes
	doneTasks := 0
	for i, t := range k.c.Tasks {
		if k.done[i] {
			doneWork += t.Seconds.Minutes()
			doneTasks++
		} else {
			work += facings.Minutes(k.when[i].end.Sub(k.when[i].start).Minutes())
		}
	}
	if doneTasks != k.o.DoneTasks || off(doneWork, k.o.DoneMinutes) {
		k.add("done-totals", "", "%d tasks of %.2f minutes are done, the order says %d of %.2f", doneTasks, float64(doneWork),
			k.o.DoneTasks, float64(k.o.DoneMinutes))
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
		if s.End.After(s.Until) || s.Begins.After(s.End) || s.Begins.Before(s.Start) {
			k.add("sitting-time", "/calendar", "sitting %d runs from %v to %v in a window from %v to %v", s.Number, s.Begins, s.End, s.Start, s.Until)
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
	var gaps facings.Minutes
	for painter, tasks := range k.perPainter() {
		for i := 1; i < len(tasks); i++ {
			a, b := k.when[tasks[i-1]], k.when[tasks[i]]
			if s, ok := k.sitting(painter, b.start); ok && !a.end.Before(s.Start) {
				gaps += facings.Minutes(b.start.Sub(a.end).Minutes())
			}
		}
	}
	if gaps > k.o.SetUpMinutes+k.o.WaitMinutes+0.01 {
		k.add("idle", "", "%.2f minutes lie between pieces of work inside sittings, more than the %.2f of set-up and waiting counted",
			float64(gaps), float64(k.o.SetUpMinutes+k.o.WaitMinutes))
	}
}
