package sched

// arborescence finds minimum spanning arborescences of dense graphs in O(n²),
// by growing paths backwards and contracting the cycles they close. Node 0 is
// the root. It keeps its memory between calls.
//
// Ref: edmonds1967, tarjan1977.
type arborescence struct {
	n      int       // nodes with the root
	cost   [][]int   // cost[v][u]: arc u → v; none if absent
	in     [][]int   // supernode → cost of the best arc from each node
	entry  [][]int32 // supernode → where that arc enters
	less   []int     // to be taken from in[v]
	comp   []int32   // node → its outermost supernode
	above  []int32   // supernode → the one it was contracted into, -1
	source []int32   // supernode → chosen arc's source
	target []int32   // supernode → chosen arc's entry
	state  []uint8   // supernode: 0 new, 1 on the path, 2 done
	kids   [][]int32
	parent []int32 // the answer: node → its parent
}

const none = 1 << 50

func newArborescence(n int) *arborescence {
	t := &arborescence{n: n}
	t.cost = make([][]int, n)
	for v := range t.cost {
		t.cost[v] = make([]int, n)
	}
	t.in, t.entry = make([][]int, 2*n), make([][]int32, 2*n)
	for v := range t.in {
		t.in[v], t.entry[v] = make([]int, n), make([]int32, n)
	}
	t.less = make([]int, 2*n)
	t.comp = make([]int32, n)
	t.above = make([]int32, 2*n)
	t.source, t.target = make([]int32, 2*n), make([]int32, 2*n)
	t.state = make([]uint8, 2*n)
	t.kids = make([][]int32, 2*n)
	t.parent = make([]int32, n)
	return t
}

// solve returns the least cost and fills parent; ok is false if some node
// can't be reached.
func (t *arborescence) solve() (total int, ok bool) {
	for v := range t.n {
		copy(t.in[v], t.cost[v])
		for u := range t.entry[v] {
			t.entry[v][u] = int32(v)
		}
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
	best, from := none, int32(-1)
	in := t.in[v]
	for u, c := range in {
		if c < best && t.comp[u] != v {
			best, from = c, int32(u)
		}
	}
	if from < 0 {
		return 0, false
	}
	t.source[v], t.target[v] = from, t.entry[v][from]
	least = best - t.less[v]
	t.less[v] = best
	return least, true
}

// contract makes one supernode of the path's end from u on.
func (t *arborescence) contract(path *[]int32, u, c int32) int32 {
	in, entry := t.in[c], t.entry[c]
	for x := range in {
		in[x] = none
	}
	t.kids[c] = t.kids[c][:0]
	for {
		p := *path
		v := p[len(p)-1]
		*path = p[:len(p)-1]
		for x, cost := range t.in[v] {
			if cost < none && cost-t.less[v] < in[x] {
				in[x], entry[x] = cost-t.less[v], t.entry[v][x]
			}
		}
		t.above[v] = c
		t.kids[c] = append(t.kids[c], v)
		if v == u {
			break
		}
	}
	for x, k := range t.comp {
		if t.above[k] == c {
			t.comp[x] = c
		}
	}
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
