package cli

import (
	"facings"
	"facings/internal/app"
)

// orderResult is what order --json prints: the order, with each pass's figures
// by name beside their indexes.
type orderResult struct {
	Project string `json:"project"`
	*facings.Order
	Figures       []facings.FigureID `json:"figures"`
	CommonColours []string           `json:"common_colours"`
}

func orderJSON(plan *app.Plan) orderResult {
	r := orderResult{Project: plan.Project.Name, Order: plan.Order, CommonColours: plan.CommonColours()}
	for _, f := range plan.Roster.Figures {
		r.Figures = append(r.Figures, f.ID)
	}
	return r
}
