package sheet

import (
	"math"

	"facings"
)

// SleeveEase is how much wider than round the pole a sleeve is, in mm, for
// the paper's thickness and the glue (estimate).
const SleeveEase = 0.5

// Sleeve is the width of the paper that goes round a pole, in mm: π times its
// diameter and the ease. poleMM of zero means facings.DefaultPoleMM.
func Sleeve(poleMM float64) float64 {
	if poleMM <= 0 {
		poleMM = facings.DefaultPoleMM
	}
	return math.Pi*poleMM + SleeveEase
}

// strip is one flag ready to be cut out: the reverse, the sleeve and the
// obverse beside each other. Its origin is the cut's top left corner.
type strip struct {
	fly, hoist float64 // of a face's cloth on the model, mm
	fringe     float64 // how far the fringe stands out, mm
	sleeve     float64
	bleed      float64
	cloth      []Item  // both faces
	items      []Item  // with all marks
	marks      float64 // how far marks stand out beyond the cut, mm
}

// face is how far a face reaches from the sleeve, the fringe counted in.
func (s *strip) face() float64   { return s.fly + s.fringe }
func (s *strip) width() float64  { return 2*s.face() + s.sleeve }
func (s *strip) height() float64 { return s.hoist + 2*s.fringe }

// drawn is what a face shows: the design's parts or a picture.
type drawn struct {
	flag     *facings.Flag
	obverse  *Artwork // in place of parts
	reverse  *Artwork // of its own; nil for the obverse mirrored
	colour   func(string) RGB
	hatching bool
	ripples  bool
}

// newStrip draws a flag at 1/scale with so much bleed in mm.
func newStrip(d drawn, scale, bleed float64) *strip {
	f := d.flag
	s := &strip{fly: f.FlyMM / scale, hoist: f.HoistMM / scale, sleeve: Sleeve(f.PoleMM), bleed: bleed}
	var fringe *facings.FlagPart
	for i := range f.Parts {
		if f.Parts[i].Part == "fringe" {
			fringe = &f.Parts[i]
			size := fringe.Size
			if size == 0 {
				spec, _ := facings.FlagPartNamed("fringe")
				size = spec.Size
			}
			s.fringe = size / 100 * s.hoist
		}
	}
	s.marks = bleed + markGap + markLength
	for _, reverse := range []bool{true, false} {
		m := Translate(s.face()+s.sleeve, s.fringe)
		if reverse {
			m = Matrix{A: -1, D: 1, E: s.face(), F: s.fringe}
		}
		s.cloth = append(s.cloth, s.drawFace(d, fringe, m, reverse))
	}
	s.items = append(s.items, s.cloth...)
	s.mark(f.Shape)
	return s
}

// drawFace draws one face, seen through its outline and the bleed around it.
func (s *strip) drawFace(d drawn, fringe *facings.FlagPart, m Matrix, reverse bool) Item {
	half := s.sleeve / 2
	if reverse { // drawn first; the obverse covers the overlap, and no seam shows
		half += math.Min(0.2, half)
	}
	edge := cloth(d.flag.Shape, s.fly, s.hoist, half)
	p := &painter{fly: s.fly, hoist: s.hoist, edge: edge, colour: d.colour, hatched: d.hatching, m: m,
		bleed: Box{-half - 1, -s.fringe - s.bleed, s.face() + s.bleed, s.hoist + s.fringe + s.bleed}}
	if fringe != nil {
		s.drawFringe(p, fringe)
	}
	cloth := &painter{}
	*cloth = *p
	cloth.items = nil
	if fringe != nil {
		cloth.bleed = Box{-half - 1, 0, s.fly, s.hoist}
	}
	art, place := d.obverse, m
	if reverse && d.reverse != nil { // drawn for this side: only moved
		art, place = d.reverse, Translate(s.fringe, s.fringe)
	}
	if art != nil {
		cloth.items = append(cloth.items, art.on(cloth, place)...)
	} else {
		for _, x := range d.flag.Parts {
			cloth.part(x)
		}
	}
	if d.ripples {
		cloth.ripples(reverse)
	}
	if fringe != nil {
		clip := Polygon(edge...).Moved(m)
		p.items = append(p.items, Group{Clip: &clip, Items: cloth.items})
	} else {
		p.items = append(p.items, cloth.items...)
	}
	clip := Polygon(s.within(rightOf(outset(edge, s.fringe+s.bleed), -half), s.bleed)...).Moved(m)
	return Group{Clip: &clip, Items: p.items}
}

// edge is the line a face is cut along, fringe and half the sleeve included.
func (s *strip) edge(shape string) []Point {
	edge := outset(cloth(shape, s.fly, s.hoist, s.sleeve/2), s.fringe)
	return s.within(rightOf(edge, -s.sleeve/2), 0)
}

// within blunts tips that reach past the crop marks and so much more.
func (s *strip) within(points []Point, more float64) []Point {
	out := make([]Point, len(points))
	for i, q := range points {
		out[i] = Point{min(q.X, s.face()+more), max(-s.fringe-more, min(q.Y, s.hoist+s.fringe+more))}
	}
	return out
}

