package sheet

import (
	"math"

	"facings"
)

// drawing is a device under way: a frame one unit high, the middle at 0, 0.
type drawing struct {
	p       *painter
	m       Matrix // frame to face
	unit    float64
	colours []string
}

// device draws one placed part. All are our own drawings.
func (p *painter) device(x facings.FlagPart) {
	cx, cy := 50.0, 50.0
	if x.X != nil {
		cx = *x.X
	}
	if x.Y != nil {
		cy = *x.Y
	}
	size := x.Size / 100 * p.hoist
	d := &drawing{p: p, unit: size, colours: x.Colours,
		m: ScaleBy(size, size).Then(Turn(x.TurnDeg)).Then(Translate(cx/100*p.fly, cy/100*p.hoist))}
	switch x.Part {
	case "roundel":
		d.lay(Circle(0, 0, 0.5), 0)
	case "annulet":
		ring := Circle(0, 0, 0.5)
		ring.Add(Circle(0, 0, 0.36).Reversed())
		d.lay(ring, 0)
	case "star":
		d.lay(star(x.Pieces), 0)
	case "rays":
		d.lay(rays(x.Pieces), 0)
	case "crescent":
		d.crescent()
	case "wreath":
		d.wreath()
	case "crown":
		d.crown()
	case "bell":
		d.bell()
	case "oar":
		d.oar()
	case "lance":
		d.lance()
	case "sword":
		d.sword()
	case "anchor":
		d.anchor()
	case "ferry":
		d.ferry()
	case "monogram":
		d.letters(x.Text, 0, 0.36, 1.35, 0, 0)
	case "ribbon":
		d.ribbon(x.Text)
	case "lettering":
		d.letters(x.Text, 0, 0.36, 1, 0, 0)
	}
}

// lay fills a form with the device's i-th colour, the last one it has, inside
// a thin dark edge.
func (d *drawing) lay(path Path, i int) {
	name := d.colours[min(i, len(d.colours)-1)]
	d.form(path, name, d.p.colour(name))
}

// dark fills a form with a darker tone of the device's first colour.
func (d *drawing) dark(path Path) {
	d.form(path, d.colours[0], shade(d.p.colour(d.colours[0]), 0.7))
}

func (d *drawing) form(path Path, name string, c RGB) {
	path = path.Moved(d.m)
	d.p.layRGB(path, c, name)
	if !d.p.hatched {
		d.p.line(path, shade(c, 0.5), edgeWidth*d.unit)
	}
}

const edgeWidth = 0.012

// stroke draws a detail in a darker tone of the device's first colour.
func (d *drawing) stroke(path Path, width float64) {
	d.p.line(path.Moved(d.m), shade(d.p.colour(d.colours[0]), 0.5), width*d.unit)
}

// mirrored joins the right half of a form, drawn from top to foot, with its
// left half.
func mirrored(right Path) Path {
	left := right.Moved(ScaleBy(-1, 1))
	out := right
	out.segs = append([]seg{}, right.segs...)
	segs := left.segs
	for i := len(segs) - 1; i > 0; i-- {
		to := segs[i-1].end()
		if s := segs[i]; s.op == opCurve {
			out.Curve(s.p[1].X, s.p[1].Y, s.p[0].X, s.p[0].Y, to.X, to.Y)
		} else {
			out.Line(to.X, to.Y)
		}
	}
	out.Close()
	return out
}

func star(n int) Path {
	n = max(n, 3)
	inner := 0.5 * math.Cos(2*math.Pi/float64(n)) / math.Cos(math.Pi/float64(n)) // of a pentagram and its kin
	if n < 5 || inner > 0.34 {
		inner = map[bool]float64{true: 0.16, false: 0.3}[n < 5]
	}
	var points []Point
	for i := range 2 * n {
		r := 0.5
		if i%2 == 1 {
			r = inner
		}
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		points = append(points, Point{r * s, -r * c})
	}
	return Polygon(points...)
}

