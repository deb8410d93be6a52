package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// scanner reads the numbers of path data and lists.
type scanner struct {
	s  string
	at int
}

func (sc *scanner) more() bool {
	for sc.at < len(sc.s) && strings.IndexByte(" \t\r\n,", sc.s[sc.at]) >= 0 {
		sc.at++
	}
	return sc.at < len(sc.s)
}

// number reads one number, which may follow the last without a space.
func (sc *scanner) number() (float64, error) {
	if !sc.more() {
		return 0, fmt.Errorf("a number is missing at the end")
	}
	start, i := sc.at, sc.at
	s := sc.s
	digit := func() bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }
	if s[i] == '+' || s[i] == '-' {
		i++
	}
	for digit() {
		i++
	}
	if i < len(s) && s[i] == '.' {
		i++
		for digit() {
			i++
		}
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		mark := i
		i++
		if i < len(s) && (s[i] == '+' || s[i] == '-') {
			i++
		}
		if !digit() {
			i = mark
		}
		for digit() {
			i++
		}
	}
	x, err := strconv.ParseFloat(s[start:i], 64)
	if err != nil || !(math.Abs(x) <= maxSVGNumber) {
		return 0, fmt.Errorf("%.20q is no number that can be drawn", s[start:min(len(s), max(i, start+1))])
	}
	sc.at = i
	return x, nil
}

// flag reads one of an arc's flags, a single 0 or 1.
func (sc *scanner) flag() (bool, error) {
	if !sc.more() || (sc.s[sc.at] != '0' && sc.s[sc.at] != '1') {
		return false, fmt.Errorf("an arc's flag must be 0 or 1")
	}
	sc.at++
	return sc.s[sc.at-1] == '1', nil
}

// pathReader follows path data: where the pen is, where the piece began, and
// the last control point for smooth curves.
type pathReader struct {
	sc         scanner
	p          Path
	cur, start Point
	control    Point
	after      byte // the last command, upper case
}

// pathData reads the d of a path.
func pathData(d string) (Path, error) {
	r := &pathReader{sc: scanner{s: d}}
	var cmd byte
	for r.sc.more() {
		c := d[r.sc.at]
		switch {
		case strings.IndexByte("MmLlHhVvCcSsQqTtAaZz", c) >= 0:
			cmd = c
			r.sc.at++
		case cmd == 0 || cmd == 'Z' || cmd == 'z':
			return r.p, fmt.Errorf("the path data has %.20q where a command is wanted", d[r.sc.at:])
		}
		if r.after == 0 && cmd != 'M' && cmd != 'm' {
			return r.p, fmt.Errorf("path data must start with M")
		}
		if err := r.step(cmd); err != nil {
			return r.p, err
		}
		if len(r.p.segs) > maxSVGSegments {
			return r.p, fmt.Errorf("the path has more than %d lines and curves", maxSVGSegments)
		}
		switch cmd { // further pairs after a move are lines
		case 'M':
			cmd = 'L'
		case 'm':
			cmd = 'l'
		}
	}
	return r.p, nil
}

func (r *pathReader) values(n int) ([]float64, error) {
	out := make([]float64, n)
	for i := range out {
		x, err := r.sc.number()
		if err != nil {
			return nil, err
		}
		out[i] = x
	}
	return out, nil
}

// step reads and draws one command.
func (r *pathReader) step(cmd byte) error {
	upper := cmd &^ 0x20
	from := Point{}
	if cmd != upper {
		from = r.cur
	}
	counts := map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2}
	v, err := r.values(counts[upper])
	if err != nil {
		return err
	}
	at := func(i int) Point { return Point{from.X + v[i], from.Y + v[i+1]} }
	switch upper {
	case 'M':
		r.cur = at(0)
		r.start = r.cur
		r.p.Move(r.cur.X, r.cur.Y)
	case 'Z':
		r.p.Close()
		r.cur = r.start
	case 'L':
		r.lineTo(at(0))
	case 'H':
		r.lineTo(Point{from.X + v[0], r.cur.Y})
	case 'V':
		r.lineTo(Point{r.cur.X, from.Y + v[0]})
	case 'C':
		r.curveTo(at(0), at(2), at(4))
	case 'S':
		c := r.cur
		if r.after == 'C' || r.after == 'S' {
			c = Point{2*r.cur.X - r.control.X, 2*r.cur.Y - r.control.Y}
		}
		r.curveTo(c, at(0), at(2))
	case 'Q':
		r.quadTo(at(0), at(2))
	case 'T':
		c := r.cur
		if r.after == 'Q' || r.after == 'T' {
			c = Point{2*r.cur.X - r.control.X, 2*r.cur.Y - r.control.Y}
		}
		r.quadTo(c, at(0))
	case 'A':
		if err := r.arc(from); err != nil {
			return err
		}
	}
	r.after = upper
	return nil
}

