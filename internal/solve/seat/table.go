package seat

// table holds, for one trait by itself, the largest sum of distances that can
// still be earned from any point of a sweep: by step, by what is left of the
// Counts, and by the values of the last places. It is exact, and branching
// uses it as its bound.
type table struct {
	t, values int
	steps     []step
	states    []int     // by step: values^width
	gain      [][]int   // by step, see gains
	next      [][]int32 // by step: [left*values+v] is the new left, -1 for none
	best      [][]int32 // by step: [left*states+state]
}

// never marks points from which the Counts cannot be met.
const never = -1 << 30

// tableLimit bounds the entries of all tables together.
const tableLimit = 20_000_000

// newTable builds the table of a trait, or returns nil if it would have more
// than limit entries or its sums could overflow. book is told of work done.
func (m *model) newTable(t int, steps []step, limit int, book func(int) bool) *table {
	tb := &table{t: t, values: m.values[t], steps: steps}
	if len(m.edges)*m.p.Traits[t].farthest() >= 1<<29 {
		return nil
	}
	tb.states = make([]int, len(steps)+1)
	for i := range tb.states {
		width := 0
		if i < len(steps) {
			width = steps[i].width
		}
		n, ok := power(tb.values, width, limit)
		if !ok {
			return nil
		}
		tb.states[i] = n
	}
	sizes := tb.leftovers(m, limit)
	if sizes == nil {
		return nil
	}
	g := newGains(tb.values, whole, m.worth(t))
	for i := range steps {
		tb.gain = append(tb.gain, g.of(&steps[i], tb.states[i]))
	}
	tb.best = make([][]int32, len(steps)+1)
	tb.best[len(steps)] = []int32{0}
	for i := len(steps) - 1; i >= 0; i-- {
		tb.best[i] = make([]int32, sizes[i]*tb.states[i])
		for left := range sizes[i] {
			tb.fill(m, i, left)
			if !book(tb.states[i]*tb.values/64 + 1) {
				return nil
			}
		}
	}
	return tb
}

// fill works out the best of all states at step i with given leftovers.
func (tb *table) fill(m *model, i, left int) {
	k, states, ahead := tb.values, tb.states[i], tb.states[i+1]
	row := tb.best[i][left*states:][:states]
	for s := range row {
		row[s] = never
	}
	allow := m.allow[tb.t][tb.steps[i].place]
	for v := range k {
		to := tb.next[i][left*k+v]
		if to < 0 || allow>>v&1 == 0 {
			continue
		}
		after := tb.best[i+1][int(to)*ahead:][:ahead]
		gain := tb.gain[i]
		for s := range row {
			row[s] = max(row[s], int32(gain[s*k+v])+after[(s*k+v)%ahead])
		}
	}
}

// leftovers numbers, step by step, what can be left of the Counts, and links
// the numbers. It returns how many there are at each step, nil if too many.
func (tb *table) leftovers(m *model, limit int) []int {
	var counts []Count
	var in []map[int]bool
	var unit []uint64
	size := uint64(1)
	for _, c := range m.p.Counts {
		if c.Trait != tb.t {
			continue
		}
		unit = append(unit, size)
		if size *= uint64(c.N + 1); size > 1<<40 {
			return nil
		}
		set := map[int]bool{}
		for _, q := range m.placesOf(c.Places) {
			set[q] = true
		}
		counts, in = append(counts, c), append(in, set)
	}
	start := uint64(0)
	for i, c := range counts {
		start += unit[i] * uint64(c.N)
	}
	room := make([][]int, len(tb.steps)+1) // places of a Count still ahead
	room[len(tb.steps)] = make([]int, len(counts))
	for i := len(tb.steps) - 1; i >= 0; i-- {
		room[i] = append([]int(nil), room[i+1]...)
		for c := range counts {
			if in[c][tb.steps[i].place] {
				room[i][c]++
			}
		}
	}
	take := func(left uint64, i, v int) (uint64, bool) {
		for c := range counts {
			if counts[c].Value == v && in[c][tb.steps[i].place] {
				if left/unit[c]%uint64(counts[c].N+1) == 0 {
					return 0, false
				}
				left -= unit[c]
			}
		}
		for c := range counts {
			if left/unit[c]%uint64(counts[c].N+1) > uint64(room[i+1][c]) {
				return 0, false
			}
		}
		return left, true
	}
	sizes := []int{1}
	now := []uint64{start}
	entries := 0
	for i := range tb.steps {
		index := map[uint64]int32{}
		var then []uint64
		next := make([]int32, len(now)*tb.values)
		for a, left := range now {
			for v := range tb.values {
				to, ok := take(left, i, v)
				if !ok {
					next[a*tb.values+v] = -1
					continue
				}
				id, known := index[to]
				if !known {
					id = int32(len(then))
					index[to] = id
					then = append(then, to)
				}
				next[a*tb.values+v] = id
			}
		}
		if entries += len(now) * tb.states[i]; entries > limit || len(then)*tb.states[i+1] > limit {
			return nil
		}
		tb.next = append(tb.next, next)
		now = then
		sizes = append(sizes, len(now))
	}
	return sizes
}

func (tb *table) entries() int {
	n := 0
	for _, b := range tb.best {
		n += len(b)
	}
	return n
}