// rays are thin triangles, long and short in turn, which leave the middle free.
func rays(n int) Path {
	var out Path
	n = max(n, 4)
	for i := range n {
		far := 0.5
		if i%2 == 1 {
			far = 0.38
		}
		half := math.Pi / float64(n) * 0.55
		at := 2 * math.Pi * float64(i) / float64(n)
		p := func(r, a float64) Point { s, c := math.Sincos(a); return Point{r * s, -r * c} }
		out.Add(Polygon(p(0.12, at-half), p(far, at), p(0.12, at+half)))
	}
	return out
}

func (d *drawing) crescent() {
	var p Path
	p.Move(-0.22, -0.42)
	p.Curve(-0.75, 0.1, -0.35, 0.5, 0, 0.5)
	p.Curve(0.35, 0.5, 0.75, 0.1, 0.22, -0.42)
	p.Curve(0.5, -0.02, 0.28, 0.27, 0, 0.27)
	p.Curve(-0.28, 0.27, -0.5, -0.02, -0.22, -0.42)
	p.Close()
	d.lay(p, 0)
}

// wreath is two branches open at the top, tied at the foot.
func (d *drawing) wreath() {
	const r = 0.4
	var stem Path
	for _, side := range []float64{-1, 1} {
		for i := range 9 {
			at := math.Pi - side*(0.16+0.3*float64(i)) // from the foot upwards
			s, c := math.Sincos(at)
			for _, out := range []float64{1, -1} {
				leaf := leafForm().Moved(Turn(at*180/math.Pi - side*90 + side*out*32)).Moved(Translate(r*s, -r*c))
				d.lay(leaf, 0)
			}
			if i == 8 {
				d.lay(leafForm().Moved(Turn(at*180/math.Pi-side*90)).Moved(Translate(r*s, -r*c)), 0)
			}
		}
		var arc []Point
		for a := 0.0; a < 2.6; a += 0.1 {
			s, c := math.Sincos(math.Pi - side*a)
			arc = append(arc, Point{r * s, -r * c})
		}
		stem.Add(Polyline(arc...))
	}
	d.stroke(stem, 0.012)
	tie := Ellipse(-0.05, r, 0.055, 0.032)
	tie.Add(Ellipse(0.05, r, 0.055, 0.032))
	d.lay(tie, 1)
	d.lay(Circle(0, r, 0.028), 1)
}

func leafForm() Path {
	var p Path
	p.Move(0, 0)
	p.Curve(0.045, -0.03, 0.045, -0.1, 0, -0.15)
	p.Curve(-0.045, -0.1, -0.045, -0.03, 0, 0)
	p.Close()
	return p
}

// crown is wider than high: its frame's unit is the height.
func (d *drawing) crown() {
	var p Path
	p.Move(-0.7, 0.5)
	p.Line(-0.86, -0.22)
	p.Line(-0.45, 0.12)
	p.Line(-0.38, -0.38)
	p.Line(-0.16, 0.06)
	p.Line(0, -0.46)
	p.Line(0.16, 0.06)
	p.Line(0.38, -0.38)
	p.Line(0.45, 0.12)
	p.Line(0.86, -0.22)
	p.Line(0.7, 0.5)
	p.Close()
	d.lay(p, 0)
	for _, at := range []Point{{-0.86, -0.24}, {-0.38, -0.4}, {0, -0.48}, {0.38, -0.4}, {0.86, -0.24}} {
		d.lay(Circle(at.X, at.Y, 0.075), 1)
	}
	d.stroke(Polyline(Point{-0.745, 0.3}, Point{0.745, 0.3}), 0.05)
	for _, x := range []float64{-0.45, -0.15, 0.15, 0.45} {
		d.lay(Circle(x, 0.4, 0.05), 1)
	}
}

