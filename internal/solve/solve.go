// Package solve holds what the engines under it share: how a search ended
// and how much it proved. The engines (solve/sop for one sequence, solve/sched
// for sequences with drying lags and several workers, solve/seat for traits
// over places, solve/due for work by its dates) know plain integers only: no paint, no figure, no calendar.
package solve

// Status says how a search ended.
type Status string

const (
	// Optimal: a solution was found and no better one exists; proved.
	Optimal Status = "optimal"
	// Feasible: a solution was found; a better one is not excluded.
	Feasible Status = "feasible"
	// Infeasible: no solution exists; proved.
	Infeasible Status = "infeasible"
	// Unknown: the work allowed ran out before a solution was found.
	Unknown Status = "unknown"
)
