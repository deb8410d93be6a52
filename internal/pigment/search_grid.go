package pigment

import (
	"math"

	"facings/internal/colour"
)

// grid holds what films of one band show at lattice points of effective
// absorption and scattering. Layer falls with the first and rises with the
// second, and so does what is seen of it, so the lattice points around a film
// bound what it shows. The lines lie 16 to the octave; a line's number is the
// head of a float32's bits. Row 0 and column 0 stand for none at all.
type grid struct {
	shows      []float32
	crossing   []float32 // of the scattering at each column
	cols       int32
	k0, s0     int32
	kTop, sTop int32
}

const lineShift = 23 - 4

func lineOf(v float32) int32 { return int32(math.Float32bits(v) >> lineShift) }

func lineAt(n int32) float64 { return float64(math.Float32frombits(uint32(n) << lineShift)) }

// least film coefficients told apart from none.
const leastLine = 1e-3

func newGrid(set *Setting, band int, kLow, kHigh, sLow, sHigh float64) grid {
	first := func(v float64) int32 { return lineOf(float32(math.Max(leastLine, v*(1-1e-6)))) }
	g := grid{k0: first(kLow * crossing(sLow)), s0: first(sLow)}
	g.kTop = max(0, lineOf(float32(kHigh*crossing(sHigh)*(1+1e-6)))-g.k0)
	g.sTop = max(0, lineOf(float32(sHigh*(1+1e-6)))-g.s0)
	g.cols = g.sTop + 2
	at := func(first, n int32) float64 {
		if n == 0 {
			return 0
		}
		return lineAt(first + n)
	}
	for c := range g.cols {
		g.crossing = append(g.crossing, float32(crossing(at(g.s0, c))))
	}
	g.shows = make([]float32, 0, (g.kTop+2)*g.cols)
	for r := range g.kTop + 2 {
		for c := range g.cols {
			g.shows = append(g.shows, float32(set.Surface.seen(Layer(at(g.k0, r), at(g.s0, c), set.Ground[band]))))
		}
	}
	return g
}

// same reports whether two bands of a setting can share a grid of the ranges.
func (g *grid) bounds(kLow, kHigh, sLow, sHigh float32) (low, high float32) {
	c0 := min(max(lineOf(sLow)-g.s0, 0), g.sTop)
	c1 := min(max(lineOf(sHigh)-g.s0, 0), g.sTop) + 1
	r0 := min(max(lineOf(kLow*g.crossing[c0])-g.k0, 0), g.kTop)
	r1 := min(max(lineOf(kHigh*g.crossing[c1])-g.k0, 0), g.kTop) + 1
	return g.shows[r1*g.cols+c0], g.shows[r0*g.cols+c1]
}

// lobe is a weighted sum of X, Y and Z that looks at one part of the spectrum:
// in a narrow part the paints of a rack sort well by few numbers. Three lobes
// together tell a colour.
type lobe struct {
	x, y, z float64
	bands   []int
	weight  []float32 // of each band, the positive ones first
	plus    int       // how many are positive
	grids   []*grid
	spare   [2]float64 // what the bands left out may add
	paints  [][]float32
	root    *node
}

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
	ball := newBall(s.query.Target, s.best.Load().DeltaE00)
	var out []*lobe
	for _, f := range [][3]float64{{0, 0, 1}, {1, -0.4, -0.19}, {-0.5, 1, 0.095}} {
		l := &lobe{x: f[0], y: f[1], z: f[2]}
		var w [Bands]float64
		for b := range w {
			w[b] = float64(l.x*weights[0][b]) + float64(l.y*weights[1][b]) + float64(l.z*weights[2][b])
		}
		low, high := ball.span(l.x, l.y, l.z, s.query.Setting.View.White())
		l.choose(&w, 0.1*math.Min(high-low, 1e-2+math.Abs(high+low)/10))
		out = append(out, l)
	}
	return out
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

// prepare builds lobes, grids and trees for the rack.
func (s *search) prepare() {
	s.lobes = newLobes(s)
	var grids [Bands]*grid
	for _, l := range s.lobes {
		for _, b := range l.bands {
			if grids[b] == nil {
				grids[b] = s.grid(b, &grids)
			}
			l.grids = append(l.grids, grids[b])
		}
		x := s.query.Setting.Thickness
		for i := range s.rack {
			row := make([]float32, 0, 2*len(l.bands))
			for _, b := range l.bands {
				row = append(row, float32(s.rack[i].K[b]*x), float32(s.rack[i].S[b]*x))
			}
			l.paints = append(l.paints, row)
		}
		l.root = l.tree(len(s.rack))
	}
}

// grid makes the grid of a band, or finds one over the same ground that spans
// all it needs.
func (s *search) grid(band int, made *[Bands]*grid) *grid {
	x := s.query.Setting.Thickness
	kLow, kHigh, sLow, sHigh := math.Inf(1), 0.0, math.Inf(1), 0.0
	flat := true
	for b := range Bands {
		flat = flat && s.query.Setting.Ground[b] == s.query.Setting.Ground[0]
	}
	for b := range Bands {
		if b != band && !flat {
			continue
		}
		for i := range s.rack {
			k, sc := s.rack[i].K[b]*x, s.rack[i].S[b]*x
			kLow, kHigh, sLow, sHigh = min(kLow, k), max(kHigh, k), min(sLow, sc), max(sHigh, sc)
		}
	}
	g := newGrid(&s.query.Setting, band, kLow, kHigh, sLow, sHigh)
	if flat {
		for b := range made {
			made[b] = &g
		}
	}
	return &g
}
