package app

import (
	"context"
	"errors"
	"slices"
	"time"

	"facings"
	"facings/internal/order"
	"facings/internal/sitting"
)

// debounce is how long the desk waits for further edits before it plans.
const debounce = 400 * time.Millisecond

// quiet is how long it waits between two reports of progress.
const quiet = 150 * time.Millisecond

// planned is a plan that was made, or why there is none.
type planned struct {
	revision int    // the newest that it is of
	input    string // what of it the plan is made from
	first    int    // the revision it was made of
	seq      int64
	progress facings.Progress // that it was made from
	day      string           // on which
	from     time.Time        // the instant it plans from
	at       time.Time        // when it was made
	state    string
	message  string
	plan     *Plan // whole if state is ready; with faults as much as there is
	result   *OrderResult
	findings facings.Diagnostics
	tasks    map[facings.TaskKey]int // of plan.Coats, by key
}

// planJob is a plan in the making.
type planJob struct {
	due    time.Time // not before
	again  bool      // something changed since it began
	forced bool      // whatever the log says
	cancel context.CancelFunc
	stage  string
	share  float64
	told   time.Time
}

// wake has the newest plan made, after a while in which further edits may
// come. A plan of an older state in the making is given up.
func (d *Desk) wake(id string, after time.Duration) { d.wakeFor(id, after, false) }

func (d *Desk) wakeFor(id string, after time.Duration, forced bool) {
	s := d.session(id)
	s.mu.Lock()
	defer s.mu.Unlock()
	due := time.Now().Add(after)
	if s.job != nil {
		s.job.due, s.job.again, s.job.forced = due, true, s.job.forced || forced
		if s.job.cancel != nil {
			s.job.cancel()
		}
		return
	}
	if d.ctx.Err() != nil {
		return
	}
	s.job = &planJob{due: due, forced: forced, stage: "waiting"}
	d.working.Add(1)
	go d.work(s, s.job)
}

// work makes plans until the newest state has one.
func (d *Desk) work(s *session, job *planJob) {
	defer d.working.Done()
	for {
		s.mu.Lock()
		wait := time.Until(job.due)
		s.mu.Unlock()
		if wait > 0 {
			select {
			case <-time.After(wait):
				continue // it may have been put off again
			case <-d.ctx.Done():
			}
		}
		select {
		case d.planning <- struct{}{}:
		case <-d.ctx.Done():
		}
		if d.ctx.Err() != nil {
			s.mu.Lock()
			s.job = nil
			s.mu.Unlock()
			return
		}
		ctx, cancel := context.WithCancel(d.ctx)
		s.mu.Lock()
		job.again, job.cancel = false, cancel
		forced := job.forced
		job.forced = false
		s.mu.Unlock()
		made, err := d.makePlan(ctx, s, job, forced)
		cancel()
		<-d.planning
		s.mu.Lock()
		job.cancel = nil
		if err == nil && made != nil && !job.again {
			s.plan = made
		}
		if job.again && d.ctx.Err() == nil {
			job.forced = job.forced || forced
			s.mu.Unlock()
			continue
		}
		s.job = nil
		if s.plan != nil {
			s.tell(s.planEvent())
		}
		s.mu.Unlock()
		return
	}
}

// planEvent says how the plan stands; the lock is held.
func (s *session) planEvent() Event {
	e := Event{Kind: "plan", State: PlanWorking, Stale: s.job != nil}
	if s.plan != nil {
		e.State, e.Revision, e.Seq = s.plan.state, s.plan.revision, s.plan.seq
	}
	if s.job != nil {
		e.Stage, e.Share = s.job.stage, s.job.share
	}
	return e
}

