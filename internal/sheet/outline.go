package sheet

import "math"

// cloth is the outline of one face in mm: x from the pole, which is at −back,
// to the fly, y down the hoist; clockwise, the corner at the pole's top first.
func cloth(shape string, fly, hoist, back float64) []Point {
	switch shape {
	case "swallow-tail":
		return []Point{{-back, 0}, {fly, 0}, {fly - notch(fly), hoist / 2}, {fly, hoist}, {-back, hoist}}
	case "guidon":
		return guidon(fly, hoist, back)
	case "pennon":
		return []Point{{-back, 0}, {0, 0}, {fly, hoist / 2}, {0, hoist}, {-back, hoist}}
	}
	return []Point{{-back, 0}, {fly, 0}, {fly, hoist}, {-back, hoist}}
}

// notch is how deep a swallow-tail is cut: a quarter of the fly (common practice).
func notch(fly float64) float64 { return fly / 4 }

// guidon has its outer corners rounded from 12/41 of the fly before its end.
// Ref: royalwarrant1859.
func guidon(fly, hoist, back float64) []Point {
	r := fly * 12 / 41
	tip := 0.3 * hoist
	const k = 0.5522847498307936
	var top Path
	top.Move(-back, 0)
	top.Line(fly-r, 0)
	top.Curve(fly-r+k*r, 0, fly, tip-k*tip, fly, tip)
	points := top.flat(0.01)[0].points
	half := len(points)
	points = append(points, Point{fly - notch(fly), hoist / 2})
	for i := half - 1; i >= 0; i-- {
		points = append(points, Point{points[i].X, hoist - points[i].Y})
	}
	return points
}

// outset moves a clockwise outline outwards by d, inwards if d is negative.
// Corners stay sharp up to three times d.
func outset(points []Point, d float64) []Point {
	n := len(points)
	out := make([]Point, n)
	for i, p := range points {
		a, b := points[(i+n-1)%n], points[(i+1)%n]
		n1, n2 := normal(a, p), normal(p, b)
		// The corner's way out is along the sum of both normals, longer the
		// sharper it is.
		s := Point{n1.X + n2.X, n1.Y + n2.Y}
		k := 2 / max(float64(s.X*s.X)+float64(s.Y*s.Y), 4.0/9)
		out[i] = Point{p.X + d*k*s.X, p.Y + d*k*s.Y}
	}
	return out
}

// normal points outwards from a clockwise edge (y down).
func normal(a, b Point) Point {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return Point{}
	}
	return Point{(b.Y - a.Y) / l, -(b.X - a.X) / l}
}

// rightOf cuts off what lies left of x.
func rightOf(points []Point, x float64) []Point {
	var out []Point
	for i, p := range points {
		q := points[(i+1)%len(points)]
		if p.X >= x {
			out = append(out, p)
		}
		if (p.X < x) != (q.X < x) {
			t := (x - p.X) / (q.X - p.X)
			out = append(out, Point{x, p.Y + t*(q.Y-p.Y)})
		}
	}
	return out
}
