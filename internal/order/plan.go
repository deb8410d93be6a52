package order

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"facings"
	"facings/internal/solve"
	"facings/internal/solve/sched"
)

// Window is a stretch of bench time of one painter.
type Window struct{ Start, End time.Time }

// Settings steer Plan.
type Settings struct {
	// Windows are each painter's sittings, ascending, far enough ahead for the
	// whole project. Start is the instant from which they are counted.
	Start   time.Time
	Windows [][]Window
	// Steps bounds the search in the engine's own steps, 0 for its default.
	// The same project, windows and steps give the same order on every machine.
	Steps int64
	// Lights is the lightness L* of each paint and mix by name, see Change.
	Lights map[string]float64
	// Done are the tasks painted already, by their index in Coats.Tasks, with
	// when that was (see Match); only the others are planned.
	Done map[int]time.Time
	// Asked, if set, is shown the task that the engine is given.
	Asked func(*Problem)
}

// Problem is the task that the engine is given for an order.
type Problem = sched.Problem

// Plan puts the tasks in order. The error is for a broken call (no windows);
// rules that contradict each other come back as Conflicts with status
// infeasible. The Replayer, nil when there is no order, is for forecasts.
func Plan(ctx context.Context, p *facings.Project, roster *facings.Roster, coats *facings.Coats, set Settings) (*facings.Order, *Replayer, error) {
	out := &facings.Order{Seed: p.Seed, LeftOut: coats.LeftOut, ReadyBy: p.Calendar.ReadyBy}
	rest := left(p, coats, set.Done)
	out.DoneTasks = len(rest.when)
	for t := range rest.when {
		out.DoneMinutes += coats.Tasks[t].Seconds.Minutes()
	}
	if conflicts := conflicts(coats, rest.lags); len(conflicts) > 0 {
		out.Status, out.Conflicts = string(solve.Infeasible), conflicts
		return out, nil, nil
	}
	g := gather(p, roster, coats, rest, false)
	if len(g.list) == 0 {
		out.Status = string(solve.Optimal)
		return out, nil, nil
	}
	if len(set.Windows) == 0 || len(set.Windows) > facings.MaxPainters {
		return nil, nil, fmt.Errorf("order: %d painters' calendars; one to %d are needed", len(set.Windows), facings.MaxPainters)
	}
	ask := newAsk(p, coats, rest, g, set)
	if units := gather(p, roster, coats, rest, true); len(units.list) > len(g.list) {
		if other := newAsk(p, coats, rest, units, set); other.probe(ctx, p.Seed, set) < ask.probe(ctx, p.Seed, set)-worthParting {
			ask = other
		}
	}
	g, s, wet, problem := ask.jobs, ask.setups, ask.wet, ask.problem
	if set.Asked != nil {
		set.Asked(problem)
	}
	res, err := sched.Solve(ctx, problem, sched.Options{Seed: p.Seed, Steps: set.Steps})
	if errors.Is(err, sched.ErrCalendar) {
		return nil, nil, ErrCalendar
	}
	if err != nil {
		return nil, nil, fmt.Errorf("order: %w", err)
	}
	if res.Solution.Sequences == nil {
		return nil, nil, impossible(coats, res, g)
	}
	if problem, res, err = newPaces(p, problem.Workers).own(ctx, problem, res, len(g.list), sched.Options{Seed: p.Seed, Steps: set.Steps}); errors.Is(err, sched.ErrCalendar) {
		return nil, nil, ErrCalendar
	} else if err != nil {
		return nil, nil, fmt.Errorf("order: %w", err)
	}
	sequences := res.Solution.Sequences
	res = wet.take(res)
	out.Status = string(res.Status)
	b := builder{project: p, roster: roster, coats: coats, jobs: g, setups: s, set: set, order: out, timed: problem}
	b.build(res)
	return out, &Replayer{problem: problem, wet: wet, sequences: sequences, passOf: b.passOf, start: set.Start}, nil
}

// ask is one way to put the work to the engine.
type ask struct {
	jobs    jobs
	setups  *setups
	wet     *wet
	problem *sched.Problem
}

func newAsk(p *facings.Project, coats *facings.Coats, rest rest, g jobs, set Settings) ask {
	s := newSetups(p, coats, g.list, set.Lights)
	a := ask{jobs: g, setups: s, wet: newWet(g, rest, coats, set.Start, fastest(p)), problem: engineProblem(p, coats, g, s, set)}
	a.wet.put(a.problem)
	return a
}

// worthParting is how many seconds it must spare to prepare and undercoat each
// unit for itself: less lies within the chance of a short search, and where all
// is done in one go there are fewer passes and more is proved.
const worthParting = 300

// probe is the objective, in seconds, that short searches reach: one may be
// unlucky.
func (a ask) probe(ctx context.Context, seed uint64, set Settings) int {
	best, tries := math.MaxInt, 3
	if len(a.problem.Jobs) > 1000 {
		tries = 1 // for the time it takes
	}
	for i := range tries {
		best = min(best, a.short(ctx, seed+uint64(i), set))
	}
	return best
}

