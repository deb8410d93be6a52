package sop

import (
	"math/bits"
	"slices"
)

// noArc is the cost of an arc that no order can contain. It is above MaxCost
// and small enough that sums of three stay inside 32 bits.
const noArc = 1 << 30

// bitset is a set of nodes.
type bitset []uint64

func newBitset(n int) bitset      { return make(bitset, (n+63)/64) }
func (b bitset) has(i int32) bool { return b[i>>6]>>(uint(i)&63)&1 != 0 }
func (b bitset) add(i int32)      { b[i>>6] |= 1 << (uint(i) & 63) }
func (b bitset) remove(i int32)   { b[i>>6] &^= 1 << (uint(i) & 63) }
func (b bitset) intersects(o bitset) bool {
	for i, w := range b {
		if w&o[i] != 0 {
			return true
		}
	}
	return false
}
func (b bitset) equal(o bitset) bool {
	for i, w := range b {
		if w != o[i] {
			return false
		}
	}
	return true
}
func (b bitset) union(o bitset) {
	for i, w := range o {
		b[i] |= w
	}
}
func (b bitset) count() int {
	c := 0
	for _, w := range b {
		c += bits.OnesCount64(w)
	}
	return c
}

// instance is a problem made ready: node 0 comes first, node n-1 last (added
// at no cost where the problem has no such node), nodes are numbered in an
// order that keeps the precedences, arcs that no order can use are struck out.
type instance struct {
	n    int
	user []int   // the caller's number of each node, -1 for an added one
	c    []int32 // c[i*n+j]: from i to j, noArc if struck out
	ct   []int32 // the transposed matrix: ct[j*n+i] = c[i*n+j]

	pred, succ    [][]int32 // precedences without those that follow from others
	before, after []bitset  // all of them, closed
	first, last   []int32   // earliest and latest position of a node
}

// newInstance takes a valid problem without cycles, with at least one node.
func newInstance(p Problem) *instance {
	order := topological(p)
	at := make([]int, p.N)
	for i, v := range order {
		at[v] = i
	}
	after := closure(p.N, p.Before, at)
	lead := after[0].count() == p.N-1
	trail := true
	for i := 0; i < p.N-1; i++ {
		trail = trail && after[i].has(int32(p.N-1))
	}
	in := &instance{}
	shift := 0
	if !lead || p.N == 1 {
		in.user, shift = append(in.user, -1), 1
	}
	in.user = append(in.user, order...)
	if !trail || p.N == 1 {
		in.user = append(in.user, -1)
	}
	in.n = len(in.user)
	n := in.n
	in.before, in.after = make([]bitset, n), make([]bitset, n)
	for i := range n {
		in.before[i], in.after[i] = newBitset(n), newBitset(n)
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			u, v := in.user[i], in.user[j]
			if i == 0 || j == n-1 || u >= 0 && v >= 0 && after[i-shift].has(int32(j-shift)) {
				in.after[i].add(int32(j))
				in.before[j].add(int32(i))
			}
		}
	}
	in.reduce()
	in.fillCosts(p)
	in.first, in.last = make([]int32, n), make([]int32, n)
	for i := range n {
		in.first[i] = int32(in.before[i].count())
		in.last[i] = int32(n - 1 - in.after[i].count())
	}
	return in
}

// closure returns for each position of a topological order the set of later
// positions that must come after it.
func closure(n int, pairs [][2]int, at []int) []bitset {
	after := make([]bitset, n)
	direct := make([][]int32, n)
	for _, b := range pairs {
		direct[at[b[0]]] = append(direct[at[b[0]]], int32(at[b[1]]))
	}
	for i := n - 1; i >= 0; i-- {
		after[i] = newBitset(n)
		for _, j := range direct[i] {
			after[i].add(j)
			after[i].union(after[j])
		}
	}
	return after
}

// reduce lists the precedences that do not follow from others.
func (in *instance) reduce() {
	n := in.n
	in.pred, in.succ = make([][]int32, n), make([][]int32, n)
	for i := range n {
		for j := i + 1; j < n; j++ {
			if in.after[i].has(int32(j)) && !in.after[i].intersects(in.before[j]) {
				in.succ[i] = append(in.succ[i], int32(j))
				in.pred[j] = append(in.pred[j], int32(i))
			}
		}
	}
}

func (in *instance) fillCosts(p Problem) {
	n := in.n
	in.c, in.ct = make([]int32, n*n), make([]int32, n*n)
	for i := range n {
		for j := range n {
			c := int32(noArc)
			switch u, v := in.user[i], in.user[j]; {
			case i == j, in.before[i].has(int32(j)), in.after[i].intersects(in.before[j]):
			case u < 0 || v < 0:
				c = 0
			default:
				c = int32(p.Cost[u][v])
			}
			in.c[i*n+j], in.ct[j*n+i] = c, c
		}
	}
}

// cost of an order of all n nodes.
func (in *instance) cost(p []int32) int {
	sum := 0
	for i := 1; i < len(p); i++ {
		sum += int(in.c[int(p[i-1])*in.n+int(p[i])])
	}
	return sum
}

// userOrder translates an order into the caller's numbers.
func (in *instance) userOrder(p []int32) []int {
	order := make([]int, 0, len(p))
	for _, v := range p {
		if u := in.user[v]; u >= 0 {
			order = append(order, u)
		}
	}
	return order
}

// topological returns the nodes in an order that keeps the precedences, the
// lowest free number first.
func topological(p Problem) []int {
	waits := make([]int, p.N)
	next := make([][]int, p.N)
	for _, b := range p.Before {
		waits[b[1]]++
		next[b[0]] = append(next[b[0]], b[1])
	}
	var free []int // kept sorted, highest first
	for v := p.N - 1; v >= 0; v-- {
		if waits[v] == 0 {
			free = append(free, v)
		}
	}
	order := make([]int, 0, p.N)
	for len(free) > 0 {
		v := free[len(free)-1]
		free = free[:len(free)-1]
		order = append(order, v)
		for _, w := range next[v] {
			if waits[w]--; waits[w] == 0 {
				i, _ := slices.BinarySearchFunc(free, w, func(a, b int) int { return b - a })
				free = slices.Insert(free, i, w)
			}
		}
	}
	return order
}

// shortestCycle returns a cycle of precedences with the fewest nodes, or nil.
// A precedence of a node before itself is a cycle of one.
func shortestCycle(n int, pairs [][2]int) []int {
	next := make([][]int, n)
	for _, b := range pairs {
		if b[0] == b[1] {
			return []int{b[0]}
		}
		next[b[0]] = append(next[b[0]], b[1])
	}
	if len(topological(Problem{N: n, Before: pairs})) == n {
		return nil
	}
	var best []int
	from := make([]int, n)
	for start := range n {
		if c := cycleThrough(start, next, from); c != nil && (best == nil || len(c) < len(best)) {
			best = c
		}
	}
	return best
}

// cycleThrough returns a shortest cycle through start by breadth-first search.
func cycleThrough(start int, next [][]int, from []int) []int {
	for i := range from {
		from[i] = -1
	}
	queue := []int{start}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		for _, w := range next[v] {
			if w == start {
				var c []int
				for ; v != start; v = from[v] {
					c = append(c, v)
				}
				c = append(c, start)
				slices.Reverse(c)
				return c
			}
			if from[w] < 0 {
				from[w] = v
				queue = append(queue, w)
			}
		}
	}
	return nil
}
