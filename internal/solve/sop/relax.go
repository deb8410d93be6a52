package sop

// The relaxation behind the bounds: a path over positions 0..n-1 from the first
// node to the last, which need not visit every node once. Prices on the nodes
// pull it towards visiting each once; a short memory on some nodes keeps it
// from returning too soon; what the precedences say of the nodes remembered
// counts as remembered too. Costs are scaled, so that prices can be fractions.
//
// Ref: baldacci2012, roberti2014
const (
	scale  = 1024
	noPath = int64(1) << 60
)

// graph is what is left of the position-indexed arcs.
type graph struct {
	in    *instance
	n     int
	cost  []int64   // of every arc, scaled
	base  int64     // every order costs at least this and the costs of its arcs
	price []int64   // by node, scaled; 0 for the first and the last
	total int64     // sum of the prices
	arcs  [][]int16 // arcs[t*n+j]: the nodes that may follow j at position t
	own   bool      // arcs are separate lists that may be thinned out
	bit   []uint64  // the node's bit in memories, 0 if it is never remembered
	marks int       // bits given out
	ahead memory    // of paths seen from their end
	back  memory    // of paths seen from their start
}

// memory says what is remembered where.
type memory struct {
	keep []uint64 // by node: what a path standing there remembers
	know []uint64 // by node: bits of the nodes that a visit there settles
}

// label is a relaxed path from node at some position to the end (or from the
// start to it): the cheapest of those with the same memory.
type label struct {
	mem  uint64
	cost int64 // without the node's own price
	next int32 // index of the label it continues, -1 at the end
	node int16
}

// table holds the labels of one sweep.
type table struct {
	lab   []label
	place [][2]int32 // labels of node j at position t: from, to at t*n+j; cheapest first
}

func (tb *table) at(p int) []label { return tb.lab[tb.place[p][0]:tb.place[p][1]] }

// maxOwnArcs bounds the arcs kept position by position.
const maxOwnArcs = 40_000_000

func newGraph(in *instance, cost []int64, base int64, spend func(int) bool) (*graph, bool) {
	n := in.n
	g := &graph{in: in, n: n, cost: cost, base: base, price: make([]int64, n), arcs: make([][]int16, n*n), bit: make([]uint64, n)}
	g.ahead = memory{keep: make([]uint64, n), know: make([]uint64, n)}
	g.back = memory{keep: make([]uint64, n), know: make([]uint64, n)}
	all := make([][]int16, n)
	count := 0
	for j := range n {
		for k := range n {
			if in.c[j*n+k] != noArc {
				all[j] = append(all[j], int16(k))
			}
		}
		count += len(all[j]) * int(in.last[j]-in.first[j]+1)
	}
	g.own = count <= maxOwnArcs
	for j := range n {
		for t := int(in.first[j]); t <= int(in.last[j]) && t < n-1; t++ {
			if !g.own {
				g.arcs[t*n+j] = all[j]
				continue
			}
			var l []int16
			for _, k := range all[j] {
				if int(in.first[k]) <= t+1 && t+1 <= int(in.last[k]) {
					l = append(l, k)
				}
			}
			g.arcs[t*n+j] = l
		}
		if !spend(n) {
			return nil, false
		}
	}
	return g, true
}

// remember gives a node a bit, if one is left, and reports whether it has one.
func (g *graph) remember(v int16) bool {
	if g.bit[v] != 0 {
		return true
	}
	if g.marks == 64 {
		return false
	}
	g.bit[v] = 1 << g.marks
	g.marks++
	for u := range g.n {
		if u == int(v) || g.in.after[u].has(int32(v)) {
			g.ahead.know[u] |= g.bit[v] // v comes later than a visit to u
		}
		if u == int(v) || g.in.before[u].has(int32(v)) {
			g.back.know[u] |= g.bit[v]
		}
	}
	g.ahead.keep[v] |= g.bit[v]
	g.back.keep[v] |= g.bit[v]
	return true
}

