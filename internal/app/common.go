package app

import "slices"

// CommonColours lists the paints and mixes that a batch lays on figures of
// more than one unit, in the order of their first pass.
func (plan *Plan) CommonColours() []string {
	out := []string{}
	if plan.Order == nil {
		return out
	}
	for _, pass := range plan.Order.Passes {
		if pass.Stage == "paint" && len(pass.Units) > 1 && !slices.Contains(out, pass.Medium) {
			out = append(out, pass.Medium)
		}
	}
	return out
}
