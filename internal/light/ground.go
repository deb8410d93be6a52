package light

import (
	"facings/internal/colour"
	"facings/internal/geom"
)

const groundCells = 96

// groundUnder is a square of ground at the figure's lowest point, wide enough
// for its shadow.
func groundUnder(m *geom.Mesh) *geom.Mesh {
	b := m.Bounds()
	s, c := b.Size(), b.Center()
	half := max(s.X, s.Y)/2 + 0.9*s.Z
	z := b.Min.Z - 1e-3*s.Z // below the soles, or they would hide it
	return geom.NewGrid(geom.Vec3{X: c.X - half, Y: c.Y - half, Z: z}, geom.Vec3{X: c.X + half, Y: c.Y + half, Z: z}, groundCells, groundCells)
}

// groundShade works out how much darker than open ground each of its points is,
// from the light at the points from number first on, and fades it out towards
// the rim.
func (r *renderer) groundShade(first int) {
	s := &r.p.Studio
	up := geom.Vec3{Z: 1}
	lamp := max(r.key.Dot(up), 0) * luminance(s.Key)
	n := len(r.ground.V)
	r.shade = make([]float64, n)
	box := r.ground.Bounds()
	middle, half := box.Center(), box.Size().X/2
	for i := range n {
		sky := luminance(r.light.sky[first+i])
		open := r.light.open[first+i]
		full := sky + lamp
		if open > 0 {
			full = sky/open + lamp // about what it would get with nothing there
		}
		got := sky + lamp*r.light.lamp[first+i]
		dark := 0.0
		if full > 0 {
			dark = max(0, 1-got/full)
		}
		d := r.ground.V[i].Sub(middle).Len() / half
		fade := min(max((1-d)/0.4, 0), 1)
		r.shade[i] = dark * fade
	}
	for range 3 {
		r.shade = smoothGrid(r.shade, groundCells+1)
	}
	r.light.sky, r.light.open, r.light.lamp = r.light.sky[:first], r.light.open[:first], r.light.lamp[:first]
}

// smoothGrid averages a square grid of n × n values over neighbours, 1:2:1 each
// way: few rays into the sky leave blotches that a real shadow has not.
func smoothGrid(v []float64, n int) []float64 {
	pass := func(v []float64, step, along int) []float64 {
		out := make([]float64, len(v))
		for i := range v {
			k := i / along % n
			lo, hi := i, i
			if k > 0 {
				lo = i - step
			}
			if k < n-1 {
				hi = i + step
			}
			out[i] = (v[lo] + 2*v[i] + v[hi]) / 4
		}
		return out
	}
	return pass(pass(v, 1, 1), n, n)
}

func luminance(c colour.Linear) float64 { return 0.2126*c.R + 0.7152*c.G + 0.0722*c.B }

// groundPiece is black, as opaque as the ground is shaded: over any paper it
// leaves a shadow. It fades towards the picture's edges, so that none is cut off.
func (r *renderer) groundPiece(q piece) (colour.Linear, float64) {
	f := r.ground.F[q.face]
	var c [3]corner
	for k := range c {
		x, y, n := r.shot.project(r.ground.V[f[k]])
		c[k] = corner{x, y, n}
	}
	wp, wq, wr := blend3(&r.shot, c[0], c[1], c[2], q.x, q.y)
	rim := min(q.x, float64(r.p.Width)-q.x, q.y, float64(r.p.Height)-q.y)
	fade := min(max(rim/(0.08*float64(min(r.p.Width, r.p.Height))), 0), 1)
	return colour.Linear{}, 0.75 * fade * (wp*r.shade[f[0]] + wq*r.shade[f[1]] + wr*r.shade[f[2]])
}
