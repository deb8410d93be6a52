package sched

import "slices"

// loads bounds the set-ups of one worker by what is loaded how often. Classes
// between which it is cheaper to switch than to open a window form a group; each
// time a group is loaded costs at least its cheapest entrance, from any other class
// or by opening a window, and the switches inside. What is loaded before and behind
// does not matter then. So
//
//   - it never hurts to do all that can be done of what is loaded;
//   - nor to finish a group at once that one load can finish for the least that what
//     is left of it can cost: every load of it later on is spared;
//   - each block rule says how many entrances what is left of it still needs, and
//     these, each at a price, add up to what is left costs as long as the prices of
//     the rules that one load serves are no more than that load costs.
//
// A best-first search over what is done, led by such sums, gives the bound.
//
// Ref: hart1968.
type loads struct {
	m       *model
	group   []int32   // class → group; -1: it has no jobs
	classes [][]int32 // group → classes
	entry   []int     // class → the cheapest way to load it behind another group
	inside  []int     // class, class of the same group → the cheapest way from one to the other
	jobs    [][]int32 // class → jobs in a topological order
	prior   []wide    // job → jobs that must come before it
	reach   []wide    // job → jobs that must come after it
	all     wide
	states  int // how many may be remembered
}

// wide is a set of jobs, for problems of at most mostForLoads.
type wide [4]uint64

const mostForLoads = 64 * len(wide{})

func (w *wide) has(j int32) bool { return w[j>>6]&(1<<(j&63)) != 0 }
func (w *wide) set(j int32)      { w[j>>6] |= 1 << (j & 63) }

// meets reports that w and v share something that is not in but.
func (w *wide) meets(v, but *wide) bool {
	return w[0]&v[0]&^but[0]|w[1]&v[1]&^but[1]|w[2]&v[2]&^but[2]|w[3]&v[3]&^but[3] != 0
}

// adds reports that some of w is in now but was not in before.
func (w *wide) adds(before, now *wide) bool { return w.meets(now, before) }

// lacks reports that among the jobs of a set w has some that v has not.
func (w *wide) lacks(v, among *wide) bool {
	return w[0]&among[0]&^v[0]|w[1]&among[1]&^v[1]|w[2]&among[2]&^v[2]|w[3]&among[3]&^v[3] != 0
}

// newLoads is nil where the bound says nothing: several workers, or too many jobs.
func newLoads(m *model, states int) *loads {
	if m.m > 1 || m.n > mostForLoads {
		return nil
	}
	l := &loads{m: m, states: states, group: slices.Repeat([]int32{-1}, m.c), entry: slices.Clone(m.p.First),
		jobs: make([][]int32, m.c), prior: make([]wide, m.n), reach: make([]wide, m.n)}
	for _, j := range m.topo {
		l.jobs[m.class[j]] = append(l.jobs[m.class[j]], j)
		copy(l.prior[j][:], m.prior[j])
		copy(l.reach[j][:], m.reach[j])
		l.all.set(j)
	}
	for c := range int32(m.c) {
		if len(l.jobs[c]) > 0 {
			l.join(c)
		}
	}
	for b := range int32(m.c) {
		for a := range int32(m.c) {
			if l.group[a] >= 0 && l.group[a] != l.group[b] {
				l.entry[b] = min(l.entry[b], m.switchCost(a, b))
			}
		}
	}
	l.shorten()
	return l
}

// shorten makes no way dearer than one by way of a third class: what could be spared
// by such a detour would be lost where all that can be done is done at once.
func (l *loads) shorten() {
	m := l.m
	l.inside = make([]int, m.c*m.c)
	at := func(a, b int32) *int { return &l.inside[int(a)*m.c+int(b)] }
	for _, list := range l.classes {
		for _, a := range list {
			for _, b := range list {
				if a != b {
					*at(a, b) = min(m.switchCost(a, b), m.p.First[b])
				}
			}
		}
		for _, by := range list {
			for _, a := range list {
				for _, b := range list {
					*at(a, b) = min(*at(a, b), *at(a, by)+*at(by, b))
				}
			}
		}
		for range list {
			for _, a := range list {
				for _, b := range list {
					l.entry[b] = min(l.entry[b], l.entry[a]+*at(a, b))
				}
			}
		}
		for _, a := range list {
			for _, b := range list {
				*at(a, b) = min(*at(a, b), l.entry[b])
			}
		}
	}
}

// mostInGroup is up to how many classes a group has: all orders of them are tried.
const mostInGroup = 6

// join puts class c into a group.
func (l *loads) join(c int32) {
	m := l.m
	dear := func(a int32) bool {
		open := min(m.p.First[a], m.p.First[c])
		return m.switchCost(a, c) >= open || m.switchCost(c, a) >= open
	}
	for g, list := range l.classes {
		if len(list) < mostInGroup && !slices.ContainsFunc(list, dear) {
			l.group[c] = int32(g)
			l.classes[g] = append(list, c)
			return
		}
	}
	l.group[c] = int32(len(l.classes))
	l.classes = append(l.classes, []int32{c})
}

// within is what class b costs behind class a of its group.
func (l *loads) within(a, b int32) int { return l.inside[int(a)*l.m.c+int(b)] }

// take adds to done what can be done of class c where there are only the jobs of a set.
func (l *loads) take(done wide, c int32, among *wide) wide {
	for _, j := range l.jobs[c] {
		if !done.has(j) && !l.prior[j].lacks(&done, among) {
			done.set(j)
		}
	}
	return done
}

// open reports whether class c has jobs left.
func (l *loads) open(done *wide, c int32) bool {
	for _, j := range l.jobs[c] {
		if !done.has(j) {
			return true
		}
	}
	return false
}

// finish finishes a group by one load, if that costs the least that any way to
// finish it costs; cost 0: it can't.
func (l *loads) finish(done wide, g int32, among *wide) (cost int, all wide) {
	var list [mostInGroup]int32
	left := list[:0]
	for _, c := range l.classes[g] {
		if l.open(&done, c) {
			left = append(left, c)
		}
	}
	if len(left) == 0 {
		return 0, done
	}
	least := none
	for _, first := range left {
		sum := l.entry[first]
		for _, c := range left {
			if c == first {
				continue
			}
			in := l.entry[c]
			for _, d := range left {
				if d != c {
					in = min(in, l.within(d, c))
				}
			}
			sum += in
		}
		least = min(least, sum)
	}
	return l.oneLoad(done, left, -1, 0, least, among)
}

// oneLoad does all of some classes of a group, each in one go, for at most so many seconds.
func (l *loads) oneLoad(done wide, left []int32, last int32, cost, most int, among *wide) (int, wide) {
	if len(left) == 0 {
		return cost, done
	}
	for i, c := range left {
		v := cost + l.entry[c]
		if last >= 0 {
			v = cost + l.within(last, c)
		}
		if v > most {
			continue
		}
		t := l.take(done, c, among)
		if l.open(&t, c) {
			continue
		}
		var rest [mostInGroup]int32
		if sum, t := l.oneLoad(t, append(append(rest[:0], left[:i]...), left[i+1:]...), c, v, most, among); sum > 0 {
			return sum, t
		}
	}
	return 0, done
}
