package sched

// loadState is what is done and the class on the bench; -1: it does not matter.
type loadState struct {
	done  wide
	class int32
}

// loadNode is a state with what it has cost and what is left costs at least, 1/1024 s.
type loadNode struct {
	loadState
	cost, left int
}

// bound is the least that the set-ups cost in seconds, or as much of it as can be
// proved with the states there are, or by enough, whichever comes first.
func (l *loads) bound(rules []*blockRule, enough int, done func() bool) int {
	s := loadSearch{loads: l, ledgers: l.ledgers(rules), least: map[loadState]int{}, open: map[int][]loadNode{}}
	return s.run(enough, done)
}

type loadSearch struct {
	*loads
	ledgers []*ledger
	serves  [][]*ledger // group → ledgers with classes of it
	least   map[loadState]int
	open    map[int][]loadNode // by the promise, seconds
	promise int
}

func (s *loadSearch) run(enough int, done func() bool) int {
	l := s.loads
	s.serves = make([][]*ledger, len(l.classes))
	left := 0
	for _, q := range s.ledgers {
		left += q.price * l.left(q, wide{})
		for g, classes := range l.classes {
			for _, c := range classes {
				if q.group[c] > 0 {
					s.serves[g] = append(s.serves[g], q)
					break
				}
			}
		}
	}
	s.push(loadNode{loadState{class: -1}, 0, left})
	looked := 0
	for s.promise = (left + unit - 1) / unit; s.promise < enough; s.promise++ {
		for list := s.open[s.promise]; len(list) > 0; list = s.open[s.promise] {
			n := list[len(list)-1]
			s.open[s.promise] = list[:len(list)-1]
			if s.least[n.loadState] < n.cost {
				continue
			}
			if looked++; n.done == l.all || len(s.least) > l.states || looked&1023 == 0 && done() {
				return s.promise
			}
			s.expand(n)
		}
		delete(s.open, s.promise)
	}
	return s.promise
}

func (s *loadSearch) push(n loadNode) {
	if v, ok := s.least[n.loadState]; !ok || n.cost < v {
		s.least[n.loadState] = n.cost
		f := max(s.promise, (n.cost+n.left+unit-1)/unit)
		s.open[f] = append(s.open[f], n)
	}
}

// expand goes on from a state in every way that need be looked at.
func (s *loadSearch) expand(n loadNode) {
	l := s.loads
	to := func(done wide, c int32, g int32, cost int) {
		next := loadNode{loadState{done, l.mattering(done, c)}, n.cost + cost*unit, n.left}
		for _, q := range s.serves[g] {
			next.left += q.price * (s.leftAt(q, next.loadState) - s.leftAt(q, n.loadState))
		}
		s.push(next)
	}
	if c := n.class; c >= 0 {
		g := l.group[c]
		to(n.done, -1, g, 0)
		for _, d := range l.classes[g] {
			if t := l.take(n.done, d, &l.all); d != c && t != n.done {
				to(t, d, g, l.within(c, d))
			}
		}
		return
	}
	for g := range l.classes {
		if cost, t := l.finish(n.done, int32(g), &l.all); cost > 0 {
			to(t, -1, int32(g), cost)
			return
		}
	}
	for g, classes := range l.classes {
		for _, c := range classes {
			if t := l.take(n.done, c, &l.all); t != n.done {
				to(t, c, int32(g), l.entry[c])
			}
		}
	}
}

// leftAt is left where something may be loaded: what can be done of its group needs no
// entrance.
func (s *loadSearch) leftAt(q *ledger, at loadState) int {
	done := at.done
	if at.class >= 0 && q.group[at.class] > 0 {
		g := q.group[at.class]
		for more := true; more; {
			more = false
			for _, c := range s.classes[s.group[at.class]] {
				if q.group[c] == g {
					t := s.take(done, c, &s.all)
					more = more || t != done
					done = t
				}
			}
		}
	}
	return s.left(q, done)
}

// mattering is class c if something of another class of its group can be done next.
func (l *loads) mattering(done wide, c int32) int32 {
	if c >= 0 {
		for _, d := range l.classes[l.group[c]] {
			if d != c && l.take(done, d, &l.all) != done {
				return c
			}
		}
	}
	return -1
}
