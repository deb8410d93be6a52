package sheet

import (
	"math"

	"facings"
)

// painter draws one face of a flag. It thinks in the obverse's millimetres (x
// from the pole, y from the top) and maps them to the strip, mirrored for the
// reverse.
type painter struct {
	fly, hoist float64 // mm on the model
	bleed      Box     // as far as colour runs, past the cut and onto the sleeve
	edge       []Point // the cloth's outline
	colour     func(string) RGB
	hatched    bool
	m          Matrix
	items      []Item
}

// lay fills a path with a colour of the project, or with its hatching.
func (p *painter) lay(path Path, colour string) { p.layRGB(path, p.colour(colour), colour) }

func (p *painter) layRGB(path Path, c RGB, name string) {
	path = path.Moved(p.m)
	if !p.hatched {
		p.items = append(p.items, Fill(path, c))
		return
	}
	within := p.all().Moved(p.m).Bounds()
	p.items = append(p.items, hatch(path, tinctureOf(name, c), within), Stroke(path, Black, 0.08))
}

// line draws a detail; in black when hatched.
func (p *painter) line(path Path, c RGB, width float64) {
	if p.hatched {
		c = Black
	}
	p.items = append(p.items, Stroke(path.Moved(p.m), c, width))
}

// shade is a darker tone of a colour, for details and the far side of folds.
func shade(c RGB, k float64) RGB {
	return RGB{uint8(math.Round(float64(c.R) * k)), uint8(math.Round(float64(c.G) * k)), uint8(math.Round(float64(c.B) * k))}
}

// all is everything that colour may run over.
func (p *painter) all() Path { return Rect(p.bleed.X0, p.bleed.Y0, p.bleed.X1, p.bleed.Y1) }

// part draws one part of a design.
func (p *painter) part(x facings.FlagPart) {
	spec, ok := facings.FlagPartNamed(x.Part)
	if !ok || len(x.Colours) == 0 {
		return
	}
	if x.Size == 0 {
		x.Size = spec.Size
	}
	if x.Pieces == 0 {
		x.Pieces = spec.Pieces
	}
	w := x.Size / 100 * p.hoist
	switch x.Part {
	case "field":
		p.field(x)
	case "fringe": // lies outside the cloth and is drawn before it
	case "canton":
		p.lay(Rect(p.bleed.X0, p.bleed.Y0, x.Size/100*p.fly, w), x.Colours[0])
	case "bordure":
		path := p.all()
		path.Add(Polygon(outset(cornersOn(p.edge, 0), -w)...).Reversed())
		p.lay(path, x.Colours[0])
	default:
		if spec.Placed {
			p.device(x)
		} else {
			p.ordinary(x, w)
		}
	}
}

