package pigment

import "slices"

// worker searches the mixes of some base and one paint more.
type worker struct {
	*search
	accept  [][2]float32 // what each lobe may sum to within the best distance
	region  *region      // that accept is of
	good    [3]float64   // what the first three lobes sum to of the best mix so far, or lately
	span    [][2]float32 // of each lobe, what the group last looked at may sum to
	paints  []int        // of the base, one or two
	parts   []int        // of them
	boxes   []box        // of each lobe, the base in its share of the mix
	films   [][]film1    // likewise, band by band
	laid    uint64       // of which lobes these are worked out
	sieves  []sieve      // of each lobe
	each    []eachRun    // of each lobe, what its runs may add in the group last looked at
	pack    packRuns     // the same of the groups of a pack
	cost    []float64    // of a search for the paint more, by the lobe that led, lately
	now     errand
	effort  int // spent on it
	turn    int
	refused int // the lobe that refused the base before
	shut    int // and the group
}

func newWorker(s *search) *worker {
	n := len(s.lobes)
	w := &worker{search: s, accept: make([][2]float32, n), boxes: make([]box, n), span: make([][2]float32, n), each: make([]eachRun, n),
		cost: make([]float64, n)}
	for _, l := range s.lobes {
		w.films = append(w.films, make([]film1, len(l.order)))
		w.sieves = append(w.sieves, l.sieve)
	}
	return w
}

// rounding is how far float32 may carry a limit of a sum, and the sum.
const rounding = 4e-6

// refresh takes over what is still of use.
func (w *worker) refresh() {
	w.closeIn()
	r := w.search.region.Load()
	if r == w.region {
		return
	}
	w.region = r
	good := w.best.Load().Lab.XYZ(w.query.Setting.View.White())
	for n := range w.good {
		v := &w.lobes[n].sum
		w.good[n] = v[0]*good.X + v[1]*good.Y + v[2]*good.Z
	}
	for i, span := range r.span {
		l := w.lobes[i]
		w.accept[i] = [2]float32{float32(span[0]-l.spare[1]) - l.off - rounding, float32(span[1]-l.spare[0]) + l.off + rounding}
	}
}

// from searches all mixes of two and three paints in which paint i and one of the
// rest are those, of two, that make up the most, and all of i with one later paint.
func (w *worker) from(i int, rest []int) {
	w.refresh()
	for a := 1; a < w.query.Parts; a++ {
		w.paints, w.parts = append(w.paints[:0], i), append(w.parts[:0], a)
		for b := 1; a+b <= w.query.Parts; b++ {
			w.add(b, i+1)
		}
	}
	if w.query.Paints < 3 {
		return
	}
	for _, j := range rest {
		w.refresh()
		p, q := min(i, j), max(i, j)
		for a := 1; a < w.query.Parts; a++ {
			for b := 1; a+b < w.query.Parts; b++ {
				w.paints, w.parts = append(w.paints[:0], p, q), append(w.parts[:0], a, b)
				for c := 1; c <= min(a, b, w.query.Parts-a-b); c++ {
					// Where parts are equal the third has the greatest index, so that no
					// mix comes twice.
					switch c {
					case b:
						w.add(c, q+1)
					case a:
						w.add(c, p+1)
					default:
						w.add(c, 0)
					}
				}
			}
		}
	}
}

// add tries the base with c parts of each paint from the first on.
func (w *worker) add(c, first int) {
	total := c
	for _, p := range w.parts {
		total += p
	}
	if gcd(c, gcd(w.parts...)) != 1 {
		return
	}
	share := float32(c) / float32(total)
	w.laid = 0
	i, j, a, b := w.paints[0], w.paints[0], float32(w.parts[0])/float32(total), float32(0)
	if len(w.paints) == 2 {
		j, b = w.paints[1], float32(w.parts[1])/float32(total)
	}
	// First the lobe that refused the one before, which was much alike.
	for x := range w.lobes {
		n := (w.refused + x) % len(w.lobes)
		l := w.lobes[n]
		w.boxes[n].blend(&l.boxes[i], &l.boxes[j], a, b)
		if !w.open(n, &l.all, share) {
			w.refused = n
			return
		}
	}
	if w.meets() {
		w.seek(c, first, share)
	}
}

// lead returns the lobe to look for paints by: mostly the one that cost least
// lately, and each of the others now and then, to know what it costs.
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

