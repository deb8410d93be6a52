package app

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"time"

	"facings"
	"facings/internal/check"
	"facings/internal/order"
	"facings/internal/pace"
)

// recallVersion changes with everything that would make another order of the
// same project, or prove another bound for it; an order kept by an older program is then worked out again.
const recallVersion = 5

// mostRecalled bounds an order as remembered, unpacked.
const mostRecalled = 256 << 20

// keptOrder is an order as remembered.
type keptOrder struct {
	Key   string
	From  time.Time
	Day   string
	At    time.Time
	Order *facings.Order
}

func planKey(id string) string { return "plan/" + id }

// planOrRecall plans, or takes up the order worked out before for the very same
// state, so that a restart is quick. What is remembered goes through the
// checker like any other order.
func (d *Desk) planOrRecall(ctx context.Context, a *App, id string, r *revision, o *Opened, out *planned, forced bool) (*Plan, error) {
	key := stateKey(r, o, out.day, a.Steps)
	if !forced {
		if plan, ok := d.recall(ctx, a, id, key, o, out); ok {
			return plan, nil
		}
	}
	plan, err := a.Plan(ctx, o)
	if err == nil {
		d.remember(id, keptOrder{Key: key, From: out.from, Day: out.day, At: out.at, Order: plan.Order})
	}
	return plan, err
}

// KeepPlan remembers a plan of a project that was made elsewhere from the same
// file, with nothing done of it yet, so that it need not be made again.
func (d *Desk) KeepPlan(ctx context.Context, id string, plan *Plan) error {
	_, r, err := d.head(ctx, id)
	if err != nil || plan.Order == nil {
		return err
	}
	day := d.dayOf(r.opened.Project)
	d.remember(id, keptOrder{Key: stateKey(r, r.opened, day, d.app.Steps), From: plan.from, Day: day, At: d.app.now(), Order: plan.Order})
	return nil
}

// planInput names what of a revision a plan is made from: its text, and the files
// that castings and flags name. Photographs change no plan.
func (r *revision) planInput() string {
	h := sha256.New()
	fmt.Fprintf(h, "%d\n", len(r.text))
	h.Write(r.text)
	var names []string
	if p := r.opened.Project; p != nil {
		for _, c := range p.Castings {
			names = append(names, c.Mesh, c.Mesh+LabelsSuffix)
		}
		for i := range p.Units {
			if f := p.Units[i].Flag; f != nil {
				names = append(names, f.Picture, f.PictureReverse)
			}
		}
	}
	for _, name := range names {
		fmt.Fprintf(h, "\n%q %s", name, r.files[name])
	}
	return hex.EncodeToString(h.Sum(nil))
}

// stateKey names a state of project, files, progress and pace.
func stateKey(r *revision, o *Opened, day string, steps int64) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %s %s %d\n", recallVersion, r.planInput(), day, steps)
	var lines []string
	for k, at := range o.Progress.Done {
		lines = append(lines, fmt.Sprintf("done %+v %d", k, at.UnixNano()))
	}
	for k := range o.Progress.Skipped {
		lines = append(lines, fmt.Sprintf("skipped %+v", k))
	}
	slices.Sort(lines)
	if o.Pace != nil {
		lines = append(lines, fmt.Sprintf("pace %v %v", o.Pace.Table(), o.Pace.Factor(pace.SetUp, 0)))
	}
	for _, l := range lines {
		fmt.Fprintf(h, "\n%s", l)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// recall takes up a remembered order, if it is of this state and stands up to
// the checker.
func (d *Desk) recall(ctx context.Context, a *App, id, key string, o *Opened, out *planned) (*Plan, bool) {
	kept, err := d.keeper.Recall(ctx, planKey(id))
	if err != nil {
		return nil, false
	}
	var was keptOrder
	if !unpack(kept[planKey(id)], &was) || was.Key != key || was.Order == nil {
		return nil, false
	}
	plan, err := a.Coats(ctx, o)
	if err != nil {
		return nil, false
	}
	_, found := order.Match(plan.Roster, plan.Coats, o.Progress)
	if plan.add(o, found) != nil || !inside(plan, was.Order) {
		return nil, false
	}
	plan.Order = was.Order
	if broken := check.Rest(plan.Project, plan.Roster, plan.Coats, was.Order, o.Progress, was.From); len(broken) > 0 {
		return nil, false
	}
	out.from, out.at = was.From, was.At
	return plan, plan.add(o, lateUnits(o.Project, plan)) == nil
}

// inside reports whether an order speaks of tasks and figures that there are;
// the checker takes that for granted.
func inside(plan *Plan, o *facings.Order) bool {
	for _, p := range o.Passes {
		for _, t := range p.Tasks {
			if t < 0 || t >= len(plan.Coats.Tasks) {
				return false
			}
		}
		for _, f := range p.Figures {
			if f < 0 || f >= len(plan.Roster.Figures) {
				return false
			}
		}
	}
	for _, p := range o.Pieces {
		if p.Task < 0 || p.Task >= len(plan.Coats.Tasks) || p.Pass < 0 || p.Pass >= len(o.Passes) {
			return false
		}
	}
	return true
}

// remember keeps an order for the next start. That it cannot be kept costs time
// then, and nothing else.
func (d *Desk) remember(id string, k keptOrder) {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if gob.NewEncoder(z).Encode(k) != nil || z.Close() != nil {
		return
	}
	_ = d.keeper.Remember(d.ctx, planKey(id), b.Bytes())
}

func unpack(data []byte, out *keptOrder) bool {
	if len(data) == 0 {
		return false
	}
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return false
	}
	return gob.NewDecoder(io.LimitReader(z, mostRecalled)).Decode(out) == nil
}
