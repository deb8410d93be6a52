package app

import "facings"

// OrderResult is an order as command line and pages give it: with the figures
// that its passes number, and the colours that units share.
type OrderResult struct {
	Project string `json:"project"`
	*facings.Order
	Figures       []facings.FigureID `json:"figures"`
	CommonColours []string           `json:"common_colours"`
	// PassTasks are the tasks of each of Passes, as a log names them; nil unless
	// asked for.
	PassTasks [][]facings.TaskKey `json:"pass_tasks,omitempty"`
}

// TasksOfPasses are the tasks of each of the order's passes, as a log names them.
func (plan *Plan) TasksOfPasses() [][]facings.TaskKey {
	out := [][]facings.TaskKey{}
	for _, pass := range plan.Order.Passes {
		var keys []facings.TaskKey
		for _, t := range pass.Tasks {
			keys = append(keys, facings.KeyOf(plan.Roster, plan.Coats.Tasks[t]))
		}
		out = append(out, keys)
	}
	return out
}

// OrderResult is the plan's order to be shown.
func (plan *Plan) OrderResult() *OrderResult {
	r := &OrderResult{Project: plan.Project.Name, Order: plan.Order, Figures: []facings.FigureID{}, CommonColours: plan.CommonColours()}
	for _, f := range plan.Roster.Figures {
		r.Figures = append(r.Figures, f.ID)
	}
	return r
}