// drawFringe lays the fringe's colour around the cloth, with threads across it.
func (s *strip) drawFringe(p *painter, x *facings.FlagPart) {
	p.lay(p.all(), x.Colours[0])
	c := shade(p.colour(x.Colours[0]), 0.72)
	if len(x.Colours) > 1 {
		c = p.colour(x.Colours[1])
	}
	inner := cornersOn(p.edge, 0)
	outer := outset(inner, s.fringe+s.bleed)
	for i := range outer { // none stands out along the pole
		outer[i].X = max(outer[i].X, 0)
	}
	var threads Path
	for i, a := range inner {
		j := (i + 1) % len(inner)
		b := inner[j]
		if a.X <= 0 && b.X <= 0 {
			continue // along the pole
		}
		n := max(1, int(math.Hypot(b.X-a.X, b.Y-a.Y)/0.35))
		for k := range n {
			t := (float64(k) + 0.5) / float64(n)
			threads.Move(a.X+t*(b.X-a.X), a.Y+t*(b.Y-a.Y))
			threads.Line(outer[i].X+t*(outer[j].X-outer[i].X), outer[i].Y+t*(outer[j].Y-outer[i].Y))
		}
	}
	p.line(threads, c, 0.1)
	p.line(Polygon(inner...), c, 0.12)
}

// ripples shades folds that run down the cloth. Where the obverse stands out
// the reverse falls back, so its light and shade change places.
func (p *painter) ripples(reverse bool) {
	const folds, strips = 2.25, 60
	for i := range strips {
		t := (float64(i) + 0.5) / strips
		k := math.Sin(2*math.Pi*folds*t) * math.Min(1, 0.35+t)
		if reverse {
			k = -k
		}
		x0, x1 := p.fly*float64(i)/strips, p.fly*float64(i+1)/strips
		if i == strips-1 {
			x1 = p.bleed.X1
		}
		shadow := Fill(Rect(x0, p.bleed.Y0, x1, p.bleed.Y1).Moved(p.m), Black)
		shadow.Alpha = 0.3 * k
		if k < 0 {
			shadow = Fill(shadow.Path, White)
			shadow.Alpha = -0.22 * k
		}
		if shadow.Alpha > 0.004 {
			p.items = append(p.items, shadow)
		}
	}
}

// Marks stand off the bleed by markGap and are markLength long.
const (
	markGap    = 0.5
	markLength = 2.5
	markWidth  = 0.1
)

// cropMarks stand at the corners of a w × h mm rectangle, from near to far
// beyond it.
func cropMarks(w, h, near, far float64) Path {
	var p Path
	line := func(x0, y0, x1, y1 float64) { p.Move(x0, y0); p.Line(x1, y1) }
	for _, x := range []float64{0, w} {
		line(x, -far, x, -near)
		line(x, h+near, x, h+far)
	}
	for _, y := range []float64{0, h} {
		line(-far, y, -near, y)
		line(w+near, y, w+far, y)
	}
	return p
}

// mark draws crop marks at the corners, dashed fold marks at both sides of the
// sleeve, the zigzag of glue, and the cut line of a shape that is no rectangle.
func (s *strip) mark(shape string) {
	near, far := s.bleed+markGap, s.marks
	w, h := s.width(), s.height()
	cut := cropMarks(w, h, near, far)
	line := func(x0, y0, x1, y1 float64) { cut.Move(x0, y0); cut.Line(x1, y1) }
	for _, x := range []float64{s.face(), s.face() + s.sleeve} {
		for _, y := range []float64{-far, h + near} { // two dashes: fold here
			line(x, y, x, y+0.9)
			line(x, y+markLength-0.9, x, y+markLength)
		}
	}
	s.items = append(s.items, Stroke(cut, Black, markWidth))
	var glue Path
	const step = 0.8
	y := h + near + 0.9
	n := int(math.Max(2, math.Floor((s.face()-1)/step)))
	for i := range n {
		x := (s.face()-float64(n-1)*step)/2 + float64(i)*step
		if i == 0 {
			glue.Move(x, y)
		} else {
			glue.Line(x, y+step*float64(i%2))
		}
	}
	s.items = append(s.items, Stroke(glue, Grey, markWidth))
	if shape == "" || shape == "rectangle" {
		return
	}
	edge := s.edge(shape)
	var open []Point // without the side along the pole
	start := 0
	for i, q := range edge {
		if next := edge[(i+1)%len(edge)]; q.X <= -s.sleeve/2+1e-9 && next.X <= -s.sleeve/2+1e-9 {
			start = i + 1
		}
	}
	for i := range edge {
		open = append(open, edge[(start+i)%len(edge)])
	}
	for _, m := range []Matrix{Translate(s.face()+s.sleeve, s.fringe), {A: -1, D: 1, E: s.face(), F: s.fringe}} {
		s.items = append(s.items, Stroke(Polyline(open...).Moved(m), Grey, markWidth))
	}
}