// bell with its clapper; a second colour ties the clapper with a cord.
func (d *drawing) bell() {
	d.dark(Circle(0, 0.4, 0.085)) // the clapper's ball, below the lip
	loop := Circle(0, -0.43, 0.075)
	loop.Add(Circle(0, -0.43, 0.035).Reversed())
	d.lay(loop, 0)
	var half Path
	half.Move(0, -0.375)
	half.Curve(0.14, -0.375, 0.19, -0.33, 0.2, -0.2)
	half.Curve(0.215, 0.02, 0.25, 0.17, 0.4, 0.27)
	half.Curve(0.43, 0.3, 0.42, 0.34, 0.38, 0.34)
	half.Line(0, 0.34)
	d.lay(mirrored(half), 0)
	d.stroke(Polyline(Point{-0.335, 0.22}, Point{0.335, 0.22}), 0.014)
	d.stroke(Polyline(Point{-0.205, -0.14}, Point{0.205, -0.14}), 0.014)
	d.stroke(Polyline(Point{-0.21, -0.1}, Point{0.21, -0.1}), 0.014)
	if len(d.colours) > 1 {
		for _, side := range []float64{-1, 1} { // a bow round the clapper, its ends hanging
			var end Path
			end.Move(side*0.01, 0.385)
			end.Line(side*0.2, 0.475)
			end.Line(side*0.15, 0.505)
			end.Line(side*0.13, 0.475)
			end.Close()
			d.lay(end, 1)
			d.lay(Ellipse(0, 0, 0.1, 0.042).Moved(Turn(-side*18)).Moved(Translate(side*0.105, 0.365)), 1)
		}
		d.lay(Circle(0, 0.385, 0.04), 1)
	}
}

func (d *drawing) oar() {
	d.lay(Rect(-0.018, -0.47, 0.018, 0.2), 0)
	d.lay(Rect(-0.05, -0.5, 0.05, -0.46), 0)
	var half Path
	half.Move(0, 0.12)
	half.Curve(0.05, 0.14, 0.085, 0.2, 0.085, 0.3)
	half.Line(0.085, 0.47)
	half.Curve(0.085, 0.49, 0.07, 0.5, 0, 0.5)
	d.lay(mirrored(half), 0)
	d.stroke(Polyline(Point{0, 0.18}, Point{0, 0.49}), 0.01)
}

// lance has a pennon in its second colour, if it has one.
func (d *drawing) lance() {
	d.lay(Rect(-0.014, -0.36, 0.014, 0.5), 0)
	if len(d.colours) > 1 {
		d.lay(Polygon(Point{0.014, -0.36}, Point{0.26, -0.31}, Point{0.17, -0.255}, Point{0.26, -0.2}, Point{0.014, -0.15}), 1)
	}
	var half Path
	half.Move(0, -0.5)
	half.Curve(0.015, -0.47, 0.05, -0.43, 0.05, -0.41)
	half.Curve(0.05, -0.385, 0.02, -0.37, 0.014, -0.34)
	half.Line(0, -0.34)
	d.lay(mirrored(half), 0)
	d.lay(Rect(-0.03, 0.2, 0.03, 0.23), 0)
}

func (d *drawing) sword() {
	d.lay(Polygon(Point{0, -0.5}, Point{0.03, -0.44}, Point{0.03, 0.24}, Point{-0.03, 0.24}, Point{-0.03, -0.44}), 0)
	d.stroke(Polyline(Point{0, -0.46}, Point{0, 0.24}), 0.008)
	d.lay(Rect(-0.17, 0.23, 0.17, 0.27), 1)
	d.lay(Rect(-0.022, 0.27, 0.022, 0.43), 1)
	d.lay(Circle(0, 0.46, 0.042), 1)
}

