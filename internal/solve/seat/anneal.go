package seat

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A lane is one annealing search. It exchanges values between places, so
// that every Count stays met, and never sets what a rule bars. Lanes run side
// by side without talking; a lane can be stopped after any number of steps
// and taken up again.
//
// Temperatures and the acceptance test are integers, so that the walk is the
// same everywhere.
type lane struct {
	m     *model
	rng   *rand.Rand
	now   *state
	parts []*part

	best  []uint8
	value int // objective of best
	terms Terms

	soft   Weights // factors the walk uses, softer than the true ones
	harder int     // how much of the true breach and preference is felt
	length int     // steps of the present descent
	step   int     // steps done in it
	heat   int     // temperature, 1024 to the unit
	top    int     // of the present descent
	round  int     // descents done

	span   []int // traits with more than one value
	free   []int // traits with values under no Count
	barred bool  // some pair is forbidden
	tiled  bool  // deals begin tiled

	undo    []undo // of the move being tried
	before  Terms
	allowed int // how much it may lose
}

type undo struct {
	q, t int
	v    uint8
}

// levels is how many temperatures a descent has, each 61/64 of the last: the
// coldest is 1/21 of the hottest.
const levels = 64

// surprise[i] is 1024 times -ln((i+½)/1024): how much a step may lose, in
// units of the temperature, at one of 1024 equally likely draws.
func surprise() *[1024]int {
	var s [1024]int
	for i := range s {
		s[i] = int(math.Round(-1024 * math.Log((float64(i)+0.5)/1024)))
	}
	return &s
}

func newLane(m *model, parts []*part, seed uint64, index int) *lane {
	l := &lane{
		m: m, parts: parts, now: newState(m),
		rng:    rand.New(rand.NewPCG(seed, uint64(index))),
		harder: 1 + index,
		barred: len(m.p.Forbid) > 0,
		tiled:  index == 1,
	}
	for t := range m.t {
		if m.values[t] > 1 {
			l.span = append(l.span, t)
		}
		for _, mask := range m.counted[t] {
			if mask != all(m.values[t]) {
				l.free = append(l.free, t)
				break
			}
		}
	}
	l.now.load(l.deal())
	l.best = append(l.best, l.now.value...)
	l.terms, l.value = l.now.terms, m.p.Weights.Objective(l.now.terms)
	l.length = 200 * m.n
	l.soften()
	l.top = l.hottest()
	if l.tiled {
		l.top /= 4
	}
	l.heat = l.top
	return l
}

// deal fills the places as the parts' numbers say: at random within a class,
// or tiled, by which corner of a square of two by two a place is. The more even
// the shares, the fewer neighbours a tiled deal leaves alike.
func (l *lane) deal() []uint8 {
	m := l.m
	value := make([]uint8, m.t*m.n)
	for _, pt := range l.parts {
		left := make([][]int, len(pt.classes))
		for c, cl := range pt.classes {
			left[c] = append(left[c], cl.places...)
			l.rng.Shuffle(len(left[c]), func(i, j int) { left[c][i], left[c][j] = left[c][j], left[c][i] })
			if l.tiled {
				slices.SortStableFunc(left[c], func(a, b int) int { return m.corner(a) - m.corner(b) })
			}
		}
		for _, cl := range pt.cells {
			for _, q := range left[cl.class][:cl.lo] {
				for s, t := range pt.traits {
					value[t*m.n+q] = uint8(cl.values[s])
				}
			}
			left[cl.class] = left[cl.class][cl.lo:]
		}
	}
	return value
}

// corner numbers the places of every square of two by two.
func (m *model) corner(q int) int { return int(m.at[q].rank&1<<1 | m.at[q].file&1) }

// apartMost is the largest distance between two neighbours.
func (l *lane) apartMost() int {
	top := 0
	for i := range l.m.p.Traits {
		top += l.m.p.Traits[i].farthest()
	}
	return max(1, top*l.m.p.Weights.Neighbour)
}

func (l *lane) hottest() int { return l.apartMost() * 300 }

// soften sets the factors of the walk. Factors that tower over the rest make
// walls; a wall a few neighbour pairs high can still be climbed when hot.
func (l *lane) soften() {
	w := l.m.p.Weights
	wall := 2 * l.apartMost() * l.harder
	weight := 1
	for _, pr := range l.m.p.Prefer {
		weight = max(weight, pr.Weight)
	}
	w.Breach = min(w.Breach, wall)
	if w.Prefer > 0 {
		w.Prefer = max(1, min(w.Prefer, wall/weight))
	}
	l.soft = w
}

// run makes n steps.
func (l *lane) run(n int, chance *[1024]int, stop func() bool) {
	if len(l.span) == 0 || l.m.n == 1 && len(l.free) == 0 {
		return
	}
	for i := range n {
		if i&1023 == 1023 && stop() {
			return
		}
		if l.step == l.length {
			l.descend()
		}
		if l.step%(l.length/levels) == 0 && l.step > 0 {
			l.heat = max(1, l.heat*61/64)
		}
		l.step++
		l.try(chance)
	}
}

// descend begins the next descent, twice as long up to a limit, by turns from
// a new deal, from where the last one ended, and from the best.
func (l *lane) descend() {
	if l.now.terms.Breaches > l.terms.Breaches || l.now.terms.Preferred < l.terms.Preferred || l.now.terms.Breaches > 0 {
		l.harder = min(2*l.harder, 1<<20)
		l.soften()
	}
	l.round++
	l.step = 0
	l.length = min(2*l.length, 4000*l.m.n)
	l.top = l.hottest()
	switch l.round % 3 {
	case 0:
		l.now.load(l.deal())
		if l.tiled {
			l.top /= 4
		}
	case 1:
		l.top /= 4
	default:
		l.now.load(l.best)
		l.top /= 8
	}
	l.heat = l.top
}

