package seat

// lines bounds what the main trait can still add, runs included: every pair
// of neighbours differs as much as two values can, except where it has one
// value, and for each counted value by itself the table holds the least that
// pairs and runs of this value must cost with so many places still to get it.
// That the places of different values must not overlap is left out, so it is
// worth most where one value prevails.
type lines struct {
	values []*lineTable // nil for values not counted over all places
	pairs  []int        // by step: worth of the pairs completed from there on
}

// lineTable is for one value: least[i][left<<width|state], where state has a
// bit for each of the last places that has the value, the latest lowest.
type lineTable struct {
	n     int
	width []int
	least [][]int
}

// unmet marks points from which the count cannot be met.
const unmet = 1 << 58

// lineLimit bounds the entries of a lineTable.
const lineLimit = 2_000_000

// newLines prepares the bound, nil where it would say nothing or not fit.
func newLines(m *model, steps []step, widths []int, book func(int) bool) *lines {
	t, w := m.p.Main, m.p.Weights
	if t < 0 || w.Run == 0 {
		return nil
	}
	worth := w.Neighbour * m.p.Traits[t].farthest()
	ln := &lines{values: make([]*lineTable, m.values[t]), pairs: make([]int, len(steps)+1)}
	for i := len(steps) - 1; i >= 0; i-- {
		ln.pairs[i] = ln.pairs[i+1] + worth*len(steps[i].links)
	}
	at := make([]int, m.n)
	for i, st := range steps {
		at[st.place] = i
	}
	ends := make([][][2]int, len(steps)) // lines by their last step, as steps back
	for _, l := range m.lines {
		a, b, c := at[l[0]], at[l[1]], at[l[2]]
		last := max(a, b, c)
		first := min(a, b, c)
		ends[last] = append(ends[last], [2]int{last - 1 - first, last - 1 - (a + b + c - first - last)})
	}
	for _, c := range m.p.Counts {
		if c.Trait != t || len(m.placesOf(c.Places)) != m.n || ln.values[c.Value] != nil {
			continue
		}
		lt := &lineTable{n: c.N, width: widths, least: make([][]int, len(steps)+1)}
		lt.least[len(steps)] = make([]int, c.N+1)
		for left := 1; left <= c.N; left++ {
			lt.least[len(steps)][left] = unmet
		}
		for i := len(steps) - 1; i >= 0; i-- {
			size := (c.N + 1) << widths[i]
			if size*len(steps) > lineLimit || !book(size/16+1) {
				return nil
			}
			lt.least[i] = make([]int, size)
			lt.fill(i, m.allow[t][steps[i].place], c.Value, func(state int) int {
				cost := 0
				for _, l := range steps[i].links {
					cost += worth * (state >> l.back & 1)
				}
				for _, e := range ends[i] {
					cost += w.Run * (state >> e[0] & (state >> e[1]) & 1)
				}
				return cost
			})
		}
		ln.values[c.Value] = lt
	}
	return ln
}

// fill works out step i from the step behind it.
func (lt *lineTable) fill(i int, allow uint64, value int, cost func(state int) int) {
	w, next := lt.width[i], lt.width[i+1]
	mask := 1<<next - 1
	for state := range 1 << w {
		price := cost(state)
		for left := range lt.n + 1 {
			best := unmet
			if allow&^(1<<value) != 0 {
				best = lt.least[i+1][left<<next|(state<<1)&mask]
			}
			if left > 0 && allow>>value&1 != 0 {
				best = min(best, price+lt.least[i+1][(left-1)<<next|(state<<1|1)&mask])
			}
			lt.least[i][left<<w|state] = min(best, unmet)
		}
	}
}

// ahead is the most the main trait's distances less its runs can add from
// step i on, given the values of the places before and how many of each value
// are left.
func (ln *lines) ahead(b *branch, i int) int {
	most := ln.pairs[i]
	t := b.m.p.Main
	col := b.value[t*b.m.n:]
	for v, lt := range ln.values {
		if lt == nil {
			continue
		}
		w := lt.width[i]
		state := 0
		for _, st := range b.steps[i-w : i] {
			state <<= 1
			if int(col[st.place]) == v {
				state |= 1
			}
		}
		most -= lt.least[i][b.remain[t][v]<<w|state]
	}
	return most
}
