package sched

import "slices"

// Cycle returns a shortest cycle among the lags of n jobs as indexes of lags,
// each leading to the job where the next begins; nil if there is none. A
// shortest cycle is a minimal contradiction: without any one of its lags the
// rest can be kept.
func Cycle(n int, lags []Lag) []int {
	left := inCycles(n, lags)
	if len(left) == 0 {
		return nil
	}
	out := make([][]int, n)
	for _, k := range left {
		out[lags[k].From] = append(out[lags[k].From], k)
	}
	var best []int
	via := make([]int, n)
	for _, root := range left {
		if c := shortestBack(lags, out, via, lags[root].From, len(best)); c != nil {
			best = c
		}
		if len(best) == 1 {
			break
		}
	}
	return best
}

// inCycles returns the lags left when jobs without a predecessor, then those
// without a successor, are taken away again and again.
func inCycles(n int, lags []Lag) []int {
	left := make([]int, len(lags))
	for k := range lags {
		left[k] = k
	}
	from := func(k int) int { return lags[k].From }
	to := func(k int) int { return lags[k].To }
	return peel(n, peel(n, left, from, to), to, from)
}

// peel takes away the lags whose tail has nothing coming in, until there are
// none.
func peel(n int, left []int, tail, head func(k int) int) []int {
	coming := make([]int, n)
	out := make([][]int, n)
	for _, k := range left {
		coming[head(k)]++
		out[tail(k)] = append(out[tail(k)], k)
	}
	var free []int
	for j := range n {
		if coming[j] == 0 {
			free = append(free, j)
		}
	}
	gone := make([]bool, n)
	for len(free) > 0 {
		j := free[len(free)-1]
		free = free[:len(free)-1]
		gone[j] = true
		for _, k := range out[j] {
			if coming[head(k)]--; coming[head(k)] == 0 {
				free = append(free, head(k))
			}
		}
	}
	return slices.DeleteFunc(left, func(k int) bool { return gone[tail(k)] })
}

// shortestBack searches breadth first from job root for a way back to it that
// is shorter than limit lags (0: any).
func shortestBack(lags []Lag, out [][]int, via []int, root, limit int) []int {
	for i := range via {
		via[i] = -1
	}
	level := []int{root}
	for depth := 1; len(level) > 0 && (limit == 0 || depth < limit); depth++ {
		var next []int
		for _, j := range level {
			for _, k := range out[j] {
				to := lags[k].To
				if to == root {
					cycle := []int{k}
					for at := j; at != root; at = lags[via[at]].From {
						cycle = append(cycle, via[at])
					}
					slices.Reverse(cycle)
					return cycle
				}
				if via[to] < 0 {
					via[to] = k
					next = append(next, to)
				}
			}
		}
		level = next
	}
	return nil
}

// Conflict returns a minimal set of rules (values of Lag.Rule, ascending)
// whose lags contradict each other: their lags contain a cycle, and without
// any one of the rules they do not. Nil if all lags together are possible.
// Lags whose Rule is negative are always kept and never named; if they alone
// contradict each other, the set is empty but not nil.
func Conflict(n int, lags []Lag) []int {
	seen := map[int]bool{}
	var rules []int
	for _, l := range lags {
		if l.Rule >= 0 && !seen[l.Rule] {
			seen[l.Rule] = true
			rules = append(rules, l.Rule)
		}
	}
	slices.Sort(rules)
	return Minimal(rules, func(keep []int) bool {
		var some []Lag
		for _, l := range lags {
			if _, ok := slices.BinarySearch(keep, l.Rule); ok || l.Rule < 0 {
				some = append(some, l)
			}
		}
		return len(inCycles(n, some)) == 0
	})
}

// Minimal returns a smallest-by-inclusion subset of rules that is not
// possible, by leaving out one rule after the other (a deletion filter); nil
// if all of them together are possible, empty if not even none is. possible must stay true when rules are
// taken away. Order is kept.
//
// Ref: chinneck1991.
func Minimal(rules []int, possible func(keep []int) bool) []int {
	if possible(rules) {
		return nil
	}
	keep := slices.Clone(rules)
	// Halves first, so that a small conflict among many rules is found fast.
	for size := max(len(keep)/2, 1); size >= 1; size /= 2 {
		for at := 0; at < len(keep); {
			end := min(at+size, len(keep))
			fewer := slices.Concat(keep[:at], keep[end:])
			if possible(fewer) {
				at = end
			} else {
				keep = fewer
			}
		}
	}
	if len(keep) == 0 {
		return []int{}
	}
	return keep
}
