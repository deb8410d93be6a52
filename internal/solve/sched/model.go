package sched

import (
	"encoding/binary"
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

	wet       []int    // job → the longest of its lags behind it, wall seconds
	damp      []int    // the same where the calendar is ignored
	longest   int      // dry seconds counted there at most
	into, out [][]arc  // lags by To, by From
	reach     []bitset // job → all that must follow
	prior     []bitset // job → all that must come before
	topo      []int32  // a fixed order that keeps all lags
	tail      []int    // least seconds from a job's start to the end of all that follows it

	sw       []int // Switch, row after row
	mix      []int32
	makes    []int // Make by class, nil when nothing is ever made
	mixes    int
	life     []int // mix → the longest Life of its classes, 0 for ever
	soft     []int // the same where the calendar is ignored, at the bench
	calendar bool
	backward bool // some lag lets a job start before the one it follows
	// slack is what a change may save behind the place where it ends, other
	// than waiting, in seconds: nothing, or with a calendar or makes a guess.
	slack   int
	windows [][]Window
	byClass [][]int32
	near    [][]int32 // job → up to ten jobs that it is cheapest to follow
	kin     [][]int32 // class → others that it is cheap to switch to

	figures     [][]int32 // job → its figures, numbered from 0
	figureCount int
	endOf       []int // figure → end in the job in hand; for distance
}

// arc is a lag as seen from one of its jobs.
type arc struct {
	job  int32 // the other one
	dist int   // start to start, seconds; may be negative
	soft int   // dist where the calendar is ignored, see sim.frontier
	long bool
	lag  int32
	dry  int // wall seconds
	// whole: the lag runs from the end of the one to the start of the other,
	// because it says so or because they share no figure.
	whole bool
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
	m.compileSoft()
	m.compileFigures()
	m.compileLags()
	m.compileOrder()
	m.nearest()
	m.kinships()
	if m.calendar || m.mixes > 0 {
		m.slack = m.usualSwitch()
	}
	return m
}

func (m *model) compileMakes() {
	m.mix = make([]int32, m.c)
	number := map[int]int32{}
	for b := range m.mix {
		m.mix[b] = -1
		if m.p.Make == nil || m.p.Make[b] == 0 || len(m.byClass[b]) == 0 {
			continue
		}
		life := 0
		if m.p.Life != nil {
			life = m.p.Life[b]
		}
		x, known := number[m.p.mixOf(b)]
		if !known {
			x = int32(m.mixes)
			number[m.p.mixOf(b)] = x
			m.mixes++
			m.makes = m.p.Make
			m.life = append(m.life, life)
		} else if m.life[x] > 0 {
			m.life[x] = max(m.life[x], life)
			if life == 0 {
				m.life[x] = 0
			}
		}
		m.mix[b] = x
	}
}

// freshFrom is the last second at which a mix with some life was made too early to be
// used at second now.
func freshFrom(life, now int) int {
	if life == 0 {
		return never
	}
	return now - life - 1
}

// compileSoft finds how long mixes live where the calendar is ignored: as many
// seconds at the bench as their life holds on average.
func (m *model) compileSoft() {
	m.soft = make([]int, m.mixes)
	if !m.calendar || m.windows[0] == nil {
		return
	}
	for x, life := range m.life {
		if life > 0 {
			m.soft[x] = m.benchBehind(life)
		}
	}
}

// benchBehind is how many seconds of windows lie, on average, within some seconds of
// wall time behind a second in one of the first windows; at least 1.
func (m *model) benchBehind(seconds int) int {
	const few, parts = 30, 8
	list := m.windows[0]
	sum, count := 0, 0
	for i, w := range list[:min(few, len(list))] {
		for part := range parts {
			from := w.Start + (w.End-w.Start)*part/parts
			for _, v := range list[i:] {
				if v.Start >= from+seconds {
					break
				}
				sum += min(v.End, from+seconds) - max(v.Start, from)
			}
			count++
		}
	}
	return max(sum/max(count, 1), 1)
}

