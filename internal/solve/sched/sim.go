package sched

// sim plays an order of jobs through, again and again with small changes. It
// says the same as Evaluate, faster: it starts at the first change and keeps
// the state in front of every place.
//
// The order runs over all workers together: each job has one worker, and the
// jobs of one worker are done in the order given. It must keep every lag.
type sim struct {
	m     *model
	order []int32
	pos   []int32 // job → place in order
	who   []uint8 // job → worker
	start []int   // job → wall second of its start
	cut   []bool  // job → in more than one piece
	ends  [][]int // job → ends of its chunks, kept only while cut

	// frontier is the window from which on the calendar is ignored: work goes on as
	// if that window had no end, and no drying is longer than half a window.
	frontier int
	before   []desk // state of each worker in front of place i: [i*m : i*m+m]
	trial    []desk // the same for the change being tried
	mixB     []int  // what was made when, in front of place i; no mixes: nil
	mixT     []int

	cost  cost
	steps int64

	undo  []undo
	rel   []release
	bench bench // for placePieces
	// chunkOf[f] is the chunk of the job in hand that is figure f, or -1.
	chunkOf []int32
}

// desk is one worker's state.
type desk struct {
	at, window int
	bench      int // seconds so far
	idle, wait int // set-up and waiting in bench, and the waiting alone
	end        int // wall second of the last end
	changes    int32
	class      int32
	busy       bool
}

type undo struct {
	start int
	ends  []int
	cut   bool
}

// always is a frontier behind all windows: the calendar counts.
const always = 1 << 30

const never = -1 << 40 // nothing was made yet

// cost is what an order costs, first things first.
type cost struct{ a, b, c int }

func (x cost) less(y cost) bool {
	if x.a != y.a {
		return x.a < y.a
	}
	if x.b != y.b {
		return x.b < y.b
	}
	return x.c < y.c
}

// short marks an order that does not fit the calendar.
const short = 1 << 50

func newSim(m *model) *sim {
	s := &sim{m: m, frontier: always}
	s.order = make([]int32, m.n)
	s.pos = make([]int32, m.n)
	s.who = make([]uint8, m.n)
	s.start = make([]int, m.n)
	s.cut = make([]bool, m.n)
	s.ends = make([][]int, m.n)
	s.undo = make([]undo, m.n)
	s.before = make([]desk, (m.n+1)*m.m)
	s.trial = make([]desk, (m.n+1)*m.m)
	s.bench.made = map[int]int{}
	s.chunkOf = make([]int32, m.figureCount)
	for f := range s.chunkOf {
		s.chunkOf[f] = -1
	}
	if m.mixes > 0 {
		s.mixB = make([]int, (m.n+1)*m.m*m.mixes)
		s.mixT = make([]int, (m.n+1)*m.m*m.mixes)
		for i := range m.m * m.mixes {
			s.mixB[i], s.mixT[i] = never, never
		}
	}
	for w := range m.m {
		s.before[w].class, s.trial[w].class = -1, -1
	}
	return s
}

// load takes an order and its workers and plays all of it.
func (s *sim) load(order []int32, who []uint8) {
	copy(s.order, order)
	copy(s.who, who)
	for i, j := range s.order {
		s.pos[j] = int32(i)
	}
	c, end := s.play(0, s.m.n, 1<<60)
	s.keep(0, end, c)
}

// sequences gives the order worker by worker.
func (s *sim) sequences() [][]int {
	out := make([][]int, s.m.m)
	for w := range out {
		out[w] = []int{}
	}
	for _, j := range s.order {
		out[s.who[j]] = append(out[s.who[j]], int(j))
	}
	return out
}

// play runs from place lo, where everything in front is as kept, to the end.
// It gives up, with a very large cost, as soon as the energy is sure to exceed
// limit; the order's last change lies in front of place hi. It ends early where
// everything behind stays as it was. It returns how far it came; take back or
// keep must follow.
func (s *sim) play(lo, hi, limit int) (cost, int) {
	m := s.m
	copy(s.trial[lo*m.m:lo*m.m+m.m], s.before[lo*m.m:])
	k := m.m * m.mixes
	if k > 0 {
		copy(s.mixT[lo*k:lo*k+k], s.mixB[lo*k:lo*k+k])
	}
	var e echo
	for i := lo; i < m.n; i++ {
		j := s.order[i]
		s.undo[i] = undo{s.start[j], s.ends[j], s.cut[j]}
		now, next := s.trial[i*m.m:i*m.m+m.m], s.trial[(i+1)*m.m:(i+1)*m.m+m.m]
		copy(next, now)
		var made []int
		if k > 0 {
			copy(s.mixT[(i+1)*k:(i+1)*k+k], s.mixT[i*k:i*k+k])
			at := (i+1)*k + int(s.who[j])*m.mixes
			made = s.mixT[at : at+m.mixes]
		}
		d := &next[s.who[j]]
		if !s.place(d, made, j) {
			s.steps += int64(i - lo + 1)
			return cost{a: short + m.n - i}, i + 1
		}
		if s.hopeless(next, d, i, j, hi, limit) {
			s.steps += int64(i - lo + 1)
			return cost{a: short}, i + 1
		}
		if m.m > 1 || !m.calendar || s.cost.a >= short {
			continue
		}
		if s.listen(&e, i, hi, d) && s.asBefore(i+1, e.shift) {
			s.steps += int64(i - lo + 1)
			last := s.before[m.n]
			last.add(*d, s.before[i+1])
			last.end += e.shift
			return s.total([]desk{last}), i + 1
		}
	}
	s.steps += int64(m.n - lo)
	return s.total(s.trial[m.n*m.m:]), m.n
}

