package sheet

import "math"

// Path is lines and cubic curves, in millimetres.
type Path struct{ segs []seg }

type segOp byte

const (
	opMove segOp = iota
	opLine
	opCurve
	opClose
)

type seg struct {
	op segOp
	p  [3]Point // the end is p[0], of a curve p[2]
}

func (s seg) end() Point {
	if s.op == opCurve {
		return s.p[2]
	}
	return s.p[0]
}

// Move starts a new piece.
func (p *Path) Move(x, y float64) {
	p.segs = append(p.segs, seg{op: opMove, p: [3]Point{{x, y}}})
}

// Line draws on straight.
func (p *Path) Line(x, y float64) {
	p.segs = append(p.segs, seg{op: opLine, p: [3]Point{{x, y}}})
}

// Curve draws on with two control points.
func (p *Path) Curve(x1, y1, x2, y2, x, y float64) {
	p.segs = append(p.segs, seg{op: opCurve, p: [3]Point{{x1, y1}, {x2, y2}, {x, y}}})
}

// Close goes back to where the piece started.
func (p *Path) Close() { p.segs = append(p.segs, seg{op: opClose}) }

// Add appends the pieces of another path.
func (p *Path) Add(q Path) { p.segs = append(p.segs, q.segs...) }

// Moved is the path mapped by a matrix.
func (p Path) Moved(m Matrix) Path {
	out := Path{segs: make([]seg, len(p.segs))}
	for i, s := range p.segs {
		for j := range s.p {
			s.p[j] = m.Apply(s.p[j])
		}
		out.segs[i] = s
	}
	return out
}

// Box is a rectangle along the axes.
type Box struct{ X0, Y0, X1, Y1 float64 }

// W and H are a box's sides.
func (b Box) W() float64 { return b.X1 - b.X0 }
func (b Box) H() float64 { return b.Y1 - b.Y0 }

func emptyBox() Box { return Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)} }

func (b Box) with(p Point) Box {
	return Box{min(b.X0, p.X), min(b.Y0, p.Y), max(b.X1, p.X), max(b.Y1, p.Y)}
}

func (b Box) join(c Box) Box {
	return Box{min(b.X0, c.X0), min(b.Y0, c.Y0), max(b.X1, c.X1), max(b.Y1, c.Y1)}
}

func (b Box) grown(d float64) Box { return Box{b.X0 - d, b.Y0 - d, b.X1 + d, b.Y1 + d} }

// Bounds holds all points of the path, control points too.
func (p Path) Bounds() Box {
	b := emptyBox()
	for _, s := range p.segs {
		switch s.op {
		case opMove, opLine:
			b = b.with(s.p[0])
		case opCurve:
			b = b.with(s.p[0]).with(s.p[1]).with(s.p[2])
		}
	}
	return b
}

// Rect is a rectangle from two corners, clockwise.
func Rect(x0, y0, x1, y1 float64) Path {
	return Polygon(Point{x0, y0}, Point{x1, y0}, Point{x1, y1}, Point{x0, y1})
}

// Polygon is a closed path through points.
func Polygon(points ...Point) Path {
	p := Polyline(points...)
	p.Close()
	return p
}

// Polyline is an open path through points.
func Polyline(points ...Point) Path {
	var p Path
	for i, q := range points {
		if i == 0 {
			p.Move(q.X, q.Y)
		} else {
			p.Line(q.X, q.Y)
		}
	}
	return p
}

// Circle is drawn clockwise in four curves, out by less than 0.03 % of the radius.
func Circle(x, y, r float64) Path { return Ellipse(x, y, r, r) }

// Ellipse is drawn clockwise in four curves.
func Ellipse(x, y, rx, ry float64) Path {
	const k = 0.5522847498307936 // 4/3·(√2 − 1)
	var p Path
	p.Move(x+rx, y)
	p.Curve(x+rx, y+k*ry, x+k*rx, y+ry, x, y+ry)
	p.Curve(x-k*rx, y+ry, x-rx, y+k*ry, x-rx, y)
	p.Curve(x-rx, y-k*ry, x-k*rx, y-ry, x, y-ry)
	p.Curve(x+k*rx, y-ry, x+rx, y-k*ry, x+rx, y)
	p.Close()
	return p
}

// Reversed runs each piece the other way round, so that it cuts a hole into a
// piece around it. Pieces must be closed.
func (p Path) Reversed() Path {
	var out Path
	for _, piece := range p.pieces() {
		n := len(piece)
		last := piece[n-1].end()
		out.Move(last.X, last.Y)
		for i := n - 1; i > 0; i-- {
			to := piece[i-1].end()
			if s := piece[i]; s.op == opCurve {
				out.Curve(s.p[1].X, s.p[1].Y, s.p[0].X, s.p[0].Y, to.X, to.Y)
			} else {
				out.Line(to.X, to.Y)
			}
		}
		out.Close()
	}
	return out
}

// pieces splits a path at its moves; closing segments are left out.
func (p Path) pieces() [][]seg {
	var out [][]seg
	for _, s := range p.segs {
		switch {
		case s.op == opMove:
			out = append(out, []seg{s})
		case s.op != opClose && len(out) > 0:
			out[len(out)-1] = append(out[len(out)-1], s)
		}
	}
	return out
}

// line is a piece of a path as points.
type line struct {
	points []Point
	closed bool
}

// flat turns curves into chords that stray less than tolerance.
func (p Path) flat(tolerance float64) []line {
	var out []line
	var at, start Point
	for _, s := range p.segs {
		switch s.op {
		case opMove:
			out = append(out, line{points: []Point{s.p[0]}})
			at, start = s.p[0], s.p[0]
		case opClose:
			if len(out) > 0 {
				out[len(out)-1].closed = true
			}
			at = start
		default:
			if len(out) == 0 {
				continue
			}
			last := &out[len(out)-1]
			if last.closed { // drawing goes on after a close
				out = append(out, line{points: []Point{start}})
				last = &out[len(out)-1]
			}
			if s.op == opLine {
				last.points = append(last.points, s.p[0])
			} else {
				last.points = append(last.points, chords(at, s.p, tolerance)...)
			}
			at = s.end()
		}
	}
	return out
}

// chords cuts a cubic into equal steps of its parameter, as many as its second
// differences ask for.
func chords(a Point, c [3]Point, tolerance float64) []Point {
	d := math.Max(math.Hypot(a.X-2*c[0].X+c[1].X, a.Y-2*c[0].Y+c[1].Y), math.Hypot(c[0].X-2*c[1].X+c[2].X, c[0].Y-2*c[1].Y+c[2].Y))
	n := int(math.Ceil(math.Sqrt(0.75 * d / tolerance)))
	n = max(1, min(n, 200))
	out := make([]Point, n)
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		w0, w1, w2, w3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		out[i-1] = Point{
			float64(w0*a.X) + float64(w1*c[0].X) + float64(w2*c[1].X) + float64(w3*c[2].X),
			float64(w0*a.Y) + float64(w1*c[0].Y) + float64(w2*c[1].Y) + float64(w3*c[2].Y),
		}
	}
	out[n-1] = c[2]
	return out
}
