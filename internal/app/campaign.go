package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"facings"
	"facings/internal/order"
	"facings/internal/sitting"
	"facings/internal/solve/due"
)

// Campaign says in what order to paint an army so that the most useful units
// are ready by each date, and what could be left out where that is not enough.
type Campaign struct {
	Project string `json:"project"`
	// Status is optimal where no sequence is worth more, by the units' own
	// minutes; Worth and Bound are sums over the dates.
	Status   string         `json:"status"`
	Worth    float64        `json:"worth"`
	Bound    float64        `json:"worth_bound"`
	Wanted   float64        `json:"worth_wanted"`
	Sequence []CampaignUnit `json:"sequence"`
	Dates    []CampaignDate `json:"dates"`
	Cuts     []Cut          `json:"cuts"`
	// Checked is true when the whole army was planned in that sequence.
	Checked bool `json:"checked"`
}

// CampaignUnit is one unit, or the units of one batch, in its turn.
type CampaignUnit struct {
	Units   []string        `json:"units"`
	Worth   float64         `json:"worth"`
	Figures int             `json:"figures"`
	Minutes facings.Minutes `json:"minutes"` // work and set-up that are left, planned alone
	// DryingDays is how long after its work would have fitted it is ready, for
	// drying.
	DryingDays float64 `json:"drying_days"`
	Ready      string  `json:"ready"`             // date
	Planned    string  `json:"planned,omitempty"` // date in the plan of the whole army
}

// CampaignDate is a game, or a date that units are to be ready by.
type CampaignDate struct {
	Date  string   `json:"date"`
	Name  string   `json:"name"`
	Ready []string `json:"ready"`
	Late  []Late   `json:"late"`
	// AtRisk are units that would be ready, but are not by then in the plan of
	// the whole army, which saves time by painting them along with others.
	AtRisk []string `json:"at_risk"`
	Worth  float64  `json:"worth"`
	Wanted float64  `json:"worth_wanted"`
}

// Late is a unit that misses a date, and what could be left out to keep it.
type Late struct {
	Units []string        `json:"units"`
	Short facings.Minutes `json:"short_minutes"` // that would have to be saved
	// Drops runs from little saved and little lost to enough saved; empty where
	// nothing can be left out.
	Drops []Drop `json:"drops"`
}

// unitSteps is the search work for planning a unit alone.
const unitSteps = 6000

// ErrNoDates says that nothing in a project has a date.
var ErrNoDates = errors.New("no unit has a date: write ready_by with a unit, or games in the calendar")

// CampaignOptions steer Campaign.
type CampaignOptions struct {
	// Quick leaves out planning the whole army to check the dates.
	Quick bool
}

// army is a campaign in the making.
type army struct {
	a    *App
	o    *Opened
	from time.Time
	jobs []*campaignJob
	// windows are all painters' sittings by their start, and sums the bench
	// seconds before each.
	windows []sitting.Window
	sums    []int64
}

// campaignJob is what is painted together.
type campaignJob struct {
	units   []int // of the project
	figures int
	plan    *Plan
	work    int64 // seconds of bench time left
	lag     int64 // seconds of drying after the bench time
	cuts    []Cut
}

// Campaign plans an army past one unit. Every unit (with the others of its
// batch) is planned alone for its minutes; the sequence is the best for the
// dates by these (see solve/due); and the whole is planned in that sequence.
func (a *App) Campaign(ctx context.Context, o *Opened, opt CampaignOptions) (*Campaign, error) {
	m := &army{a: a, o: o}
	var err error
	if m.from, err = a.from(o); err != nil {
		return nil, err
	}
	dates, err := m.dates()
	if err != nil {
		return nil, err
	}
	if err := m.plans(ctx); err != nil {
		return nil, err
	}
	if err := m.calendar(dates); err != nil {
		return nil, err
	}
	p := m.problem(dates)
	a.progress("trying sequences", 0.6)
	found, err := due.Solve(ctx, p, due.Options{Seed: o.Project.Seed})
	if err != nil {
		return nil, err
	}
	out := &Campaign{Project: o.Project.Name, Status: string(found.Status), Worth: float64(found.Worth) / worthUnit, Bound: float64(found.Bound) / worthUnit, Cuts: []Cut{}}
	m.settle(out, p, dates, found.Sequence)
	for _, j := range m.jobs {
		out.Cuts = append(out.Cuts, j.cuts...)
	}
	if opt.Quick {
		return out, nil
	}
	a.progress("planning the whole army", 0.7)
	return out, m.whole(ctx, out, found.Sequence)
}