// makePlan plans the revision in force from what the log says. Nothing is made
// where the plan at hand is of that state already.
func (d *Desk) makePlan(ctx context.Context, s *session, job *planJob, forced bool) (*planned, error) {
	_, r, err := d.head(ctx, s.id)
	if err != nil {
		return nil, err
	}
	if err := d.readLog(ctx, s); err != nil {
		return nil, err
	}
	s.mu.Lock()
	out := &planned{revision: r.number, first: r.number, input: r.planInput(), seq: s.seq(), progress: s.progress, at: d.app.now()}
	old, log := s.plan, s.log
	s.mu.Unlock()
	out.day = d.dayOf(r.opened.Project)
	if !forced && old != nil && old.input == out.input && old.day == out.day && follows(old, out.progress) {
		if old.revision == r.number {
			return nil, nil
		}
		return old.of(r.number), nil
	}
	o := *r.opened
	o.Progress = out.progress
	a := d.app
	a.Progress = func(stage string, share float64) {
		s.mu.Lock()
		defer s.mu.Unlock()
		job.stage, job.share = stage, share
		if now := time.Now(); now.Sub(job.told) > quiet {
			job.told = now
			s.tell(s.planEvent())
		}
	}
	a.Progress("reading", 0)
	var plan *Plan
	switch {
	case o.Findings.Faulty():
		plan, err = &Plan{Project: o.Project, Findings: o.Findings}, ErrFaulty
	default:
		if coats, err := r.coated(ctx, d); err == nil && timed(log) {
			o.Pace = LearnPace(coats, log).Model
		}
		if out.from, err = a.from(&o); err == nil {
			plan, err = d.planOrRecall(ctx, &a, s.id, r, &o, out, forced)
		}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	out.plan = plan
	out.finish(err)
	return out, nil
}

// learn gives a project the pace that its log tells of.
func (d *Desk) learn(ctx context.Context, s *session, r *revision, o *Opened) {
	plain, err := r.coated(ctx, d)
	if err != nil {
		return // planning will say what is the matter
	}
	s.mu.Lock()
	log := s.log
	s.mu.Unlock()
	if slices.ContainsFunc(log, func(e facings.Entry) bool { return e.Seconds > 0 }) {
		o.Pace = LearnPace(plain, log).Model
	}
}

// Pace is what the log says of the painter's pace.
func (d *Desk) Pace(ctx context.Context, id string) (*PaceReport, error) {
	r, log, err := d.logged(ctx, id)
	if err != nil {
		return nil, err
	}
	plan, err := r.coated(ctx, d)
	if err != nil {
		return nil, err
	}
	out := scoredPace(plan, log)
	fill(out)
	return out, nil
}

// Record is what was really painted with what.
func (d *Desk) Record(ctx context.Context, id string) (*Record, error) {
	r, log, err := d.logged(ctx, id)
	if err != nil {
		return nil, err
	}
	plan, err := r.coated(ctx, d)
	if err != nil {
		return nil, err
	}
	out := d.app.Record(plan, log)
	fill(out)
	return out, nil
}

// logged is a project without faults, and its log.
func (d *Desk) logged(ctx context.Context, id string) (*revision, []facings.Entry, error) {
	s, r, err := d.head(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	if r.opened.Findings.Faulty() {
		return nil, nil, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.opened.Findings}
	}
	if err := d.readLog(ctx, s); err != nil {
		return nil, nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return r, s.log, nil
}

// dayOf is today in the project's zone.
func (d *Desk) dayOf(p *facings.Project) string {
	now := d.app.now()
	if zone, err := sitting.Zone(p.Calendar); err == nil {
		now = now.In(zone)
	}
	return now.Format(time.DateOnly)
}

// finish settles a plan's state and shapes it for readers.
func (out *planned) finish(err error) {
	out.findings = facings.Diagnostics{}
	if out.plan != nil {
		out.findings = append(out.findings, out.plan.Findings...)
		if out.plan.Shopping != nil {
			fill(out.plan.Shopping)
		}
		if out.plan.Roster != nil {
			fill(out.plan.Roster)
		}
		if out.plan.Order != nil {
			fill(out.plan.Order)
		}
	}
	switch {
	case out.plan != nil && out.plan.Order != nil && len(out.plan.Order.Conflicts) > 0:
		out.state = PlanInfeasible
	case errors.Is(err, ErrFaulty):
		out.state = PlanFaulty
	case err != nil:
		out.state, out.message = PlanFailed, err.Error()
	default:
		out.state = PlanReady
		out.result = out.plan.OrderResult()
		out.tasks = map[facings.TaskKey]int{}
		for i, t := range out.plan.Coats.Tasks {
			out.tasks[facings.KeyOf(out.plan.Roster, t)] = i
		}
	}
}

// follows reports whether what was done since a plan was made is what the plan
// says to do, pass after pass; then it stays in force, and nobody's list is
// shuffled under the brush. One pass per painter may be half done.
func follows(p *planned, now facings.Progress) bool {
	if p.state != PlanReady {
		return progressAlike(p.progress, now)
	}
	for k := range p.progress.Done {
		if _, still := now.Done[k]; !still {
			return false
		}
	}
	for k := range p.progress.Skipped {
		if !now.Skipped[k] {
			return false
		}
	}
	if len(now.Skipped) != len(p.progress.Skipped) {
		return false
	}
	fresh := map[int]bool{}
	for k, at := range now.Done {
		if was, before := p.progress.Done[k]; before {
			if !was.Equal(at) {
				return false
			}
			continue
		}
		i, ok := p.tasks[k]
		if !ok {
			continue // of another paint, or a figure that is gone: no part of this plan
		}
		fresh[i] = true
	}
	half := map[int]bool{} // painters with a pass half done, or one left out
	left := len(fresh)
	for _, pass := range p.plan.Order.Passes {
		n := 0
		for _, t := range pass.Tasks {
			if fresh[t] {
				n++
			}
		}
		if n > 0 && half[pass.Painter] {
			return false
		}
		left -= n
		half[pass.Painter] = half[pass.Painter] || n < len(pass.Tasks)
	}
	return left == 0
}

func progressAlike(a, b facings.Progress) bool {
	if len(a.Done) != len(b.Done) || len(a.Skipped) != len(b.Skipped) {
		return false
	}
	for k, at := range a.Done {
		if other, ok := b.Done[k]; !ok || !other.Equal(at) {
			return false
		}
	}
	for k := range a.Skipped {
		if !b.Skipped[k] {
			return false
		}
	}
	return true
}

// current finds the newest plan and has a newer one made where it is behind.
// The plan is nil before the first.
func (d *Desk) current(ctx context.Context, id string) (*session, *revision, *planned, error) {
	s, r, err := d.head(ctx, id)
	if err != nil {
		return nil, nil, nil, err
	}
	if err := d.readLog(ctx, s); err != nil {
		return nil, nil, nil, err
	}
	s.mu.Lock()
	p, busy := s.plan, s.job != nil
	if p != nil && p.revision != r.number && p.input == r.planInput() {
		p = p.of(r.number)
		s.plan = p
	}
	behind := p == nil || p.revision != r.number || p.day != d.dayOf(r.opened.Project) && dated(p) || !follows(p, s.progress)
	if !behind && p.seq != s.seq() {
		// What was done since is what it says: it takes account of that.
		copied := *p
		copied.seq = s.seq()
		p, s.plan = &copied, &copied
	}
	s.mu.Unlock()
	if behind && !busy {
		d.wake(id, 0)
	}
	return s, r, p, nil
}

// of is the plan of another revision whose plan would be the same.
func (p *planned) of(revision int) *planned {
	copied := *p
	copied.revision = revision
	return &copied
}

// dated reports whether a plan would be another one on another day.
func dated(p *planned) bool { return p.state == PlanReady && len(p.plan.Order.Passes) > 0 }

// Plan is the newest plan there is, at once.
func (d *Desk) Plan(ctx context.Context, id string) (*PlanState, error) {
	s, r, p, err := d.current(ctx, id)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	out := &PlanState{State: PlanWorking, Revision: r.number, Seq: s.seq(), Stale: s.job != nil, Findings: r.opened.Findings}
	if s.job != nil {
		out.Stage, out.Share = s.job.stage, s.job.share
	}
	if p == nil {
		return out, nil
	}
	out.State, out.Revision, out.Seq, out.Message, out.PlannedAt, out.Findings = p.state, p.revision, p.seq, p.message, p.at, p.findings
	if p.plan != nil {
		out.Roster = p.plan.Roster
	}
	if p.plan != nil && p.plan.Order != nil && p.state != PlanFaulty {
		out.Order = p.plan.OrderResult()
	}
	if p.state == PlanReady {
		out.Order = p.result
		out.Progress = summaryOf(p, s.log, s.progress)
	}
	return out, nil
}

// PlanAnew has what is left planned anew from now, though nothing changed.
func (d *Desk) PlanAnew(ctx context.Context, id string) (*PlanState, error) {
	if _, err := d.keeper.Project(ctx, id); err != nil {
		return nil, err
	}
	d.wakeFor(id, 0, true)
	return d.Plan(ctx, id)
}

// Shop is the paint needed, owned, short and to buy, for everything that the
// project still gets and got.
func (d *Desk) Shop(ctx context.Context, id string) (*facings.Shopping, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	plan, err := r.coated(ctx, d)
	if err != nil {
		return nil, err
	}
	copied := *plan
	list := *plan.Shopping
	list.Paints = slices.Clone(list.Paints)
	copied.Shopping = &list
	if err := d.app.Instead(ctx, &copied); err != nil {
		return nil, err
	}
	fill(copied.Shopping)
	return copied.Shopping, nil
}

// coated is the revision's plan up to its coats, worked out once, whatever is
// done of it.
func (r *revision) coated(ctx context.Context, d *Desk) (*Plan, error) {
	if r.opened.Findings.Faulty() {
		return nil, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.opened.Findings}
	}
	r.once.Do(func() {
		o := *r.opened
		o.Findings = slices.Clone(o.Findings)
		// Not the request's own context: others wait for the same.
		r.coats, r.coatsE = d.app.Coats(d.ctx, &o)
		if r.coatsE == nil {
			fill(r.coats.Roster)
			fill(r.coats.Shopping)
		}
	})
	if errors.Is(r.coatsE, ErrFaulty) {
		return nil, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.coats.Findings}
	}
	return r.coats, r.coatsE
}

// matched finds the tasks that are done now, by index in the plan's coats.
func (p *planned) matched(now facings.Progress) map[int]time.Time {
	done, _ := order.Match(p.plan.Roster, p.plan.Coats, now)
	return done
}
