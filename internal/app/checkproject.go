package app

import (
	"context"
	"errors"

	"facings/internal/order"
)

// Check reads a project file and finds every fault that would stop a plan: in
// the text, in what it names beside itself, in paints whose colour cannot be
// told, in traits that cannot be dealt and in rules that cannot all hold.
func (a *App) Check(ctx context.Context, path string) (*Opened, error) {
	o, err := a.Load(path)
	if err != nil {
		return o, err
	}
	quick := *a
	quick.Dealing = 1 // whether traits can be dealt at all shows before any search
	plan, err := quick.Roster(ctx, o)
	if err != nil && !errors.Is(err, ErrFaulty) {
		return o, err
	}
	colours, found := colouristBy(o.Project, a.Paints.resolve)
	if faulty := plan.add(o, found); err == nil {
		err = faulty
	}
	if err == nil {
		coats := order.Settle(o.Project, plan.Roster, colours)
		err = plan.add(o, conflictFindings(order.Conflicts(o.Project, coats)))
	}
	plan.Findings.Sort()
	o.Findings = plan.Findings
	return o, err
}