// wantedDate is one date with the units wanted by it.
type wantedDate struct {
	name  string
	day   time.Time
	units map[string]bool // nil: all
}

// worthUnit turns worths into whole numbers for the engine.
const worthUnit = 1000

// dates gathers games, the units' own dates, and where there are none the
// project's, by day.
func (m *army) dates() ([]wantedDate, error) {
	p := m.o.Project
	zone, err := sitting.Zone(p.Calendar)
	if err != nil {
		return nil, err
	}
	var out []wantedDate
	add := func(name, date string, units map[string]bool) error {
		day, err := time.ParseInLocation(time.DateOnly, date, zone)
		if err != nil {
			return fmt.Errorf("%q is not a date like 2027-01-31", date)
		}
		out = append(out, wantedDate{name, day, units})
		return nil
	}
	for _, g := range p.Calendar.Games {
		name, units := cmp.Or(g.Name, "game"), map[string]bool(nil)
		for _, u := range g.Units {
			if units == nil {
				units = map[string]bool{}
			}
			units[u] = true
		}
		if err := add(name, g.Date, units); err != nil {
			return nil, err
		}
	}
	for _, u := range p.Units {
		if u.ReadyBy == "" {
			continue
		}
		if err := add(u.Name, u.ReadyBy, map[string]bool{u.Name: true}); err != nil {
			return nil, err
		}
	}
	if p.Calendar.ReadyBy != "" && len(out) == 0 {
		if err := add("everything", p.Calendar.ReadyBy, nil); err != nil {
			return nil, err
		}
	}
	if len(out) == 0 {
		return nil, ErrNoDates
	}
	slices.SortStableFunc(out, func(a, b wantedDate) int { return a.day.Compare(b.day) })
	return out, nil
}

// plans groups units by batch and plans each group alone.
func (m *army) plans(ctx context.Context) error {
	p := m.o.Project
	batches := map[string]*campaignJob{}
	for i, u := range p.Units {
		j := batches[u.Batch]
		if j == nil || u.Batch == "" {
			j = &campaignJob{}
			m.jobs = append(m.jobs, j)
			batches[u.Batch] = j
		}
		j.units, j.figures = append(j.units, i), j.figures+u.Size()
	}
	for n, j := range m.jobs {
		m.a.progress("planning "+p.Units[j.units[0]].Name, 0.6*float64(n)/float64(len(m.jobs)))
		if err := m.alone(ctx, j); err != nil {
			return err
		}
		var err error
		if j.cuts, err = m.cuts(j); err != nil {
			return err
		}
	}
	return nil
}

// only is the project with some of its units, in a sequence, each group a
// batch of its own.
func (m *army) only(jobs []*campaignJob) *Opened {
	p := *m.o.Project
	p.Units = nil
	for n, j := range jobs {
		for _, i := range j.units {
			u := m.o.Project.Units[i]
			u.Batch = fmt.Sprintf("turn %d", n+1)
			p.Units = append(p.Units, u)
		}
	}
	o := *m.o
	o.Project, o.Doc, o.Findings = &p, nil, nil
	return &o
}

