package app

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"facings"
	"facings/internal/order"
	"facings/internal/pace"
)

// paced is the project as this painter paints it: its times and set-ups by
// what was learned. The project itself is left alone.
func paced(p *facings.Project, m *pace.Model) *facings.Project {
	if m == nil || m.Passes() == 0 {
		return p
	}
	out := *p
	out.Learned = m.Table()
	c := p.Changes()
	f := facings.Minutes(m.Factor(pace.SetUp, 0).Factor)
	for _, cost := range []*facings.Minutes{&c.PaintMinutes, &c.MixMinutes, &c.ToolMinutes, &c.WaterMinutes, &c.LightAfterDark} {
		*cost *= f
	}
	out.SetUp = &c
	return &out
}

// paceFutures draws what each pass of a plan may take, as factors on what is
// planned.
func paceFutures(plan *Plan, m *pace.Model) func(*rand.Rand, []float64) {
	groups := make([]pace.Group, len(plan.Order.Passes))
	planned := make([]float64, len(groups))
	for i := range plan.Order.Passes {
		groups[i] = passGroup(plan, plan.Order.Passes[i].Tasks)
		planned[i] = plan.Project.PaceOf(groups[i].Technique, typical(groups[i].Fiddliness)) / plan.Project.WorkPace()
	}
	return func(rng *rand.Rand, factors []float64) {
		m.Predict(rng, groups, factors)
		for i := range factors {
			factors[i] /= planned[i]
		}
	}
}

// typical is a fiddliness of each kind.
func typical(f facings.Fiddliness) float64 {
	switch f {
	case facings.EasyAreas:
		return 1
	case facings.MiddlingAreas:
		return 1.5
	}
	return 2.2
}

// passGroup is the technique of tasks, and the fiddliness that most of their
// time goes to.
func passGroup(plan *Plan, tasks []int) pace.Group {
	spent := map[pace.Group]facings.Seconds{}
	for _, t := range tasks {
		task := plan.Coats.Tasks[t]
		spent[pace.Group{Technique: task.Technique, Fiddliness: facings.FiddlinessOf(fiddlyOf(plan, task))}] += task.Seconds
	}
	var best pace.Group
	most := facings.Seconds(-1)
	for _, h := range facings.Techniques() {
		for _, c := range facings.Fiddlinesses() {
			g := pace.Group{Technique: h.Technique, Fiddliness: c}
			if s, ok := spent[g]; ok && s > most {
				best, most = g, s
			}
		}
	}
	return best
}

func fiddlyOf(plan *Plan, t facings.Task) float64 {
	if spec, ok := plan.Roster.Figures[t.Figure].Body.Area(t.Area); ok && (t.Stage == facings.StagePaint || t.Stage == facings.StageAfterVarnish) {
		return spec.Fiddly
	}
	return 1
}

// Timed is one logged pass that can be learned from.
type Timed struct {
	At       time.Time          `json:"at"` // when it ended
	Medium   string             `json:"medium"`
	Tasks    int                `json:"tasks"`
	Group    pace.Group         `json:"group"`
	Planned  facings.Minutes    `json:"planned_minutes"`
	Measured facings.Minutes    `json:"measured_minutes"`
	observed []pace.Observation // the pass and, where timed, its setting up
}

// PaceReport is what a log says of a painter's pace.
type PaceReport struct {
	Passes  int           `json:"passes"`
	Factors []pace.Factor `json:"factors"`
	// Doubted were timed, but not believed: a watch that was not stopped.
	Doubted []Timed `json:"doubted"`
	// Unread is how many timed entries name no task of this project any more.
	Unread int        `json:"unread_entries"`
	Score  pace.Score `json:"score"`

	Model *pace.Model `json:"-"`
}

// Pace learns the painter's pace from a project's log. Plans made with its
// Model as Opened.Pace have that pace, and forecasts its doubts.
func (a *App) Pace(ctx context.Context, o *Opened, log []facings.Entry) (*PaceReport, error) {
	plan, err := a.unpaced(ctx, o)
	if err != nil {
		return nil, err
	}
	return scoredPace(plan, log), nil
}

// scoredPace is LearnPace with the score.
func scoredPace(plan *Plan, log []facings.Entry) *PaceReport {
	r := LearnPace(plan, log)
	var list []pace.Observation
	passes, _ := timedPasses(plan, log)
	for _, t := range passes {
		if !t.unwatched() {
			list = append(list, t.observed[0])
		}
	}
	r.Score = pace.ScoreOf(list)
	return r
}

// LearnedPace is the Model of Pace alone; nil when nothing was timed.
func (a *App) LearnedPace(ctx context.Context, o *Opened, log []facings.Entry) (*pace.Model, error) {
	if !timed(log) {
		return nil, nil
	}
	plan, err := a.unpaced(ctx, o)
	if err != nil {
		return nil, err
	}
	return LearnPace(plan, log).Model, nil
}

// timed reports whether anything in a log was timed.
func timed(log []facings.Entry) bool {
	return slices.ContainsFunc(log, func(e facings.Entry) bool { return e.Seconds > 0 })
}

// unpaced is every task of the project with its time by the defaults.
func (a *App) unpaced(ctx context.Context, o *Opened) (*Plan, error) {
	plain := *o
	plain.Pace, plain.Progress = nil, facings.Progress{}
	return a.Coats(ctx, &plain)
}

