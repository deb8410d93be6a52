package sop

import "slices"

// tour is an order under change. Its main move exchanges two neighbouring
// blocks, p[i+1..j] and p[j+1..k]: no block is reversed, so costs may be
// asymmetric, and every 3-exchange that keeps directions has this form. The
// other one turns a block round, which pays where costs are nearly symmetric.
//
// Ref: gambardella2000
type tour struct {
	in   *instance
	p    []int32 // node at each position
	pos  []int32 // position of each node
	w    []int32 // w[q]: cost from p[q] to p[q+1]
	wr   []int32 // wr[q]: cost from p[q+1] to p[q]
	lp   []int32 // by node: position of its latest predecessor
	fs   []int32 // by node: position of its earliest successor
	cost int
	hold []int32 // room for the block being moved
}

func newTour(in *instance, p []int32) *tour {
	n := in.n
	t := &tour{in: in, p: make([]int32, n), pos: make([]int32, n), w: make([]int32, n), wr: make([]int32, n),
		lp: make([]int32, n), fs: make([]int32, n), hold: make([]int32, n)}
	t.set(p)
	return t
}

// set takes over a feasible order.
func (t *tour) set(p []int32) {
	n := t.in.n
	copy(t.p, p)
	for q, v := range t.p {
		t.pos[v] = int32(q)
		t.lp[v], t.fs[v] = -1, int32(n)
	}
	t.refresh(0, n-1)
	t.cost = t.in.cost(t.p)
}

// exchange swaps the blocks p[i+1..j] and p[j+1..k]. The caller has made sure
// that it is feasible and gains what it says.
func (t *tour) exchange(i, j, k, gain int) {
	b, c := t.p[i+1:j+1], t.p[j+1:k+1]
	if len(b) <= len(c) {
		copy(t.hold, b)
		copy(t.p[i+1:], c)
		copy(t.p[i+1+len(c):], t.hold[:len(b)])
	} else {
		copy(t.hold, c)
		copy(t.p[i+1+len(c):], b)
		copy(t.p[i+1:], t.hold[:len(c)])
	}
	t.refresh(i+1, k)
	t.cost -= gain
}

// reverse turns the block p[l..r] round. The caller has made sure that no node
// in it must come before another.
func (t *tour) reverse(l, r int) {
	before := 0
	for q := l - 1; q <= r; q++ {
		before += int(t.w[q])
	}
	slices.Reverse(t.p[l : r+1])
	t.refresh(l, r)
	for q := l - 1; q <= r; q++ {
		before -= int(t.w[q])
	}
	t.cost -= before
}

// refresh brings pos, w, lp and fs up to date after the nodes at positions l
// to r changed places among themselves. Going down, the last to write fs[u] is
// its earliest successor in the range; one before l stays, and so does one
// after r if there is none in the range. Likewise lp, going up.
func (t *tour) refresh(l, r int) {
	in, n := t.in, t.in.n
	for q := l; q <= r; q++ {
		t.pos[t.p[q]] = int32(q)
	}
	for q := max(l-1, 0); q <= r && q < n-1; q++ {
		t.w[q] = in.c[int(t.p[q])*n+int(t.p[q+1])]
		t.wr[q] = in.ct[int(t.p[q])*n+int(t.p[q+1])]
	}
	for q := r; q >= l; q-- {
		for _, u := range in.pred[t.p[q]] {
			if t.fs[u] >= int32(l) {
				t.fs[u] = int32(q)
			}
		}
	}
	for q := l; q <= r; q++ {
		for _, u := range in.succ[t.p[q]] {
			if t.lp[u] <= int32(r) {
				t.lp[u] = int32(q)
			}
		}
	}
}

// mayFollow reports whether node v, from a position after j, may be moved
// before the block at positions i+1..j: none of v's predecessors is in there.
func (t *tour) mayFollow(v int32, i, j int32) bool {
	if l := t.lp[v]; l <= j {
		return l <= i
	}
	for _, u := range t.in.pred[v] {
		if q := t.pos[u]; q > i && q <= j {
			return false
		}
	}
	return true
}

// mayLead reports whether node v, from a position before or at j, may be moved
// after the block at positions j+1..k.
func (t *tour) mayLead(v int32, j, k int32) bool {
	if f := t.fs[v]; f > j {
		return f > k
	}
	for _, u := range t.in.succ[v] {
		if q := t.pos[u]; q > j && q <= k {
			return false
		}
	}
	return true
}

// feasible reports whether the blocks p[i+1..j] and p[j+1..k] may be swapped.
func (t *tour) feasible(i, j, k int) bool {
	for q := j + 1; q <= k; q++ {
		if !t.mayFollow(t.p[q], int32(i), int32(j)) {
			return false
		}
	}
	return true
}

// gain of swapping the blocks p[i+1..j] and p[j+1..k].
func (t *tour) gain(i, j, k int) int {
	c, n, p := t.in.c, t.in.n, t.p
	return int(t.w[i]) + int(t.w[j]) + int(t.w[k]) -
		int(c[int(p[i])*n+int(p[j+1])]) - int(c[int(p[k])*n+int(p[i+1])]) - int(c[int(p[j])*n+int(p[k+1])])
}
