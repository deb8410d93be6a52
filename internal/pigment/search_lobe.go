package pigment

import (
	"cmp"
	"math"
	"slices"

	"facings/internal/colour"
)

// lobe is a weighted sum of X, Y and Z that looks at one part of the spectrum:
// in a narrow part the paints of a rack sort well by few numbers. Three lobes
// together tell a colour.
//
// Each is looked at twice: roughly, in runs of bands, which tells groups of
// paints apart, and band by band for a single mix.
type lobe struct {
	lattice
	sum    [3]float64 // of X, Y and Z
	bands  []int
	weight []float32  // of each band, the positive ones first
	plus   int        // how many are positive
	spare  [2]float64 // what the bands left out may add
	slack  float32    // what interpolation may be off by, however dark
	runs   []run
	boxes  [][]float32 // per paint
	all    []float32   // the box of all paints
	tree   *tree
}

// run is up to runLength bands of one sign. What is true of every band of a run
// is said of it by limits: a box has four numbers for each run, the least and
// the most K, the least and the most S.
type run struct {
	first, end int // of the lobe's bands
	weight     float32
	dark       grid // over the darkest ground of its bands
	light      grid // over the lightest
}

const runLength = 3

// newLobes chooses blue, red and green lobes. The shares of Z and Y taken from
// X, and of X from Y, leave little below zero (chosen by eye on the observer's
// curves; any would be valid).
func newLobes(s *search) []*lobe {
	var weights [3][Bands]float64
	for b := range Bands {
		var one colour.Reflectance
		one[b] = 1
		c := s.query.Setting.View.XYZ(&one)
		weights[0][b], weights[1][b], weights[2][b] = c.X, c.Y, c.Z
	}
	sums := [][3]float64{{0, 0, 1}, {1, -0.4, -0.19}, {-0.5, 1, 0.095}, s.slope()}
	spans := newBall(s.query.Target, s.best.Load().DeltaE00+distanceStep).spans(sums, s.query.Setting.View.White())
	var out []*lobe
	for i, f := range sums {
		l := &lobe{sum: f}
		var w [Bands]float64
		for b := range w {
			w[b] = float64(f[0]*weights[0][b]) + float64(f[1]*weights[1][b]) + float64(f[2]*weights[2][b])
		}
		low, high := spans[i][0], spans[i][1]
		l.choose(&w, 0.3*math.Min(high-low, 1e-2+math.Abs(high+low)/10))
		l.run()
		out = append(out, l)
	}
	return out
}

// slope is the direction in XYZ in which the distance grows fastest at the
// best mix so far: where no mix comes near the target, what lies beyond is cut
// off by it.
func (s *search) slope() [3]float64 {
	white := s.query.Setting.View.White()
	at := s.best.Load().Lab.XYZ(white)
	const h = 1e-4
	here := s.target.DeltaE00(s.best.Load().Lab)
	var g [3]float64
	for i, c := range []colour.XYZ{{X: at.X + h, Y: at.Y, Z: at.Z}, {X: at.X, Y: at.Y + h, Z: at.Z}, {X: at.X, Y: at.Y, Z: at.Z + h}} {
		g[i] = s.target.DeltaE00(colour.LabFrom(c, white)) - here
	}
	if n := math.Abs(g[0]) + math.Abs(g[1]) + math.Abs(g[2]); n > 0 {
		for i := range g {
			g[i] /= n
		}
	}
	return g
}

// choose takes the weightiest bands and leaves out those which together can
// change the sum by no more than slack.
func (l *lobe) choose(w *[Bands]float64, slack float64) {
	left := map[int]bool{}
	for slack > 0 {
		least := -1
		for b := range w {
			if !left[b] && (least < 0 || math.Abs(w[b]) < math.Abs(w[least])) {
				least = b
			}
		}
		if slack -= math.Abs(w[least]); slack < 0 || len(left) == Bands-1 {
			break
		}
		left[least] = true
		if w[least] < 0 {
			l.spare[0] += w[least]
		} else {
			l.spare[1] += w[least]
		}
	}
	for _, sign := range []float64{1, -1} {
		for b := range w {
			if !left[b] && w[b] != 0 && math.Signbit(w[b]) == (sign < 0) {
				l.bands = append(l.bands, b)
				l.weight = append(l.weight, float32(w[b]))
			}
		}
		if sign > 0 {
			l.plus = len(l.bands)
		}
	}
}

// run gathers the bands in runs, the weightiest first.
func (l *lobe) run() {
	for i, b := range l.bands {
		if n := len(l.runs) - 1; n >= 0 && i != l.plus && b == l.bands[i-1]+1 && i-l.runs[n].first < runLength {
			l.runs[n].end = i + 1
			l.runs[n].weight += l.weight[i]
		} else {
			l.runs = append(l.runs, run{first: i, end: i + 1, weight: l.weight[i]})
		}
	}
	slices.SortStableFunc(l.runs, func(p, q run) int { return cmp.Compare(q.weight*q.weight, p.weight*p.weight) })
}

// lay gives the lobe its grids and the boxes of the paints.
func (l *lobe) lay(s *search) {
	l.lattice = s.lattice
	ground := &s.query.Setting.Ground
	var w float32
	for _, v := range l.weight {
		w += max(v, -v)
	}
	l.slack = flat * w
	for i := range l.runs {
		r := &l.runs[i]
		dark, light := l.bands[r.first], l.bands[r.first]
		for _, b := range l.bands[r.first:r.end] {
			if ground[b] < ground[dark] {
				dark = b
			}
			if ground[b] > ground[light] {
				light = b
			}
		}
		r.dark, r.light = s.grids[dark], s.grids[light]
	}
	l.all = l.nothing()
	for p := range s.rows {
		box := l.nothing()
		for i, r := range l.runs {
			for _, b := range l.bands[r.first:r.end] {
				k, s := s.rows[p][b][0], s.rows[p][b][1]
				join(box[4*i:4*i+4], []float32{k, k, s, s})
			}
		}
		l.boxes = append(l.boxes, box)
		join(l.all, box)
	}
}

// nothing is the box of no paint.
func (l *lobe) nothing() []float32 {
	var out []float32
	for range l.runs {
		out = append(out, math.MaxFloat32, 0, math.MaxFloat32, 0)
	}
	return out
}

// join widens a box so that it holds another.
func join(box, other []float32) {
	for i := 0; i < len(box); i += 2 {
		box[i], box[i+1] = min(box[i], other[i]), max(box[i+1], other[i+1])
	}
}

// bounds returns the least and the most that the lobe may sum to for mixes of a
// base and a share of what lies in a box. It leaves in rest what the runs from
// each one on may sum to.
func (l *lobe) bounds(base, box []float32, share float32, rest [][2]float32) (low, high float32) {
	base, rest = base[:len(box)], rest[:len(l.runs)]
	for i := len(rest) - 1; i >= 0; i-- {
		r := &l.runs[i]
		p, x := base[4*i:4*i+4:4*i+4], box[4*i:4*i+4:4*i+4]
		sLow, sHigh := p[2]+share*x[2], p[3]+share*x[3]
		least := r.dark[l.point((p[1]+share*x[1])*acting(sHigh), sLow)+l.cols]
		most := r.light[l.point((p[0]+share*x[0])*acting(sLow), sHigh)+1]
		if r.weight < 0 {
			least, most = most, least
		}
		low, high = low+r.weight*least, high+r.weight*most
		rest[i] = [2]float32{low, high}
	}
	return low, high
}
