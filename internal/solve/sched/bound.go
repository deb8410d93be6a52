package sched

// bound is a proved lower bound on the objective, in seconds.
func bound(m *model) int {
	return max((m.total+m.m-1)/m.m, 0)
}
