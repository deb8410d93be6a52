package pigment

import (
	"cmp"
	"math"
	"slices"

	"facings/internal/colour"
)

// grid holds what films of one band show at lattice points of effective
// absorption and scattering. Layer falls with the first and rises with the
// second, and so does what is seen of it, so the lattice points around a film
// bound what it shows. The lines lie 16 to the octave; a line's number is the
// head of a float32's bits. Row 0 and column 0 stand for none at all.
type grid struct {
	low, high  []float32 // over the darkest and the lightest ground meant
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

// span is what a grid must reach over.
type span struct{ kLow, kHigh, sLow, sHigh, darkest, lightest float64 }

func newGrid(surface Surface, need span) *grid {
	kLow, kHigh, sLow, sHigh := need.kLow, need.kHigh, need.sLow, need.sHigh
	first := func(v float64) int32 { return lineOf(float32(math.Max(leastLine, v*(1-1e-6)))) }
	g := &grid{k0: first(kLow * crossing(sLow)), s0: first(sLow)}
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
	over := func(ground float64) []float32 {
		out := make([]float32, 0, (g.kTop+2)*g.cols)
		for r := range g.kTop + 2 {
			for c := range g.cols {
				out = append(out, float32(surface.seen(Layer(at(g.k0, r), at(g.s0, c), ground))))
			}
		}
		return out
	}
	g.low = over(need.darkest)
	g.high = g.low
	if need.lightest > need.darkest {
		g.high = over(need.lightest)
	}
	return g
}

// bounds returns the least and the most that films within the limits show.
func (g *grid) bounds(kLow, kHigh, sLow, sHigh float32) (low, high float32) {
	c0 := min(max(lineOf(sLow)-g.s0, 0), g.sTop)
	c1 := min(max(lineOf(sHigh)-g.s0, 0), g.sTop) + 1
	r0 := min(max(lineOf(kLow*g.crossing[c0])-g.k0, 0), g.kTop)
	r1 := min(max(lineOf(kHigh*g.crossing[c1])-g.k0, 0), g.kTop) + 1
	return g.low[r1*g.cols+c0], g.high[r0*g.cols+c1]
}

// lobe is a weighted sum of X, Y and Z that looks at one part of the spectrum:
// in a narrow part the paints of a rack sort well by few numbers. Three lobes
// together tell a colour.
//
// Each is looked at twice: roughly, in runs of bands, which tells groups of
// paints apart, and band by band for a single mix.
type lobe struct {
	sum    [3]float64 // of X, Y and Z
	bands  []int
	weight []float32 // of each band, the positive ones first
	plus   int       // how many are positive
	grids  []*grid
	rough  rough
	spare  [2]float64 // what the bands left out may add
	paints [][]float32
	root   *node
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
		l.choose(&w, 0.1*math.Min(high-low, 1e-2+math.Abs(high+low)/10))
		out = append(out, l)
	}
	s.order(out, spans)
	return out
}

// order puts the lobes first that let fewest mixes pass, by mixes of equal
// parts of two paints.
func (s *search) order(lobes []*lobe, spans [][2]float64) {
	pass := map[*lobe]int{}
	white := s.query.Setting.View.White()
	for i := range s.rack {
		for _, step := range []int{1, 2, 3, 5, 8} {
			var sum KS
			sum.Add(&s.rack[i], 1)
			sum.Add(&s.rack[(i+step)%len(s.rack)], 1)
			c := s.query.Setting.LabOfSum(&sum, 2).XYZ(white)
			for n, l := range lobes {
				v := l.sum[0]*c.X + l.sum[1]*c.Y + l.sum[2]*c.Z
				if v >= spans[n][0] && v <= spans[n][1] {
					pass[l]++
				}
			}
		}
	}
	slices.SortStableFunc(lobes, func(a, b *lobe) int { return cmp.Compare(pass[a], pass[b]) })
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

// rough is a lobe in runs of up to runLength bands of one sign. What is true of
// every band of a run is said of it by limits.
type rough struct {
	runs   [][2]int // first and past the last of the lobe's bands
	weight []float32
	grids  []*grid
}

const runLength = 3

// prepare builds lobes, grids and trees for the rack.
func (s *search) prepare() {
	s.lobes = newLobes(s)
	made := map[span]*grid{}
	for _, l := range s.lobes {
		for i, b := range l.bands {
			l.grids = append(l.grids, s.grid(made, b))
			if n := len(l.rough.runs) - 1; n >= 0 && i != l.plus && b == l.bands[i-1]+1 && i-l.rough.runs[n][0] < runLength {
				l.rough.runs[n][1] = i + 1
				l.rough.weight[n] += l.weight[i]
			} else {
				l.rough.runs = append(l.rough.runs, [2]int{i, i + 1})
				l.rough.weight = append(l.rough.weight, l.weight[i])
			}
		}
		for _, run := range l.rough.runs {
			l.rough.grids = append(l.rough.grids, s.grid(made, l.bands[run[0]:run[1]]...))
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

// grid makes the grid of some bands, or finds one made for the same. Over a
// ground that is alike at every band one grid does for all.
func (s *search) grid(made map[span]*grid, bands ...int) *grid {
	ground := &s.query.Setting.Ground
	if slices.Min(ground[:]) == slices.Max(ground[:]) {
		bands = make([]int, Bands)
		for b := range bands {
			bands[b] = b
		}
	}
	need := span{kLow: math.Inf(1), sLow: math.Inf(1), darkest: 1}
	for _, b := range bands {
		need.darkest, need.lightest = min(need.darkest, ground[b]), max(need.lightest, ground[b])
		for i := range s.rack {
			k, sc := s.rack[i].K[b]*s.query.Setting.Thickness, s.rack[i].S[b]*s.query.Setting.Thickness
			need.kLow, need.kHigh, need.sLow, need.sHigh = min(need.kLow, k), max(need.kHigh, k), min(need.sLow, sc), max(need.sHigh, sc)
		}
	}
	if made[need] == nil {
		made[need] = newGrid(s.query.Setting.Surface, need)
	}
	return made[need]
}
