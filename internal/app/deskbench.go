package app

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"facings"
)

// Bench is the order as worked through, as far as the newest plan goes.
func (d *Desk) Bench(ctx context.Context, id string) (*Bench, error) {
	s, _, p, err := d.current(ctx, id)
	if err != nil {
		return nil, err
	}
	if p == nil {
		return nil, ErrNotReady
	}
	if p.state != PlanReady {
		return nil, &Mistake{Message: "there is no plan: " + cmp.Or(p.message, "the project has faults"), Hint: "see the findings", Findings: p.findings}
	}
	s.mu.Lock()
	log, progress, seq, stale := s.log, s.progress, s.seq(), s.job != nil
	s.mu.Unlock()
	b := newBencher(p, log, progress, d.app.now())
	out := &Bench{Revision: p.revision, Seq: seq, Now: b.now, Stale: stale, Project: p.plan.Project.Name, Next: -1,
		Passes: b.passes(), Sittings: p.plan.Order.Sittings, Paints: b.paints(), Figures: b.figures(), Progress: summaryOf(p, log, progress)}
	out.Underway = b.underway(out.Passes)
	for i := range out.Passes {
		if out.Passes[i].State == PassNext {
			out.Next = i
			break
		}
	}
	return out, nil
}

// bencher lays a plan and what is done of it side by side.
type bencher struct {
	p        *planned
	log      []facings.Entry
	now      time.Time
	progress facings.Progress
	when     map[int]time.Time // tasks done now
	before   map[int]time.Time // tasks done when the plan was made
	lags     map[int][]int     // rules to a task, by index in Coats.Lags
	inPass   map[int]int       // task → index of its pass
	entryOf  map[facings.TaskKey]int
	figure   map[facings.FigureID]int
	census   *facings.Census
}

func newBencher(p *planned, log []facings.Entry, progress facings.Progress, now time.Time) *bencher {
	b := &bencher{p: p, log: log, now: now, progress: progress, when: p.matched(progress), before: p.matched(p.progress), lags: map[int][]int{},
		inPass: map[int]int{}, entryOf: map[facings.TaskKey]int{}, figure: map[facings.FigureID]int{}, census: facings.CensusOf(p.plan.Roster)}
	for i, l := range p.plan.Coats.Lags {
		b.lags[l.To] = append(b.lags[l.To], i)
	}
	for i, pass := range p.plan.Order.Passes {
		for _, t := range pass.Tasks {
			b.inPass[t] = i
		}
	}
	undone := undoneIn(log)
	for i, e := range log {
		if (e.Kind == facings.EntryDone || e.Kind == facings.EntrySkip) && !undone[e.ID] {
			for _, k := range e.Tasks {
				b.entryOf[k] = i
			}
		}
	}
	for i, f := range p.plan.Roster.Figures {
		b.figure[f.ID] = i
	}
	return b
}

// passes lists what was done before the plan was made, in the order it was
// done, and then the plan's own passes.
func (b *bencher) passes() []BenchPass {
	out := append(b.past(), b.skipped()...)
	next := map[int]bool{} // painters who have one
	for i := range b.p.plan.Order.Passes {
		pass := b.pass(&b.p.plan.Order.Passes[i])
		if pass.State == PassWaiting && !next[pass.Painter] {
			next[pass.Painter] = true
			pass.State = PassNext
		}
		out = append(out, pass)
	}
	return out
}

// pass is one of the plan's own.
func (b *bencher) pass(pass *facings.Pass) BenchPass {
	out := BenchPass{Pass: *pass, State: PassWaiting}
	for _, t := range pass.Tasks {
		out.Tasks = append(out.Tasks, b.task(t, pass.Painter))
	}
	b.describe(&out)
	b.wait(&out, pass.Tasks)
	out.Shown = (&Pictures{plan: b.p.plan}).shownFigure(pass)
	out.Picture = fmt.Sprintf("figure=%d&passes=%d&underway=%d&close=true&v=%s", out.Shown, pass.Number, pass.Number, b.p.version())
	return out
}

// version changes with everything a picture shows.
func (p *planned) version() string { return fmt.Sprintf("%d-%d", p.first, p.at.UnixMilli()) }

// task is one of the plan's, timed at the pace of the painter who does it.
func (b *bencher) task(t, painter int) BenchTask {
	task := b.p.plan.Coats.Tasks[t]
	out := BenchTask{TaskKey: facings.KeyOf(b.p.plan.Roster, task), Index: task.Figure, Look: task.Look, Seconds: secondsBy(b.p.plan.Project, task, painter), State: "open"}
	if at, ok := b.when[t]; ok {
		out.State = "done"
		if !at.IsZero() {
			out.DoneAt = &at
		}
	} else if b.progress.Skipped[out.TaskKey] {
		out.State = "skipped"
	}
	return out
}