// echo is what a change still does to the jobs behind it.
type echo struct {
	wet int // until when something whose times changed is wet
	// Where the calendar is ignored all that follows may keep its distances and
	// be later by shift; then damp is until when something is wet whose times
	// changed by anything else, and any is until when anything is wet.
	shift, damp, any int
}

// listen follows the echo past the job at place i, behind which the desk is d.
// It reports whether it has died away there.
func (s *sim) listen(e *echo, i, hi int, d *desk) bool {
	m := s.m
	j, u, was := s.order[i], &s.undo[i], &s.before[i+1]
	old := u.start + m.work[j]
	if u.cut {
		old = u.ends[len(u.ends)-1]
	}
	if i < hi || u.cut || s.cut[j] || u.start != s.start[j] {
		e.wet = max(e.wet, max(old, d.at)+m.wet[j])
	}
	if d.window < s.frontier || was.window < s.frontier {
		e.damp = max(e.damp, max(old, d.at)+m.damp[j])
		e.any = e.damp
		e.shift = 0
		return i >= hi && d.at == was.at && d.at >= e.wet
	}
	if shift := d.at - was.at; shift != e.shift {
		e.shift, e.damp = shift, e.any
	}
	until := max(old, d.at) + m.damp[j]
	if i < hi || u.cut || s.cut[j] || s.start[j]-u.start != e.shift {
		e.damp = max(e.damp, until)
	}
	e.any = max(e.any, until)
	return i >= hi && min(d.at, was.at) >= e.damp
}

// asBefore reports whether, in front of place i, the one worker goes on just
// like before the change, but later by shift.
func (s *sim) asBefore(i, shift int) bool {
	m := s.m
	d, old := &s.trial[i], &s.before[i]
	if d.at != old.at+shift || d.window != old.window || d.class != old.class || d.busy != old.busy {
		return false
	}
	for x := range m.mixes {
		a, b, life := s.mixT[i*m.mixes+x], s.mixB[i*m.mixes+x], m.life[x]
		if d.window >= s.frontier {
			life = m.soft[x]
		}
		if a != b+shift && (a > freshFrom(life, d.at) || b > freshFrom(life, old.at)) {
			return false
		}
	}
	return true
}

// add books on a desk what one has more than another.
func (d *desk) add(more, than desk) {
	d.bench += more.bench - than.bench
	d.idle += more.idle - than.idle
	d.wait += more.wait - than.wait
	d.changes += more.changes - than.changes
}

// crowd is how many seconds of idle time a second of makespan is worth to the
// search with several workers: the makespan alone says too little about which
// of two schedules is on the way to a better one.
const crowd = 4

// energy is what the search makes small: the objective of one worker; for
// several a blend of the makespan and the idle time.
func (s *sim) energy(c cost) int {
	if s.m.m == 1 {
		return c.a
	}
	return crowd*c.a + c.b
}

// hopeless reports that the energy will exceed limit; with a calendar or makes,
// that it very likely will. Job j was just placed at place i, on desk d of the
// given desks.
func (s *sim) hopeless(desks []desk, d *desk, i int, j int32, hi, limit int) bool {
	m := s.m
	if m.m > 1 {
		top, idle := 0, 0
		for w := range desks {
			top = max(top, desks[w].bench)
			idle += desks[w].idle
		}
		if !m.calendar {
			top = max(top, s.start[j]+m.tail[j])
		}
		return crowd*top+idle > limit
	}
	if d.bench > limit || !m.calendar && s.start[j]+m.tail[j] > limit {
		return true
	}
	if i < hi-1 {
		return d.idle+m.total > limit
	}
	// Behind the change the order is as before: only waiting can shrink, but
	// for sittings that end elsewhere and makes that are spared.
	old, last := &s.before[i+1], &s.before[m.n]
	return last.bench+(d.idle-old.idle)-(last.wait-old.wait)-m.slack > limit
}