// seek tries every paint, c parts of it, that may bring the base near enough.
func (w *worker) seek(c, first int, share float32) {
	w.now = errand{c: c, first: first, share: share, lobe: w.lead()}
	w.effort = 0
	l := w.lobes[w.now.lobe]
	d := l.division
	for p := range d.packs {
		open := l.boundPack(&w.boxes[w.now.lobe], &d.packs[p], share, w.accept[w.now.lobe], &w.pack)
		w.effort += abreast
		for n := p * abreast; n < min((p+1)*abreast, len(d.groups)); n++ {
			if open>>(n%abreast)&1 != 0 && d.groups[n].last >= first {
				w.group(d, n)
			}
		}
	}
	w.cost[w.now.lobe] += (float64(w.effort) - w.cost[w.now.lobe]) / 32
}

// errand is what is sought: c parts, a share of the mix, of a paint from the first
// on, by the division of a lobe.
type errand struct {
	c, first, lobe int
	share          float32
}

// group tries the paints of group n, open in the lobe that leads, of whose pack
// each run was bounded.
func (w *worker) group(d *division, n int) {
	// First the lobe that shut the group before.
	for x := range w.lobes {
		m := (w.shut + x) % len(w.lobes)
		if m != w.now.lobe && !w.open(m, &d.boxes[m][n], w.now.share) {
			w.shut = m
			return
		}
	}
	w.take(n % abreast)
	if !w.meets() {
		return
	}
	at := &d.groups[n]
	passed := w.sift(at, w.now.lobe)
	for m := len(w.lobes) - 1; m >= 0 && passed != 0; m-- { // the slope first
		if m != w.now.lobe {
			passed &= w.sift(at, m)
		}
	}
	for i, k := range at.paints {
		if passed>>i&1 == 0 || k < w.now.first || slices.Contains(w.paints, k) {
			continue
		}
		for m := range w.lobes {
			w.span[m] = [2]float32{w.sieves[m].sums[i], w.sieves[m].sums[i]}
		}
		if w.meets() && w.near() {
			w.mix(k, w.now.c)
		}
	}
}

// take takes over what was found of a group of the pack last looked at.
func (w *worker) take(n int) {
	each, span := &w.each[w.now.lobe], [2]float32{}
	for i := range w.lobes[w.now.lobe].runs {
		least, most := w.pack[i][0][n], w.pack[i][1][n]
		each[0][i], each[1][i] = least, most
		span[0], span[1] = span[0]+least, span[1]+most
	}
	w.span[w.now.lobe] = span
}

// open tells whether a share of what lies in a box may bring the base near
// enough in a lobe.
func (w *worker) open(lobe int, b *box, share float32) bool {
	w.effort++
	low, high := w.lobes[lobe].bounds(&w.boxes[lobe], b, share, &w.each[lobe])
	w.span[lobe] = [2]float32{low, high}
	return high >= w.accept[lobe][0] && low <= w.accept[lobe][1]
}

// meets tells the same by all lobes together.
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
		l := w.lobes[n]
		box[n] = [2]float64{float64(w.span[n][0]-l.off) + l.spare[0], float64(w.span[n][1]+l.off) + l.spare[1]}
	}
	return box
}

// near tells the same of the one mix last looked at, from CIEDE2000 itself.
func (w *worker) near() bool {
	box := w.sumBox()
	d, ok := w.frame.leastIn(&box)
	return ok && d <= w.limit()
}

// sift tells which paints of a group, just opened in the lobe, may bring the base
// near enough in it.
func (w *worker) sift(at *group, lobe int) uint32 {
	w.effort += 3
	l, v, base, each := w.lobes[lobe], &w.sieves[lobe], w.films[lobe], &w.each[lobe]
	if w.laid>>lobe&1 == 0 {
		w.laid |= 1 << lobe
		w.lay(l, base, w.now.share)
	}
	// From the last run to the first, what those after it may add.
	low, high := w.accept[lobe][0], w.accept[lobe][1]
	for r := v.runs - 1; r >= 0; r-- {
		v.limits[r] = [2]float32{low, high}
		low, high = low-each[1][r], high-each[0][r]
	}
	v.share = w.now.share
	return sift8(v, l.sights, base, at.films[lobe])
}

// lay works out the base's films in a lobe.
func (w *worker) lay(l *lobe, base []film1, share float32) {
	total := 0
	for _, p := range w.parts {
		total += p
	}
	part := (1 - share) / float32(total)
	for n, p := range w.paints {
		x := part * float32(w.parts[n])
		films := l.films[p]
		if n == 0 {
			for i, f := range films {
				base[i] = film1{x * f.k, x * f.s}
			}
			continue
		}
		for i, f := range films {
			base[i].k += x * f.k
			base[i].s += x * f.s
		}
	}
}

// mix tries the base with c parts of paint k, put in the order of the rack.
func (w *worker) mix(k, c int) {
	at, _ := slices.BinarySearch(w.paints, k)
	w.try(slices.Insert(slices.Clone(w.paints), at, k), slices.Insert(slices.Clone(w.parts), at, c))
}
