package seat

import "slices"

// A class whose Counts concern no other open class can be closed at once when
// it is known how many of its places have each value of each trait: every two
// traits with forbidden pairs between them need a flow from the values of one
// to those of the other. If the traits hang together as a tree, flows for its
// branches are enough: whole places are glued from them, trait by trait.

// apart says whether no open cell of another class shares a Count with class
// c, not even a Count whose cells in c are settled: its rest is not known yet.
func (pt *part) apart(c int) bool {
	for i := range pt.cells {
		if pt.cells[i].class != c {
			continue
		}
		for _, s := range pt.cells[i].sums[1:] {
			for _, j := range pt.sums[s].cells {
				if o := &pt.cells[j]; o.class != c && o.lo < o.hi {
					return false
				}
			}
		}
	}
	return true
}

// close decides a class that stands apart; with yes its cells are settled.
func (pt *part) close(c int) answer {
	var cells []int
	for i := range pt.cells {
		if pt.cells[i].class == c {
			cells = append(cells, i)
		}
	}
	margins, a := pt.margins(c, cells)
	if a != yes {
		return a
	}
	root := make([]int, len(pt.traits)) // of the tree a trait has joined
	for s := range root {
		root[s] = s
	}
	tree, flows := true, map[[2]int][][]int{}
	for _, e := range pt.pairs {
		flow := pt.pairUp(e, cells, margins)
		if flow == nil {
			return no
		}
		flows[e] = flow
		if root[e[0]] == root[e[1]] {
			tree = false
			continue
		}
		from, to := root[e[0]], root[e[1]]
		for s := range root {
			if root[s] == from {
				root[s] = to
			}
		}
	}
	if !tree {
		return undecided
	}
	pt.glue(c, cells, margins, flows)
	return yes
}

// margins works out how often each value stands in a class: undecided if that
// is not known, no if it cannot be.
func (pt *part) margins(c int, cells []int) (margins [][]int, a answer) {
	size := len(pt.classes[c].places)
	margins = make([][]int, len(pt.traits))
	for s := range margins {
		margins[s] = slices.Repeat([]int{-1}, pt.values[s])
	}
	for _, i := range cells {
		for _, k := range pt.cells[i].sums[1:] {
			sm := &pt.sums[k]
			left := sm.total
			for _, j := range sm.cells {
				if pt.cells[j].class != c {
					left -= pt.cells[j].lo
				}
			}
			if was := margins[sm.slot][sm.value]; left < 0 || was >= 0 && was != left {
				return nil, no
			}
			margins[sm.slot][sm.value] = left
		}
	}
	for s := range margins {
		known, open := 0, -1
		for v, n := range margins[s] {
			switch {
			case n >= 0:
				known += n
			case !slices.ContainsFunc(cells, func(i int) bool { return pt.cells[i].values[s] == v && pt.cells[i].hi > 0 }):
				margins[s][v] = 0
			case open >= 0:
				return nil, undecided
			default:
				open = v
			}
		}
		switch {
		case known > size || known < size && open < 0:
			return nil, no
		case open >= 0:
			margins[s][open] = size - known
		}
	}
	return margins, yes
}

// pairUp finds how often values of two traits meet, nil if they cannot.
func (pt *part) pairUp(e [2]int, cells []int, margins [][]int) [][]int {
	a, b := slices.Clone(margins[e[0]]), slices.Clone(margins[e[1]])
	left := 0
	room, sent := make([][]int, len(a)), make([][]int, len(a))
	for i := range room {
		room[i], sent[i] = make([]int, len(b)), make([]int, len(b))
		left += a[i]
	}
	for _, i := range cells {
		if cl := &pt.cells[i]; cl.hi > 0 {
			room[cl.values[e[0]]][cl.values[e[1]]] = pt.places
		}
	}
	profit := make([]int, len(a)*len(b))
	for left > 0 {
		n, _ := bestPath(a, b, room, sent, profit, left)
		if n == 0 {
			return nil
		}
		left -= n
	}
	return sent
}

// glue settles the cells of a class from the flows along a tree.
func (pt *part) glue(c int, cells []int, margins [][]int, flows map[[2]int][][]int) {
	rows := make([][]int, len(pt.classes[c].places))
	done := make([]bool, len(pt.traits))
	for i := range rows {
		rows[i] = make([]int, len(pt.traits))
	}
	var hang func(s int)
	hang = func(s int) {
		done[s] = true
		for _, e := range pt.pairs {
			flow, r := flows[e], e[1]
			if e[1] == s {
				r = e[0]
			}
			if e[0] != s && e[1] != s || done[r] {
				continue
			}
			left := make([][]int, pt.values[s])
			for v := range left {
				for u := range pt.values[r] {
					n := 0
					if e[0] == s {
						n = flow[v][u]
					} else {
						n = flow[u][v]
					}
					left[v] = append(left[v], slices.Repeat([]int{u}, n)...)
				}
			}
			for i := range rows {
				v := rows[i][s]
				rows[i][r], left[v] = left[v][0], left[v][1:]
			}
			hang(r)
		}
	}
	for s := range done {
		if done[s] {
			continue
		}
		i := 0
		for v, n := range margins[s] {
			for range n {
				rows[i][s] = v
				i++
			}
		}
		hang(s)
	}
	for _, i := range cells {
		pt.cells[i].lo = 0
		for _, row := range rows {
			if slices.Equal(row, pt.cells[i].values) {
				pt.cells[i].lo++
			}
		}
		pt.cells[i].hi = pt.cells[i].lo
	}
}
