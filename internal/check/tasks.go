package check

import (
	"math"
	"slices"

	"facings"
)

// tasks checks that the tasks and what is left out are together exactly what
// the project asks of every figure.
func (k *checker) tasks() {
	k.index = map[taskKey]int{}
	for i, t := range k.c.Tasks {
		if t.Figure < 0 || t.Figure >= len(k.r.Figures) {
			k.add("task-figure", "", "a task belongs to figure %d, which does not exist", t.Figure)
			continue
		}
		key := taskKey{t.Figure, t.Stage, t.Area, t.Coat}
		if _, twice := k.index[key]; twice {
			k.add("task-twice", "", "%s is listed twice", k.name(i))
		}
		k.index[key] = i
		if t.Seconds < 1 {
			k.add("task-time", "", "%s takes no time", k.name(i))
		}
	}
	left := k.leftOut()
	wanted := 0
	for f := range k.r.Figures {
		wanted += k.figureTasks(f, left)
	}
	if have := len(k.c.Tasks) + len(k.c.LeftOut); wanted != have && len(k.list) == 0 {
		k.add("task-extra", "", "%d tasks are done or left out where the project asks for %d", have, wanted)
	}
}

// leftOut checks every coat that is left out and indexes them.
func (k *checker) leftOut() map[taskKey]bool {
	left := map[taskKey]bool{}
	for _, l := range k.c.LeftOut {
		path := "/tolerance_delta_e"
		if l.Figure < 0 || l.Figure >= len(k.r.Figures) || k.r.Figures[l.Figure].ID != l.ID {
			k.add("left-out-figure", path, "a coat left out belongs to %s, which the roster does not have there", l.ID)
			continue
		}
		left[taskKey{l.Figure, facings.StagePaint, l.Area, l.Coat}] = true
		if !(l.DeltaE <= k.p.Tolerance()) || k.p.Tolerance() == 0 {
			k.add("left-out-tolerance", path, "%s on the %s of %s is left out with a colour difference of %.2f, more than the %.2f allowed",
				l.Medium, l.Area, l.ID, float64(l.DeltaE), float64(k.p.Tolerance()))
		}
		if l.Reason == "" {
			k.add("left-out-reason", path, "%s on the %s of %s is left out without a reason", l.Medium, l.Area, l.ID)
		}
		if l.By != "" && !k.goesOver(l) {
			k.add("left-out-cover", path, "the %s of %s is said to be covered by paint of the %s, which is not laid there", l.Area, l.ID, l.By)
		}
	}
	return left
}

// goesOver reports whether some coat is laid on the area that is said to go
// over the one left out, and that the latter does lie over it.
func (k *checker) goesOver(l facings.LeftOut) bool {
	if !slices.Contains(k.r.Figures[l.Figure].Body.Beneath(l.Area), l.By) {
		return false
	}
	return slices.ContainsFunc(k.c.Tasks, func(t facings.Task) bool { return t.Figure == l.Figure && t.Area == l.By })
}

// figureTasks checks one figure's tasks and returns how many it should have,
// those left out included.
func (k *checker) figureTasks(f int, left map[taskKey]bool) int {
	figure := k.r.Figures[f]
	unit, role, ok := k.p.UnitAt(figure.ID)
	if !ok {
		return 0
	}
	n := 0
	need := func(stage facings.Stage, area string, coat int, medium string) {
		if k.skipped(f, area, coat, medium) {
			if _, there := k.index[taskKey{f, stage, area, coat}]; there || left[taskKey{f, stage, area, coat}] {
				k.add("task-skipped", "", "%s: coat %d of %s on the %s is planned or left out though it shall be skipped", figure.ID, coat+1, medium, area)
			}
			return
		}
		n++
		key := taskKey{f, stage, area, coat}
		i, there := k.index[key]
		_, kind, _, _ := k.p.Medium(medium)
		switch {
		case there && k.c.Tasks[i].Medium != medium:
			k.add("task-medium", "", "%s should be %s", k.name(i), medium)
		case there && k.c.Tasks[i].Kind != kind:
			k.add("task-kind", "", "%s is %s, not %s", k.name(i), kind, k.c.Tasks[i].Kind)
		case there == left[taskKey{f, stage, area, coat}]:
			k.add("task-missing", "", "%s: coat %d of %s on the %s is neither done nor left out, or both", figure.ID, coat+1, medium, area)
		}
	}
	if k.p.Prepares() {
		need(facings.StagePrepare, facings.WholeFigure, 0, "")
	}
	need(facings.StageUndercoat, facings.WholeFigure, 0, k.p.Undercoat.Dark)
	if k.p.Undercoat.Light != "" {
		need(facings.StageUndercoat, facings.WholeFigure, 1, k.p.Undercoat.Light)
	}
	for _, area := range figure.Body.Areas {
		if area.Name == "flag" {
			continue
		}
		finish, _ := k.p.FindFinish(k.p.Choose(unit, role, figure.ID.Number, figure.Traits, area.Name).Finish)
		for c, coat := range finish.Coats {
			stage := facings.StagePaint
			if coat.AfterVarnish {
				stage = facings.StageAfterVarnish
			}
			need(stage, area.Name, c, coat.Paint)
			k.mayLeave(f, area.Name, c, coat, left)
			k.coatTime(f, area, c, coat, stage)
		}
	}
	n += k.endingTasks(f, unit)
	return n
}

