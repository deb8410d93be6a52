package order

import (
	"math"
	"slices"

	"facings"
)

// flagArea is printed and glued on, never painted.
const flagArea = "flag"

// rimArea is touched up once the base has its texture.
const rimArea = "base rim"

// figureTasks adds the tasks and lags of one figure.
type figureTasks struct {
	s      *settler
	index  int
	figure *facings.Figure
	unit   *facings.Unit

	prepared  int // task index, -1 when castings come ready
	undercoat []int
	ends      [][]int // tasks of each ending step, in the project's order
	kinds     []facings.EndingKind
	painted   []int // paint-stage tasks
	after     []int // tasks after varnish
}

func (t *figureTasks) add(task facings.Task) int {
	task.Figure = t.index
	t.s.coats.Tasks = append(t.s.coats.Tasks, task)
	return len(t.s.coats.Tasks) - 1
}

// skips reports whether a task of the figure shall not be painted.
func (t *figureTasks) skips(area string, coat int, medium string) bool {
	return t.s.skipped[facings.TaskKey{Figure: t.figure.ID, Area: area, Coat: coat, Medium: medium}]
}

// TaskSeconds is the time of one task: finding the spot and loading the brush,
// then the surface at the technique's rate, slowed by fiddliness. areaMM2 is at
// the project's own size; at least one second. pace 1 is the default painter.
func TaskSeconds(t facings.Technique, areaMM2, fiddly, cover, pace float64) facings.Seconds {
	h, _ := facings.HandlingOf(t)
	if pace <= 0 {
		pace = 1
	}
	if cover <= 0 || cover > 1 {
		cover = 1
	}
	s := h.SecondsPerArea + float64(h.SecondsPerSquareMM*areaMM2*fiddly*cover)
	return facings.Seconds(max(1, math.Round(float64(s*pace))))
}

// size is a surface of the figure at the project's own size.
func (t *figureTasks) size(mm2 facings.SquareMillimetres) float64 {
	return float64(mm2) * facings.Scale(t.s.project.Size())
}

// first adds preparation and the undercoats.
func (t *figureTasks) first() {
	p := t.s.project
	whole := t.size(t.figure.Body.Surface())
	t.prepared = -1
	if p.Prepares() && !t.skips(facings.WholeFigure, 0, "") {
		t.prepared = t.add(facings.Task{Area: facings.WholeFigure, Stage: facings.StagePrepare, Technique: facings.Prepare,
			Tool: facings.ToolFile, AreaMM2: whole, Seconds: TaskSeconds(facings.Prepare, whole, 1, 1, p.PaceOf(facings.Prepare, 1))})
	}
	add := func(coat int, paint string, share float64, surface Surface) {
		if t.skips(facings.WholeFigure, coat, paint) {
			return
		}
		made, _ := p.FindPaint(paint)
		technique, tool := facings.Brush, facings.ToolFlat
		if made.Can {
			technique, tool = facings.Spray, facings.ToolCan
		}
		t.undercoat = append(t.undercoat, t.add(facings.Task{Area: facings.WholeFigure, Coat: coat,
			Stage: facings.StageUndercoat, Medium: paint, Kind: facings.Primer, Technique: technique, Tool: tool,
			AreaMM2: float64(whole * share), Seconds: TaskSeconds(technique, whole, ease(technique), share, p.PaceOf(technique, 1)), Base: true,
			Look: t.s.colours.Look(surface)}))
	}
	add(0, p.Undercoat.Dark, 1, t.s.ground(0))
	if p.Undercoat.Light != "" {
		add(1, p.Undercoat.Light, lightShare, t.s.ground(1))
	}
}

// lightShare is the part of a figure that the light from above reaches (estimate).
const lightShare = 0.6

// paint adds the coats of one area.
func (t *figureTasks) paint(a *plannedArea) {
	mm2 := t.size(a.spec.AreaMM2)
	for _, c := range a.laid {
		stage := facings.StagePaint
		if c.after {
			stage = facings.StageAfterVarnish
		}
		i := t.add(facings.Task{Area: a.spec.Name, Coat: c.coat, Stage: stage, Medium: c.medium, Kind: c.kind,
			Technique: c.technique, Tool: c.tool, AreaMM2: float64(mm2 * c.cover), Base: c.base, Look: c.look,
			Seconds: TaskSeconds(c.technique, mm2, a.spec.Fiddly, c.cover, t.s.project.PaceOf(c.technique, a.spec.Fiddly))})
		a.tasks = append(a.tasks, i)
		if c.after {
			t.after = append(t.after, i)
		} else {
			t.painted = append(t.painted, i)
		}
	}
}