// cornersOn puts the outline's hoist edge, which lies under the sleeve, at x.
func cornersOn(edge []Point, x float64) []Point {
	out := make([]Point, 0, len(edge))
	for _, q := range edge {
		q.X = max(q.X, x)
		if len(out) == 0 || out[len(out)-1] != q {
			out = append(out, q)
		}
	}
	if len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

// field draws a divided field. The first colour lies under all, so that no
// white shows between two.
func (p *painter) field(x facings.FlagPart) {
	c := func(i int) string { return x.Colours[i%len(x.Colours)] }
	b := p.bleed
	if !p.hatched || len(x.Colours) == 1 {
		p.lay(p.all(), c(0))
	}
	strips := func(n int, upright bool) {
		for i := range n {
			if upright {
				p.lay(Rect(stop(i, n, p.fly, b.X0, b.X1), b.Y0, stop(i+1, n, p.fly, b.X0, b.X1), b.Y1), c(i))
			} else {
				p.lay(Rect(b.X0, stop(i, n, p.hoist, b.Y0, b.Y1), b.X1, stop(i+1, n, p.hoist, b.Y0, b.Y1)), c(i))
			}
		}
	}
	switch x.Division {
	case "per pale":
		strips(len(x.Colours), true)
	case "per fess":
		strips(len(x.Colours), false)
	case "paly":
		strips(x.Pieces, true)
	case "barry":
		strips(x.Pieces, false)
	case "quarterly":
		order := [][4]int{{0, 1, 1, 0}, {0, 1, 2, 0}, {0, 1, 2, 3}}[len(x.Colours)-2]
		for i, k := range order {
			col, row := i%2, i/2
			p.lay(Rect(stop(col, 2, p.fly, b.X0, b.X1), stop(row, 2, p.hoist, b.Y0, b.Y1),
				stop(col+1, 2, p.fly, b.X0, b.X1), stop(row+1, 2, p.hoist, b.Y0, b.Y1)), c(k))
		}
	case "chequy":
		rows := max(1, int(math.Round(float64(x.Pieces)*p.hoist/p.fly)))
		for j := range rows {
			for i := range x.Pieces {
				if k := (i + j) % 2; k == 1 || p.hatched {
					p.lay(Rect(stop(i, x.Pieces, p.fly, b.X0, b.X1), stop(j, rows, p.hoist, b.Y0, b.Y1),
						stop(i+1, x.Pieces, p.fly, b.X0, b.X1), stop(j+1, rows, p.hoist, b.Y0, b.Y1)), c(k))
				}
			}
		}
	case "per saltire":
		order := [][4]int{{0, 1, 0, 1}, {0, 1, 2, 1}, {0, 1, 2, 3}}[len(x.Colours)-2]
		for i, k := range order { // top, fly, bottom, hoist
			p.wedge(float64(i)*90-135, float64(i)*90-45, c(k))
		}
	case "gyronny":
		n := x.Pieces
		if n == 6 && len(x.Colours) == 2 {
			n = 8 // heraldry's usual number
		}
		for i := range n {
			p.wedge(float64(i)*360/float64(n)-90, float64(i+1)*360/float64(n)-90, c(i))
		}
	case "per bend", "per bend sinister", "bendy":
		p.bends(x, c)
	}
}

// stop is the i-th of n+1 dividing lines of a side; the outer two lie at the
// end of the bleed.
func stop(i, n int, side, low, high float64) float64 {
	switch i {
	case 0:
		return low
	case n:
		return high
	}
	return side * float64(i) / float64(n)
}

// wedge is the part of the field between two directions from the middle, in
// degrees clockwise from the fly, on a field stretched to a square.
func (p *painter) wedge(from, to float64, colour string) {
	far := func(deg float64) Point {
		s, k := math.Sincos(deg * math.Pi / 180)
		return Point{p.fly/2 + 3*p.fly*k, p.hoist/2 + 3*p.hoist*s}
	}
	p.lay(Polygon(Point{p.fly / 2, p.hoist / 2}, far(from), far((from+to)/2), far(to)), colour)
}

// bends divides the field by lines along the bend.
func (p *painter) bends(x facings.FlagPart, c func(int) string) {
	n := 2
	if x.Division == "bendy" {
		n = x.Pieces
	}
	// Lines parallel to the diagonal, by how far along the hoist they start.
	at := func(t float64) (Point, Point) { // t from −1 (fly top) to 1 (hoist bottom)
		y := t * p.hoist
		return Point{-2 * p.fly, y - 2*p.hoist}, Point{3 * p.fly, y + 3*p.hoist}
	}
	for i := range n {
		lo, hi := -1+2*float64(i)/float64(n), -1+2*float64(i+1)/float64(n)
		if i == 0 {
			lo = -4
		}
		if i == n-1 {
			hi = 4
		}
		a, b := at(lo)
		d, e := at(hi)
		path := Polygon(a, b, e, d)
		if x.Division == "per bend sinister" {
			path = path.Moved(Matrix{A: -1, D: 1, E: p.fly})
		}
		p.lay(path, c(i))
	}
}

// ordinary draws the wide bands of heraldry, w mm wide.
func (p *painter) ordinary(x facings.FlagPart, w float64) {
	if len(x.Colours) > 1 { // an edging lies under it
		p.lay(p.band(x.Part, w*1.45), x.Colours[1])
	}
	p.lay(p.band(x.Part, w), x.Colours[0])
}

func (p *painter) band(part string, w float64) Path {
	b, f, h := p.bleed, p.fly, p.hoist
	var out Path
	switch part {
	case "chief":
		return Rect(b.X0, b.Y0, b.X1, w)
	case "fess":
		return Rect(b.X0, h/2-w/2, b.X1, h/2+w/2)
	case "pale":
		return Rect(f/2-w/2, b.Y0, f/2+w/2, b.Y1)
	case "cross": // one outline, so that hatching has no line across the middle
		x0, x1, y0, y1 := f/2-w/2, f/2+w/2, h/2-w/2, h/2+w/2
		return Polygon(Point{x0, b.Y0}, Point{x1, b.Y0}, Point{x1, y0}, Point{b.X1, y0}, Point{b.X1, y1}, Point{x1, y1},
			Point{x1, b.Y1}, Point{x0, b.Y1}, Point{x0, y1}, Point{b.X0, y1}, Point{b.X0, y0}, Point{x0, y0})
	case "bend":
		return p.diagonal(w, false)
	case "bend sinister":
		return p.diagonal(w, true)
	case "saltire":
		return p.saltire(w)
	case "chevron":
		d := w / math.Cos(math.Atan2(h, f)) // its height along the hoist
		return Polygon(Point{f / 2, h/2 - d}, Point{f/2 + 3*f, h/2 - d + 3*h}, Point{f/2 + 3*f, h/2 + 3*h}, Point{f / 2, h / 2},
			Point{f/2 - 3*f, h/2 + 3*h}, Point{f/2 - 3*f, h/2 - d + 3*h})
	}
	return out
}

// diagonal is a band along the bend, or the bend sinister.
func (p *painter) diagonal(w float64, sinister bool) Path {
	far := 2 * math.Hypot(p.fly, p.hoist)
	deg := math.Atan2(p.hoist, p.fly) * 180 / math.Pi
	if sinister {
		deg = -deg
	}
	return Rect(-far, -w/2, far, w/2).Moved(Turn(deg).Then(Translate(p.fly/2, p.hoist/2)))
}

// saltire is both diagonals as one outline.
func (p *painter) saltire(w float64) Path {
	a := math.Atan2(p.hoist, p.fly)
	far := 2 * math.Hypot(p.fly, p.hoist)
	mid := Point{p.fly / 2, p.hoist / 2}
	// Inner corners: at the fly and hoist sides and at top and foot.
	side, top := w/2/math.Sin(a), w/2/math.Cos(a)
	arm := func(deg float64) (Point, Point) {
		s, c := math.Sincos(deg)
		at := Point{mid.X + far*c, mid.Y + far*s}
		n := Point{-s * w / 2, c * w / 2}
		return Point{at.X - n.X, at.Y - n.Y}, Point{at.X + n.X, at.Y + n.Y}
	}
	a1, a2 := arm(-math.Pi + a)
	b1, b2 := arm(-a)
	c1, c2 := arm(a)
	d1, d2 := arm(math.Pi - a)
	return Polygon(a1, a2, Point{mid.X, mid.Y - top}, b1, b2, Point{mid.X + side, mid.Y}, c1, c2, Point{mid.X, mid.Y + top}, d1, d2, Point{mid.X - side, mid.Y})
}
