package sop

import "slices"

// struck is the scaled cost of an arc that is struck out: too dear to be
// chosen where any order exists, and a lower bound on infinity in any case.
const struck = int64(1) << 50

// arborescence finds cheapest spanning trees that point away from node 0. An
// order is one of those in which every node but the last has one follower;
// prices on the followers pull the tree towards that.
//
// Ref: edmonds1967, heldkarp1971
type arborescence struct {
	levels []*level
	depth  int // levels in use
}

// level is the graph after some contractions of cycles.
type level struct {
	m     int
	cost  []int64 // m*m
	via   []int32 // the arc of the level before that each arc stands for
	least []int64 // by node: the cheapest arc to it; taken off all arcs to it
	lead  []int32 // by node: the tail of the arc chosen
	group []int32 // by node: its node in the next level
}

func (a *arborescence) level(d, m int) *level {
	if d == len(a.levels) {
		a.levels = append(a.levels, &level{})
	}
	l := a.levels[d]
	l.m = m
	l.cost = slices.Grow(l.cost[:0], m*m)[:m*m]
	l.via = slices.Grow(l.via[:0], m*m)[:m*m]
	l.least = slices.Grow(l.least[:0], m)[:m]
	l.lead = slices.Grow(l.lead[:0], m)[:m]
	l.group = slices.Grow(l.group[:0], m)[:m]
	return l
}

// solve finds the cheapest tree for the costs in level 0; its arcs are then in
// lead. It returns the tree's cost and the steps taken.
func (a *arborescence) solve() (sum int64, steps int) {
	d := 0
	for ; ; d++ {
		l := a.levels[d]
		steps += 3 * l.m * l.m
		for j := 1; j < l.m; j++ {
			best := 0
			if j == best {
				best = 1
			}
			for i := range l.m {
				if i != j && l.cost[i*l.m+j] < l.cost[best*l.m+j] {
					best = i
				}
			}
			l.lead[j], l.least[j] = int32(best), l.cost[best*l.m+j]
			sum += l.least[j]
		}
		l.least[0], l.lead[0] = 0, -1
		m := l.findCycles()
		if m == l.m {
			break
		}
		a.contract(d, m)
	}
	a.depth = d + 1
	for ; d > 0; d-- {
		l, below := a.levels[d], a.levels[d-1]
		for j := 1; j < l.m; j++ {
			arc := int(l.via[int(l.lead[j])*l.m+j])
			below.lead[arc%below.m] = int32(arc / below.m)
		}
	}
	return sum, steps
}

// findCycles numbers the groups, a cycle being one and any other node one by
// itself, node 0 first, and returns how many there are.
func (l *level) findCycles() int {
	const open, walked = -1, -2
	for j := range l.group {
		l.group[j] = open
	}
	groups := int32(1)
	l.group[0] = 0
	for start := 1; start < l.m; start++ {
		v := int32(start)
		for l.group[v] == open {
			l.group[v] = walked
			v = l.lead[v]
		}
		if l.group[v] == walked { // a new cycle
			for u := v; l.group[u] == walked; u = l.lead[u] {
				l.group[u] = groups
			}
			groups++
		}
		for v = int32(start); l.group[v] == walked; v = l.lead[v] {
			l.group[v] = groups
			groups++
		}
	}
	return int(groups)
}

// contract builds level d+1 out of the m groups of level d.
func (a *arborescence) contract(d, m int) {
	next := a.level(d+1, m)
	l := a.levels[d]
	for i := range next.cost {
		next.cost[i] = 2 * struck
	}
	for i := range l.m {
		gi := int(l.group[i]) * m
		for j := 1; j < l.m; j++ {
			e := gi + int(l.group[j])
			if c := l.cost[i*l.m+j] - l.least[j]; c < next.cost[e] && l.group[i] != l.group[j] {
				next.cost[e], next.via[e] = c, int32(i*l.m+j)
			}
		}
	}
}

// leftover takes off the costs of level 0 what the tree's prices account for.
// Every order costs at least as much as the tree and what is left of its arcs.
//
// Ref: fischetti1992
func (a *arborescence) leftover(rest []int64) {
	n := a.levels[0].m
	at := make([]int32, n) // the node of the level that a node is in
	for v := range at {
		at[v] = int32(v)
	}
	for d := range a.depth {
		l := a.levels[d]
		for i := range n {
			for j := range n {
				if at[i] != at[j] {
					rest[i*n+j] -= l.least[at[j]]
				}
			}
		}
		for v := range at {
			at[v] = l.group[at[v]]
		}
	}
}

// growTrees improves the prices of followers by subgradients and returns the
// best bound and the leftover costs, both scaled. tail holds prices to begin
// with.
func (p *prover) growTrees(tail []int64, rounds int, allowed int64) (bound int64, rest []int64, ok bool) {
	n := p.in.n
	a := &arborescence{}
	price := make([]int64, n) // added to every arc from the node
	for i := range n - 1 {
		price[i] = -tail[i]
	}
	degree, dir := make([]int64, n), make([]int64, n)
	best := slices.Clone(price)
	bound = -noPath
	pace, worse := int64(256), 0
	until := p.b.used + allowed
	for round := 0; round < rounds && p.b.used < until; round++ {
		b, steps := p.tree(a, price)
		if !p.spend(steps) {
			return 0, nil, false
		}
		worse++
		if b > bound {
			if b-bound > scale/8 {
				worse = 0
			}
			bound = b
			copy(best, price)
			p.raise(int((bound + scale - 1) / scale))
		}
		if worse >= 25 {
			worse, pace = 0, pace/2
			copy(price, best)
		}
		clear(degree)
		for _, i := range a.levels[0].lead[1:] {
			degree[i]++
		}
		norm := int64(0)
		for i := range n - 1 {
			dir[i] = 256*(degree[i]-1) + dir[i]*3/5
			norm += dir[i] * dir[i]
		}
		if norm == 0 || pace < 2 || p.closed() {
			break
		}
		gap := p.reach(b, bound)
		for i := range n - 1 {
			price[i] = clampPrice(price[i] + mulDiv(gap*pace, dir[i], norm))
		}
	}
	bound, steps := p.tree(a, best)
	if !p.spend(steps * 3) {
		return 0, nil, false
	}
	rest = make([]int64, n*n)
	for i := range n {
		p.priced(rest[i*n:i*n+n], i, best)
	}
	a.leftover(rest)
	return bound, rest, true
}

// tree solves for the given prices and returns the scaled bound.
func (p *prover) tree(a *arborescence, price []int64) (bound int64, steps int) {
	n := p.in.n
	l := a.level(0, n)
	for i := range n {
		p.priced(l.cost[i*n:i*n+n], i, price)
	}
	bound, steps = a.solve()
	for _, v := range price[:n-1] {
		bound -= v
	}
	return bound, steps + n*n
}

// priced puts the scaled costs of the arcs from i into row, with i's price.
func (p *prover) priced(row []int64, i int, price []int64) {
	for j, c := range p.in.c[i*len(row) : (i+1)*len(row)] {
		row[j] = int64(c)*scale + price[i]
		if c == noArc {
			row[j] = struck
		}
	}
}

// scaled is the scaled cost of every arc.
func (p *prover) scaled() []int64 {
	cost := make([]int64, len(p.in.c))
	for e, c := range p.in.c {
		cost[e] = int64(c) * scale
		if c == noArc {
			cost[e] = struck
		}
	}
	return cost
}
