package sched

// arborescence finds minimum spanning arborescences by growing paths backwards
// and contracting the cycles they close. Node 0 is the root. It keeps its
// memory between calls.
//
// Ref: edmonds1967, tarjan1977.
type arborescence struct {
	n      int     // nodes with the root
	arcs   [][]leg // node → arcs into it
	in     [][]leg // supernode → arcs into it
	less   []int   // to be taken from the costs of in[v]
	comp   []int32 // node → its outermost supernode
	above  []int32 // supernode → the one it was contracted into, -1
	source []int32 // supernode → chosen arc's source
	target []int32 // supernode → chosen arc's entry
	state  []uint8 // supernode: 0 new, 1 on the path, 2 done
	at     []int32 // node → its place in the list being merged, from 1
	parent []int32 // the answer: node → its parent
}

// leg is an arc from one node into another.
type leg struct {
	from, into int32
	cost       int
}

const none = 1 << 50

func newArborescence(n int) *arborescence {
	return &arborescence{
		n: n, arcs: make([][]leg, n), in: make([][]leg, 2*n), less: make([]int, 2*n),
		comp: make([]int32, n), above: make([]int32, 2*n),
		source: make([]int32, 2*n), target: make([]int32, 2*n), state: make([]uint8, 2*n),
		at: make([]int32, n), parent: make([]int32, n),
	}
}

// solve returns the least cost and fills parent; ok is false if some node
// can't be reached.
func (t *arborescence) solve() (total int, ok bool) {
	for v := range t.n {
		t.in[v] = append(t.in[v][:0], t.arcs[v]...)
		t.comp[v] = int32(v)
	}
	for v := range t.state {
		t.less[v], t.above[v], t.state[v] = 0, -1, 0
	}
	t.state[0] = 2
	next := int32(t.n)
	var path []int32
	for s := 1; s < t.n; s++ {
		v := t.comp[s]
		path = path[:0]
		for t.state[v] == 0 {
			least, ok := t.choose(v)
			if !ok {
				return 0, false
			}
			total += least
			path = append(path, v)
			t.state[v] = 1
			u := t.comp[t.source[v]]
			if t.state[u] == 1 {
				u = t.contract(&path, u, next)
				next++
			}
			v = u
		}
		for _, v := range path {
			t.state[v] = 2
		}
	}
	t.expand(next)
	return total, true
}

// choose takes the cheapest arc into supernode v and lowers the others by it.
func (t *arborescence) choose(v int32) (least int, ok bool) {
	best := leg{from: -1, cost: none}
	for _, l := range t.in[v] {
		if l.cost < best.cost && t.comp[l.from] != v {
			best = l
		}
	}
	if best.from < 0 {
		return 0, false
	}
	t.source[v], t.target[v] = best.from, best.into
	least = best.cost - t.less[v]
	t.less[v] = best.cost
	return least, true
}

// contract makes one supernode of the path's end from u on.
func (t *arborescence) contract(path *[]int32, u, c int32) int32 {
	p := *path
	first := len(p) - 1
	for p[first] != u {
		first--
	}
	cycle := p[first:]
	*path = p[:first]
	for _, v := range cycle {
		t.above[v] = c
	}
	for x, k := range t.comp {
		if t.above[k] == c {
			t.comp[x] = c
		}
	}
	in := t.in[c][:0]
	for _, v := range cycle {
		for _, l := range t.in[v] {
			l.cost -= t.less[v]
			switch at := t.at[l.from]; {
			case t.comp[l.from] == c:
			case at == 0:
				in = append(in, l)
				t.at[l.from] = int32(len(in))
			case l.cost < in[at-1].cost:
				in[at-1] = l
			}
		}
	}
	for _, l := range in {
		t.at[l.from] = 0
	}
	t.in[c] = in
	return c
}

// expand opens the supernodes from the outermost inwards.
func (t *arborescence) expand(next int32) {
	for c := next - 1; c >= int32(t.n); c-- {
		v := t.target[c]
		for t.above[v] != c {
			v = t.above[v]
		}
		t.source[v], t.target[v] = t.source[c], t.target[c]
	}
	for v := 1; v < t.n; v++ {
		t.parent[v] = t.source[v]
	}
}