func (m *army) alone(ctx context.Context, j *campaignJob) error {
	a := *m.a
	a.Progress, a.Runs = nil, 1
	a.Steps = cmp.Or(a.Steps, unitSteps)
	o := m.only([]*campaignJob{j})
	plan, err := a.Plan(ctx, o)
	if err != nil {
		if errors.Is(err, ErrFaulty) {
			return fmt.Errorf("%s cannot be planned: %w", m.o.Project.Units[j.units[0]].Name, plan.Findings)
		}
		return err
	}
	j.plan = plan
	j.work = int64((plan.Order.WorkMinutes + plan.Order.SetUpMinutes).Seconds())
	return nil
}

// calendar lays out the bench time, far enough ahead for everything and for
// the last date, and tells each job's drying from its bench time.
func (m *army) calendar(dates []wantedDate) error {
	var work int64
	for _, j := range m.jobs {
		work += j.work
	}
	days := 30 + int(dates[len(dates)-1].day.Sub(m.from).Hours()/24)
	for _, painter := range sitting.Painters(m.o.Project.Calendar) {
		ws, err := sitting.Windows(painter, m.from, facings.Minutes(float64(2*work)/60+1000), days)
		if err != nil {
			return err
		}
		m.windows = append(m.windows, sitting.After(ws, m.from)...)
	}
	slices.SortStableFunc(m.windows, func(a, b sitting.Window) int { return a.Start.Compare(b.Start) })
	sum := int64(0)
	for _, w := range m.windows {
		m.sums = append(m.sums, sum)
		sum += int64(w.End.Sub(w.Start).Seconds())
	}
	for _, j := range m.jobs {
		var last time.Time
		for _, piece := range j.plan.Order.Pieces {
			if piece.End.After(last) {
				last = piece.End
			}
		}
		if !last.IsZero() {
			j.lag = max(0, int64(last.Sub(m.when(j.work)).Seconds()))
		}
	}
	return nil
}

// when is the instant at which so much bench time has gone by.
func (m *army) when(seconds int64) time.Time {
	i, _ := slices.BinarySearch(m.sums, seconds)
	i = max(0, min(i, len(m.sums))-1)
	return m.windows[i].Start.Add(time.Duration(seconds-m.sums[i]) * time.Second)
}

// benchBy is the bench time before an instant.
func (m *army) benchBy(at time.Time) int64 {
	sum := int64(0)
	for _, w := range m.windows {
		if w.End.After(at) {
			w.End = at
		}
		if w.End.After(w.Start) {
			sum += int64(w.End.Sub(w.Start).Seconds())
		}
	}
	return sum
}

// seconds counts an instant from the start.
func (m *army) seconds(t time.Time) int64 { return int64(t.Sub(m.from).Seconds()) }

// deadline is the end of a day.
func deadline(day time.Time) time.Time { return day.AddDate(0, 0, 1) }

func (m *army) problem(dates []wantedDate) *due.Problem {
	p := &due.Problem{End: func(job int, before int64) int64 {
		j := m.jobs[job]
		if j.work == 0 {
			return 0 // ready already
		}
		return m.seconds(m.when(before+j.work)) + j.lag
	}}
	for _, j := range m.jobs {
		p.Work = append(p.Work, j.work)
	}
	for _, d := range dates {
		by := deadline(d.day)
		date := due.Date{By: m.seconds(by), Capacity: m.benchBy(by)}
		for _, j := range m.jobs {
			date.Weight = append(date.Weight, int64(math.Round(worthUnit*m.worth(j, d.units))))
		}
		p.Dates = append(p.Dates, date)
	}
	return p
}

// worth is that of a job's units among those wanted.
func (m *army) worth(j *campaignJob, wanted map[string]bool) float64 {
	sum := 0.0
	for _, i := range j.units {
		if u := m.o.Project.Units[i]; wanted == nil || wanted[u.Name] {
			sum += worthOf(u)
		}
	}
	return sum
}

func worthOf(u facings.Unit) float64 { return cmp.Or(u.Worth, 1) }

