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

// groundShade works out how much darker than open ground each of its points is
// and fades it out towards the rim.
func (st *Stage) groundShade() []float64 {
	s := &st.scene.Studio
	lamp := max(st.key.Z, 0) * luminance(s.Key)
	shade := make([]float64, len(st.ground.V))
	box := st.ground.Bounds()
	middle, half := box.Center(), box.Size().X/2
	for i := range shade {
		sky, open := luminance(st.floor.sky[i]), st.floor.open[i]
		full := sky + lamp
		if open > 0 {
			full = sky/open + lamp // about what it would get with nothing there
		}
		dark := 0.0
		if full > 0 {
			dark = max(0, 1-(sky+lamp*st.floor.lamp[i])/full)
		}
		d := st.ground.V[i].Sub(middle).Len() / half
		shade[i] = dark * min(max((1-d)/0.4, 0), 1)
	}
	for range 3 {
		shade = smoothGrid(shade, groundCells+1)
	}
	return shade
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
	c := r.pieceCorners
	wp, wq, wr := blend3(&r.shot, c[f[0]], c[f[1]], c[f[2]], q.x, q.y)
	w, h := float64(r.scene.Width), float64(r.scene.Height)
	fade := min(max(min(q.x, w-q.x, q.y, h-q.y)/(0.08*min(w, h)), 0), 1)
	return colour.Linear{}, 0.75 * fade * (wp*r.shade[f[0]] + wq*r.shade[f[1]] + wr*r.shade[f[2]])
}
