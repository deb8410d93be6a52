package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"facings"
	"facings/internal/check"
	"facings/internal/order"
	"facings/internal/pace"
	"facings/internal/projectfile"
	"facings/internal/ranks"
	"facings/internal/shop"
	"facings/internal/sitting"
)

// App holds what the use cases need from outside.
type App struct {
	// Now is the clock; plans without a start date begin today.
	Now func() time.Time
	// Progress, if set, hears what is going on; share runs from 0 to 1.
	Progress func(stage string, share float64)
	// Steps bounds the search for an order, 0 for the default.
	Steps int64
	// Dealing bounds the dealing of each unit's traits, 0 for the default.
	Dealing int
	// Runs is how many futures a forecast simulates, 0 for the default.
	Runs int
	// Asked, if set, is shown the task that the engine is given for an order.
	Asked func(*order.Problem)
	// Paints, if set, remembers paints from one plan to the next.
	Paints *Paints
	// Measures, if set, remembers what was measured on meshes.
	Measures *Measures
}

const defaultRuns = 200

// ErrFaulty is returned with findings that hold at least one fault.
var ErrFaulty = errors.New("the project has faults")

// ErrRejected says that the independent checker found a plan to break a rule.
// It is a fault of the program, never of the project.
var ErrRejected = errors.New("the checker rejects this plan; please report it with the project file")

// Opened is a project as read from its text.
type Opened struct {
	Name     string // what findings call the file
	Project  *facings.Project
	Doc      *projectfile.Doc
	Findings facings.Diagnostics // warnings and faults, placed in the text
	// Progress is what is done of it already; plans are of what is left.
	Progress facings.Progress
	// Pace is what logged passes say of the painter's pace (see App.Pace); nil
	// plans by the project's own.
	Pace *pace.Model
	// Beside reads the files beside the project; nil for those in its folder.
	Beside func(name string) ([]byte, error)
}

// Read reads and checks a project's text; name is what findings call the file.
func (a *App) Read(name string, text []byte) (*Opened, error) {
	p, doc, findings := projectfile.Read(name, text)
	o := &Opened{Name: name, Project: p, Doc: doc, Findings: findings}
	if findings.Faulty() {
		return o, ErrFaulty
	}
	return o, nil
}

// Load reads and checks a project file.
func (a *App) Load(path string) (*Opened, error) {
	p, doc, findings := projectfile.Load(path)
	o := &Opened{Name: path, Project: p, Doc: doc, Findings: findings}
	if findings.Faulty() {
		return o, ErrFaulty
	}
	return o, nil
}

// Plan is everything worked out for a project.
type Plan struct {
	Project  *facings.Project
	Roster   *facings.Roster
	Coats    *facings.Coats
	Order    *facings.Order
	Shopping *facings.Shopping
	// Findings are warnings, and the faults if there is an error.
	Findings facings.Diagnostics

	colours *colourist
	beside  func(name string) ([]byte, error) // reads files beside the project
	own     *ownMeshes
	from    time.Time // the instant that the order begins from
}

// Roster lays out the units and deals the traits.
func (a *App) Roster(ctx context.Context, o *Opened) (*Plan, error) {
	plan := &Plan{Project: o.Project, Findings: o.Findings, beside: o.files(), own: &ownMeshes{keys: map[string]string{}}}
	a.progress("dealing traits", 0)
	roster, found, err := ranks.Deal(ctx, o.Project, ranks.Settings{Work: a.Dealing})
	if err != nil {
		return plan, err
	}
	if err := plan.add(o, found); err != nil {
		return plan, err
	}
	plan.Roster = roster
	if err := plan.add(o, append(a.measureCastings(o, roster), flagPictures(o)...)); err != nil {
		return plan, err
	}
	if broken := check.Roster(o.Project, roster); len(broken) > 0 {
		return plan, fmt.Errorf("%w: %s", ErrRejected, broken[0].Message)
	}
	return plan, nil
}

// Coats goes on to every task of the project, with the colours it will show.
func (a *App) Coats(ctx context.Context, o *Opened) (*Plan, error) {
	plan, err := a.Roster(ctx, o)
	if err != nil {
		return plan, err
	}
	plan.Project = paced(o.Project, o.Pace)
	a.progress("predicting colours", 0.1)
	colours, found := colouristBy(o.Project, a.Paints.resolve)
	if err := plan.add(o, found); err != nil {
		return plan, err
	}
	plan.colours = colours
	plan.Coats = order.SettleWithout(plan.Project, plan.Roster, colours, o.Progress.Skipped)
	if err := plan.add(o, plan.darkOnly()); err != nil {
		return plan, err
	}
	plan.Shopping = shop.List(plan.Project, plan.Roster, plan.Coats)
	if err := plan.add(o, readability(o.Project, plan.Roster, plan.Coats)); err != nil {
		return plan, err
	}
	if err := plan.add(o, airFindings(o.Project, plan.Coats)); err != nil {
		return plan, err
	}
	return plan, plan.add(o, advice(o.Project, plan.Shopping))
}

