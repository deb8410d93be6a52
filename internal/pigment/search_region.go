package pigment

import (
	"math"
	"math/bits"
	"sync"
	"sync/atomic"

	"facings/internal/colour"
)

// region encloses the colours within a CIEDE2000 of a target, as far as a
// surface can show them: what sums the lobes take of them.
type region struct {
	*grid
	within float64
	sharp  bool         // drawn by the finest cells
	span   [][2]float64 // the least and the most sum of each lobe
}

// grid bounds the CIEDE2000 to a target from below in cells of what three lobes
// sum to, cut finer the darker, and in blocks of eight cells, of eight of those,
// and so on. A bound is worked out when it is first asked for: most cells are
// never looked at, and it stays true when a nearer mix is found.
type grid struct {
	*frame
	ends   [3][2]float64 // of the cells, bent
	per    [3]float64    // cells per unit of bent sum
	edges  [3][1<<finest + 1]float64
	bounds [finest + 1][]uint32 // bits of a float32; 0 if not worked out
}

// There are 2^finest cells along each side. The sums within a distance are
// found by blocks of which there are 2^coarse or, for good, 2^fine along each side.
const (
	coarse = 4
	fine   = 6
	finest = 7
)

// far is from what distance on regions are drawn sharply, once a search takes long:
// there what single lobes sum to shuts out most mixes.
const far = 3

// bend stretches small sums, about as CIELAB does, and unbend undoes it.
func bend(f float64) float64   { return f / (bentAt + math.Abs(f)) }
func unbend(u float64) float64 { return bentAt * u / (1 - math.Abs(u)) }

const bentAt = 0.05

// frame is how lobes see a target: the sums of X, Y and Z that three of them
// take, and how to get X, Y and Z back.
type frame struct {
	target  colour.Target
	chroma  float64 // C*₁
	white   colour.XYZ
	sums    [][3]float64 // of the three, and more
	back    [3][3]float64
	reaches [3][2]float64 // what each of the three sums to of what may be shown
}

func newFrame(target colour.Target, view *colour.View, sums [][3]float64, shown *[Bands][2]float64) *frame {
	t := target.Lab()
	f := &frame{target: target, chroma: math.Hypot(t.A, t.B), white: view.White(), sums: sums}
	m := sums[:3]
	det := 0.0
	for i := range 3 {
		for j := range 3 {
			// The cofactor of m[j][i], by cyclic indexes.
			j1, j2, i1, i2 := (j+1)%3, (j+2)%3, (i+1)%3, (i+2)%3
			f.back[i][j] = m[j1][i1]*m[j2][i2] - m[j1][i2]*m[j2][i1]
		}
	}
	for j := range 3 {
		det += m[0][j] * f.back[j][0]
	}
	for i := range 3 {
		for j := range 3 {
			f.back[i][j] /= det
		}
	}
	for b := range Bands {
		var one colour.Reflectance
		one[b] = 1
		c := view.XYZ(&one)
		for i := range f.reaches {
			w := m[i][0]*c.X + m[i][1]*c.Y + m[i][2]*c.Z
			at := times([2]float64{w, w}, shown[b])
			f.reaches[i][0] += at[0]
			f.reaches[i][1] += at[1]
		}
	}
	return f
}

// xyz returns the colour that three lobes sum to so much of.
func (f *frame) xyz(sums *[3]float64) colour.XYZ {
	var v [3]float64
	for i := range v {
		for j, s := range sums {
			v[i] += f.back[i][j] * s
		}
	}
	return colour.XYZ{X: v[0], Y: v[1], Z: v[2]}
}

// newGrid returns a grid of the coarse blocks only.
func newGrid(f *frame, ends [3][2]float64) *grid {
	g := &grid{frame: f, ends: ends}
	for i, e := range ends {
		g.per[i] = float64(int(1)<<finest) / (e[1] - e[0])
		for c := range g.edges[i] {
			g.edges[i][c] = unbend(e[0] + (e[1]-e[0])*float64(c)/(1<<finest))
		}
	}
	g.cut(coarse)
	return g
}

// cut makes the blocks of a level and all before it, if they are not made.
func (g *grid) cut(level int) {
	for n := range level + 1 {
		if g.bounds[n] == nil {
			g.bounds[n] = make([]uint32, 1<<(3*n))
		}
	}
}

// block is one of 2^level along each side.
type block struct{ level, i, j, k int }

func (b block) child(c int) block {
	return block{b.level + 1, 2*b.i + c>>2, 2*b.j + c>>1&1, 2*b.k + c&1}
}

func (g *grid) box(b block) [3][2]float64 {
	s := finest - b.level
	return [3][2]float64{
		{g.edges[0][b.i<<s], g.edges[0][(b.i+1)<<s]},
		{g.edges[1][b.j<<s], g.edges[1][(b.j+1)<<s]},
		{g.edges[2][b.k<<s], g.edges[2][(b.k+1)<<s]},
	}
}

