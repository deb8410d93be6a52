package sched

import (
	"math/bits"
	"slices"
)

// model is a Problem made ready for the search: lists instead of lookups, and
// one start-to-start distance per lag, which in continuous time says the same
// as the lag's figure by figure form.
type model struct {
	p       *Problem
	n, m, c int // jobs, workers, classes
	work    []int
	total   int // of work
	class   []int32
	allowed []uint

	into, out [][]arc  // lags by To, by From
	reach     []bitset // job → all that must follow
	prior     []bitset // job → all that must come before
	topo      []int32  // a fixed order that keeps all lags
	tail      []int    // least seconds from a job's start to the end of all that follows it

	sw       []int // Switch, row after row
	mix      []int32
	makes    []int // Make by class, nil when nothing is ever made
	mixes    int
	calendar bool
	windows  [][]Window
	byClass  [][]int32
}

// arc is a lag as seen from one of its jobs.
type arc struct {
	job  int32 // the other one
	dist int   // start to start, seconds; may be negative
	long bool
	lag  int32
}

// compile needs a valid problem without cycles.
func compile(p *Problem) *model {
	m := &model{p: p, n: len(p.Jobs), m: p.Workers, c: len(p.First)}
	m.work = make([]int, m.n)
	m.class = make([]int32, m.n)
	m.allowed = make([]uint, m.n)
	m.byClass = make([][]int32, m.c)
	for i, j := range p.Jobs {
		m.work[i], m.class[i] = j.Work(), int32(j.Class)
		m.total += m.work[i]
		m.allowed[i] = j.Workers & (1<<m.m - 1)
		if m.allowed[i] == 0 {
			m.allowed[i] = 1<<m.m - 1
		}
		m.byClass[j.Class] = append(m.byClass[j.Class], int32(i))
	}
	for _, row := range p.Switch {
		m.sw = append(m.sw, row...)
	}
	m.compileMakes()
	for w := range m.m {
		m.windows = append(m.windows, p.windows(w))
		m.calendar = m.calendar || m.windows[w] != nil
	}
	m.compileLags()
	m.compileOrder()
	return m
}

func (m *model) compileMakes() {
	m.mix = make([]int32, m.c)
	for b := range m.mix {
		m.mix[b] = -1
		if m.p.Make != nil && m.p.Make[b] > 0 && len(m.byClass[b]) > 0 {
			m.mix[b] = int32(m.mixes)
			m.mixes++
			m.makes = m.p.Make
		}
	}
}

func (m *model) compileLags() {
	m.into, m.out = make([][]arc, m.n), make([][]arc, m.n)
	for k, l := range m.p.Lags {
		long := m.p.LongDry > 0 && l.Dry >= m.p.LongDry
		d := distance(m.p.Jobs[l.From], m.p.Jobs[l.To], l)
		m.into[l.To] = append(m.into[l.To], arc{int32(l.From), d, long, int32(k)})
		m.out[l.From] = append(m.out[l.From], arc{int32(l.To), d, long, int32(k)})
	}
}

// distance is the least seconds from the start of a to the start of b when
// neither is cut.
func distance(a, b Job, l Lag) int {
	whole := a.Work() + l.Dry
	if l.Whole || len(a.Figures) == 0 || len(b.Figures) == 0 {
		return whole
	}
	ends := make(map[int]int, len(a.Figures))
	at := 0
	for k, f := range a.Figures {
		at += a.Chunks[k]
		ends[f] = at
	}
	best, shared := 0, false
	at = 0
	for k, f := range b.Figures {
		if e, ok := ends[f]; ok && (!shared || e+l.Dry-at > best) {
			best, shared = e+l.Dry-at, true
		}
		at += b.Chunks[k]
	}
	if !shared {
		return whole
	}
	return best
}

// compileOrder finds a topological order, who follows whom, and the tails.
func (m *model) compileOrder() {
	left := make([]int, m.n)
	for j := range left {
		left[j] = len(m.into[j])
		if left[j] == 0 {
			m.topo = append(m.topo, int32(j))
		}
	}
	for at := 0; at < len(m.topo); at++ {
		for _, a := range m.out[m.topo[at]] {
			if left[a.job]--; left[a.job] == 0 {
				m.topo = append(m.topo, a.job)
			}
		}
	}
	m.reach = make([]bitset, m.n)
	m.tail = make([]int, m.n)
	for _, j := range slices.Backward(m.topo) {
		r := newBitset(m.n)
		m.tail[j] = m.work[j]
		for _, a := range m.out[j] {
			r.set(int(a.job))
			r.or(m.reach[a.job])
			m.tail[j] = max(m.tail[j], a.dist+m.tail[a.job])
		}
		m.reach[j] = r
	}
	m.prior = make([]bitset, m.n)
	for _, j := range m.topo {
		r := newBitset(m.n)
		for _, a := range m.into[j] {
			r.set(int(a.job))
			r.or(m.prior[a.job])
		}
		m.prior[j] = r
	}
}

// before reports whether the lags put job a before job b.
func (m *model) before(a, b int32) bool { return m.reach[a].has(int(b)) }

func (m *model) switchCost(a, b int32) int { return m.sw[int(a)*m.c+int(b)] }

// bitset is a set of small numbers.
type bitset []uint64

func newBitset(n int) bitset    { return make(bitset, (n+63)/64) }
func (b bitset) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }
func (b bitset) set(i int)      { b[i>>6] |= 1 << (i & 63) }
func (b bitset) clear(i int)    { b[i>>6] &^= 1 << (i & 63) }
func (b bitset) or(c bitset) {
	for i, x := range c {
		b[i] |= x
	}
}
func (b bitset) meets(c bitset) bool {
	for i, x := range b {
		if x&c[i] != 0 {
			return true
		}
	}
	return false
}
func (b bitset) count() int {
	sum := 0
	for _, x := range b {
		sum += bits.OnesCount64(x)
	}
	return sum
}