// try makes one move, unless it costs more than the heat allows.
func (l *lane) try(chance *[1024]int) {
	draw := l.rng.Uint64()
	l.allowed = l.heat * chance[draw>>54] >> 20
	l.before = l.now.terms
	l.undo = l.undo[:0]
	kind := draw & 15
	q, r := l.place(draw>>4), l.place(draw>>28)
	var done bool
	switch {
	case kind < 6 && len(l.span) > 1:
		done = l.swapAll(q, r)
	case kind == 6 && len(l.free) > 0:
		done = l.change(q, l.free[l.rng.IntN(len(l.free))])
	case kind == 7 && l.barred:
		done = l.rotate(q, r, l.rng.IntN(l.m.n), l.trait())
	default:
		done = l.swap(q, r, l.trait())
	}
	if !done {
		return
	}
	if l.soft.Objective(l.before)-l.soft.Objective(l.now.terms) > l.allowed {
		l.back()
		return
	}
	if v := l.m.p.Weights.Objective(l.now.terms); v > l.value {
		copy(l.best, l.now.value)
		l.value, l.terms = v, l.now.terms
	}
}

func (l *lane) back() {
	for i := len(l.undo) - 1; i >= 0; i-- {
		u := l.undo[i]
		l.now.set(u.q, u.t, u.v)
	}
}

func (l *lane) set(q, t int, v uint8) {
	l.undo = append(l.undo, undo{q, t, l.now.value[t*l.m.n+q]})
	l.now.set(q, t, v)
}

// place draws a place by 24 bits.
func (l *lane) place(draw uint64) int { return int(draw & (1<<24 - 1) * uint64(l.m.n) >> 24) }

func (l *lane) trait() int {
	return l.span[int(l.rng.Uint64()>>32)*len(l.span)>>32]
}

// hopeless says whether a move of places q and r that gains so much distance
// and so many preferences is sure to be taken back: even if everything that
// costs at both places went away.
func (l *lane) hopeless(q, r, distance, preferred int) bool {
	a, b := &l.now.local[q], &l.now.local[r]
	w := &l.soft
	return w.Neighbour*distance+w.Prefer*preferred+w.Breach*int(a.breaches+b.breaches)+
		w.Run*int(a.runs+b.runs)+w.Repeat*int(a.repeats+b.repeats) < -l.allowed
}

// may says whether places q and r may exchange values a and b of trait t.
func (l *lane) may(q, r, t int, a, b uint8) bool {
	k := l.m.kind[t]
	return l.m.blocked[t][k[q]][k[r]]&(1<<a|1<<b) == 0
}

// swap exchanges one trait between two places.
func (l *lane) swap(q, r, t int) bool {
	col := l.now.value[t*l.m.n:]
	a, b := col[q], col[r]
	if a == b {
		return false
	}
	wish := 0
	if len(l.m.p.Prefer) > 0 {
		wish = l.now.wish(q, t, b) - l.now.wish(q, t, a) + l.now.wish(r, t, a) - l.now.wish(r, t, b)
	}
	if l.hopeless(q, r, l.now.swapGain(q, r, t, a, b), wish) ||
		!l.may(q, r, t, a, b) || !l.now.fits(q, t, b) || !l.now.fits(r, t, a) {
		return false
	}
	l.set(q, t, b)
	l.set(r, t, a)
	return true
}

// swapAll exchanges two places whole: a pair of values stays a pair.
func (l *lane) swapAll(q, r int) bool {
	gain := 0
	for _, t := range l.span {
		col := l.now.value[t*l.m.n:]
		a, b := col[q], col[r]
		if a == b {
			continue
		}
		if !l.may(q, r, t, a, b) || l.m.allow[t][q]>>b&1 == 0 || l.m.allow[t][r]>>a&1 == 0 {
			return false
		}
		gain += l.now.swapGain(q, r, t, a, b)
	}
	if l.hopeless(q, r, gain, 0) {
		return false
	}
	for _, t := range l.span {
		col := l.now.value[t*l.m.n:]
		if a, b := col[q], col[r]; a != b {
			l.set(q, t, b)
			l.set(r, t, a)
		}
	}
	return len(l.undo) > 0
}

// rotate passes one trait round three places, for exchanges of two that are
// barred on the way.
func (l *lane) rotate(q, r, s, t int) bool {
	col := l.now.value[t*l.m.n:]
	a, b, c := col[q], col[r], col[s]
	if a == b || b == c || a == c {
		return false
	}
	k := l.m.kind[t]
	if (l.m.blocked[t][k[q]][k[r]]|l.m.blocked[t][k[r]][k[s]])&(1<<a|1<<b|1<<c) != 0 {
		return false
	}
	if !l.now.fits(q, t, b) || !l.now.fits(r, t, c) || !l.now.fits(s, t, a) {
		return false
	}
	l.set(q, t, b)
	l.set(r, t, c)
	l.set(s, t, a)
	return true
}

// change gives a place another value of a trait where neither is counted.
func (l *lane) change(q, t int) bool {
	v := uint8(l.rng.IntN(l.m.values[t]))
	old := l.now.value[t*l.m.n+q]
	if v == old || l.m.counted[t][l.m.kind[t][q]]&(1<<v|1<<old) != 0 || !l.now.fits(q, t, v) {
		return false
	}
	l.set(q, t, v)
	return true
}