// skipped reports whether the log says that a coat shall not be painted.
func (k *checker) skipped(f int, area string, coat int, medium string) bool {
	return k.progress.Skipped[facings.TaskKey{Figure: k.r.Figures[f].ID, Area: area, Coat: coat, Medium: medium}]
}

// mayLeave checks that a coat left out is one that may be.
func (k *checker) mayLeave(f int, area string, c int, coat facings.Coat, left map[taskKey]bool) {
	if !left[taskKey{f, facings.StagePaint, area, c}] {
		return
	}
	_, kind, _, _ := k.p.Medium(coat.Paint)
	works := coat.Technique == facings.WashOn || coat.Technique == facings.Drybrush || coat.Technique == facings.Dot ||
		coat.Technique == "" && (kind == facings.Wash || kind == facings.OilWash)
	if coat.Always || coat.AfterVarnish || kind == facings.Metallic || works {
		k.add("left-out-kept", "", "%s: %s on the %s is left out though it must be kept", k.r.Figures[f].ID, coat.Paint, area)
	}
}

// coatTime works out a coat's seconds again: for finding the spot, and by the
// surface, slower where it is fiddly.
func (k *checker) coatTime(f int, area facings.AreaSpec, c int, coat facings.Coat, stage facings.Stage) {
	i, ok := k.index[taskKey{f, stage, area.Name, c}]
	if !ok {
		return
	}
	t := k.c.Tasks[i]
	h, known := facings.HandlingOf(t.Technique)
	if !known || (coat.Technique != "" && coat.Technique != t.Technique) || (coat.Tool != "" && coat.Tool != t.Tool) {
		k.add("task-technique", "", "%s is laid by %s with %s, not as its finish says", k.name(i), t.Technique, t.Tool)
		return
	}
	ratio := k.p.Size() / facings.NominalSize
	surface := float64(area.AreaMM2) * ratio * ratio
	if coat.CoverPercent > 0 {
		surface *= coat.CoverPercent / 100
	} else if t.AreaMM2 < surface {
		surface = t.AreaMM2 // a technique's own share of the area
	}
	want := k.p.PaceOf(t.Technique, area.Fiddly) * (h.SecondsPerArea + h.SecondsPerSquareMM*surface*area.Fiddly)
	if math.Abs(want-float64(t.Seconds)) > 1 {
		k.add("task-time", "", "%s takes %d s where its surface asks for %.0f", k.name(i), t.Seconds, want)
	}
}

// endingTasks checks base, flag and varnish in the project's order.
func (k *checker) endingTasks(f int, unit *facings.Unit) int {
	figure, n := k.r.Figures[f], 0
	for s, step := range k.p.Ending {
		stage, area, wanted := facings.StageVarnish, facings.WholeFigure, true
		switch step.Step {
		case facings.EndBase:
			_, has := figure.Body.Area("base")
			stage, area, wanted = facings.StageBase, "base", has
		case facings.EndFlag:
			bearer := facings.RoleStandardBearer
			if unit.Flag != nil && unit.Flag.Role != "" {
				bearer = unit.Flag.Role
			}
			stage, area, wanted = facings.StageFlag, "flag", unit.Flag != nil && figure.ID.Role == bearer
		}
		if !wanted || k.skipped(f, area, s, step.Paint) {
			continue
		}
		n++
		if step.Step == facings.EndFlag && !k.skipped(f, area, s, "") {
			n++
			if _, ok := k.index[taskKey{f, facings.StageMakeFlag, area, s}]; !ok {
				k.add("task-missing", "/ending", "%s: nobody makes the flag", figure.ID)
			}
		}
		if i, ok := k.index[taskKey{f, stage, area, s}]; !ok || k.c.Tasks[i].Medium != step.Paint {
			k.add("task-missing", "/ending", "%s: the %s step with %s is missing", figure.ID, step.Step, step.Paint)
		}
	}
	return n
}
