package pigment

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"

	"facings/internal/colour"
)

// worker searches nodes.
type worker struct {
	*search
	region *region               // that accept is of
	accept [lobeCount][2]float32 // what each lobe may sum to within the best distance
	good   [3]float64            // what the first three lobes sum to of the best mix so far, or lately
	plane  plane                 // of the node last looked at
	scores [3][]scores           // of the paints of its clusters, in blocks
	ends   [3]span               // the least and the most of them
	rows   [][lobeCount]float32  // of two paints, what both score
	passed []uint8
	sums   [lobeCount][2]float32 // what its mixes may sum to
	since  int                   // how many nodes were looked at since accept changed
	todo   []node                // the next last
}

func newWorker(s *search) *worker {
	w := &worker{search: s}
	for i := range w.scores {
		w.scores[i] = make([]scores, len(s.octets))
	}
	return w
}

// rounding is how far float32 may carry a limit of a sum, and the sum.
const rounding = 4e-6

// patience is how many nodes a worker looks at before it makes a new region, which
// takes about as long as they do.
const patience = 4000

// refresh takes over what is still of use.
func (w *worker) refresh() {
	if w.since++; w.since > patience {
		w.closeIn()
	}
	r := w.search.region.Load()
	if r == w.region {
		return
	}
	w.region, w.since = r, 0
	good := w.best.Load().Lab.XYZ(w.query.Setting.View.White())
	for n := range w.good {
		v := &w.lobes[n].sum
		w.good[n] = v[0]*good.X + v[1]*good.Y + v[2]*good.Z
	}
	for i, span := range r.span {
		l := &w.lobes[i]
		w.accept[i] = [2]float32{float32(span[0]-l.thrown-l.off) - rounding, float32(span[1]-l.thrown+l.off) + rounding}
	}
}

// run searches a node and all within it.
func (w *worker) run(ctx context.Context, n node) {
	w.todo = append(w.todo[:0], n)
	for len(w.todo) > 0 && ctx.Err() == nil {
		last := len(w.todo) - 1
		n, w.todo = w.todo[last], w.todo[:last]
		w.visit(n)
	}
}

// few is how many mixes are looked at one by one.
const few = 24

// sharp is how uncertain sums may be, as a share of what is accepted, for one by
// one of up to many mixes.
const (
	sharp = 0.05
	many  = 512
)

// visit looks at a node: shuts it out, tries its mixes, or adds its halves to what
// is to do.
func (w *worker) visit(n node) {
	w.refresh()
	c := [3]*cluster{&w.clusters[n.paints[0]], &w.clusters[n.paints[1]], &w.clusters[n.paints[2]]}
	x := &w.ratios[n.ratios]
	bound8(&w.scene, &c[0].limits, &c[1].limits, &c[2].limits, x.shares, &w.plane)
	for i := range c {
		w.score(i, c[i])
	}
	clear := true
	for l := range w.sums {
		low, high := float32(math.Inf(1)), float32(math.Inf(-1))
		p, q, r := &w.ends[0], &w.ends[1], &w.ends[2]
		for i := range x.shares {
			y := &x.shares[i]
			low = min(low, y[0]*p[0][l]+y[1]*q[0][l]+y[2]*r[0][l])
			high = max(high, y[0]*p[1][l]+y[1]*q[1][l]+y[2]*r[1][l])
		}
		w.sums[l] = [2]float32{low + w.plane.low[l], high + w.plane.high[l]}
		accept := &w.accept[l]
		if w.sums[l][1] < accept[0] || w.sums[l][0] > accept[1] {
			return
		}
		clear = clear && w.plane.high[l]-w.plane.low[l] < sharp*(accept[1]-accept[0])
	}
	if !w.meets() {
		return
	}
	mixes := c[0].count * c[1].count * c[2].count * len(x.shares)
	if mixes <= few || clear && mixes <= many {
		w.each(n, c, x)
		return
	}
	w.todo = w.split(n, w.widest(c, x), w.todo)
}

// score works out what the paints of a cluster score.
func (w *worker) score(i int, c *cluster) {
	at, end := c.first%abreast, c.first%abreast+c.count
	score8(&w.plane, &w.octets[c.first/abreast], at, min(end, abreast), &w.scores[i][0], &w.ends[i])
	for b := 1; b*abreast < end; b++ {
		var more span
		score8(&w.plane, &w.octets[c.first/abreast+b], 0, min(end-b*abreast, abreast), &w.scores[i][b], &more)
		for l := range lobeCount {
			w.ends[i][0][l], w.ends[i][1][l] = min(w.ends[i][0][l], more[0][l]), max(w.ends[i][1][l], more[1][l])
		}
	}
}

// widest returns which place of a node to split: where sums of the first
// three lobes spread most, over the paints of a cluster or over the ratios (3).
func (w *worker) widest(c [3]*cluster, x *ratios) int {
	var wide [4]float32
	for l := range lobeSums {
		middle := float32(0)
		for i := range c {
			s := [2]float32{w.ends[i][0][l], w.ends[i][1][l]}
			wide[i] += (x.least[i] + x.most[i]) / 2 * (s[1] - s[0])
			middle += (s[0] + s[1]) / 6
		}
		for i := range c {
			s := [2]float32{w.ends[i][0][l], w.ends[i][1][l]}
			wide[3] += (x.most[i] - x.least[i]) / 2 * abs32(s[0]+s[1]-2*middle)
		}
	}
	by := -1
	for i, v := range wide {
		if whole := i < 3 && c[i].count == 1 || i == 3 && len(x.shares) == 1; !whole && (by < 0 || v > wide[by]) {
			by = i
		}
	}
	return by
}

