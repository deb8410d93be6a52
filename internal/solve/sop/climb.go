package sop

import (
	"math/bits"
	"slices"
)

// climb improves the prices by steps along deflected subgradients, in whole
// numbers, and ends on the best ones. It reports false if called off.
//
// Ref: heldkarp1971, camerini1975
func (p *prover) climb(rounds int, steps int64, limit, recall int) bool {
	g, n := p.g, p.g.n
	visits := make([]int64, n)
	dir := make([]int64, n) // times 256
	pace := int64(256)      // step length, times 256
	p.best = -noPath
	worse := 0
	until := p.b.used + steps
	for round := 0; round < rounds && p.b.used < until; round++ {
		if !g.sweepBack(&p.ahead, limit, p.spend) {
			return false
		}
		bound := p.rootBound()
		if bound > p.best {
			if bound-p.best > scale/8 {
				worse = 0
			}
			p.best = bound
			p.bestPrice = append(p.bestPrice[:0], g.price...)
			p.raise(int((bound + scale - 1) / scale))
		} else {
			worse++
		}
		if p.closed() {
			return true
		}
		if worse >= 6 {
			worse, pace = 0, pace/2
			g.setPrices(p.bestPrice)
			if pace < 2 {
				break
			}
		}
		if round%3 == 2 && recall > 0 {
			p.recall(recall)
		}
		g.countVisits(&p.ahead, visits)
		norm := int64(0)
		for j := 1; j < n-1; j++ {
			dir[j] = 256*(1-visits[j]) + dir[j]*3/5
			norm += dir[j] * dir[j]
		}
		if norm == 0 { // every node once, but perhaps in a forbidden order
			if !p.recall(recall) {
				break
			}
			continue
		}
		gap := p.reach(bound, p.best)
		for j := 1; j < n-1; j++ {
			// pace/256 * gap * (dir/256) / (norm/65536)
			g.move(j, mulDiv(gap*pace, dir[j], norm))
		}
	}
	g.setPrices(p.bestPrice)
	return g.sweepBack(&p.ahead, limit, p.spend)
}

// reach is how far from a bound a step aims, scaled: at the goal, or somewhat
// above the best bound where the goal is far off.
func (p *prover) reach(bound, best int64) int64 {
	return max(min(p.goal()+scale, best+best/8)-bound, scale)
}

// mulDiv is a*b/c for c > 0, cut to what fits.
func mulDiv(a, b, c int64) int64 {
	sign := int64(1)
	if a < 0 {
		a, sign = -a, -sign
	}
	if b < 0 {
		b, sign = -b, -sign
	}
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi >= uint64(c) {
		return sign * noPath
	}
	q, _ := bits.Div64(hi, lo, uint64(c))
	return sign * int64(min(q, uint64(noPath)))
}

// rootBound is the scaled bound of the last sweep.
func (p *prover) rootBound() int64 {
	l := p.ahead.at(0)
	if len(l) == 0 {
		return p.goal() + scale // no path at all is left below the goal
	}
	return l[0].cost + p.g.total + p.g.base
}

func (g *graph) move(j int, by int64) {
	by = clampPrice(g.price[j]+by) - g.price[j]
	g.price[j] += by
	g.total += by
}

// clampPrice keeps prices within what the dearest arc can justify.
func clampPrice(v int64) int64 {
	const most = int64(MaxCost) * scale
	return max(-most, min(most, v))
}

func (g *graph) setPrices(price []int64) {
	copy(g.price, price)
	g.total = 0
	for _, v := range price {
		g.total += v
	}
}

// countVisits counts how often the cheapest relaxed path comes to each node.
func (g *graph) countVisits(tb *table, visits []int64) {
	clear(visits)
	for i := tb.place[0][0]; i >= 0; i = tb.lab[i].next {
		visits[tb.lab[i].node]++
	}
}

// path lists the nodes of the cheapest relaxed path.
func (g *graph) path(tb *table) []int16 {
	var p []int16
	for i := tb.place[0][0]; i >= 0; i = tb.lab[i].next {
		p = append(p, tb.lab[i].node)
	}
	return p
}

// recall makes the memories long enough to exclude the faults of the cheapest
// relaxed path (a node visited twice, or after one that must follow it) as far
// as no node remembers more than most others. It reports whether it could.
func (p *prover) recall(most int) bool {
	g := p.g
	path := g.path(&p.ahead)
	changed := false
	for t2, v := range path {
		for t1 := t2 - 1; t1 >= 0; t1-- {
			w := path[t1]
			if w != v && !p.in.after[v].has(int32(w)) {
				continue
			}
			if g.remember(v) && g.remember(w) {
				changed = g.ahead.extend(path[t1+1:t2+1], g.bit[w], most) || changed
				changed = g.back.extend(path[t1:t2], g.bit[v], most) || changed
			}
			break
		}
	}
	return changed
}

// extend makes the nodes remember the bit if none of them remembers too much.
func (m *memory) extend(nodes []int16, bit uint64, most int) bool {
	if slices.ContainsFunc(nodes, func(v int16) bool {
		return bits.OnesCount64(m.keep[v]|bit) > most
	}) {
		return false
	}
	changed := false
	for _, v := range nodes {
		changed = changed || m.keep[v]&bit == 0
		m.keep[v] |= bit
	}
	return changed
}

// thin strikes out arcs, position by position, that no order below the goal
// can use.
func (p *prover) thin(limit int) bool {
	g, n := p.g, p.g.n
	if !g.sweepForth(&p.back, limit, p.spend) {
		return false
	}
	if !g.own {
		return true
	}
	most := p.goal() - g.total - g.base
	for t := range n - 1 {
		for j := range n {
			l := g.arcs[t*n+j]
			w := 0
			for _, k := range l {
				step := g.cost[j*n+int(k)] - g.price[k]
				if p.joins(t, j, int(k), most-step) {
					l[w] = k
					w++
				}
			}
			g.arcs[t*n+j] = l[:w]
			if !p.spend(4*len(l) + 1) {
				return false
			}
		}
	}
	return true
}

// joins reports whether a path from the start to j at position t and one from
// k at t+1 to the end exist that cost no more than most together and do not
// contradict each other.
func (p *prover) joins(t, j, k int, most int64) bool {
	n := p.g.n
	heads := p.back.at(t*n + j)
	tails := p.ahead.at((t+1)*n + k)
	for i := range heads {
		h := &heads[i]
		if len(tails) == 0 || h.cost+tails[0].cost > most {
			return false
		}
		if h.mem&p.g.bit[k] != 0 {
			continue
		}
		for m := range tails {
			l := &tails[m]
			if h.cost+l.cost > most {
				break
			}
			if l.mem&(h.mem|p.g.bit[j]) == 0 {
				return true
			}
		}
	}
	return false
}