func (s *sim) total(desks []desk) cost {
	if s.m.m == 1 {
		return cost{desks[0].bench, desks[0].end, int(desks[0].changes)}
	}
	var c cost
	for _, d := range desks {
		c.a = max(c.a, d.bench)
		c.b += d.idle
		c.c = max(c.c, d.end)
	}
	return c
}

// keep makes the change that was just played the new state.
func (s *sim) keep(lo, end int, c cost) {
	m := s.m.m
	if end < s.m.n { // what follows is as before
		if shift := s.trial[end].at - s.before[end].at; shift != 0 {
			s.postpone(end, shift)
		}
		for i := end + 1; i <= s.m.n; i++ {
			s.before[i].add(s.trial[end], s.before[end])
		}
	}
	copy(s.before[lo*m:(end+1)*m], s.trial[lo*m:(end+1)*m])
	if k := m * s.m.mixes; k > 0 {
		copy(s.mixB[lo*k:(end+1)*k], s.mixT[lo*k:(end+1)*k])
	}
	s.cost = c
}

// postpone makes all behind place end later by shift.
func (s *sim) postpone(end, shift int) {
	m := s.m
	for _, j := range s.order[end:] {
		s.start[j] += shift
	}
	for i := end + 1; i <= m.n; i++ {
		s.before[i].at += shift
		s.before[i].end += shift
	}
	for x := range m.mixes {
		old := s.mixB[end*m.mixes+x]
		for i := end + 1; i <= m.n; i++ {
			if at := i*m.mixes + x; s.mixB[at] == old {
				s.mixB[at] = s.mixT[end*m.mixes+x]
			} else {
				s.mixB[at] += shift
			}
		}
	}
}

// back takes back the times of the change that was just played; the caller
// restores the order afterwards.
func (s *sim) back(lo, end int) {
	for i := lo; i < end; i++ {
		j := s.order[i]
		s.start[j], s.ends[j], s.cut[j] = s.undo[i].start, s.undo[i].ends, s.undo[i].cut
	}
}

// place puts job j at the end of what desk d did; false: the calendar is over.
func (s *sim) place(d *desk, made []int, j int32) bool {
	m := s.m
	if d.window >= s.frontier {
		s.placeSoft(d, made, j)
		return true
	}
	rel := release{at: 0}
	anyCut := false
	for _, a := range m.into[j] {
		if s.cut[a.job] {
			if s.lastEnd(a.job)+a.dry > d.at {
				anyCut = true
				break
			}
			continue
		}
		rel.raise(s.start[a.job]+a.dist, a.long)
	}
	windows := m.windows[s.who[j]]
	if windows == nil && !anyCut {
		s.placeFree(d, made, j, rel.at, false)
		return true
	}
	if !anyCut && s.placeWhole(d, made, j, rel, windows) {
		return true
	}
	if !anyCut && d.busy && m.class[j] != d.class && windows[d.window].End-d.at <= m.p.Close {
		// Not finished in this window, so not begun either: the usual end of one.
		d.window, d.busy = d.window+1, false
		if s.placeWhole(d, made, j, rel, windows) {
			return true
		}
	}
	return s.placePieces(d, made, j, windows)
}

// placeFree puts job j behind the others where no window ends. soft: because the
// calendar is ignored.
func (s *sim) placeFree(d *desk, made []int, j int32, rel int, soft bool) {
	m := s.m
	c := m.class[j]
	setup := m.p.First[c]
	if d.class >= 0 {
		setup = m.switchCost(d.class, c)
	}
	start := max(d.at+setup, rel)
	if x := m.mix[c]; x >= 0 {
		old := made[x] == never
		switch {
		case old:
		case soft:
			old = m.soft[x] > 0 && start-made[x] > m.soft[x]
		default:
			old = stale(m.p, int(c), made[x], start)
		}
		if old {
			setup += m.makes[c]
			start = max(d.at+setup, rel)
			made[x] = start
		}
	}
	s.book(d, j, start-d.at-setup, setup, start)
}

// placeSoft puts job j behind the others as if the window had no end. Nobody
// sits and waits for a long lag: the time goes by and is not counted.
func (s *sim) placeSoft(d *desk, made []int, j int32) {
	m := s.m
	rel := release{}
	for _, a := range m.into[j] {
		if s.cut[a.job] {
			rel.raise(s.lastEnd(a.job)+min(a.dry, m.longest), a.long)
			continue
		}
		rel.raise(s.start[a.job]+a.soft, a.long)
	}
	if d.class < 0 { // the very first job
		d.at = m.windows[0][0].Start
	}
	wait := d.wait
	s.placeFree(d, made, j, rel.at, true)
	if wait = d.wait - wait; wait > 0 && rel.long {
		d.wait -= wait
		d.idle -= wait
		d.bench -= wait
	}
}