// ending adds base texture, flag and varnish as the project orders them.
func (t *figureTasks) ending() {
	p := t.s.project
	for n, step := range p.Ending {
		task, ok := t.endTask(n, step)
		if !ok || t.skips(task.Area, n, task.Medium) {
			continue
		}
		task.Coat = n
		t.ends = append(t.ends, []int{t.add(task)})
		if step.Step == facings.EndFlag {
			t.makeFlag(n, task.AreaMM2)
		}
		t.kinds = append(t.kinds, step.Step)
	}
}

// makeFlag adds the printing, cutting and folding of the flag that was just
// added to be glued on.
func (t *figureTasks) makeFlag(n int, mm2 float64) {
	glued := len(t.s.coats.Tasks) - 1
	if t.skips(flagArea, n, "") {
		return
	}
	made := t.add(facings.Task{Area: flagArea, Coat: n, Stage: facings.StageMakeFlag, Technique: facings.Fit, Tool: facings.ToolScissors,
		AreaMM2: mm2, Seconds: TaskSeconds(facings.Fit, mm2, 1, 1, t.s.project.PaceOf(facings.Fit, 1))})
	t.lag(made, glued, 0, facings.RuleEnding, "the flag is made before it is glued on")
}

func (t *figureTasks) endTask(n int, step facings.EndingStep) (facings.Task, bool) {
	p := t.s.project
	made, _ := p.FindPaint(step.Paint)
	switch step.Step {
	case facings.EndBase:
		base, ok := t.figure.Body.Area("base")
		if !ok {
			return facings.Task{}, false
		}
		mm2 := t.size(base.AreaMM2)
		if b := t.unit.Base; b.WidthMM > 0 && b.DepthMM > 0 {
			mm2 = float64(b.WidthMM * b.DepthMM)
		}
		return facings.Task{Area: "base", Stage: facings.StageBase, Medium: step.Paint, Kind: made.Kind, Technique: facings.GlueOn,
			Tool: facings.ToolOld, AreaMM2: mm2, Seconds: TaskSeconds(facings.GlueOn, mm2, 1, 1, p.PaceOf(facings.GlueOn, 1))}, true
	case facings.EndFlag:
		f := t.unit.Flag
		if f == nil || t.figure.ID.Role != FlagRole(f) {
			return facings.Task{}, false
		}
		mm2 := FlagArea(p, f)
		return facings.Task{Area: flagArea, Stage: facings.StageFlag, Medium: step.Paint, Kind: made.Kind, Technique: facings.GlueOn,
			Tool: facings.ToolOld, AreaMM2: mm2, Seconds: TaskSeconds(facings.GlueOn, mm2, 1, 1, p.PaceOf(facings.GlueOn, 1))}, true
	case facings.EndVarnish:
		whole := t.size(t.figure.Body.Surface())
		technique, tool := step.Technique, facings.ToolFlat
		if technique == "" {
			technique = facings.Brush
			if made.Can {
				technique = facings.Spray
			}
		}
		if technique == facings.Spray {
			tool = facings.ToolCan
		}
		seconds := TaskSeconds(technique, whole, ease(technique), 1, p.PaceOf(technique, 1))
		return facings.Task{Area: facings.WholeFigure, Stage: facings.StageVarnish, Medium: step.Paint, Kind: facings.Varnish,
			Technique: technique, Tool: tool, AreaMM2: whole, Seconds: seconds}, true
	}
	return facings.Task{}, false
}

// ease is the fiddliness of going over a whole figure: spraying is as it is, a
// flat brush goes much faster than painting area by area (estimate, fitted to
// one to two minutes a figure).
func ease(t facings.Technique) float64 {
	if t == facings.Brush {
		return 0.06
	}
	return 1
}

// FlagRole is the role that carries a unit's flag.
func FlagRole(f *facings.Flag) string {
	if f.Role != "" {
		return f.Role
	}
	return facings.RoleStandardBearer
}

// FlagArea is both faces of a flag at the model's scale, in mm².
func FlagArea(p *facings.Project, f *facings.Flag) float64 {
	scale := p.FlagScale()
	return 2 * f.FlyMM / scale * f.HoistMM / scale
}

// lastBase is the index of an area's last base coat, -1 when it has none.
func lastBase(a *plannedArea) int {
	for i := len(a.laid) - 1; i >= 0; i-- {
		if a.laid[i].base && !a.laid[i].after {
			return i
		}
	}
	return -1
}

// firstCoat is the index of an area's first coat before varnish, -1 for none.
func firstCoat(a *plannedArea) int {
	return slices.IndexFunc(a.laid, func(c laidCoat) bool { return !c.after })
}

// lastCoat is the index of an area's last coat before varnish, -1 for none.
func lastCoat(a *plannedArea) int {
	for i := len(a.laid) - 1; i >= 0; i-- {
		if !a.laid[i].after {
			return i
		}
	}
	return -1
}