func (m *army) names(j *campaignJob) []string {
	out := []string{}
	for _, i := range j.units {
		out = append(out, m.o.Project.Units[i].Name)
	}
	return out
}

// settle says what a sequence comes to, job by job and date by date.
func (m *army) settle(out *Campaign, p *due.Problem, dates []wantedDate, sequence []int) {
	before := make([]int64, len(m.jobs))
	sum := int64(0)
	for _, n := range sequence {
		j := m.jobs[n]
		before[n] = sum
		ready := m.from.Add(time.Duration(p.End(n, sum)) * time.Second)
		out.Sequence = append(out.Sequence, CampaignUnit{Units: m.names(j), Worth: m.worth(j, nil), Figures: j.figures,
			Minutes: facings.Minutes(float64(j.work) / 60), DryingDays: float64(j.lag) / 86400, Ready: ready.Format(time.DateOnly)})
		sum += j.work
	}
	for k, d := range dates {
		date := CampaignDate{Date: d.day.Format(time.DateOnly), Name: d.name, Ready: []string{}, Late: []Late{}, AtRisk: []string{}}
		for at, n := range sequence {
			j, weight := m.jobs[n], float64(p.Dates[k].Weight[n])/worthUnit
			if weight == 0 {
				continue
			}
			date.Wanted += weight
			if p.End(n, before[n]) <= p.Dates[k].By {
				date.Worth += weight
				date.Ready = append(date.Ready, m.names(j)...)
				continue
			}
			short := before[n] + j.work - m.benchBy(deadline(d.day).Add(-time.Duration(j.lag)*time.Second))
			late := Late{Units: m.names(j), Short: facings.Minutes(math.Ceil(float64(short) / 60)), Drops: []Drop{}}
			var cuts []Cut
			for _, e := range sequence[:at+1] {
				cuts = append(cuts, m.jobs[e].cuts...)
			}
			late.Drops = drops(cuts, late.Short)
			date.Late = append(date.Late, late)
		}
		out.Wanted += date.Wanted
		out.Dates = append(out.Dates, date)
	}
}

// whole plans the army in a sequence and says when each unit is really ready.
func (m *army) whole(ctx context.Context, out *Campaign, sequence []int) error {
	var jobs []*campaignJob
	for _, n := range sequence {
		jobs = append(jobs, m.jobs[n])
	}
	a := *m.a
	a.Runs = 1
	if report := m.a.Progress; report != nil {
		a.Progress = func(stage string, share float64) { report("the whole army: "+stage, 0.7+0.3*share) }
	}
	plan, err := a.Plan(ctx, m.only(jobs))
	if err != nil {
		if errors.Is(err, ErrFaulty) {
			return plan.Findings
		}
		return err
	}
	last := readyDates(plan)
	for i := range out.Sequence {
		var at time.Time
		for _, name := range out.Sequence[i].Units {
			if t := last[name]; t.After(at) {
				at = t
			}
		}
		if !at.IsZero() {
			out.Sequence[i].Planned = at.Format(time.DateOnly)
		}
	}
	for i := range out.Dates {
		d := &out.Dates[i]
		for _, name := range d.Ready {
			if at := last[name]; !at.IsZero() && at.Format(time.DateOnly) > d.Date {
				d.AtRisk = append(d.AtRisk, name)
			}
		}
	}
	out.Checked = true
	return nil
}

// readyDates is when the last work on each unit of a plan ends.
func readyDates(plan *Plan) map[string]time.Time {
	last := map[string]time.Time{}
	for _, piece := range plan.Order.Pieces {
		unit := plan.Roster.Figures[plan.Coats.Tasks[piece.Task].Figure].ID.Unit
		if piece.End.After(last[unit]) {
			last[unit] = piece.End
		}
	}
	return last
}

// skipping settles a plan's coats without some of them.
func skipping(plan *Plan, skipped map[facings.TaskKey]bool) *facings.Coats {
	return order.SettleWithout(plan.Project, plan.Roster, plan.colours, skipped)
}
