package pigment

import (
	"cmp"
	"math"
	"slices"

	"facings/internal/colour"
)

// tree groups the paints, mostly by what one lobe looks at. A group is
// halved, and each half again, by absorption or scattering in one of the lobes,
// whichever spreads most, down to few paints. Nodes stand in the order of a walk
// that visits a group before its parts.
type tree struct {
	lobes []*lobe
	boxes [][]float32 // per lobe, one box after the other
	nodes []node
}

// node is a group of paints.
type node struct {
	past   int   // the first node that is no part of it
	last   int   // the greatest index of its paints
	paints []int // of the smallest groups
}

// leafSize is how many paints the smallest groups have at most.
const leafSize = 4

// aside is how much the spread in other lobes than the tree's own counts.
const aside = 0.6

func newTree(lobes []*lobe, own int, rows []row) *tree {
	places := make([]place, len(rows))
	for i, row := range rows {
		places[i].paint = i
		for n, l := range lobes {
			var k, s, sum float64
			for j, w := range l.weight {
				a, b := math.Abs(float64(w)), l.bands[j]
				k += a * math.Log(float64(row[b][0]))
				s += a * math.Log(float64(row[b][1]))
				sum += a
			}
			share := 1.0
			if n != own {
				share = aside
			}
			places[i].at = append(places[i].at, k/sum*share, s/sum*share)
		}
	}
	t := &tree{lobes: lobes, boxes: make([][]float32, len(lobes))}
	t.grow(places)
	return t
}

// place sets a paint by its mean absorption and scattering in each lobe.
type place struct {
	paint int
	at    []float64
}

func (t *tree) grow(p []place) {
	at := len(t.nodes)
	t.nodes = append(t.nodes, node{})
	for n, l := range t.lobes {
		box := l.nothing()
		for _, x := range p {
			join(box, l.boxes[x.paint])
		}
		t.boxes[n] = append(t.boxes[n], box...)
	}
	for _, x := range p {
		t.nodes[at].last = max(t.nodes[at].last, x.paint)
	}
	if len(p) <= leafSize {
		for _, x := range p {
			t.nodes[at].paints = append(t.nodes[at].paints, x.paint)
		}
	} else {
		for _, half := range halves(p) {
			if len(half) <= leafSize {
				t.grow(half)
				continue
			}
			for _, quarter := range halves(half) {
				t.grow(quarter)
			}
		}
	}
	t.nodes[at].past = len(t.nodes)
}

// halves parts paints where they spread most.
func halves(p []place) [2][]place {
	by := widest(p)
	slices.SortFunc(p, func(a, b place) int { return cmp.Or(cmp.Compare(a.at[by], b.at[by]), cmp.Compare(a.paint, b.paint)) })
	return [2][]place{p[:len(p)/2], p[len(p)/2:]}
}

// widest returns in what the places spread most.
func widest(p []place) int {
	by, most := 0, 0.0
	for i := range p[0].at {
		low, high := p[0].at[i], p[0].at[i]
		for _, x := range p {
			low, high = min(low, x.at[i]), max(high, x.at[i])
		}
		if high-low > most {
			by, most = i, high-low
		}
	}
	return by
}

// worker searches the mixes of some pairs of paints.
type worker struct {
	*search
	accept [][2]float32   // what each lobe may sum to within the best distance
	within float64        // the distance that accept was worked out for
	box    [][]float32    // of the pair, per lobe
	part   [][]float32    // and its share in a mix of three
	rest   [][][2]float32 // of each lobe, what the runs from each one on may sum to
	base   row            // of the pair
	laid   bool           // whether base holds the pair
	seen   [Bands]float32
	cost   []float64 // of a row of third paints, by the lobe that led, lately
	effort int       // spent on this row
	turn   int
	second []int  // by the lobe that leads, the one to ask next
	every  []int  // all bands
	known  uint64 // the bands of which seen holds what the mix shows
}

func newWorker(s *search) *worker {
	w := &worker{search: s, accept: make([][2]float32, len(s.lobes)), cost: make([]float64, len(s.lobes)), second: make([]int, len(s.lobes))}
	for b := range Bands {
		w.every = append(w.every, b)
	}
	for _, l := range s.lobes {
		w.box = append(w.box, l.nothing())
		w.part = append(w.part, l.nothing())
		w.rest = append(w.rest, make([][2]float32, len(l.runs)+1))
	}
	return w
}

// rounding is how far float32 sums may stray, relative to the white's sum.
const rounding = 4e-6