// book ends a job that lies in one piece.
func (s *sim) book(d *desk, j int32, wait, setup, start int) {
	c := s.m.class[j]
	if d.class != c || !d.busy {
		d.changes++
	}
	d.bench += wait + setup + s.m.work[j]
	d.idle += wait + setup
	d.wait += wait
	d.at = start + s.m.work[j]
	d.end = d.at
	d.class, d.busy = c, true
	s.start[j] = start
	if s.cut[j] {
		s.cut[j], s.ends[j] = false, nil
	}
}

// placeWhole tries to place job j in the current window in one piece.
func (s *sim) placeWhole(d *desk, made []int, j int32, rel release, windows []Window) bool {
	m := s.m
	if d.window >= len(windows) {
		return false
	}
	win := windows[d.window]
	begin := max(d.at, win.Start)
	c := m.class[j]
	setup := m.p.First[c]
	if d.class >= 0 && d.busy {
		setup = m.switchCost(d.class, c)
	}
	start := max(begin+setup, rel.at)
	if start+m.work[j] > win.End {
		return false
	}
	x := m.mix[c]
	makes := x >= 0 && (made[x] == never || stale(m.p, int(c), made[x], start))
	if makes {
		setup += m.makes[c]
		start = max(begin+setup, rel.at)
		if start+m.work[j] > win.End {
			return false
		}
	}
	wait := start - setup - begin
	if wait > 0 && rel.long && d.busy {
		return false
	}
	if makes {
		made[x] = start
	}
	switch {
	case !d.busy:
		wait = 0
	case m.p.Patience > 0:
		wait = min(wait, m.p.Patience)
	}
	s.book(d, j, wait, setup, start)
	return true
}

// placePieces is the general case, by way of the exact rules of Evaluate.
func (s *sim) placePieces(d *desk, made []int, j int32, windows []Window) bool {
	m := s.m
	rel := s.releases(j, d.at)
	c := int(m.class[j])
	x := m.mix[c]
	b := &s.bench
	*b = bench{windows: windows, window: d.window, busy: d.busy, at: d.at, class: int(d.class), made: b.made}
	clear(b.made)
	if x >= 0 && made[x] != never {
		b.made[m.p.mixOf(c)] = made[x]
	}
	t, err := b.do(m.p, int(j), rel)
	if err != nil {
		return false
	}
	if x >= 0 {
		made[x] = b.made[m.p.mixOf(c)]
	}
	d.window, d.busy, d.at, d.class = b.window, b.busy, b.at, int32(b.class)
	d.end = b.at
	d.bench += b.work + b.setup + b.wait
	d.idle += b.setup + b.wait
	d.wait += b.wait
	d.changes += int32(b.changes)
	s.start[j] = t.Start
	s.cut[j] = len(t.Pieces) > 1
	s.ends[j] = nil
	if s.cut[j] {
		s.ends[j] = chunkEnds(m.p.Jobs[j], t)
	}
	return true
}

// releases gives the release of each chunk of job j from the times so far;
// lags that are over at second now are left out.
func (s *sim) releases(j int32, now int) []release {
	m := s.m
	s.rel = s.rel[:0]
	for range m.p.Jobs[j].Chunks {
		s.rel = append(s.rel, release{})
	}
	stamped := false
	for _, a := range m.into[j] {
		last := s.lastEnd(a.job)
		if last+a.dry <= now {
			continue
		}
		if a.whole {
			s.rel[0].raise(last+a.dry, a.long)
			continue
		}
		if !stamped {
			stamped = true
			for k, f := range m.figures[j] {
				s.chunkOf[f] = int32(k)
			}
		}
		end := s.start[a.job]
		for k, seconds := range m.p.Jobs[a.job].Chunks {
			if end += seconds; s.cut[a.job] {
				end = s.ends[a.job][k]
			}
			if b := s.chunkOf[m.figures[a.job][k]]; b >= 0 {
				s.rel[b].raise(end+a.dry, a.long)
			}
		}
	}
	if stamped {
		for _, f := range m.figures[j] {
			s.chunkOf[f] = -1
		}
	}
	return s.rel
}

// lastEnd is the wall second at which a placed job ends.
func (s *sim) lastEnd(j int32) int {
	if s.cut[j] {
		e := s.ends[j]
		return e[len(e)-1]
	}
	return s.start[j] + s.m.work[j]
}
