package swatch

import (
	"math"
	"slices"
)

// found is a corner mark in the photograph: what it says and where its four
// corners are, clockwise from the one that is top left on the card.
type found struct {
	mark
	corners [4]Point
}

// The least side of a mark, in pixels of the reduced photograph: two for each
// of its squares.
const leastMark = 14

// darkShare is how much darker than its neighbourhood a pixel must be to count
// as dark, on the scale of the square root of light.
const darkShare = 0.75

// findMarks looks for corner marks: pixels darker than their neighbourhood,
// joined to pieces; of pieces with four corners the squares are read.
func findMarks(p *Photo) []found {
	dark := darkPixels(p)
	book := newCodebook()
	var out []found
	for _, piece := range pieces(dark, p.W, p.H) {
		quad, ok := fourCorners(piece)
		if !ok {
			continue
		}
		quad, ok = sharpen(p, quad)
		if !ok {
			continue
		}
		word, ok := readSquares(p, quad)
		if !ok {
			continue
		}
		m, ok := book.decode(word)
		if !ok {
			continue
		}
		f := found{mark: m}
		for i := range f.corners {
			f.corners[i] = quad[(i+m.turns)%4]
		}
		out = append(out, f)
	}
	return out
}

// darkPixels marks pixels darker than the mean of the square around them.
func darkPixels(p *Photo) []bool {
	w, h := p.W, p.H
	sum := make([]float64, (w+1)*(h+1))
	grey := make([]float32, w*h)
	for y := range h {
		var row float64
		for x := range w {
			k := 3 * (y*w + x)
			g := math.Sqrt(rgb{float64(p.lin[k]), float64(p.lin[k+1]), float64(p.lin[k+2])}.luminance())
			grey[y*w+x] = float32(g)
			row += g
			sum[(y+1)*(w+1)+x+1] = sum[y*(w+1)+x+1] + row
		}
	}
	r := max(w, h) / 22
	dark := make([]bool, w*h)
	for y := range h {
		y0, y1 := max(0, y-r), min(h, y+r+1)
		for x := range w {
			x0, x1 := max(0, x-r), min(w, x+r+1)
			mean := (sum[y1*(w+1)+x1] - sum[y0*(w+1)+x1] - sum[y1*(w+1)+x0] + sum[y0*(w+1)+x0]) / float64((y1-y0)*(x1-x0))
			dark[y*w+x] = float64(grey[y*w+x]) < darkShare*mean
		}
	}
	return dark
}

// pieces returns the outlines of joined dark pixels that could be marks by
// their size: for each row of a piece its first and last pixel.
func pieces(dark []bool, w, h int) [][]Point {
	seen := make([]bool, len(dark))
	var out [][]Point
	var stack, members []int
	for start := range dark {
		if !dark[start] || seen[start] {
			continue
		}
		stack, members = append(stack[:0], start), members[:0]
		seen[start] = true
		x0, x1, y0, y1 := w, 0, h, 0
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			members = append(members, i)
			x, y := i%w, i/w
			x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
			for v := max(0, y-1); v <= min(h-1, y+1); v++ {
				for u := max(0, x-1); u <= min(w-1, x+1); u++ {
					if j := v*w + u; dark[j] && !seen[j] {
						seen[j] = true
						stack = append(stack, j)
					}
				}
			}
		}
		bw, bh := x1-x0+1, y1-y0+1
		if min(bw, bh) < leastMark || max(bw, bh) > max(w, h)/4 || 3*min(bw, bh) < max(bw, bh) || 4*len(members) < bw*bh {
			continue
		}
		out = append(out, outline(members, w, y0, bh))
	}
	return out
}

func outline(members []int, w, y0, rows int) []Point {
	first, last := make([]int, rows), make([]int, rows)
	for i := range first {
		first[i], last[i] = w, -1
	}
	for _, m := range members {
		x, r := m%w, m/w-y0
		first[r], last[r] = min(first[r], x), max(last[r], x)
	}
	var out []Point
	for r := range first {
		y := float64(y0 + r)
		out = append(out, Point{float64(first[r]), y}, Point{float64(first[r]), y + 1}, Point{float64(last[r] + 1), y}, Point{float64(last[r] + 1), y + 1})
	}
	return out
}

