package geom

import (
	"math"
	"math/bits"
	"slices"
)

// view is one worker's memory while it looks along one direction after another.
type view struct {
	s         *scene
	near, far float64
	p         []viewVertex
	start     []int32     // first point of each cell, in rows; one more at the end
	tiles     []float64   // lowest height above which something blocks, per tile
	points    []viewPoint // of the rays cast, by cell
	nx, ny    int         // cells, with a rim of empty ones
	tx        int         // tiles in a row
	lo        Vec3
	scale     float64 // rows of cells per mm; columns are fineness times closer
	reach     float64 // two cells, mm
	count     int     // rays cast
	blocked   []uint64
}

// Cells are four times as high as wide: the points of a row between two columns
// are one run in memory, so narrow columns cost nothing and keep runs short.
const (
	fineness  = 4
	tileBitsY = 3 // a tile is 8 rows
	tileBitsX = 5 // of 32 cells
)

// viewVertex is a projected vertex: X, Y across, Z along the direction; x, y its
// cell. Vertices beside the grid get the nearest cell of its rim.
type viewVertex struct {
	Vec3
	x, y int32
}

type viewPoint struct {
	x, y, z float64
	id      int64
}

func newView(s *scene, near, far float64) *view {
	return &view{s: s, near: near, far: far, p: make([]viewVertex, len(s.v))}
}

// look casts all rays along d and returns the sets of rays cast and blocked.
func (v *view) look(d Vec3) (cast, blocked []uint64) {
	words := (len(v.s.v) + 63) / 64
	cast, v.blocked = make([]uint64, words), make([]uint64, words)
	ux, uy := d.Basis()
	v.project(ux, uy, d, cast)
	if v.count == 0 {
		return cast, v.blocked
	}
	v.sortPoints(cast)
	for g, ball := range v.s.groups {
		c := Vec3{ball.center.Dot(ux), ball.center.Dot(uy), ball.center.Dot(d)}
		if !v.matters(c, ball.radius) {
			continue
		}
		for _, f := range v.s.f[g*groupSize : min((g+1)*groupSize, len(v.s.f))] {
			v.draw(f)
		}
	}
	return cast, v.blocked
}

// project fills v.p, marks the vertices that face d, and lays the grid over the
// crowd of them with about one point per cell. Points beside the grid count to
// the nearest cell of its rim.
func (v *view) project(ux, uy, d Vec3, cast []uint64) {
	box := EmptyBox()
	v.count = 0
	normals, out := v.s.n, v.p
	for i, q := range v.s.v {
		p := Vec3{q.Dot(ux), q.Dot(uy), q.Dot(d)}
		out[i].Vec3 = p
		if normals[i].Dot(d) > 0 {
			cast[i>>6] |= 1 << (i & 63)
			v.count++
			box.Min.X, box.Max.X = min(box.Min.X, p.X), max(box.Max.X, p.X)
			box.Min.Y, box.Max.Y = min(box.Min.Y, p.Y), max(box.Max.Y, p.Y)
		}
	}
	if v.count == 0 {
		return
	}
	box = v.crowd(cast, box)
	w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
	cell := max(math.Sqrt(w*h/float64(v.count)), max(w, h)/1024)
	if cell == 0 {
		cell = 1
	}
	v.scale = 1 / cell
	v.lo = Vec3{box.Min.X - cell, box.Min.Y - cell, 0}
	v.nx, v.ny = int(w*v.scale*fineness)+2*fineness+1, int(h*v.scale)+3
	v.reach = 2 * cell
	right, back := float64(v.nx-1), float64(v.ny-1)
	for i := range out {
		p := &out[i]
		p.x = int32(min(max((p.X-v.lo.X)*v.scale*fineness, 0), right))
		p.y = int32(min(max((p.Y-v.lo.Y)*v.scale, 0), back))
	}
}

// crowd narrows the box of the cast points to where all but a few of them are:
// one stray corner a mile away must not push the whole figure into one cell.
func (v *view) crowd(cast []uint64, box Box) Box {
	stride := v.count/512 + 1
	var xs, ys []float64
	n := 0
	eachBit(cast, func(i int) {
		if n++; n%stride == 0 {
			xs, ys = append(xs, v.p[i].X), append(ys, v.p[i].Y)
		}
	})
	narrow := func(values []float64, lo, hi float64) (float64, float64) {
		if len(values) < 100 {
			return lo, hi
		}
		slices.Sort(values)
		a, b := values[len(values)/50], values[len(values)-1-len(values)/50]
		pad := (b - a) / 2
		return max(lo, a-pad), min(hi, b+pad)
	}
	box.Min.X, box.Max.X = narrow(xs, box.Min.X, box.Max.X)
	box.Min.Y, box.Max.Y = narrow(ys, box.Min.Y, box.Max.Y)
	return box
}

