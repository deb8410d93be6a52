package pigment

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// node is a group of paints, with the box of their coefficients in the bands
// of one lobe. Halves are grouped by absorption or scattering, whichever
// spreads more, down to single paints.
type node struct {
	box         []float32 // per run of bands: least and most K, least and most S
	paints      paintSet
	paint       int // of a group of one
	left, right *node
}

// paintSet is a set of rack indexes, one bit each.
type paintSet []uint64

func newPaintSet(paints int) paintSet { return make(paintSet, (paints+63)/64) }

func (p paintSet) add(i int)    { p[i/64] |= 1 << (i % 64) }
func (p paintSet) remove(i int) { p[i/64] &^= 1 << (i % 64) }

func (p paintSet) meets(q paintSet) bool {
	for i, w := range p {
		if w&q[i] != 0 {
			return true
		}
	}
	return false
}

func (l *lobe) tree(paints int) *node {
	type point struct {
		paint int
		at    [2]float64
	}
	points := make([]point, paints)
	for i, row := range l.paints {
		points[i].paint = i
		for b, w := range l.weight {
			a := math.Abs(float64(w))
			points[i].at[0] += a * math.Log(float64(row[2*b])+leastLine)
			points[i].at[1] += a * math.Log(float64(row[2*b+1])+leastLine)
		}
	}
	var build func(p []point) *node
	build = func(p []point) *node {
		n := &node{paints: newPaintSet(paints)}
		for range l.rough.runs {
			n.box = append(n.box, math.MaxFloat32, 0, math.MaxFloat32, 0)
		}
		low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for _, x := range p {
			n.paints.add(x.paint)
			row := l.paints[x.paint]
			l.rough.limits(n.box, row)
			for j, v := range x.at {
				low[j], high[j] = min(low[j], v), max(high[j], v)
			}
		}
		if len(p) == 1 {
			n.paint = p[0].paint
			return n
		}
		by := 0
		if high[1]-low[1] > high[0]-low[0] {
			by = 1
		}
		slices.SortFunc(p, func(a, b point) int { return cmp.Or(cmp.Compare(a.at[by], b.at[by]), cmp.Compare(a.paint, b.paint)) })
		n.left, n.right = build(p[:len(p)/2]), build(p[len(p)/2:])
		return n
	}
	return build(points)
}

// limits widens a box so that it holds the coefficients of a row.
func (r *rough) limits(box, row []float32) {
	for i, run := range r.runs {
		x := box[4*i : 4*i+4 : 4*i+4]
		for b := run[0]; b < run[1]; b++ {
			k, s := row[2*b], row[2*b+1]
			x[0], x[1], x[2], x[3] = min(x[0], k), max(x[1], k), min(x[2], s), max(x[3], s)
		}
	}
}

// worker searches the mixes of some pairs of paints.
type worker struct {
	*search
	accept [4][2]float32 // what each lobe may sum to within the best distance
	within float64       // the distance that accept was worked out for
	base   [4][]float32  // of the pair, per lobe: K and S of each band
	box    [4][]float32  // and the limits of each run
	alive  [5]paintSet
}

func newWorker(s *search) *worker {
	w := &worker{search: s}
	for i, l := range s.lobes {
		w.base[i] = make([]float32, 2*len(l.bands))
		w.box[i] = make([]float32, 4*len(l.rough.runs))
	}
	for i := range w.alive {
		w.alive[i] = newPaintSet(len(s.rack))
	}
	return w
}

// rounding is how far float32 sums may stray, relative to the white's sum.
const rounding = 2e-6

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
		for a := 1; a < w.query.Parts; a++ {
			for b := 1; a+b <= w.query.Parts; b++ {
				w.refresh()
				w.lay(i, j, a, b)
				if gcd(a, b) == 1 && w.couldBe(float32(a+b)) {
					w.try([]int{i, j}, []int{a, b})
				}
				if w.query.Paints < 3 {
					continue
				}
				for c := 1; c <= min(a, b, w.query.Parts-a-b); c++ {
					if gcd(a, b, c) == 1 {
						w.thirds(i, j, a, b, c)
					}
				}
			}
		}
	}
}