func (d *drawing) anchor() {
	ring := Circle(0, -0.42, 0.08)
	ring.Add(Circle(0, -0.42, 0.045).Reversed())
	d.lay(ring, 0)
	d.lay(Rect(-0.22, -0.3, 0.22, -0.24), 0)
	var half Path
	half.Move(0, -0.34)
	half.Line(0.032, -0.34)
	half.Line(0.032, 0.36)
	half.Curve(0.18, 0.34, 0.28, 0.24, 0.32, 0.12)
	half.Line(0.25, 0.14)
	half.Line(0.37, -0.04)
	half.Line(0.44, 0.16)
	half.Line(0.38, 0.13)
	half.Curve(0.32, 0.34, 0.18, 0.46, 0, 0.5)
	d.lay(mirrored(half), 0)
}

// ferry is a flat boat with a mast and a sail in its second colour.
func (d *drawing) ferry() {
	d.lay(Rect(-0.02, -0.48, 0.02, 0.2), 0)
	var sail Path
	sail.Move(-0.3, -0.4)
	sail.Line(0.3, -0.4)
	sail.Curve(0.4, -0.2, 0.4, -0.05, 0.32, 0.1)
	sail.Curve(0.1, 0.04, -0.1, 0.04, -0.32, 0.1)
	sail.Curve(-0.24, -0.05, -0.24, -0.2, -0.3, -0.4)
	sail.Close()
	d.lay(sail, 1)
	var hull Path
	hull.Move(-0.72, 0.14)
	hull.Line(-0.55, 0.2)
	hull.Line(0.55, 0.2)
	hull.Line(0.72, 0.14)
	hull.Curve(0.66, 0.4, 0.5, 0.48, 0.4, 0.48)
	hull.Line(-0.4, 0.48)
	hull.Curve(-0.5, 0.48, -0.66, 0.4, -0.72, 0.14)
	hull.Close()
	d.lay(hull, 0)
	d.stroke(Polyline(Point{-0.64, 0.31}, Point{0.64, 0.31}), 0.014)
}

// letters sets a text in the middle of the frame, its baseline at y, in the
// i-th colour; size is the em in units of the frame. widest, if given, is how
// wide it may be.
func (d *drawing) letters(text string, x, y, size, widest float64, i int) {
	text = Printable(text)
	em := size * d.unit
	w := TextWidth(text, em, true)
	if widest > 0 && w > widest*d.unit {
		em *= widest * d.unit / w
		y -= (w - widest*d.unit) / w * 0.36 * size // stay in the middle
		w = widest * d.unit
	}
	ink := d.p.colour(d.colours[min(i, len(d.colours)-1)])
	if d.p.hatched {
		ink = Black
	}
	at := d.m.Apply(Point{x - w/d.unit/2, y})
	turn := math.Atan2(d.m.B, d.m.A) * 180 / math.Pi
	d.p.items = append(d.p.items, Text{At: at, TurnDeg: turn, SizeMM: em, Bold: true, Ink: ink, Text: text}.moved(d.p.m))
}

// ribbon is one unit wide; its letters are the second colour, or black or
// white, whichever stands out.
func (d *drawing) ribbon(text string) {
	for _, side := range []float64{-1, 1} {
		x := func(v float64) float64 { return side * v }
		tail := Polygon(Point{x(0.34), -0.02}, Point{x(0.5), -0.02}, Point{x(0.45), 0.06}, Point{x(0.5), 0.14}, Point{x(0.34), 0.14})
		d.dark(tail)
		fold := Polygon(Point{x(0.34), 0.14}, Point{x(0.4), 0.09}, Point{x(0.34), 0.09})
		d.form(fold, d.colours[0], shade(d.p.colour(d.colours[0]), 0.45))
	}
	d.lay(Rect(-0.4, -0.09, 0.4, 0.09), 0)
	if len(d.colours) == 1 {
		ink := "#111111"
		if lab(d.p.colour(d.colours[0])).L < 55 {
			ink = "#ffffff"
		}
		d.colours = append(append([]string{}, d.colours...), ink)
	}
	d.letters(text, 0, 0.045, 0.13, 0.74, 1)
}
