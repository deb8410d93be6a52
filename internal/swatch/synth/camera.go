package synth

import (
	"math"
	"math/rand/v2"

	"facings/internal/sheet"
	"facings/internal/swatch"
)

type vec [3]float64

// camera looks at the card's plane from in front, at a distance in millimetres;
// the card is turned and tilted in front of it.
type camera struct {
	w, h   int
	focal  float64 // pixels
	middle swatch.Point
	bend   float64 // of the lens, share at half the diagonal
	axes   [3]vec  // the card's x, y and normal
	dist   float64
	aim    swatch.Point // on the sheet, in the middle of the picture
}

func newCamera(rng *rand.Rand, paper sheet.Paper, o Options) camera {
	long := 1000 + rng.IntN(700)
	if o.Long > 0 {
		long = o.Long
	}
	c := camera{w: long, h: long * 3 / 4, bend: span(rng, -0.02, 0.02), aim: swatch.Point{X: paper.WidthMM / 2, Y: paper.HeightMM / 2}}
	quarter := rng.IntN(4)
	if o.Turn >= 0 {
		quarter = o.Turn
	}
	if quarter%2 == 0 {
		c.w, c.h = c.h, c.w
	}
	c.focal = 1.1 * float64(long)
	c.middle = swatch.Point{X: float64(c.w) / 2, Y: float64(c.h) / 2}
	turn := (float64(quarter)*90 + span(rng, -7, 7)) * math.Pi / 180
	c.axes = tilted(turn, span(rng, -14, 14)*math.Pi/180, span(rng, -14, 14)*math.Pi/180)
	// Step back until the sheet fills the picture to a share.
	share := span(rng, 0.84, 0.96)
	for c.dist = 150; c.dist < 3000 && !c.holds(paper, share); c.dist += 4 {
	}
	if o.Defect == CutOff {
		side := 1 - 2*float64(rng.IntN(2))
		c.aim.X += side * span(rng, 32, 60)
	}
	if o.Defect == Far {
		c.dist *= 3.2
	}
	return c
}

func span(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// tilted turns the plane's axes about the line of sight, then about the
// picture's two.
func tilted(turn, a, b float64) [3]vec {
	var out [3]vec
	for i := range out {
		var v vec
		v[i] = 1
		v = vec{v[0]*math.Cos(turn) - v[1]*math.Sin(turn), v[0]*math.Sin(turn) + v[1]*math.Cos(turn), v[2]}
		v = vec{v[0], v[1]*math.Cos(a) - v[2]*math.Sin(a), v[1]*math.Sin(a) + v[2]*math.Cos(a)}
		out[i] = vec{v[0]*math.Cos(b) + v[2]*math.Sin(b), v[1], -v[0]*math.Sin(b) + v[2]*math.Cos(b)}
	}
	return out
}

func (c *camera) holds(p sheet.Paper, share float64) bool {
	for _, q := range []swatch.Point{{X: 0, Y: 0}, {X: p.WidthMM, Y: 0}, {X: 0, Y: p.HeightMM}, {X: p.WidthMM, Y: p.HeightMM}} {
		x, y := q.X-c.aim.X, q.Y-c.aim.Y
		var v vec
		for i := range v {
			v[i] = x*c.axes[0][i] + y*c.axes[1][i]
		}
		z := v[2] + c.dist
		if z < 50 || math.Abs(c.focal*v[0]/z) > share*float64(c.w)/2 || math.Abs(c.focal*v[1]/z) > share*float64(c.h)/2 {
			return false
		}
	}
	return true
}

// sheet returns the place on the plane of the sheet that a pixel sees.
func (c *camera) sheet(x, y float64) swatch.Point {
	dx, dy := x-c.middle.X, y-c.middle.Y
	half := math.Hypot(float64(c.w), float64(c.h)) / 2
	s := 1 + c.bend*(dx*dx+dy*dy)/(half*half)
	ray := vec{s * dx / c.focal, s * dy / c.focal, 1}
	n := c.axes[2]
	t := n[2] * c.dist / dot(n, ray)
	hit := vec{t * ray[0], t * ray[1], t*ray[2] - c.dist}
	return swatch.Point{X: c.aim.X + dot(hit, c.axes[0]), Y: c.aim.Y + dot(hit, c.axes[1])}
}

func dot(a, b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