// refresh works out what is still of use when a better mix has been found. A
// mix within half a step of the best is of use too: it may tie.
func (w *worker) refresh() {
	within := w.best.Load().DeltaE00 + 0.6*distanceStep + 1e-5
	if w.within > 0 && within > 0.9*w.within {
		return // hardly worth the work
	}
	w.within = within
	var sums [][3]float64
	for _, l := range w.lobes {
		sums = append(sums, l.sum)
	}
	for i, span := range newBall(w.query.Target, w.within).spans(sums, w.query.Setting.View.White()) {
		spare := w.lobes[i].spare
		w.accept[i] = [2]float32{float32(span[0] - spare[1] - rounding), float32(span[1] - spare[0] + rounding)}
	}
}

// from searches all mixes in which paint i is the first of the pair that a
// third paint, of no more parts than either, is added to.
func (w *worker) from(i int) {
	for j := i + 1; j < len(w.rack); j++ {
		w.refresh()
		for a := 1; a < w.query.Parts; a++ {
			for b := 1; a+b <= w.query.Parts; b++ {
				w.pair(i, j, a, b)
			}
		}
	}
}

func (w *worker) pair(i, j, a, b int) {
	w.laid = false
	for n, l := range w.lobes {
		p, q := l.boxes[i], l.boxes[j]
		box := w.box[n][:len(p)]
		for x, v := range p {
			box[x] = float32(a)*v + float32(b)*q[x]
		}
	}
	if gcd(a, b) == 1 && w.pass(i, j, a, b, 0) && w.near(i, j, i, a, b, 0, 0) {
		w.try([]int{i, j}, []int{a, b})
	}
	if w.query.Paints < 3 {
		return
	}
	for c := 1; c <= min(a, b, w.query.Parts-a-b); c++ {
		if gcd(a, b, c) == 1 && w.pass(i, j, a, b, c) {
			w.thirds(i, j, a, b, c, w.lead())
		}
	}
}

// pass tells whether c parts of any paint may bring the pair near enough.
func (w *worker) pass(i, j, a, b, c int) bool {
	g := 1 / float32(a+b+c)
	for n, l := range w.lobes {
		part := w.part[n][:len(w.box[n])]
		for x, v := range w.box[n] {
			part[x] = g * v
		}
		if low, high := l.bounds(part, l.all, float32(c)*g, w.rest[n]); high < w.accept[n][0] || low > w.accept[n][1] {
			return false
		}
	}
	return true
}

// lead returns the lobe to look for third paints by: mostly the one that cost
// least lately, and each of the others now and then, to know what it costs.
func (w *worker) lead() int {
	w.turn++
	if w.turn%8 == 0 {
		return w.turn / 8 % len(w.lobes)
	}
	least := 0
	for n, c := range w.cost {
		if c < w.cost[least] {
			least = n
		}
	}
	return least
}

// thirds tries every third paint that may bring the pair near enough. Where
// parts are equal the third has the greatest index, so that no mix comes twice.
func (w *worker) thirds(i, j, a, b, c, lobe int) {
	first := 0
	if c == a {
		first = i + 1
	}
	if c == b {
		first = j + 1
	}
	t := w.lobes[lobe].tree
	share := float32(c) / float32(a+b+c)
	w.effort = 0
	for n := 0; n < len(t.nodes); {
		at := &t.nodes[n]
		if at.last < first || !w.open(t, lobe, n, share) || at.paints != nil && !w.others(t, lobe, n, share) {
			n = at.past
			continue
		}
		for _, k := range at.paints {
			if k >= first && k != i && k != j && w.near(i, j, k, a, b, c, lobe) {
				w.mix(i, j, k, a, b, c)
			}
		}
		n++
	}
	w.cost[lobe] += (float64(w.effort) - w.cost[lobe]) / 32
}

// open tells whether a share of a paint of node n may bring the pair near
// enough in a lobe.
func (w *worker) open(t *tree, lobe, n int, share float32) bool {
	l, part := w.lobes[lobe], w.part[lobe]
	w.effort += len(l.runs)
	low, high := l.bounds(part, t.boxes[lobe][n*len(part):(n+1)*len(part)], share, w.rest[lobe])
	return high >= w.accept[lobe][0] && low <= w.accept[lobe][1]
}

// others tells the same of all lobes but one, first of that which last said no.
func (w *worker) others(t *tree, lobe, n int, share float32) bool {
	second := w.second[lobe]
	if second != lobe && !w.open(t, second, n, share) {
		return false
	}
	for m := range w.lobes {
		if m != lobe && m != second && !w.open(t, m, n, share) {
			w.second[lobe] = m
			return false
		}
	}
	return true
}

