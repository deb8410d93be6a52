package app

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"facings"
	"facings/internal/sitting"
)

// WhatIf plans what is left as it would be under other conditions, and sets it
// beside the plan in force. Nothing is kept.
func (d *Desk) WhatIf(ctx context.Context, id string, q WhatIf) (*WhatIfAnswer, error) {
	s, r, p, err := d.current(ctx, id)
	if err != nil {
		return nil, err
	}
	if r.opened.Findings.Faulty() {
		return nil, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.opened.Findings}
	}
	o := *r.opened
	s.mu.Lock()
	o.Progress = s.progress
	s.mu.Unlock()
	d.learn(ctx, s, r, &o)
	if err := q.change(&o); err != nil {
		return nil, err
	}
	select { // the search uses all processors, so one at a time
	case d.planning <- struct{}{}:
		defer func() { <-d.planning }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	a := d.app
	plan, err := a.Coats(ctx, &o)
	if err == nil && q.Pin != nil {
		err = q.Pin.put(plan, p)
	}
	if err == nil {
		plan, err = a.arrange(ctx, &o, plan)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	out := &WhatIfAnswer{Findings: facings.Diagnostics{}}
	if plan != nil {
		out.Findings = append(out.Findings, plan.Findings...)
	}
	if p != nil && p.state == PlanReady {
		inForce := numbersOf(p.plan.Order)
		out.InForce = &inForce
	}
	switch {
	case errors.Is(err, ErrFaulty) && plan != nil && plan.Order != nil: // rules that contradict each other
		out.WhatIfNumbers = numbersOf(plan.Order)
		return out, nil
	case errors.Is(err, ErrFaulty):
		return nil, &Mistake{Message: "that cannot be planned", Findings: out.Findings}
	case err != nil:
		return nil, err
	}
	out.WhatIfNumbers = numbersOf(plan.Order)
	if q.Order {
		fill(plan.Order)
		out.Order = plan.OrderResult()
	}
	return out, nil
}

func numbersOf(o *facings.Order) WhatIfNumbers {
	return WhatIfNumbers{Status: o.Status, Minutes: o.Minutes, SetUpMinutes: o.SetUpMinutes, WaitMinutes: o.WaitMinutes,
		FinishP50: o.FinishP50, FinishP90: o.FinishP90, Gap: o.Gap}
}

// change makes the project the question's.
func (q *WhatIf) change(o *Opened) error {
	p := o.Project
	var err error
	if len(q.Patch) > 0 {
		data, encodeErr := encodePatch(q.Patch)
		if encodeErr != nil {
			return encodeErr
		}
		p, err = patched(p, data)
	} else {
		p, err = copyOf(p)
	}
	if err != nil {
		return err
	}
	if q.Evenings > 0 || q.Painters > 0 {
		q.bench(p)
	}
	found := p.Validate()
	if found.Faulty() {
		return &Mistake{Message: "the project would have faults", Findings: found}
	}
	if found == nil {
		found = facings.Diagnostics{}
	}
	fill(p)
	// Places in the text are those of the text in force, so there are none.
	o.Project, o.Doc, o.Findings = p, nil, found
	return nil
}

// bench changes how many evenings a week there are, and how many painters.
func (q *WhatIf) bench(p *facings.Project) {
	painters := slices.Clone(sitting.Painters(p.Calendar))
	if q.Painters > 0 {
		for len(painters) < q.Painters {
			more := painters[0]
			more.Name = fmt.Sprintf("painter %d", len(painters)+1)
			painters = append(painters, more)
		}
		painters = painters[:q.Painters]
	}
	if q.Evenings > 0 {
		for i := range painters {
			rule := facings.SittingRule{From: "19:30", To: "22:00"}
			if old := painters[i].Sittings; len(old) > 0 {
				rule.From, rule.To = old[0].From, old[0].To
			}
			rule.Days = spreadDays(q.Evenings)
			painters[i].Sittings = []facings.SittingRule{rule}
		}
	}
	p.Calendar.Painters = painters
}

// spreadDays spreads evenings over the week, Monday first.
func spreadDays(n int) []string {
	days := facings.Weekdays()
	n = min(max(n, 1), len(days))
	var out []string
	for i := range n {
		out = append(out, days[i*len(days)/n])
	}
	return out
}

// put has one pass of the plan in force come before another, on the figures
// that both are about.
func (pin *Pin) put(plan *Plan, inForce *planned) error {
	if inForce == nil || inForce.state != PlanReady {
		return ErrNotReady
	}
	passes := inForce.plan.Order.Passes
	if pin.Pass < 1 || pin.Pass > len(passes) || pin.Before < 1 || pin.Before > len(passes) || pin.Pass == pin.Before {
		return &Mistake{Message: fmt.Sprintf("pass %d before pass %d: there are passes 1 to %d", pin.Pass, pin.Before, len(passes))}
	}
	index := map[facings.TaskKey]int{}
	for i, t := range plan.Coats.Tasks {
		index[facings.KeyOf(plan.Roster, t)] = i
	}
	byFigure := func(pass facings.Pass) map[facings.FigureID][]int {
		out := map[facings.FigureID][]int{}
		for _, t := range pass.Tasks {
			key := facings.KeyOf(inForce.plan.Roster, inForce.plan.Coats.Tasks[t])
			if i, ok := index[key]; ok {
				out[key.Figure] = append(out[key.Figure], i)
			}
		}
		return out
	}
	first, then := passes[pin.Pass-1], passes[pin.Before-1]
	before, after := byFigure(first), byFigure(then)
	why := fmt.Sprintf("asked: pass %d before pass %d", pin.Pass, pin.Before)
	pinned := 0
	for _, f := range plan.Roster.Figures {
		for _, from := range before[f.ID] {
			for _, to := range after[f.ID] {
				plan.Coats.Lags = append(plan.Coats.Lags, facings.Lag{From: from, To: to, Rule: facings.RuleOwn, Why: why})
				pinned++
			}
		}
	}
	if pinned == 0 {
		return &Mistake{Message: fmt.Sprintf("passes %d and %d have no figure in common, so neither needs to come first on any", pin.Pass, pin.Before),
			Hint: "pin a pass before another on the same figures"}
	}
	return nil
}