// sweepBack fills a table of cheapest relaxed paths to the end. It gives up
// when spend says so or there are more than limit labels.
func (g *graph) sweepBack(tb *table, limit int, spend func(int) bool) bool {
	if g.marks == 0 {
		return g.sweepPlain(tb, spend)
	}
	n := g.n
	tb.reset(n)
	var list gather
	for t := n - 1; t >= 0; t-- {
		for j := range n {
			list.clear()
			if t == n-1 && j == n-1 {
				list.add(label{g.ahead.know[j] & g.ahead.keep[j], 0, -1, int16(j)})
			}
			work := 1
			for _, k := range g.arcs[t*n+j] {
				p := tb.place[(t+1)*n+int(k)]
				step := g.cost[j*n+int(k)] - g.price[k]
				for i := p[0]; i < p[1]; i++ {
					l := &tb.lab[i]
					if l.mem&g.bit[j] == 0 {
						mem := (l.mem | g.ahead.know[j]) & g.ahead.keep[j]
						work += list.add(label{mem, l.cost + step, i, int16(j)})
					}
				}
				work++
			}
			tb.place[t*n+j] = tb.put(list.sorted())
			if !spend(work) || len(tb.lab) > limit {
				return false
			}
		}
	}
	return true
}

// sweepPlain is sweepBack where nothing is remembered yet.
func (g *graph) sweepPlain(tb *table, spend func(int) bool) bool {
	n := g.n
	tb.reset(n)
	cost, at := make([]int64, n), make([]int32, n) // at position t+1, own price taken off
	for t := n - 1; t >= 0; t-- {
		work := n
		for j := range n {
			best, next := noPath, int32(-1)
			if t == n-1 && j == n-1 {
				best = 0
			}
			row := g.cost[j*n : j*n+n]
			arcs := g.arcs[t*n+j]
			for _, k := range arcs {
				if c := cost[k] + row[k]; c < best {
					best, next = c, int32(k)
				}
			}
			work += len(arcs)
			from := int32(len(tb.lab))
			if best < noPath {
				if next >= 0 {
					next = at[next]
				}
				tb.lab = append(tb.lab, label{0, best, next, int16(j)})
			}
			tb.place[t*n+j] = [2]int32{from, int32(len(tb.lab))}
		}
		for j := range n {
			p := tb.place[t*n+j]
			cost[j], at[j] = noPath, p[0]
			if p[0] < p[1] {
				cost[j] = tb.lab[p[0]].cost - g.price[j]
			}
		}
		if !spend(work) {
			return false
		}
	}
	return true
}

// sweepForth fills a table of cheapest relaxed paths from the start.
func (g *graph) sweepForth(tb *table, limit int, spend func(int) bool) bool {
	n := g.n
	tb.reset(n)
	list := make([]gather, n)
	list[0].add(label{g.back.know[0] & g.back.keep[0], 0, -1, 0})
	for t := range n {
		for j := range n {
			tb.place[t*n+j] = tb.put(list[j].sorted())
			list[j].clear()
		}
		if len(tb.lab) > limit {
			return false
		}
		for j := range n {
			p := tb.place[t*n+j]
			if p[0] == p[1] {
				continue
			}
			work := 1
			for _, k := range g.arcs[t*n+j] {
				step := g.cost[j*n+int(k)] - g.price[k]
				for i := p[0]; i < p[1]; i++ {
					l := &tb.lab[i]
					if l.mem&g.bit[k] == 0 {
						mem := (l.mem | g.back.know[k]) & g.back.keep[k]
						work += list[k].add(label{mem, l.cost + step, i, k})
					}
				}
				work++
			}
			if !spend(work) {
				return false
			}
		}
	}
	return true
}

func (tb *table) reset(n int) {
	tb.lab = tb.lab[:0]
	if tb.place == nil {
		tb.place = make([][2]int32, n*n)
	}
}

// put appends the labels of one place.
func (tb *table) put(list []label) [2]int32 {
	from := int32(len(tb.lab))
	tb.lab = append(tb.lab, list...)
	return [2]int32{from, int32(len(tb.lab))}
}