// Plan goes all the way to a dated, checked order.
func (a *App) Plan(ctx context.Context, o *Opened) (*Plan, error) {
	plan, err := a.Coats(ctx, o)
	if err != nil {
		return plan, err
	}
	return a.arrange(ctx, o, plan)
}

// arrange goes on from the coats, with the rules between them as they stand, and
// keeps spraying to fit air where the calendar has a forecast.
func (a *App) arrange(ctx context.Context, o *Opened, plan *Plan) (*Plan, error) {
	if forecast := o.Project.Calendar.Forecast; len(forecast) > 0 {
		points, err := weatherOf(o.Project.Calendar)
		if err != nil {
			return plan, err
		}
		w, err := a.inWeather(ctx, o, plan, points)
		if w == nil {
			return plan, err
		}
		return w.Plan, err
	}
	return a.sequence(ctx, o, plan)
}

// sequence puts the coats in order, whatever the weather.
func (a *App) sequence(ctx context.Context, o *Opened, plan *Plan) (*Plan, error) {
	done, found := order.Match(plan.Roster, plan.Coats, o.Progress)
	if err := plan.add(o, found); err != nil {
		return plan, err
	}
	from, err := a.from(o)
	if err != nil {
		return plan, err
	}
	ord, replay, err := a.order(ctx, plan.Project, plan, from, done)
	if errors.Is(err, order.ErrCalendar) {
		return plan, plan.add(o, facings.Diagnostics{calendarFault(o.Project, err)})
	}
	if err != nil {
		return plan, err
	}
	plan.Order, plan.from = ord, from
	if len(ord.Conflicts) > 0 {
		return plan, plan.add(o, conflictFindings(ord.Conflicts))
	}
	if broken := check.Rest(plan.Project, plan.Roster, plan.Coats, ord, o.Progress, from); len(broken) > 0 {
		return plan, fmt.Errorf("%w: %s", ErrRejected, broken[0].Message)
	}
	a.progress("forecasting", 0.9)
	if err := plan.add(o, lateUnits(o.Project, plan)); err != nil {
		return plan, err
	}
	return plan, a.forecast(o, plan, replay)
}

// from is the instant from which a plan is made: the calendar's first day, or
// once something is done, now.
func (a *App) from(o *Opened) (time.Time, error) {
	start, err := sitting.Start(o.Project.Calendar, a.now())
	if err != nil || o.Progress.None() {
		return start, err
	}
	for _, t := range []time.Time{a.now(), o.Progress.Last()} {
		if t.After(start) {
			start = t.In(start.Location()).Add(time.Second - 1).Truncate(time.Second)
		}
	}
	return start, nil
}

// order searches with enough calendar ahead: the work five times over at first,
// and more if that proves too little.
func (a *App) order(ctx context.Context, p *facings.Project, plan *Plan, start time.Time, done map[int]time.Time) (*facings.Order, *order.Replayer, error) {
	var work facings.Minutes
	for _, t := range plan.Coats.Tasks {
		work += t.Seconds.Minutes()
	}
	for room := facings.Minutes(5); ; room *= 3 {
		windows, err := a.windows(p, start, room*work+600, 60)
		if err != nil {
			return nil, nil, err
		}
		a.progress("ordering the work", 0.2)
		o, replay, err := order.Plan(ctx, p, plan.Roster, plan.Coats, order.Settings{Start: start, Windows: windows,
			Steps: a.Steps, Lights: plan.colours.lights(), Done: done, Asked: a.Asked})
		if errors.Is(err, order.ErrCalendar) && room < 50 {
			continue
		}
		if err != nil || replay == nil {
			return o, replay, err
		}
		// In a forecast the work may take far longer than planned.
		windows, err = a.windows(p, start, room*work+600, calendarAhead(start, o))
		if err != nil {
			return nil, nil, err
		}
		replay.Further(windows)
		return o, replay, nil
	}
}

// calendarAhead is how many days of calendar its futures are tried on at first.
func calendarAhead(start time.Time, o *facings.Order) int { return 120 + 3*days(start, o) }

// days is how many days an order runs, from the start of the calendar.
func days(start time.Time, o *facings.Order) int {
	last := start
	for _, s := range o.Sittings {
		if s.End.After(last) {
			last = s.End
		}
	}
	return 1 + int(last.Sub(start).Hours()/24)
}

func (a *App) windows(p *facings.Project, start time.Time, bench facings.Minutes, days int) ([][]order.Window, error) {
	var out [][]order.Window
	for _, painter := range sitting.Painters(p.Calendar) {
		ws, err := sitting.Windows(painter, start, bench, days)
		if err != nil {
			return nil, err
		}
		var list []order.Window
		for _, w := range sitting.After(ws, start) {
			list = append(list, order.Window(w))
		}
		out = append(out, list)
	}
	return out, nil
}