// describe fills in what follows from a pass's tasks.
func (b *bencher) describe(p *BenchPass) {
	skipped := 0
	var keys []string
	for _, t := range p.Tasks {
		keys = append(keys, fmt.Sprintf("%q %q %d %q %d %q", t.Figure.Unit, t.Figure.Role, t.Figure.Number, t.Area, t.Coat, t.Medium))
		p.Seconds += int(t.Seconds)
		switch t.State {
		case "skipped":
			skipped++
			p.Done++
		case "done":
			p.Done++
		}
	}
	slices.Sort(keys)
	sum := sha256.Sum256([]byte(strings.Join(keys, "\n")))
	p.Key = hex.EncodeToString(sum[:10])
	switch {
	case skipped == len(p.Tasks):
		p.State = PassSkipped
	case p.Done == len(p.Tasks):
		p.State = PassDone
	}
	p.Title = passTitle(&p.Pass)
	p.Who = b.census.InWords(p.Figures)
	project := b.p.plan.Project
	if p.Kind != "" {
		p.DryMinutes = project.DryingOf(p.Kind).Overcoat
	}
	if len(p.Mix) > 1 {
		p.MixLifeMinutes = project.Changes().MixLifeWetMinutes
		if project.Palette == "dry" {
			p.MixLifeMinutes = project.Changes().MixLifeDryMinutes
		}
	}
}

// passTitle names a pass in few words.
func passTitle(p *facings.Pass) string {
	switch {
	case p.Technique == facings.Prepare:
		return "clean and mount the castings"
	case p.Technique == facings.Fit:
		if len(p.Tasks) > 1 {
			return "print, cut and fold the flags"
		}
		return "print, cut and fold the flag"
	case p.Medium == "":
		return string(p.Technique)
	case p.Technique == facings.Brush:
		return p.Medium
	}
	return p.Medium + ", " + string(p.Technique)
}

// wait says until when, or for what, a pass waits.
func (b *bencher) wait(p *BenchPass, tasks []int) {
	if p.State != PassWaiting {
		return
	}
	var dry time.Time
	for _, t := range tasks {
		if _, done := b.when[t]; done {
			continue
		}
		for _, i := range b.lags[t] {
			l := b.p.plan.Coats.Lags[i]
			at, done := b.when[l.From]
			switch {
			case done && !at.IsZero():
				if until := at.Add(time.Duration(l.Seconds) * time.Second); until.After(dry) && until.After(b.now) {
					dry = until
				}
			case !done && p.WaitsFor == "" && b.inPass[l.From] != b.inPass[t]:
				from := b.p.plan.Coats.Tasks[l.From]
				p.WaitsFor = fmt.Sprintf("%s on the %s, %s", cmp.Or(from.Medium, string(from.Technique)), from.Area, b.p.plan.Roster.Figures[from.Figure].ID)
			}
		}
	}
	if !dry.IsZero() {
		p.DryUntil = &dry
	}
}

// past gathers what was done before the plan was made into passes again: the
// tasks of one entry that share paint, tool and technique.
func (b *bencher) past() []BenchPass {
	type group struct {
		entry     int // in the log; -1 where nobody wrote it down
		medium    string
		technique facings.Technique
		tool      string
		stage     facings.Stage
	}
	tasks := map[group][]int{}
	for t := range b.before {
		task := b.p.plan.Coats.Tasks[t]
		entry, ok := b.entryOf[facings.KeyOf(b.p.plan.Roster, task)]
		if !ok {
			entry = -1
		}
		g := group{entry, task.Medium, task.Technique, task.Tool, task.Stage}
		tasks[g] = append(tasks[g], t)
	}
	groups := make([]group, 0, len(tasks))
	for g, list := range tasks {
		slices.Sort(list)
		groups = append(groups, g)
	}
	slices.SortFunc(groups, func(x, y group) int {
		return cmp.Or(cmp.Compare(x.entry, y.entry), cmp.Compare(tasks[x][0], tasks[y][0]))
	})
	var out []BenchPass
	for _, g := range groups {
		pass := BenchPass{Pass: b.passOf(tasks[g])}
		if g.entry >= 0 {
			e := b.log[g.entry]
			pass.Painter, pass.End = e.Painter, e.At
			pass.Start = e.At.Add(-time.Duration(e.Seconds) * time.Second)
		}
		var seconds facings.Seconds
		for _, t := range tasks[g] {
			task := b.task(t, pass.Painter)
			pass.Tasks = append(pass.Tasks, task)
			seconds += task.Seconds
		}
		pass.Minutes = seconds.Minutes()
		b.describe(&pass)
		pass.State = PassDone
		pass.Shown = pass.Figures[0]
		pass.Picture = fmt.Sprintf("figure=%d&passes=0&v=%s", pass.Figures[0], b.p.version())
		out = append(out, pass)
	}
	return out
}