// fourCorners returns the corners of an outline, clockwise on the picture, if
// it is a quadrilateral: the point farthest from the middle, the one farthest
// from that, and the farthest to both sides of the line between.
func fourCorners(outline []Point) ([4]Point, bool) {
	hull := convexHull(outline)
	if len(hull) < 4 {
		return [4]Point{}, false
	}
	var mid Point
	for _, p := range hull {
		mid.X += p.X / float64(len(hull))
		mid.Y += p.Y / float64(len(hull))
	}
	a := farthest(hull, func(p Point) float64 { return math.Hypot(p.X-mid.X, p.Y-mid.Y) })
	c := farthest(hull, func(p Point) float64 { return math.Hypot(p.X-a.X, p.Y-a.Y) })
	b := farthest(hull, func(p Point) float64 { return cross(a, c, p) })
	d := farthest(hull, func(p Point) float64 { return -cross(a, c, p) })
	quad := [4]Point{a, d, c, b}
	whole, part := math.Abs(area(hull)), area(quad[:])
	if part < 0.85*whole {
		return quad, false
	}
	short, long := math.Inf(1), 0.0
	for i := range quad {
		s := math.Hypot(quad[(i+1)%4].X-quad[i].X, quad[(i+1)%4].Y-quad[i].Y)
		short, long = min(short, s), max(long, s)
	}
	return quad, short >= leastMark*0.7 && long <= 3*short
}

func farthest(ps []Point, far func(Point) float64) Point {
	best := ps[0]
	for _, p := range ps[1:] {
		if far(p) > far(best) {
			best = p
		}
	}
	return best
}

// cross is positive where c lies clockwise, on the picture, of the way a to b.
func cross(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// area is positive for corners clockwise on the picture.
func area(ps []Point) float64 {
	var sum float64
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		sum += p.X*q.Y - p.Y*q.X
	}
	return sum / 2
}