func (r *pathReader) lineTo(p Point) {
	r.p.Line(p.X, p.Y)
	r.cur = p
}

func (r *pathReader) curveTo(a, b, c Point) {
	r.p.Curve(a.X, a.Y, b.X, b.Y, c.X, c.Y)
	r.control, r.cur = b, c
}

func (r *pathReader) quadTo(c, e Point) {
	s := r.cur
	r.p.Curve(s.X+2*(c.X-s.X)/3, s.Y+2*(c.Y-s.Y)/3, e.X+2*(c.X-e.X)/3, e.Y+2*(c.Y-e.Y)/3, e.X, e.Y)
	r.control, r.cur = c, e
}

// arc draws an elliptical arc in curves of at most a quarter turn, by the
// notes on implementation of SVG 1.1, appendix F.6.
func (r *pathReader) arc(from Point) error {
	v, err := r.values(3)
	if err != nil {
		return err
	}
	large, err := r.sc.flag()
	if err != nil {
		return err
	}
	sweep, err := r.sc.flag()
	if err != nil {
		return err
	}
	e, err := r.values(2)
	if err != nil {
		return err
	}
	end := Point{from.X + e[0], from.Y + e[1]}
	rx, ry := math.Abs(v[0]), math.Abs(v[1])
	if rx < 1e-9 || ry < 1e-9 || end == r.cur {
		r.lineTo(end)
		return nil
	}
	sin, cos := math.Sincos(v[2] * math.Pi / 180)
	dx, dy := (r.cur.X-end.X)/2, (r.cur.Y-end.Y)/2
	x, y := cos*dx+sin*dy, -sin*dx+cos*dy
	if l := x*x/(rx*rx) + y*y/(ry*ry); l > 1 {
		rx, ry = rx*math.Sqrt(l), ry*math.Sqrt(l)
	}
	k := math.Sqrt(math.Max(0, (rx*rx*ry*ry-rx*rx*y*y-ry*ry*x*x)/(rx*rx*y*y+ry*ry*x*x)))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	a0, a1 := math.Atan2((y-cy)/ry, (x-cx)/rx), math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	if sweep && a1 < a0 {
		a1 += 2 * math.Pi
	}
	if !sweep && a1 > a0 {
		a1 -= 2 * math.Pi
	}
	m := Matrix{A: rx * cos, B: rx * sin, C: -ry * sin, D: ry * cos,
		E: cos*cx - sin*cy + (r.cur.X+end.X)/2, F: sin*cx + cos*cy + (r.cur.Y+end.Y)/2}
	n := max(1, int(math.Ceil(math.Abs(a1-a0)/(math.Pi/2)-1e-9)))
	h := (a1 - a0) / float64(n)
	t := 4.0 / 3 * math.Tan(h/4)
	for i := range n {
		s0, c0 := math.Sincos(a0 + float64(i)*h)
		s1, c1 := math.Sincos(a0 + float64(i+1)*h)
		p3 := m.Apply(Point{c1, s1})
		if i == n-1 {
			p3 = end
		}
		p1, p2 := m.Apply(Point{c0 - t*s0, s0 + t*c0}), m.Apply(Point{c1 + t*s1, s1 - t*c1})
		r.p.Curve(p1.X, p1.Y, p2.X, p2.Y, p3.X, p3.Y)
	}
	r.cur = end
	return nil
}