func (m *model) compileLags() {
	m.into, m.out = make([][]arc, m.n), make([][]arc, m.n)
	m.wet, m.damp, m.longest = make([]int, m.n), make([]int, m.n), 1<<40
	for _, list := range m.windows {
		for _, w := range list {
			m.longest = min(m.longest, (w.End-w.Start)/2)
		}
	}
	for k, l := range m.p.Lags {
		long := m.p.LongDry > 0 && l.Dry >= m.p.LongDry
		d, whole := m.distance(l)
		m.wet[l.From] = max(m.wet[l.From], l.Dry)
		m.damp[l.From] = max(m.damp[l.From], min(l.Dry, m.longest))
		soft := d - l.Dry + min(l.Dry, m.longest)
		m.backward = m.backward || d < 0
		m.into[l.To] = append(m.into[l.To], arc{int32(l.From), d, soft, long, int32(k), l.Dry, whole})
		m.out[l.From] = append(m.out[l.From], arc{int32(l.To), d, soft, long, int32(k), l.Dry, whole})
	}
}

// compileFigures numbers the figures from 0.
func (m *model) compileFigures() {
	number := map[int]int32{}
	m.figures = make([][]int32, m.n)
	for i, j := range m.p.Jobs {
		for _, f := range j.Figures {
			if _, ok := number[f]; !ok {
				number[f] = int32(len(number))
			}
			m.figures[i] = append(m.figures[i], number[f])
		}
	}
	m.figureCount = len(number)
	m.endOf = make([]int, m.figureCount)
}

// distance is the least seconds from the start of one job of a lag to the
// start of the other when neither is cut; whole says that they share no figure
// or that it does not matter.
func (m *model) distance(l Lag) (seconds int, whole bool) {
	from, to := m.p.Jobs[l.From].Chunks, m.p.Jobs[l.To].Chunks
	if l.Whole {
		return m.work[l.From] + l.Dry, true
	}
	at := 0
	for k, f := range m.figures[l.From] {
		at += from[k]
		m.endOf[f] = at
	}
	best, shared := 0, false
	at = 0
	for k, f := range m.figures[l.To] {
		if e := m.endOf[f]; e > 0 && (!shared || e+l.Dry-at > best) {
			best, shared = e+l.Dry-at, true
		}
		at += to[k]
	}
	for _, f := range m.figures[l.From] {
		m.endOf[f] = 0
	}
	if !shared {
		return m.work[l.From] + l.Dry, true
	}
	return best, false
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

// nearest finds for each job up to ten jobs that it is cheapest to follow.
func (m *model) nearest() {
	const most = 10
	m.near = make([][]int32, m.n)
	for j := range int32(m.n) {
		list := make([]int32, 0, most+1)
		for i := range int32(m.n) {
			if i == j || m.before(j, i) {
				continue
			}
			at := len(list)
			for at > 0 && m.switchCost(m.class[list[at-1]], m.class[j]) > m.switchCost(m.class[i], m.class[j]) {
				at--
			}
			if at < most {
				list = slices.Insert(list, at, i)
				list = list[:min(most, len(list))]
			}
		}
		m.near[j] = list
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
func (b bitset) within(c bitset) bool {
	for i, x := range b {
		if x&^c[i] != 0 {
			return false
		}
	}
	return true
}
func (b bitset) key() string {
	k := make([]byte, 0, 8*len(b))
	for _, x := range b {
		k = binary.LittleEndian.AppendUint64(k, x)
	}
	return string(k)
}
func (b bitset) count() int {
	sum := 0
	for _, x := range b {
		sum += bits.OnesCount64(x)
	}
	return sum
}

// usualSwitch is the average switch between different classes, seconds.
func (m *model) usualSwitch() int {
	sum, count := 0, 0
	for _, s := range m.sw {
		if s > 0 {
			sum += s
			count++
		}
	}
	return sum / max(count, 1)
}

// cold is where annealing ends, 1/1024 s. With a calendar it is a twelfth of the least
// set-up that there is: colder than that hardly any move is played that costs one, and the
// time is better spent before. Without, seconds count.
func (m *model) cold() int {
	const coldest, part = 400, 12
	if m.m > 1 || !m.calendar {
		return coldest
	}
	least := 0
	for _, s := range m.sw {
		if s > 0 && (least == 0 || s < least) {
			least = s
		}
	}
	return max(least*1024/part, coldest)
}