// near tells whether a mix may be near enough, by interpolation. It looks at
// one lobe first.
func (w *worker) near(i, j, k, a, b, c, first int) bool {
	if !w.laid {
		fa, fb := float32(a), float32(b)
		p, q := &w.rows[i], &w.rows[j]
		for x := range w.base {
			w.base[x] = [2]float32{fa*p[x][0] + fb*q[x][0], fa*p[x][1] + fb*q[x][1]}
		}
		w.laid = true
	}
	w.known = 0
	third, fc, g := &w.rows[k], float32(c), 1/float32(a+b+c)
	if !w.meets(first, third, fc, g) {
		return false
	}
	for n := range w.lobes {
		if n != first && !w.meets(n, third, fc, g) {
			return false
		}
	}
	return !w.far(third, fc, g)
}

// look works out what the mix shows at some bands, unless that is known.
func (w *worker) look(bands []int, third *row, c, g float32) {
	for _, b := range bands {
		if w.known>>b&1 == 0 {
			p, q := &w.base[b], &third[b]
			w.seen[b] = w.at(w.grids[b], (p[0]+c*q[0])*g, (p[1]+c*q[1])*g)
			w.known |= 1 << b
		}
	}
}

// meets tells whether a mix of the pair and c parts of a third may be near
// enough in one lobe. It looks at one run after the other, as long as what the
// others may sum to leaves that open.
func (w *worker) meets(n int, third *row, c, g float32) bool {
	l, accept := w.lobes[n], w.accept[n]
	var sum, size float32
	for i := range l.runs {
		r := &l.runs[i]
		w.effort += r.end - r.first
		w.look(l.bands[r.first:r.end], third, c, g)
		for x := r.first; x < r.end; x++ {
			b := l.bands[x]
			v := l.weight[x] * w.seen[b]
			sum += v
			size += max(v, -v)
		}
		off, rest := bent*size+l.slack, w.rest[n][i+1]
		if sum+off+rest[1] < accept[0] || sum-off+rest[0] > accept[1] {
			return false
		}
	}
	return true
}

// What lies between slabs may still be far off, the more so the farther the
// target, since the colours within a distance fill no simple shape. A small step
// in CIELAB changes CIEDE2000 by less than steepest times the sum of its parts
// (2.3 times was the most in millions of pairs), save where hues are opposite
// and the formula jumps, or where a step turns the hue of a dull colour.
const (
	steepest = 3
	opposite = -0.9 // cosine
	dull     = 10   // chroma; and so many times the step
)

// far tells whether a mix that meets all lobes is surely not near enough.
func (w *worker) far(third *row, c, g float32) bool {
	var r colour.Reflectance
	w.look(w.every, third, c, g)
	for b, v := range w.seen {
		r[b] = float64(v)
	}
	view := w.query.Setting.View
	white := view.White()
	xyz := view.XYZ(&r)
	lab, off := colour.LabFrom(xyz, white), labOff(xyz, white)
	return steady(w.query.Target, lab, off) && w.target.DeltaE00(lab) > w.within+steepest*off
}

// steady tells whether steepest holds for a step of off from q, seen from p.
func steady(p, q colour.Lab, off float64) bool {
	chroma := math.Hypot(q.A, q.B)
	return chroma >= dull*max(1, off) && q.A*p.A+q.B*p.B >= opposite*chroma*math.Hypot(p.A, p.B)
}

// labOff bounds the sum of the errors of L*, a* and b* of an interpolated colour.
func labOff(c, white colour.XYZ) float64 {
	x, y, z := rootOff(c.X/white.X), rootOff(c.Y/white.Y), rootOff(c.Z/white.Z)
	return 116*y + 500*(x+y) + 200*(y+z)
}

// rootOff bounds the error of CIELAB's root of a share of the white that was
// interpolated; the root is never steeper than at 0, where it is 841/108.
func rootOff(t float64) float64 {
	off := bent*t + flat + rounding
	if low := t - off; low > 1e-3 {
		return off * math.Min(841.0/108, 1/(3*math.Cbrt(low*low)))
	}
	return off * 841 / 108
}

// mix tries three paints, put in the order of the rack.
func (w *worker) mix(i, j, k, a, b, c int) {
	switch {
	case k < i:
		i, j, k, a, b, c = k, i, j, c, a, b
	case k < j:
		j, k, b, c = k, j, c, b
	}
	w.try([]int{i, j, k}, []int{a, b, c})
}