// forecast simulates the finish date: at most ten years on, where calendars end.
func (a *App) forecast(o *Opened, plan *Plan, replay *order.Replayer) error {
	p := plan.Project
	if replay == nil {
		return nil
	}
	var readyBy time.Time
	if p.Calendar.ReadyBy != "" {
		zone, err := sitting.Zone(p.Calendar)
		if err != nil {
			return err
		}
		if readyBy, err = time.ParseInLocation(time.DateOnly, p.Calendar.ReadyBy, zone); err != nil {
			return fmt.Errorf("ready_by %q is not a date", p.Calendar.ReadyBy)
		}
	}
	runs := a.Runs
	if runs <= 0 {
		runs = defaultRuns
	}
	spread := sitting.DefaultSpread()
	if o.Pace != nil && o.Pace.Passes() > 0 {
		spread.Draw = paceFutures(plan, o.Pace)
	}
	var d sitting.Dates
	for ahead := 4 * calendarAhead(plan.from, plan.Order); ; ahead *= 4 {
		d = sitting.Forecast(p.Seed, runs, len(plan.Order.Passes), spread, readyBy, replay.Replay)
		if 10*d.Beyond <= runs || ahead >= 4*sitting.Horizon {
			break
		}
		// The dates said must not be those of a calendar that ended.
		windows, err := a.windows(p, plan.from, 0, ahead)
		if err != nil {
			return err
		}
		replay.Further(windows)
	}
	last := plan.from.AddDate(0, 0, sitting.Horizon)
	day := func(t time.Time) string {
		if t.After(last) {
			t = last
		}
		return t.Format(time.DateOnly)
	}
	plan.Order.FinishP50, plan.Order.FinishP90 = day(d.P50), day(d.P90)
	if !readyBy.IsZero() {
		plan.Order.OnTime = &d.OnTime
	}
	a.progress("done", 1)
	return nil
}

func (a *App) now() time.Time {
	if a.Now != nil {
		return a.Now()
	}
	return time.Now()
}

func (a *App) progress(stage string, share float64) {
	if a.Progress != nil {
		a.Progress(stage, share)
	}
}

// add places findings in the text and keeps them; ErrFaulty if one is a fault.
func (plan *Plan) add(o *Opened, found facings.Diagnostics) error {
	for i := range found {
		if o.Doc != nil && found[i].Line == 0 {
			found[i].File = o.Name
			found[i].Line, found[i].Column = o.Doc.Place(found[i].Path)
		}
	}
	plan.Findings = append(plan.Findings, found...)
	if found.Faulty() {
		return ErrFaulty
	}
	return nil
}

func conflictFindings(conflicts []facings.Conflict) facings.Diagnostics {
	var out facings.Diagnostics
	for _, c := range conflicts {
		path := "/finishes"
		if c.Own {
			path = "/rules/also"
		}
		out = append(out, facings.Diagnostic{ID: "rules-conflict", Severity: facings.Fault, Path: path, Message: c.Message, Hint: c.Hint})
	}
	return out
}

// calendarFault says that the calendar cannot hold the work, in its place.
func calendarFault(p *facings.Project, err error) facings.Diagnostic {
	path := facings.Pointer("calendar")
	if len(p.Calendar.Painters) > 0 {
		path = facings.Pointer("calendar", "painters")
	}
	return facings.Diagnostic{ID: "calendar-short", Severity: facings.Fault, Path: path, Message: err.Error(),
		Hint: "make sittings longer or more: each must hold the longest piece of work on one figure with its set-up"}
}

// lateUnits warns of units that the plan has ready after the date set for them.
func lateUnits(p *facings.Project, plan *Plan) facings.Diagnostics {
	last := readyDates(plan)
	var out facings.Diagnostics
	for _, u := range p.Units {
		ready := last[u.Name].Format(time.DateOnly)
		if u.ReadyBy == "" || ready <= u.ReadyBy {
			continue
		}
		out = append(out, facings.Diagnostic{ID: "unit-late", Severity: facings.Warning, Path: facings.Pointer("units", u.Name, "ready_by"), Value: u.ReadyBy,
			Message: fmt.Sprintf("%s should be ready by %s and is planned to be by %s", u.Name, u.ReadyBy, ready),
			Hint:    "put the unit first in the file or into a batch of its own, or add sittings"})
	}
	return out
}

// advice warns of what the rack lacks.
func advice(p *facings.Project, list *facings.Shopping) facings.Diagnostics {
	var out facings.Diagnostics
	for _, n := range append(append([]facings.Need{}, list.Paints...), list.Materials...) {
		if n.Buy == 0 {
			continue
		}
		what := "is short"
		if !n.Owned {
			what = "is not owned"
		}
		out = append(out, facings.Diagnostic{ID: "paint-short", Severity: facings.Warning, Path: facings.Pointer("rack", n.Paint), Value: n.Paint,
			Message: fmt.Sprintf("%s %s: buy %d", n.Paint, what, n.Buy), Hint: "see the shopping list: facings shop"})
	}
	return out
}