// meets tells whether mixes that sum to what was last found may be near enough.
func (w *worker) meets() bool {
	box := w.sumBox()
	if inside(&w.good, &box) {
		return true
	}
	return w.region.meets(&box, w.limit())
}

func inside(v *[3]float64, box *[3][2]float64) bool {
	return v[0] >= box[0][0] && v[0] <= box[0][1] && v[1] >= box[1][0] && v[1] <= box[1][1] && v[2] >= box[2][0] && v[2] <= box[2][1]
}

// sumBox is what the first three lobes may sum to in what was last looked at.
func (w *worker) sumBox() (box [3][2]float64) {
	for n := range box {
		l := &w.lobes[n]
		box[n] = [2]float64{float64(w.sums[n][0]) + l.thrown - l.off, float64(w.sums[n][1]) + l.thrown + l.off}
	}
	return box
}

// near tells the same of the one mix last looked at, from CIEDE2000 itself.
func (w *worker) near() bool {
	box := w.sumBox()
	d, ok := w.frame.leastIn(&box)
	return ok && d <= w.limit()
}

// each tries the mixes of a node, just looked at, one by one: of the largest
// cluster eight paints at once.
func (w *worker) each(n node, c [3]*cluster, x *ratios) {
	a, b, at := 0, 1, 2
	if c[0].count > c[at].count {
		a, at = at, a
	}
	if c[1].count > c[at].count {
		b, at = at, b
	}
	limits := span{}
	for l := range lobeCount {
		limits[0][l], limits[1][l] = w.accept[l][0]-w.plane.high[l], w.accept[l][1]-w.plane.low[l]
	}
	for y := range x.shares {
		share := &x.shares[y]
		w.rows = w.rows[:0]
		for i := range c[a].count {
			p, n := w.scoresOf(a, c[a], i)
			for j := range c[b].count {
				q, m := w.scoresOf(b, c[b], j)
				var row [lobeCount]float32
				for l := range row {
					row[l] = share[a]*p[l][n] + share[b]*q[l][m]
				}
				w.rows = append(w.rows, row)
			}
		}
		w.passed = slices.Grow(w.passed[:0], len(w.rows))[:len(w.rows)]
		for first := c[at].first / abreast * abreast; first < c[at].first+c[at].count; first += abreast {
			sift8(w.rows, &w.scores[at][(first-c[at].first/abreast*abreast)/abreast], share[at], &limits, w.passed)
			for row, passed := range w.passed {
				for ; passed != 0; passed &= passed - 1 {
					var mix [3]int
					mix[a], mix[b] = c[a].first+row/c[b].count, c[b].first+row%c[b].count
					mix[at] = first + bits.TrailingZeros8(passed)
					if mix[at] >= c[at].first && mix[at] < c[at].first+c[at].count && inOrder(n, &mix) {
						w.mix(&mix, share, &x.parts[y])
					}
				}
			}
		}
	}
}

// scoresOf returns where the scores of a paint of a cluster are, and its lane.
func (w *worker) scoresOf(i int, c *cluster, paint int) (*scores, int) {
	at := c.first%abreast + paint
	return &w.scores[i][at/abreast], at % abreast
}

// inOrder tells whether paints of one cluster come in their order.
func inOrder(n node, mix *[3]int) bool {
	return (n.paints[0] != n.paints[1] || mix[0] < mix[1]) && (n.paints[1] != n.paints[2] || mix[1] < mix[2])
}

// mix tries a mix, if what it shows is near enough.
func (w *worker) mix(at *[3]int, x *[3]float32, parts *[3]int) {
	last := min(at[2], len(w.order)) // no paint
	sums := show8(&w.view, &w.films[at[0]], &w.films[at[1]], &w.films[last], x)
	for l, v := range sums {
		if v < w.accept[l][0] || v > w.accept[l][1] {
			return
		}
		w.sums[l] = [2]float32{v, v}
	}
	if !w.meets() || !w.near() {
		return
	}
	var p, q []int
	for i := range at {
		if parts[i] > 0 {
			to, _ := slices.BinarySearch(p, w.order[at[i]])
			p, q = slices.Insert(p, to, w.order[at[i]]), slices.Insert(q, to, parts[i])
		}
	}
	w.try(p, q)
}

// nearestFirst returns what is to do, what shows about the nearest colours first.
func (w *worker) nearestFirst() []node {
	type seed struct {
		node
		far float64
	}
	var out []seed
	for _, n := range w.todo {
		c := [3]*cluster{&w.clusters[n.paints[0]], &w.clusters[n.paints[1]], &w.clusters[n.paints[2]]}
		x := &w.ratios[n.ratios]
		bound8(&w.scene, &c[0].limits, &c[1].limits, &c[2].limits, x.shares, &w.plane)
		var mid [3]float64
		for i := range c {
			w.score(i, c[i])
			for l := range mid {
				s := [2]float32{w.ends[i][0][l], w.ends[i][1][l]}
				mid[l] += float64((x.least[i] + x.most[i]) / 4 * (s[0] + s[1]))
			}
		}
		for l := range mid {
			mid[l] += float64(w.plane.low[l]+w.plane.high[l])/2 + w.lobes[l].thrown
		}
		out = append(out, seed{n, w.target.DeltaE00(colour.LabFrom(w.frame.xyz(&mid), w.frame.white))})
	}
	slices.SortStableFunc(out, func(a, b seed) int { return cmp.Compare(a.far, b.far) })
	nodes := make([]node, len(out))
	for i := range out {
		nodes[i] = out[i].node
	}
	return nodes
}