// passOf is a pass of some tasks that share medium, tool and technique.
func (b *bencher) passOf(tasks []int) facings.Pass {
	plan := b.p.plan
	first := plan.Coats.Tasks[tasks[0]]
	out := facings.Pass{Medium: first.Medium, Kind: first.Kind, Tool: first.Tool, Technique: first.Technique, Stage: first.Stage, Look: first.Look,
		Areas: []string{}, Figures: []int{}, Units: []string{}, Tasks: tasks, Batch: plan.Roster.Figures[first.Figure].Batch}
	if m, ok := plan.Project.FindMix(first.Medium); ok {
		out.Mix = m.Parts
	}
	for _, t := range tasks {
		task := plan.Coats.Tasks[t]
		if !slices.Contains(out.Areas, task.Area) {
			out.Areas = append(out.Areas, task.Area)
		}
		if !slices.Contains(out.Figures, task.Figure) {
			out.Figures = append(out.Figures, task.Figure)
		}
		if unit := plan.Roster.Figures[task.Figure].ID.Unit; !slices.Contains(out.Units, unit) {
			out.Units = append(out.Units, unit)
		}
	}
	return out
}

// skipped gathers the tasks that shall not be painted, which the plan in force
// does not know any more, by entry and medium.
func (b *bencher) skipped() []BenchPass {
	type group struct {
		entry  int
		medium string
	}
	tasks := map[group][]facings.TaskKey{}
	var groups []group
	for k := range b.p.progress.Skipped {
		if _, there := b.figure[k.Figure]; !there || !b.progress.Skipped[k] {
			continue
		}
		g := group{b.entryOf[k], k.Medium}
		if tasks[g] == nil {
			groups = append(groups, g)
		}
		tasks[g] = append(tasks[g], k)
	}
	slices.SortFunc(groups, func(x, y group) int {
		return cmp.Or(cmp.Compare(x.entry, y.entry), cmp.Compare(x.medium, y.medium))
	})
	var out []BenchPass
	for _, g := range groups {
		slices.SortFunc(tasks[g], func(x, y facings.TaskKey) int {
			return cmp.Or(cmp.Compare(b.figure[x.Figure], b.figure[y.Figure]), cmp.Compare(x.Area, y.Area), cmp.Compare(x.Coat, y.Coat))
		})
		pass := BenchPass{Pass: facings.Pass{Medium: g.medium, Technique: facings.Brush, Areas: []string{}, Figures: []int{}, Units: []string{}}}
		for _, k := range tasks[g] {
			f := b.figure[k.Figure]
			pass.Tasks = append(pass.Tasks, BenchTask{TaskKey: k, Index: f, State: "skipped"})
			if !slices.Contains(pass.Areas, k.Area) {
				pass.Areas = append(pass.Areas, k.Area)
			}
			if !slices.Contains(pass.Figures, f) {
				pass.Figures = append(pass.Figures, f)
			}
			if !slices.Contains(pass.Units, k.Figure.Unit) {
				pass.Units = append(pass.Units, k.Figure.Unit)
			}
		}
		pass.Start, pass.End = b.log[g.entry].At, b.log[g.entry].At
		b.describe(&pass)
		pass.Shown = pass.Figures[0]
		pass.Picture = fmt.Sprintf("figure=%d&v=%s", pass.Figures[0], b.p.version())
		out = append(out, pass)
	}
	return out
}

// underway finds what was started and not ended.
func (b *bencher) underway(passes []BenchPass) *Underway {
	undone := undoneIn(b.log)
	var u *Underway
	var tasks []facings.TaskKey
	for _, e := range b.log {
		if undone[e.ID] {
			continue
		}
		switch e.Kind {
		case facings.EntryStart:
			if u != nil && u.Paused && overlap(tasks, e.Tasks) { // taken up again
				u.Paused, u.Since = false, e.At
				continue
			}
			u, tasks = &Underway{Entry: e.ID, At: e.At, Since: e.At}, e.Tasks
		case facings.EntryPause:
			if u != nil && !u.Paused {
				u.Seconds += facings.Seconds(max(0, e.At.Sub(u.Since)) / time.Second)
				u.Paused, u.Since = true, e.At
			}
		case facings.EntryDone, facings.EntrySkip:
			if u != nil && b.over(tasks) {
				u = nil
			}
		}
	}
	if u == nil || b.over(tasks) {
		return nil
	}
	for i := range passes {
		var keys []facings.TaskKey
		for _, t := range passes[i].Tasks {
			keys = append(keys, t.TaskKey)
		}
		if overlap(keys, tasks) && passes[i].State != PassDone {
			u.Key = passes[i].Key
			break
		}
	}
	return u
}

