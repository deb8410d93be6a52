package seat

import "slices"

// A part with one or two traits is a flow from classes through values of the
// first trait to values of the second, as long as the classes differ in the
// first trait only and every Count takes in all places: then capacities on
// the values carry all the rules, and a flow that uses up every place and
// meets every counted value is an answer. Flows in whole numbers are whole.

type arc struct{ to, room, back int }

// network is a circulation: flow goes round, within lower and upper limits on
// the arcs. Node 0 and 1 supply and drain what the lower limits demand.
type network struct {
	arcs   [][]arc
	seen   []bool
	demand int
}

func (g *network) arc(from, to, room int) {
	if room == 0 {
		return
	}
	g.arcs[from] = append(g.arcs[from], arc{to, room, len(g.arcs[to])})
	g.arcs[to] = append(g.arcs[to], arc{from, 0, len(g.arcs[from]) - 1})
}

func (g *network) limits(from, to, lo, hi int) {
	g.arc(from, to, hi-lo)
	g.arc(0, to, lo)
	g.arc(from, 1, lo)
	g.demand += lo
}

// meets says whether some circulation keeps all limits.
func (g *network) meets() bool {
	g.seen = make([]bool, len(g.arcs))
	for {
		sent := g.push(0, g.demand)
		if sent == 0 {
			return g.demand == 0
		}
		g.demand -= sent
		clear(g.seen)
	}
}

// push sends up to room from a node to node 1 along one path.
func (g *network) push(from, room int) int {
	if from == 1 || room == 0 {
		return room
	}
	g.seen[from] = true
	for i := range g.arcs[from] {
		a := &g.arcs[from][i]
		if a.room == 0 || g.seen[a.to] {
			continue
		}
		if sent := g.push(a.to, min(room, a.room)); sent > 0 {
			a.room -= sent
			g.arcs[a.to][a.back].room += sent
			return sent
		}
	}
	return 0
}

// test decides a part. A flow only says no; where it finds nothing against
// the part, the numbers themselves come from narrowing.
func (pt *part) test(steps *int) answer {
	if flow, applies := pt.flow(); applies && !flow {
		return no
	}
	return pt.decide(steps)
}

// flow says whether the flow exists, if the part is one.
func (pt *part) flow() (exists, applies bool) {
	if len(pt.traits) > 2 {
		return false, false
	}
	first, last := 0, len(pt.traits)-1
	if !pt.flat(last) {
		first, last = last, first
	}
	if len(pt.traits) == 2 && !pt.flat(last) {
		return false, false
	}
	limits, whole := pt.limits()
	if !whole {
		return false, false
	}
	// Nodes: 0 and 1, start, end, classes, then two for each value.
	const start, end = 2, 3
	node := func(s, v int) int {
		n := 4 + len(pt.classes) + 2*v
		if s != 0 {
			n += 2 * len(limits[0])
		}
		return n
	}
	g := &network{arcs: make([][]arc, 4+len(pt.classes)+2*(len(limits[0])+len(limits[len(limits)-1])))}
	places := 0
	for c, cl := range pt.classes {
		g.limits(start, 4+c, len(cl.places), len(cl.places))
		places += len(cl.places)
	}
	g.arc(end, start, places)
	for s := range limits {
		for v, l := range limits[s] {
			if hi := min(l[1], places); l[0] <= hi {
				g.limits(node(s, v), node(s, v)+1, l[0], hi)
			} else {
				return false, true
			}
			if s == last {
				g.arc(node(s, v)+1, end, places)
			}
		}
	}
	linked := map[[2]int]bool{}
	link := func(from, to int) {
		if !linked[[2]int{from, to}] {
			linked[[2]int{from, to}] = true
			g.arc(from, to, places)
		}
	}
	for _, cl := range pt.cells {
		link(4+cl.class, node(first, cl.values[first]))
		if first != last {
			link(node(first, cl.values[first])+1, node(last, cl.values[last]))
		}
	}
	return g.meets(), true
}

// limits gives the least and most places by slot and value, as long as every
// Count takes in all places.
func (pt *part) limits() (limits [][][2]int, whole bool) {
	for s := range pt.traits {
		l := make([][2]int, pt.values[s])
		for v := range l {
			l[v][1] = pt.places
		}
		limits = append(limits, l)
	}
	for _, sm := range pt.sums[len(pt.classes):] {
		if !sm.whole {
			return nil, false
		}
		l := &limits[sm.slot][sm.value]
		l[0], l[1] = max(l[0], sm.total), min(l[1], sm.total)
	}
	return limits, true
}

// flat says whether every class allows the same values of a trait.
func (pt *part) flat(s int) bool {
	return !slices.ContainsFunc(pt.classes, func(c class) bool { return c.allow[s] != pt.classes[0].allow[s] })
}