// bound bounds the distance from the target to any colour of a block from below.
func (g *grid) bound(b block) float32 {
	at := &g.bounds[b.level][(b.i<<b.level|b.j)<<b.level|b.k]
	if v := atomic.LoadUint32(at); v != 0 {
		return math.Float32frombits(v)
	}
	box := g.box(b)
	d := float32(math.MaxFloat32)
	if least, ok := g.leastIn(&box); ok {
		d = float32(least * (1 - 1e-6)) // for rounding
	}
	d = max(d, math.SmallestNonzeroFloat32) // for 0 says that it is not known
	atomic.StoreUint32(at, math.Float32bits(d))
	return d
}

// meets tells whether a box, of sums of the first three lobes, may hold any
// colour within d of the target.
func (g *grid) meets(box *[3][2]float64, d float64) bool {
	q := asked{grid: g, d: float32(d * (1 + 1e-6))}
	size := 0
	for i, b := range box {
		// A little more, for rounding.
		low, high := (bend(b[0])-g.ends[i][0])*g.per[i]-1e-3, (bend(b[1])-g.ends[i][0])*g.per[i]+1e-3
		if high < 0 || low >= 1<<finest {
			return false
		}
		q.low[i], q.high[i] = int(max(low, 0)), int(min(high, 1<<finest-1))
		size = max(size, q.high[i]-q.low[i])
	}
	// Blocks an eighth to a quarter as wide as the box tell enough.
	q.level = finest - max(0, bits.Len(uint(size))-3)
	return q.meets(block{})
}

// asked is a box, of cells, of which is asked whether it meets what lies within
// d, as far as blocks of a level tell.
type asked struct {
	*grid
	low, high [3]int
	d         float32
	level     int
}

func (q *asked) meets(b block) bool {
	if q.bound(b) > q.d {
		return false
	}
	if b.level == q.level {
		return true
	}
	s := finest - b.level - 1
	for i := max(2*b.i, q.low[0]>>s); i <= min(2*b.i+1, q.high[0]>>s); i++ {
		for j := max(2*b.j, q.low[1]>>s); j <= min(2*b.j+1, q.high[1]>>s); j++ {
			for k := max(2*b.k, q.low[2]>>s); k <= min(2*b.k+1, q.high[2]>>s); k++ {
				if q.meets(block{b.level + 1, i, j, k}) {
					return true
				}
			}
		}
	}
	return false
}

// reach bounds what a lobe sums to within d of the target, as far as blocks of a
// level tell. The least is above the most if nothing is.
func (g *grid) reach(lobe, level int, d float64) [2]float64 {
	out := [2]float64{math.Inf(1), math.Inf(-1)}
	var look func(b block)
	look = func(b block) {
		box := g.box(b)
		low, high := g.along(lobe, &box)
		if low >= out[0] && high <= out[1] || float64(g.bound(b)) > d {
			return
		}
		if b.level == level {
			out = [2]float64{math.Min(out[0], low), math.Max(out[1], high)}
			return
		}
		// From both ends, so that what lies between need not be looked at.
		for _, c := range [8]int{0, 7, 3, 4, 1, 6, 2, 5} {
			look(b.child(c))
		}
	}
	look(block{})
	return out
}

// newRegion encloses the colours within d of the frame's target.
func newRegion(f *frame, d float64) *region {
	var ends [3][2]float64
	for i, r := range f.reaches {
		ends[i] = [2]float64{bend(r[0]) - 1e-5, bend(r[1]) + 1e-5}
	}
	r := &region{grid: newGrid(f, ends), within: d}
	return r.closeIn(d, false)
}

// closeIn returns the region of a smaller distance, sharp or not.
func (r *region) closeIn(d float64, sharp bool) *region {
	g := r.grid
	for again := true; again; {
		again = false
		ends := g.ends
		for i, span := range g.spans(len(ends), coarse, d) {
			if span[0] > span[1] {
				return &region{grid: g, within: d, sharp: sharp, span: nowhere(len(g.sums))}
			}
			ends[i] = [2]float64{math.Max(ends[i][0], bend(span[0])-1e-9), math.Min(ends[i][1], bend(span[1])+1e-9)}
			again = again || ends[i][1]-ends[i][0] < 0.7*(g.ends[i][1]-g.ends[i][0])
		}
		if again {
			g = newGrid(g.frame, ends)
		}
	}
	g.cut(finest)
	out := &region{grid: g, within: d, sharp: sharp}
	level := fine
	if sharp {
		level = finest
	}
	out.span = g.spans(len(g.sums), level, d)
	return out
}

// spans is what the first n lobes sum to within d of the target, as far as blocks
// of a level tell; for all of them at once, since they seldom look at the same
// blocks.
func (g *grid) spans(n, level int, d float64) [][2]float64 {
	out := make([][2]float64, n)
	var wg sync.WaitGroup
	for i := range out {
		wg.Go(func() { out[i] = g.reach(i, level, d) })
	}
	wg.Wait()
	return out
}

func nowhere(n int) (span [][2]float64) {
	for range n {
		span = append(span, [2]float64{math.Inf(1), math.Inf(-1)})
	}
	return span
}

// along bounds what lobe n sums to in a box of the sums of the first three.
func (f *frame) along(n int, box *[3][2]float64) (low, high float64) {
	for j := range 3 {
		w := 0.0
		for i := range 3 {
			w += f.sums[n][i] * f.back[i][j]
		}
		low += min(w*box[j][0], w*box[j][1])
		high += max(w*box[j][0], w*box[j][1])
	}
	return low, high
}
