package sheet

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// scanRows is how many lines a row of pixels is cut into.
const scanRows = 16

// covered is how much of each pixel of a box lies inside closed lines, by the
// even-odd rule or by the non-zero one: exact along a row, to a sixteenth of a
// pixel across it. k is pixels per mm. Ref: svg11 (fill-rule).
func covered(lines []line, even bool, k float64, box image.Rectangle) *image.Alpha {
	out := image.NewAlpha(box)
	all, start := crossings(lines, k, box)
	change := make([]float64, box.Dx()+2) // of the cover from a pixel to the next
	for y := range box.Dy() {
		clear(change)
		for scan := scanRows * y; scan < scanRows*(y+1); scan++ {
			at := all[start[scan]:start[scan+1]]
			sortCrossings(at)
			winding, from := 0, 0.0
			for _, c := range at {
				before := winding
				if winding += c.turn; even {
					winding &= 1
				}
				switch {
				case before == 0 && winding != 0:
					from = c.x
				case before != 0 && winding == 0:
					addSpan(change, from, c.x)
				}
			}
		}
		cover := 0.0
		row := out.Pix[y*out.Stride:]
		for x := range box.Dx() {
			cover += change[x]
			row[x] = uint8(math.Round(255 * max(0, min(1, cover/scanRows))))
		}
	}
	return out
}

// crossing is where a scan line meets an edge, and which way the edge runs there:
// +1 down the page, −1 up.
type crossing struct {
	x    float64
	turn int
}

func inBox(p Point, k float64, box image.Rectangle) Point {
	return Point{p.X*k - float64(box.Min.X), p.Y*k - float64(box.Min.Y)}
}

// crossings lists where the scan lines, in the middle of their strips, meet the
// edges: those of a scan line lie between its start and the next one's.
func crossings(lines []line, k float64, box image.Rectangle) (all []crossing, start []int32) {
	start = make([]int32, scanRows*box.Dy()+2)
	each := func(visit func(scan int, c crossing)) {
		for _, l := range lines {
			for i, p := range l.points {
				crossedBy(inBox(p, k, box), inBox(l.points[(i+1)%len(l.points)], k, box), scanRows*box.Dy(), visit)
			}
		}
	}
	// Counts go two places on, so that placing the crossings, which moves each
	// start to its end, leaves every scan line's start in its own place.
	each(func(scan int, _ crossing) { start[scan+2]++ })
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	all = make([]crossing, start[len(start)-1])
	each(func(scan int, c crossing) {
		all[start[scan+1]] = c
		start[scan+1]++
	})
	return all, start
}

// crossedBy visits the scan lines that meet the edge from p to q.
func crossedBy(p, q Point, scans int, visit func(scan int, c crossing)) {
	turn := 1
	if p.Y > q.Y {
		p, q, turn = q, p, -1
	}
	first := math.Max(0, math.Ceil(p.Y*scanRows-0.5))
	last := math.Min(float64(scans), math.Ceil(q.Y*scanRows-0.5))
	for i := first; i < last; i++ {
		t := ((i+0.5)/scanRows - p.Y) / (q.Y - p.Y)
		visit(int(i), crossing{p.X + t*(q.X-p.X), turn})
	}
}

// sortCrossings sorts by x; most scan lines meet a handful of edges.
func sortCrossings(at []crossing) {
	if len(at) > 24 {
		slices.SortFunc(at, func(a, b crossing) int { return cmp.Compare(a.x, b.x) })
		return
	}
	for i := 1; i < len(at); i++ {
		for j := i; j > 0 && at[j].x < at[j-1].x; j-- {
			at[j], at[j-1] = at[j-1], at[j]
		}
	}
}

// addSpan adds the stretch from a to b to the changes along a row of pixels,
// which has room for two more.
func addSpan(change []float64, a, b float64) {
	from := func(x, sign float64) {
		x = math.Max(0, math.Min(x, float64(len(change)-2)))
		i := int(x)
		change[i] += sign * (float64(i+1) - x)
		change[i+1] += sign * (x - float64(i))
	}
	from(a, 1)
	from(b, -1)
}