// over reports whether all tasks are painted or skipped.
func (b *bencher) over(tasks []facings.TaskKey) bool {
	for _, k := range tasks {
		if _, done := b.progress.Done[k]; !done && !b.progress.Skipped[k] {
			return false
		}
	}
	return true
}

func overlap(a, b []facings.TaskKey) bool {
	in := map[facings.TaskKey]bool{}
	for _, k := range a {
		in[k] = true
	}
	return slices.ContainsFunc(b, func(k facings.TaskKey) bool { return in[k] })
}

// paints describes every paint and mix that a pass lays, and what is mixed.
func (b *bencher) paints() map[string]BenchPaint {
	plan := b.p.plan
	out := map[string]BenchPaint{}
	describe := func(medium string) []facings.Part {
		if _, seen := out[medium]; seen || medium == "" {
			return nil
		}
		parts, kind, mixed, _ := plan.Project.Medium(medium)
		one := BenchPaint{Kind: kind, Mix: []facings.Part{}, DropsPerML: facings.DefaultDropsPerMillilitre}
		if mixed {
			one.Mix = parts
		}
		if paint, ok := plan.Project.FindPaint(medium); ok {
			if paint.DropsPerML > 0 {
				one.DropsPerML = paint.DropsPerML
			}
			one.LeftML = float64(paint.LeftML)
		}
		if _, ok := plan.colours.films[medium]; ok {
			one.Look = plan.colours.brushed(medium)
		}
		out[medium] = one
		return one.Mix
	}
	for _, t := range plan.Coats.Tasks {
		for _, part := range describe(t.Medium) {
			describe(part.Paint)
		}
	}
	return out
}

// brushed is what two coats of a paint or mix show where the light undercoat is
// full.
func (c *colourist) brushed(medium string) facings.Look {
	ground := c.Undercoat(1)
	return c.Look(c.Lay(c.Lay(ground, medium, facings.Brush, 1), medium, facings.Brush, 1))
}

func (b *bencher) figures() []BenchFigure {
	out := []BenchFigure{}
	for _, f := range b.p.plan.Roster.Figures {
		out = append(out, BenchFigure{FigureID: f.ID, Name: facings.SingleName(f.ID.Role, f.ID.Number), Traits: f.Traits, Batch: f.Batch})
	}
	return out
}

// summaryOf is how far the work is, every task timed at the pace of the painter
// who did it, or who has it to do.
func summaryOf(p *planned, log []facings.Entry, progress facings.Progress) ProgressSummary {
	out := ProgressSummary{Tasks: len(p.plan.Coats.Tasks), Skipped: len(progress.Skipped), FinishP50: p.plan.Order.FinishP50, FinishP90: p.plan.Order.FinishP90}
	done := p.matched(progress)
	out.Done = len(done)
	undone := undoneIn(log)
	painter := map[int]int{}
	for _, pass := range p.plan.Order.Passes {
		for _, t := range pass.Tasks {
			painter[t] = pass.Painter
		}
	}
	for _, e := range log {
		if e.Kind != facings.EntryDone || undone[e.ID] {
			continue
		}
		for _, k := range e.Tasks {
			if i, ok := p.tasks[k]; ok {
				painter[i] = e.Painter
			}
		}
	}
	for i, t := range p.plan.Coats.Tasks {
		minutes := secondsBy(p.plan.Project, t, painter[i]).Minutes()
		if _, ok := done[i]; ok {
			out.MinutesDone += minutes
		} else if !progress.Skipped[facings.KeyOf(p.plan.Roster, t)] {
			out.MinutesLeft += minutes
		}
	}
	var planned, measured facings.Seconds
	for _, e := range log {
		if e.Kind != facings.EntryDone || e.Seconds <= 0 || undone[e.ID] {
			continue
		}
		for _, k := range e.Tasks {
			if i, ok := p.tasks[k]; ok {
				planned += secondsBy(p.plan.Project, p.plan.Coats.Tasks[i], e.Painter)
			}
		}
		measured += e.Seconds
	}
	out.MinutesMeasured = measured.Minutes()
	if planned > 0 {
		out.Pace = float64(measured) / float64(planned)
	}
	return out
}

// undoneIn lists the entries of a log that do not count.
func undoneIn(log []facings.Entry) map[string]bool {
	out := map[string]bool{}
	for _, e := range log {
		if e.Kind == facings.EntryUndo {
			out[e.Undoes] = true
		}
	}
	return out
}