func convexHull(ps []Point) []Point {
	slices.SortFunc(ps, func(a, b Point) int {
		if a.X != b.X {
			return sign(a.X - b.X)
		}
		return sign(a.Y - b.Y)
	})
	chain := func(hull []Point, ps []Point) []Point {
		start := len(hull)
		for _, p := range ps {
			for len(hull) >= start+2 && cross(hull[len(hull)-2], hull[len(hull)-1], p) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
		return hull[:len(hull)-1]
	}
	hull := chain(nil, ps)
	slices.Reverse(ps)
	return chain(hull, ps)
}

func sign(v float64) int {
	switch {
	case v < 0:
		return -1
	case v > 0:
		return 1
	}
	return 0
}

// sharpen moves the corners of a dark quadrilateral to a fraction of a pixel:
// along each side the places where the light is half-way between inside and
// outside make a line, and neighbouring lines meet in the corners.
func sharpen(p *Photo, quad [4]Point) ([4]Point, bool) {
	type line struct{ at, dir Point }
	var sides [4]line
	for i := range quad {
		a, b := quad[i], quad[(i+1)%4]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		dir := Point{(b.X - a.X) / length, (b.Y - a.Y) / length}
		out := Point{dir.Y, -dir.X} // away from the middle, as the corners run clockwise
		reach := max(1.5, 0.11*length)
		var hits []Point
		for n := range 25 {
			t := (0.12 + 0.76*float64(n)/24) * length
			base := Point{a.X + t*dir.X, a.Y + t*dir.Y}
			if s, ok := halfWay(p, base, out, reach); ok {
				hits = append(hits, Point{base.X + s*out.X, base.Y + s*out.Y})
			}
		}
		if len(hits) < 10 {
			return quad, false
		}
		at, d := fitLine(hits)
		sides[i] = line{at, d}
	}
	var fine [4]Point
	for i := range fine {
		a, b := sides[(i+3)%4], sides[i]
		det := a.dir.X*b.dir.Y - a.dir.Y*b.dir.X
		if math.Abs(det) < 0.3 {
			return quad, false
		}
		t := ((b.at.X-a.at.X)*b.dir.Y - (b.at.Y-a.at.Y)*b.dir.X) / det
		fine[i] = Point{a.at.X + t*a.dir.X, a.at.Y + t*a.dir.Y}
	}
	return fine, area(fine[:]) > 0
}

// halfWay looks along a normal for the place where the light passes the mean
// of the two ends, which must differ clearly.
func halfWay(p *Photo, base, out Point, reach float64) (float64, bool) {
	const steps = 24
	var v [steps + 1]float64
	for i := range v {
		s := reach * (2*float64(i)/steps - 1)
		c, ok := p.at(Point{base.X + s*out.X, base.Y + s*out.Y})
		if !ok {
			return 0, false
		}
		v[i] = c.luminance()
	}
	low, high := v[0], v[steps]
	if high < 1.4*low+0.005 {
		return 0, false
	}
	mid := (low + high) / 2
	for i := range steps {
		if v[i] <= mid && v[i+1] > mid {
			f := (mid - v[i]) / (v[i+1] - v[i])
			return reach * (2*(float64(i)+f)/steps - 1), true
		}
	}
	return 0, false
}

// fitLine fits a line, once more without the farthest points.
func fitLine(ps []Point) (at, dir Point) {
	for pass := range 2 {
		var sxx, sxy, syy float64
		at = Point{}
		for _, p := range ps {
			at.X += p.X / float64(len(ps))
			at.Y += p.Y / float64(len(ps))
		}
		for _, p := range ps {
			dx, dy := p.X-at.X, p.Y-at.Y
			sxx, sxy, syy = sxx+dx*dx, sxy+dx*dy, syy+dy*dy
		}
		angle := math.Atan2(2*sxy, sxx-syy) / 2
		dir = Point{math.Cos(angle), math.Sin(angle)}
		if pass == 0 {
			off := func(p Point) float64 { return math.Abs((p.X-at.X)*dir.Y - (p.Y-at.Y)*dir.X) }
			ps = slices.Clone(ps)
			slices.SortFunc(ps, func(a, b Point) int { return sign(off(a) - off(b)) })
			ps = ps[:len(ps)*4/5]
		}
	}
	return at, dir
}

// readSquares reads the word of a mark, if the quadrilateral has a dark border
// with light around it.
func readSquares(p *Photo, quad [4]Point) (uint32, bool) {
	h, ok := fitHomography([]Point{{0, 0}, {7, 0}, {7, 7}, {0, 7}}, quad[:])
	if !ok {
		return 0, false
	}
	level := func(x, y float64) float64 {
		var sum float64
		for _, dx := range []float64{-0.22, 0, 0.22} {
			for _, dy := range []float64{-0.22, 0, 0.22} {
				c, _ := p.at(h.apply(Point{x + dx, y + dy}))
				sum += c.luminance() / 9
			}
		}
		return sum
	}
	var border, quiet []float64
	for i := range 7 {
		t := float64(i) + 0.5
		border = append(border, level(t, 0.5), level(t, 6.5), level(0.5, t), level(6.5, t))
		quiet = append(quiet, level(t, -0.75), level(t, 7.75), level(-0.75, t), level(7.75, t))
	}
	slices.Sort(border)
	slices.Sort(quiet)
	black, white := border[len(border)/2], quiet[len(quiet)/2]
	// Nearly all of the border must be dark and of what is around it light.
	middle := black + 0.4*(white-black)
	if white < 1.8*black+0.01 || border[len(border)-3] > middle || quiet[3] < middle {
		return 0, false
	}
	var word uint32
	for y := range markBits {
		for x := range markBits {
			word <<= 1
			if level(float64(x)+1.5, float64(y)+1.5) < middle {
				word |= 1
			}
		}
	}
	return word, true
}