// sortPoints puts the cast points into their cells by a counting sort.
func (v *view) sortPoints(cast []uint64) {
	v.start = resize(v.start, v.nx*v.ny+2)
	v.points = resize(v.points, v.count)
	v.tx = (v.nx-1)>>tileBitsX + 1
	v.tiles = resize(v.tiles, v.tx*((v.ny-1)>>tileBitsY+1))
	clear(v.start)
	for i := range v.tiles {
		v.tiles[i] = math.Inf(1)
	}
	// Counts go two places on, so that after placing the points, which moves
	// each cell's start to its end, every cell finds its start in its own place.
	count := v.start[2:]
	eachBit(cast, func(i int) {
		p := &v.p[i]
		count[int(p.y)*v.nx+int(p.x)]++
		t := &v.tiles[int(p.y)>>tileBitsY*v.tx+int(p.x)>>tileBitsX]
		*t = min(*t, p.Z+v.near)
	})
	for i := 1; i < len(v.start); i++ {
		v.start[i] += v.start[i-1]
	}
	next := v.start[1:]
	eachBit(cast, func(i int) {
		p := &v.p[i]
		k := int(p.y)*v.nx + int(p.x)
		v.points[next[k]] = viewPoint{p.X, p.Y, p.Z, int64(i)}
		next[k]++
	})
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

func eachBit(set []uint64, visit func(i int)) {
	for w, x := range set {
		for ; x != 0; x &= x - 1 {
			visit(w<<6 + bits.TrailingZeros64(x))
		}
	}
}

// span returns the cells between two coordinates, cut to the grid.
func span(lo, hi, origin, scale float64, n int) (int, int) {
	last := float64(n - 1)
	return int(min(max((lo-origin)*scale, 0), last)), int(min(max((hi-origin)*scale, 0), last))
}

// matters reports whether anything inside the ball can lie over a point.
func (v *view) matters(c Vec3, radius float64) bool {
	x0, x1 := span(c.X-radius, c.X+radius, v.lo.X, v.scale*fineness, v.nx)
	y0, y1 := span(c.Y-radius, c.Y+radius, v.lo.Y, v.scale, v.ny)
	top := c.Z + radius
	for y := y0 >> tileBitsY; y <= y1>>tileBitsY; y++ {
		for x := x0 >> tileBitsX; x <= x1>>tileBitsX; x++ {
			if v.tiles[y*v.tx+x] < top {
				return true
			}
		}
	}
	return false
}

// draw tests the points under one triangle. The cells of a row lie side by side
// in v.points, so each row is one run; a point found blocked is put out of reach.
//
// Almost all points of a run lie beside the triangle or are its own corners
// (which covers finds at a distance of exactly 0, so they need not be asked). The
// loop finds that out without branches, which a processor could not foresee.
func (v *view) draw(f [3]int32) {
	a, b, c := &v.p[f[0]], &v.p[f[1]], &v.p[f[2]]
	ux, uy, wx, wy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
	det := float64(ux*wy) - float64(uy*wx)
	if det <= 0 && v.s.leaving {
		return
	}
	if det < 0 {
		b, c, det = c, b, -det
	}
	reach := math.Abs(ux) + math.Abs(uy) + math.Abs(wx) + math.Abs(wy) + v.reach
	thin := det <= 1e-12*reach*reach
	x0, x1 := min(a.x, b.x, c.x), max(a.x, b.x, c.x)
	y0, y1 := min(a.y, b.y, c.y), max(a.y, b.y, c.y)
	f0, f1, f2 := int64(f[0]), int64(f[1]), int64(f[2])
	for y := y0; y <= y1; y++ {
		row := int(y) * v.nx
		from, to := v.start[row+int(x0)], v.start[row+int(x1)+1]
		run := v.points[from:to]
		for i := range run {
			p := &run[i]
			ax, ay := a.X-p.x, a.Y-p.y
			bx, by := b.X-p.x, b.Y-p.y
			cx, cy := c.X-p.x, c.Y-p.y
			ea := float64(bx*cy) - float64(by*cx) + 0 // + 0 turns -0 into 0
			eb := float64(cx*ay) - float64(cy*ax) + 0
			ec := float64(ax*by) - float64(ay*bx) + 0
			outside := int64(math.Float64bits(ea) | math.Float64bits(eb) | math.Float64bits(ec))
			corner := (p.id ^ f0 - 1) | (p.id ^ f1 - 1) | (p.id ^ f2 - 1)
			if outside|corner >= 0 || thin {
				if covers(&a.Vec3, &b.Vec3, &c.Vec3, p.x, p.y, p.z, v.near, v.far) {
					v.blocked[p.id>>6] |= 1 << (p.id & 63)
					p.x = math.MaxFloat32
				}
			}
		}
	}
}

// covers is the exact test in the plane across the rays: does triangle abc lie
// over (x, y), more than near and less than far above z? Swapping the ends of an
// edge negates its term bit for bit, hence neighbours agree about their rim.
func covers(a, b, c *Vec3, x, y, z, near, far float64) bool {
	ax, ay := a.X-x, a.Y-y
	bx, by := b.X-x, b.Y-y
	cx, cy := c.X-x, c.Y-y
	ea := float64(bx*cy) - float64(by*cx)
	eb := float64(cx*ay) - float64(cy*ax)
	ec := float64(ax*by) - float64(ay*bx)
	if (ea < 0 || eb < 0 || ec < 0) && (ea > 0 || eb > 0 || ec > 0) {
		return false
	}
	det := ea + eb + ec
	over := float64(ea*(a.Z-z)) + float64(eb*(b.Z-z)) + float64(ec*(c.Z-z))
	if det < 0 {
		det, over = -det, -over
	}
	return over > float64(near*det) && over < float64(far*det) // neither when det is 0
}
