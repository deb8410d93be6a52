package pigment

import (
	"cmp"
	"math"
	"slices"
)

// tree groups the paints by what one lobe looks at. Halves are grouped by
// absorption or scattering, whichever spreads more, down to few paints. Nodes
// stand in the order of a walk that visits a group before its halves.
type tree struct {
	lobe  *lobe
	boxes []float32
	nodes []node
}

// node is a group of paints.
type node struct {
	past   int   // the first node that is no part of it
	paints []int // of the smallest groups
}

// leafSize is how many paints the smallest groups have at most.
const leafSize = 3

func newTree(l *lobe, rows [][]float32) *tree {
	points := make([]place, len(rows))
	for i, row := range rows {
		points[i].paint = i
		for j, w := range l.weight {
			a, b := math.Abs(float64(w)), l.bands[j]
			points[i].at[0] += a * math.Log(float64(row[2*b]))
			points[i].at[1] += a * math.Log(float64(row[2*b+1]))
		}
	}
	t := &tree{lobe: l}
	t.grow(points)
	return t
}

// place sets a paint by its mean absorption and scattering.
type place struct {
	paint int
	at    [2]float64
}

func (t *tree) grow(p []place) {
	at := len(t.nodes)
	t.nodes = append(t.nodes, node{})
	box := t.lobe.nothing()
	low, high := p[0].at, p[0].at
	for _, x := range p {
		join(box, t.lobe.boxes[x.paint])
		for j, v := range x.at {
			low[j], high[j] = min(low[j], v), max(high[j], v)
		}
	}
	t.boxes = append(t.boxes, box...)
	if len(p) <= leafSize {
		for _, x := range p {
			t.nodes[at].paints = append(t.nodes[at].paints, x.paint)
		}
	} else {
		by := 0
		if high[1]-low[1] > high[0]-low[0] {
			by = 1
		}
		slices.SortFunc(p, func(a, b place) int { return cmp.Or(cmp.Compare(a.at[by], b.at[by]), cmp.Compare(a.paint, b.paint)) })
		t.grow(p[:len(p)/2])
		t.grow(p[len(p)/2:])
	}
	t.nodes[at].past = len(t.nodes)
}

// worker searches the mixes of some pairs of paints.
type worker struct {
	*search
	accept [][2]float32 // what each lobe may sum to within the best distance
	within float64      // the distance that accept was worked out for
	box    [][]float32  // of the pair, per lobe
	part   [][]float32  // and its share in a mix of three
	base   [2 * Bands]float32
	laid   bool // whether base holds K and S of the pair
	seen   [Bands]float32
	cost   []float64 // of a row of third paints, by the lobe that led, lately
	effort int       // spent on this row
	turn   int
	known  uint64 // the bands of which seen holds what the mix shows
}

func newWorker(s *search) *worker {
	w := &worker{search: s, accept: make([][2]float32, len(s.lobes)), cost: make([]float64, len(s.lobes))}
	for _, l := range s.lobes {
		w.box = append(w.box, l.nothing())
		w.part = append(w.part, l.nothing())
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
		if low, high := l.bounds(part, l.all, float32(c)*g); high < w.accept[n][0] || low > w.accept[n][1] {
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
	t, part, accept := w.lobes[lobe].tree, w.part[lobe], w.accept[lobe]
	share := float32(c) / float32(a+b+c)
	w.effort = 0
	for n, size := 0, len(part); n < len(t.nodes); {
		at := &t.nodes[n]
		w.effort += len(t.lobe.runs)
		low, high := t.lobe.bounds(part, t.boxes[n*size:(n+1)*size], share)
		if high < accept[0] || low > accept[1] {
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

// near tells whether a mix may be near enough, by interpolation. It looks at
// one lobe first.
func (w *worker) near(i, j, k, a, b, c, first int) bool {
	if !w.laid {
		fa, fb := float32(a), float32(b)
		p, q := w.rows[i], w.rows[j]
		for x := range w.base {
			w.base[x] = fa*p[x] + fb*q[x]
		}
		w.laid = true
	}
	w.known = 0
	third, fc, g := w.rows[k], float32(c), 1/float32(a+b+c)
	if !w.meets(first, third, fc, g) {
		return false
	}
	for n := range w.lobes {
		if n != first && !w.meets(n, third, fc, g) {
			return false
		}
	}
	return true
}

// meets tells whether a mix of the pair and c parts of a third may be near
// enough in one lobe.
func (w *worker) meets(n int, third []float32, c, g float32) bool {
	third = third[:2*Bands]
	l := w.lobes[n]
	w.effort += len(l.bands)
	for _, x := range l.bands {
		if w.known>>x&1 == 0 {
			w.seen[x] = w.grids[x].at((w.base[2*x]+c*third[2*x])*g, (w.base[2*x+1]+c*third[2*x+1])*g)
			w.known |= 1 << x
		}
	}
	sum, off := l.between(&w.seen)
	return sum+off >= w.accept[n][0] && sum-off <= w.accept[n][1]
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