// lay sums the coefficients of the pair.
func (w *worker) lay(i, j, a, b int) {
	fa, fb := float32(a), float32(b)
	for n, l := range w.lobes {
		p, q := l.paints[i], l.paints[j]
		base := w.base[n][:len(p)]
		for x, v := range p {
			base[x] = fa*v + fb*q[x]
		}
		box := w.box[n]
		for x := 0; x < len(box); x += 4 {
			box[x], box[x+1], box[x+2], box[x+3] = math.MaxFloat32, 0, math.MaxFloat32, 0
		}
		l.rough.limits(box, base)
	}
}

// couldBe tells whether the pair alone may be near enough.
func (w *worker) couldBe(total float32) bool {
	for i, l := range w.lobes {
		low, high := l.span(w.base[i], w.base[i], 0, 1/total)
		if high < w.accept[i][0] || low > w.accept[i][1] {
			return false
		}
	}
	return true
}

// thirds tries every third paint that may bring the pair near enough. Where
// parts are equal the third has the greatest index, so that no mix comes twice.
func (w *worker) thirds(i, j, a, b, c int) {
	first := 0
	if c == a {
		first = i + 1
	}
	if c == b {
		first = j + 1
	}
	all := w.alive[0]
	for x := range all {
		all[x] = ^uint64(0)
		if x*64 < first {
			all[x] = ^uint64(0) << min(64, first-x*64)
		}
	}
	all.remove(i)
	all.remove(j)
	g := 1 / float32(a+b+c)
	// First only as far as large groups, which may be enough to see that none
	// of them has a paint for every lobe.
	for _, depth := range []int{groupDepth, math.MaxInt} {
		for n, l := range w.lobes {
			clear(w.alive[n+1])
			if !w.descend(n, l.root, float32(c), g, depth) {
				return
			}
		}
		copy(w.alive[0], w.alive[4])
	}
	for x, word := range w.alive[4] {
		for ; word != 0; word &= word - 1 {
			w.mix(i, j, 64*x+bits.TrailingZeros64(word), a, b, c)
		}
	}
}

// groupDepth is how often the rack is halved for a first look.
const groupDepth = 4

// descend keeps, of the paints alive before lobe n, those of a group that may
// bring its sum near enough, and reports whether there are any. It halves the
// group no more than depth times, and then keeps the whole of it.
func (w *worker) descend(n int, at *node, c, g float32, depth int) bool {
	if !at.paints.meets(w.alive[n]) {
		return false
	}
	l := w.lobes[n]
	low, high := l.rough.span(w.box[n], at.box, c, g)
	if high < w.accept[n][0] || low > w.accept[n][1] {
		return false
	}
	if depth == 0 && at.left != nil {
		for x, word := range at.paints {
			w.alive[n+1][x] |= word & w.alive[n][x]
		}
		return true
	}
	if at.left == nil {
		low, high = l.span(w.base[n], l.paints[at.paint], c, g)
		if high < w.accept[n][0] || low > w.accept[n][1] {
			return false
		}
		for x, word := range at.paints {
			w.alive[n+1][x] |= word
		}
		return true
	}
	left := w.descend(n, at.left, c, g, depth-1)
	right := w.descend(n, at.right, c, g, depth-1)
	return left || right
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

// span bounds the lobe's sum for a base to which c parts of a paint are added,
// all scaled by g.
func (l *lobe) span(base, paint []float32, c, g float32) (low, high float32) {
	for b, gr := range l.grids {
		k, s := (base[2*b]+c*paint[2*b])*g, (base[2*b+1]+c*paint[2*b+1])*g
		least, most := gr.bounds(k, k, s, s)
		low, high = sum(low, high, l.weight[b], least, most)
	}
	return low, high
}

// span bounds the sum of the lobe for a base to which c parts of any paint in a
// box are added, all scaled by g.
func (r *rough) span(base, box []float32, c, g float32) (low, high float32) {
	for i, gr := range r.grids {
		p, x := base[4*i:4*i+4:4*i+4], box[4*i:4*i+4:4*i+4]
		least, most := gr.bounds((p[0]+c*x[0])*g, (p[1]+c*x[1])*g, (p[2]+c*x[2])*g, (p[3]+c*x[3])*g)
		low, high = sum(low, high, r.weight[i], least, most)
	}
	return low, high
}

func sum(low, high, weight, least, most float32) (float32, float32) {
	if weight < 0 {
		least, most = most, least
	}
	return low + weight*least, high + weight*most
}
