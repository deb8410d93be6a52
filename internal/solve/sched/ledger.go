package sched

import "slices"

// ledger is a block rule with the price of an entrance, and what is left of it by
// what is done.
type ledger struct {
	group  []int8  // class → its group in the rule
	labels int8    // groups
	price  int     // 1/1024 s
	jobs   []int32 // at most mostInLedger
	set    wide
	// apart: job → jobs of the rule behind which it needs another entrance, since
	// something that is not of the rule must come between.
	apart []wide
	known map[ledgerState]int16
}

// ledgerState is what is done of a rule's jobs.
type ledgerState [2]uint64

const mostInLedger = 2 * 64

// mostKnown is from how many states on what is left of a rule is not looked at closely.
const mostKnown = 5000

// ledgers prices the rules as dear as the loads allow: by linear programming.
func (l *loads) ledgers(rules []*blockRule) []*ledger {
	var list []*ledger
	for _, r := range rules {
		if q := l.newLedger(r); q != nil && l.left(q, wide{}) > 0 && len(q.known) < mostKnown {
			list = append(list, q)
		}
	}
	// A row for each way to load a class: the prices of what that enters.
	var rows [][]float64
	var most []float64
	row := func(cost int, enters func(q *ledger) bool) {
		served := make([]float64, len(list))
		for i, q := range list {
			if enters(q) {
				served[i] = 1
			}
		}
		rows, most = append(rows, served), append(most, float64(cost*unit))
	}
	for _, classes := range l.classes {
		for _, b := range classes {
			row(l.entry[b], func(q *ledger) bool { return q.group[b] > 0 })
			for _, a := range classes {
				if a != b {
					row(l.within(a, b), func(q *ledger) bool { return q.group[b] > 0 && q.group[a] != q.group[b] })
				}
			}
		}
	}
	gain := make([]float64, len(list))
	for i, q := range list {
		gain[i] = float64(l.left(q, wide{}))
	}
	prices := packing(rows, most, gain)
	for i, q := range list {
		q.price = max(int(prices[i])-1, 0) // rounding may not make it too much
	}
	for i, served := range rows {
		sum := 0
		for k, q := range list {
			sum += q.price * int(served[k])
		}
		if sum > int(most[i]) {
			return nil
		}
	}
	return slices.DeleteFunc(list, func(q *ledger) bool { return q.price == 0 })
}

// newLedger is nil for a rule with too many jobs, or with a group of classes that are
// not loaded together.
func (l *loads) newLedger(r *blockRule) *ledger {
	q := &ledger{group: r.group, known: map[ledgerState]int16{}}
	of := map[int8]int32{}
	for c, g := range r.group {
		if g == 0 || l.group[c] < 0 {
			continue
		}
		if load, ok := of[g]; ok && load != l.group[c] {
			return nil
		}
		of[g] = l.group[c]
		q.labels = max(q.labels, g)
		for _, j := range l.jobs[c] {
			q.jobs = append(q.jobs, j)
			q.set.set(j)
		}
	}
	if len(q.jobs) > mostInLedger || len(q.jobs) == 0 {
		return nil
	}
	q.apart = make([]wide, l.m.n)
	for _, j := range q.jobs {
		for _, i := range q.jobs {
			if l.prior[j].has(i) && l.prior[j].meets(&l.reach[i], &q.set) {
				q.apart[j].set(i)
			}
		}
	}
	return q
}

// block does in one go what can be done of a group of a rule, what is not of the rule
// being done as far as it can be.
func (l *loads) block(q *ledger, done wide, g int8) (t wide, all bool) {
	before, t := done, done
	for more := true; more; {
		more, all = false, true
		for _, j := range q.jobs {
			switch {
			case q.group[l.m.class[j]] != g || t.has(j):
			case l.prior[j].lacks(&t, &q.set) || q.apart[j].adds(&before, &t):
				all = false
			default:
				t.set(j)
				more = true
			}
		}
	}
	return t, all
}

// left is how many entrances what is left of a rule needs at least, nothing of it
// being loaded; less than that where too much is known already.
func (l *loads) left(q *ledger, done wide) int {
	var key ledgerState
	count := 0
	for i, j := range q.jobs {
		if done.has(j) {
			key[i>>6] |= 1 << (i & 63)
			count++
		}
	}
	if count == len(q.jobs) {
		return 0
	}
	if n, ok := q.known[key]; ok {
		return int(n)
	}
	if len(q.known) >= mostKnown {
		return 1
	}
	best := mostInLedger
	for g := int8(1); g <= q.labels; g++ {
		t, all := l.block(q, done, g)
		if t == done {
			continue
		}
		n := 1 + l.left(q, t)
		best = min(best, n)
		if all {
			best = n // to finish a group never hurts
			break
		}
	}
	q.known[key] = int16(best)
	return best
}

// packing finds y ≥ 0 with rows·y ≤ most that makes gain·y large, by the simplex
// method; most ≥ 0. Products are rounded one by one, so that all machines agree.
//
// Ref: dantzig1951.
func packing(rows [][]float64, most, gain []float64) []float64 {
	n, k := len(gain), len(rows)
	table := make([][]float64, k+1)
	base := make([]int, k)
	for i := range table {
		table[i] = make([]float64, n+k+1)
		if i < k {
			copy(table[i], rows[i])
			table[i][n+i] = 1
			table[i][n+k] = most[i]
			base[i] = n + i
		}
	}
	for i, g := range gain {
		table[k][i] = -g
	}
	const tiny = 1e-9
	for range 20 * (n + k) {
		in := -1
		for c := range n + k {
			if table[k][c] < -tiny && (in < 0 || table[k][c] < table[k][in]-tiny) {
				in = c
			}
		}
		if in < 0 {
			break
		}
		out := -1
		for i := range k {
			if table[i][in] > tiny && (out < 0 || float64(table[i][n+k]*table[out][in]) < float64(table[out][n+k]*table[i][in])) {
				out = i
			}
		}
		if out < 0 {
			break
		}
		pivot := table[out][in]
		for c := range table[out] {
			table[out][c] /= pivot
		}
		for i := range table {
			f := table[i][in]
			if i == out || f == 0 {
				continue
			}
			for c := range table[i] {
				table[i][c] -= float64(f * table[out][c])
			}
		}
		base[out] = in
	}
	y := make([]float64, n)
	for i, b := range base {
		if b < n {
			y[b] = max(table[i][n+k], 0)
		}
	}
	return y
}