func (a ask) short(ctx context.Context, seed uint64, set Settings) int {
	const short = 1_000_000
	steps := int64(short)
	if set.Steps > 0 {
		steps = min(steps, set.Steps/4+1)
	}
	res, err := sched.Solve(ctx, a.problem, sched.Options{Seed: seed, Steps: steps, Rough: true})
	if err != nil || res.Solution.Sequences == nil {
		return math.MaxInt
	}
	return res.Objective
}

// ErrCalendar is wrapped by Plan when there is not enough bench time in the
// windows given.
var ErrCalendar = errors.New("the calendar has too little bench time")

func impossible(coats *facings.Coats, res sched.Result, g jobs) error {
	if res.Impossible == nil {
		return errors.New("order: no sequence was found")
	}
	switch res.Impossible.Why {
	case sched.WhyChunk:
		j := g.list[res.Impossible.Job]
		longest := facings.Seconds(0)
		for _, t := range j.tasks {
			longest = max(longest, coats.Tasks[t].Seconds)
		}
		what := fmt.Sprintf("%s on the %s", j.technique, j.area)
		if j.medium != "" {
			what = taskName(coats.Tasks[j.tasks[0]])
		}
		return fmt.Errorf("%w: %s takes %.0f minutes a figure, more than the longest sitting has", ErrCalendar, what, math.Ceil(float64(longest.Minutes())))
	case sched.WhyCalendar:
		return ErrCalendar
	}
	return fmt.Errorf("order: %s", res.Impossible.Why)
}

func engineProblem(p *facings.Project, coats *facings.Coats, g jobs, s *setups, set Settings) *sched.Problem {
	e := &sched.Problem{
		Workers: len(set.Windows), Switch: s.change, First: s.first, Make: s.make, Life: s.life, Mix: s.mix,
		Lags: engineLags(g.lags), LongDry: int(p.Calendar.Patience().Seconds()), Close: int(p.Calendar.Closing().Seconds()),
	}
	for _, j := range g.list {
		job := sched.Job{Class: s.index[bench{j.medium, j.tool}]}
		for _, t := range j.tasks {
			job.Chunks = append(job.Chunks, int(coats.Tasks[t].Seconds))
			job.Figures = append(job.Figures, coats.Tasks[t].Figure)
		}
		e.Jobs = append(e.Jobs, job)
	}
	e.Windows = engineWindows(set.Start, set.Windows)
	return e
}

func engineWindows(start time.Time, windows [][]Window) [][]sched.Window {
	out := make([][]sched.Window, len(windows))
	for i, list := range windows {
		for _, w := range list {
			out[i] = append(out[i], sched.Window{Start: seconds(start, w.Start), End: seconds(start, w.End)})
		}
	}
	return out
}

func seconds(zero, t time.Time) int { return int(t.Sub(zero) / time.Second) }

// Conflicts are the rules of a project of which nothing is painted that cannot
// all hold: Plan finds no order then.
func Conflicts(p *facings.Project, coats *facings.Coats) []facings.Conflict {
	return conflicts(coats, left(p, coats, nil).lags)
}

// conflicts finds, figure by figure, rules that cannot all hold; the first
// figure of each kind of conflict stands for all.
func conflicts(coats *facings.Coats, rules []facings.Lag) []facings.Conflict {
	byFigure := map[int][]facings.Lag{}
	last := -1
	for _, l := range rules {
		f := coats.Tasks[l.From].Figure
		byFigure[f] = append(byFigure[f], l)
		last = max(last, f)
	}
	var out []facings.Conflict
	seen := map[string]bool{}
	for f := 0; f <= last; f++ {
		c, ok := conflict(coats, byFigure[f])
		if ok && !seen[c.Message] {
			seen[c.Message] = true
			out = append(out, c)
		}
	}
	return out
}

func conflict(coats *facings.Coats, lags []facings.Lag) (facings.Conflict, bool) {
	number := map[int]int{}
	at := func(task int) int {
		n, ok := number[task]
		if !ok {
			n = len(number)
			number[task] = n
		}
		return n
	}
	engine := make([]sched.Lag, len(lags))
	for i, l := range lags {
		engine[i] = sched.Lag{From: at(l.From), To: at(l.To), Rule: i}
	}
	cycle := sched.Cycle(len(number), engine)
	if len(cycle) == 0 {
		return facings.Conflict{}, false
	}
	c := facings.Conflict{Message: "these rules cannot all hold", Hint: "change a finish's order of coats, or the casting's areas that lie over each other"}
	own := false
	for _, i := range cycle {
		l := lags[i]
		from, to := coats.Tasks[l.From], coats.Tasks[l.To]
		c.Rules = append(c.Rules, fmt.Sprintf("%s: %s before %s (%s)", l.Rule, taskName(from), taskName(to), l.Why))
		own = own || l.Rule == facings.RuleOwn
		if l.Rule == facings.RuleAfter {
			c.Hint = "a coat marked after_varnish can only be followed by coats marked so too"
		}
	}
	if c.Own = own; own {
		c.Hint = "take one of your own rules (rules: also:) out"
	}
	for _, r := range c.Rules {
		c.Message += "; " + r
	}
	return c, true
}

func taskName(t facings.Task) string {
	if t.Medium == "" {
		return t.Area
	}
	return fmt.Sprintf("%s on the %s", t.Medium, t.Area)
}