// LearnPace is Pace for coats worked out already without Opened.Pace, and
// without the score.
func LearnPace(plan *Plan, log []facings.Entry) *PaceReport {
	r := &PaceReport{Factors: []pace.Factor{}, Doubted: []Timed{}}
	passes, unread := timedPasses(plan, log)
	var list []pace.Observation
	var of []int
	for i, t := range passes {
		if t.unwatched() {
			r.Doubted = append(r.Doubted, t)
			continue
		}
		for _, o := range t.observed {
			list, of = append(list, o), append(of, i)
		}
	}
	r.Model = pace.Learn(list)
	r.Passes, r.Unread = len(passes), unread
	r.Factors = append(r.Factors, r.Model.Factors()...)
	for _, i := range r.Model.Doubted {
		if list[i].Technique != pace.SetUp {
			r.Doubted = append(r.Doubted, passes[of[i]])
		}
	}
	slices.SortStableFunc(r.Doubted, func(a, b Timed) int { return a.At.Compare(b.At) })
	return r
}

// unwatched reports whether a pass was timed so short that the clock cannot have
// run while it was painted: it was started for the last touch of the brush, or the
// figures were ticked one after the other when all were done. One such time would
// make the model believe that anything may happen. A tenth is an estimate.
func (t *Timed) unwatched() bool { return t.Measured < t.Planned/10 }

// apart is the longest pause between two entries that are still of one pass;
// after a longer one than night the bench is set up anew.
const (
	apart = time.Hour
	night = 6 * time.Hour
)

// timedPasses gathers a log's timed entries into passes: entries about one
// paint and technique that follow each other within the hour are one.
func timedPasses(plan *Plan, log []facings.Entry) (out []Timed, unread int) {
	index := map[facings.TaskKey]int{}
	for i, t := range plan.Coats.Tasks {
		index[facings.KeyOf(plan.Roster, t)] = i
	}
	var before *facings.Task // done last in the same sitting
	var last time.Time
	for _, e := range standing(log) {
		if e.Kind != facings.EntryDone {
			continue
		}
		var tasks []int
		for _, k := range e.Tasks {
			if i, ok := index[k]; ok {
				tasks = append(tasks, i)
			}
		}
		if len(tasks) < len(e.Tasks) || len(tasks) == 0 {
			if e.Seconds > 0 {
				unread++
			}
			continue
		}
		if e.At.Sub(last) > night {
			before = nil
		}
		last = e.At
		t := timedPass(plan, e, tasks, before)
		before = &plan.Coats.Tasks[tasks[len(tasks)-1]]
		if e.Seconds <= 0 {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Group == t.Group && out[n-1].Medium == t.Medium && len(t.observed) == 1 && t.At.Sub(out[n-1].At) < apart {
			last := &out[n-1]
			last.At, last.Tasks = t.At, last.Tasks+t.Tasks
			last.Planned, last.Measured = last.Planned+t.Planned, last.Measured+t.Measured
			last.observed[0].Planned += t.observed[0].Planned
			last.observed[0].Measured += t.observed[0].Measured
			continue
		}
		out = append(out, t)
	}
	return out, unread
}

// secondsBy is how long a task is planned for when one of the painters does it:
// tasks are timed at the mean pace of all, and the painter's own counts.
func secondsBy(p *facings.Project, t facings.Task, painter int) facings.Seconds {
	return facings.Seconds(math.Round(float64(t.Seconds) * p.PainterPace(painter)))
}

// timedPass is one entry as planned for its painter and as measured; before is the task done
// last in the same sitting, which set the bench, nil for none.
func timedPass(plan *Plan, e facings.Entry, tasks []int, before *facings.Task) Timed {
	g := passGroup(plan, tasks)
	first := plan.Coats.Tasks[tasks[0]]
	var planned facings.Seconds
	for _, i := range tasks {
		planned += secondsBy(plan.Project, plan.Coats.Tasks[i], e.Painter)
	}
	t := Timed{At: e.At, Medium: first.Medium, Tasks: len(tasks), Group: g, Planned: planned.Minutes(), Measured: e.Seconds.Minutes(),
		observed: []pace.Observation{{Technique: g.Technique, Fiddliness: g.Fiddliness, Planned: planned, Measured: e.Seconds}}}
	if setup := setUpFor(plan, before, first).Seconds(); e.SetUp > 0 && setup > 0 {
		t.observed = append(t.observed, pace.Observation{Technique: pace.SetUp, Planned: setup, Measured: e.SetUp})
	}
	return t
}

// setUpFor is what the defaults give for setting up a task's pass.
func setUpFor(plan *Plan, before *facings.Task, t facings.Task) facings.Minutes {
	c := plan.Project.Changes()
	setup := c.PaintMinutes
	if before != nil {
		setup = order.Change(plan.Project, c, before.Medium, before.Tool, t.Medium, t.Tool, plan.colours.lights())
	}
	if _, _, mixed, _ := plan.Project.Medium(t.Medium); mixed && (before == nil || t.Medium != before.Medium) {
		setup += max(0, c.MixMinutes-c.PaintMinutes)
	}
	return setup
}

// standing are the entries of a log that count, by their time: those undone,
// and those handed over twice, do not.
func standing(log []facings.Entry) []facings.Entry {
	undone, seen := map[string]bool{}, map[string]bool{}
	for _, e := range log {
		if e.Kind == facings.EntryUndo {
			undone[e.Undoes] = true
		}
	}
	var out []facings.Entry
	for _, e := range log {
		if e.Kind == facings.EntryUndo || undone[e.ID] || e.ID != "" && seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b facings.Entry) int { return cmp.Compare(a.At.UnixNano(), b.At.UnixNano()) })
	return out
}
