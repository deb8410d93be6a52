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
	sum      [3]float64 // of X, Y and Z
	bands    []int
	weight   []float32  // of each band, the positive ones first
	plus     int        // how many are positive
	spare    [2]float64 // what the bands left out and the surface may add
	off      float32    // what rounding may be off by
	runs     []run
	table    table
	sieve    sieve     // as a worker begins with it
	sights   []sight   // band by band, in the order of runs
	order    []int     // which bands those are
	boxes    []box     // per paint
	all      box       // of all paints
	films    [][]film1 // per paint, in that order
	division *division
}

// run is some bands of one sign. What is true of every band of a run, or of its
// mean, is said of it by limits.
type run struct {
	first, end int // of the lobe's bands
	weight     float32
}

// leastRun is how many bands a run has at most if that makes no more runs than
// can be looked at abreast.
const leastRun = 3

// faintest is what share of a lobe's span the bands left out may add.
const faintest = 0.02

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
	s.frame = newFrame(s.target, s.query.Setting.View, sums, s.shown())
	s.region.Store(newRegion(s.frame, s.limit()))
	spans := s.region.Load().span
	var out []*lobe
	for i, f := range sums {
		l := &lobe{sum: f}
		var w [Bands]float64
		for b := range w {
			w[b] = float64(f[0]*weights[0][b]) + float64(f[1]*weights[1][b]) + float64(f[2]*weights[2][b])
		}
		low, high := spans[i][0], spans[i][1]
		l.choose(&w, faintest*math.Min(high-low, 1e-2+math.Abs(high+low)/10))
		l.run()
		out = append(out, l)
	}
	return out
}

// shown bounds what any mix shows at each band.
func (s *search) shown() *[Bands][2]float64 {
	var out [Bands][2]float64
	q := &s.query.Setting
	for b := range out {
		k, c := [2]float64{math.Inf(1)}, [2]float64{math.Inf(1)}
		for i := range s.rack {
			k = [2]float64{min(k[0], s.rack[i].K[b]), max(k[1], s.rack[i].K[b])}
			c = [2]float64{min(c[0], s.rack[i].S[b]), max(c[1], s.rack[i].S[b])}
		}
		x := q.Thickness
		out[b] = [2]float64{
			q.Surface.seen(Layer(k[1]*x*crossing(c[1]*x), c[0]*x, q.Ground[b])) - 1e-9,
			q.Surface.seen(Layer(k[0]*x*crossing(c[0]*x), c[1]*x, q.Ground[b])) + 1e-9,
		}
	}
	return &out
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

// run gathers the bands in runs, the weightiest first: of neighbouring bands,
// unless those are too scattered.
func (l *lobe) run() {
	for length := leastRun; ; length++ {
		l.runs = l.runs[:0]
		for i, b := range l.bands {
			n := len(l.runs) - 1
			if n >= 0 && i != l.plus && (b == l.bands[i-1]+1 || length > abreast) && i-l.runs[n].first < min(length, abreast) {
				l.runs[n].end = i + 1
				l.runs[n].weight += l.weight[i]
			} else {
				l.runs = append(l.runs, run{first: i, end: i + 1, weight: l.weight[i]})
			}
		}
		if len(l.runs) <= abreast {
			break
		}
	}
	slices.SortStableFunc(l.runs, func(p, q run) int { return cmp.Compare(q.weight*q.weight, p.weight*p.weight) })
}

// lay gives the lobe its view of the grounds, and the boxes and films of the
// paints. What the surface throws back, and what share it lets pass, is counted
// in.
func (l *lobe) lay(s *search) {
	ground, surface := &s.query.Setting.Ground, s.query.Setting.Surface
	pass := float32((1 - surface.Outside) * (1 - surface.Inside))
	for _, v := range l.weight {
		l.off += filmOff * max(v, -v)
		l.spare[0] += surface.Outside * surface.Seen * float64(v)
		l.spare[1] += surface.Outside * surface.Seen * float64(v)
	}
	l.table.inside, l.sieve.inside = float32(surface.Inside), float32(surface.Inside)
	l.sieve.runs = int32(len(l.runs))
	for i := range abreast {
		r := l.runs[0] // stands in, without weight, where there is no run
		if i < len(l.runs) {
			r = l.runs[i]
			l.table.weight[i] = pass * r.weight
			for n, b := range l.bands[r.first:r.end] {
				l.order = append(l.order, b)
				l.sights = append(l.sights, sight{pass * l.weight[r.first+n], float32(ground[b])})
			}
			l.sieve.ends[i] = int32(len(l.order))
		}
		dark, light := math.Inf(1), math.Inf(-1)
		for _, b := range l.bands[r.first:r.end] {
			dark, light = min(dark, ground[b]), max(light, ground[b])
		}
		l.table.dark[i], l.table.light[i] = float32(dark), float32(light)
	}
	l.sieve.bands = &l.sights[0]
	l.all = nothing()
	for p := range s.rows {
		b := nothing()
		for i := range abreast {
			r := l.runs[0]
			if i < len(l.runs) {
				r = l.runs[i]
			}
			var k, c, sum float64
			for n, band := range l.bands[r.first:r.end] {
				at, w := s.rows[p][band], float64(l.weight[r.first+n])
				k, c, sum = k+w*float64(at.k), c+w*float64(at.s), sum+w
				b[0][i] = min(b[0][i], at.k)
				b[2][i], b[3][i] = min(b[2][i], at.s), max(b[3][i], at.s)
			}
			b[1][i], b[4][i] = float32(k/sum), float32(c/sum)
		}
		l.boxes = append(l.boxes, b)
		l.all.join(&b)
		var films []film1
		for _, band := range l.order {
			films = append(films, s.rows[p][band])
		}
		l.films = append(l.films, films)
	}
}

// nothing is the box of no paint.
func nothing() (b box) {
	for i := range abreast {
		b[0][i], b[2][i] = math.MaxFloat32, math.MaxFloat32
	}
	return b
}

// join widens a box so that it holds another.
func (b *box) join(other *box) {
	for i := range abreast {
		b[0][i], b[1][i] = min(b[0][i], other[0][i]), max(b[1][i], other[1][i])
		b[2][i], b[3][i] = min(b[2][i], other[2][i]), max(b[3][i], other[3][i])
		b[4][i] = max(b[4][i], other[4][i])
	}
}

// bounds returns the least and the most that the lobe may sum to for mixes of a
// base and a share of what lies in a box. It leaves in each what the runs may add.
func (l *lobe) bounds(base, b *box, share float32, each *eachRun) (low, high float32) {
	return bounds8(&l.table, base, b, share, each)
}

// boundPack tells of which groups of a pack a share may bring the base within
// what is accepted, and leaves in each what their runs may add.
func (l *lobe) boundPack(base *box, p *pack, share float32, accept [2]float32, each *packRuns) uint32 {
	return pack8(&l.table, base, p, share, int32(len(l.runs)), accept, each)
}
