package light

import (
	"math"

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

// drawGround tells how opaque the shadow on the ground is at each pixel; none
// without a ground. The shadow is black, so that it is one over any paper, and
// fades towards the picture's edges, so that none is cut off. It takes the memory
// of out.
func (st *Stage) drawGround(out []float32) []float32 {
	if st.ground == nil {
		return out[:0]
	}
	box := st.ground.Bounds()
	scale := groundCells / box.Size().X
	wide, high := st.scene.Width, st.scene.Height
	w, h := float64(wide), float64(high)
	rim := 0.08 * min(w, h)
	out = cleared(out, wide*high)
	for y := range high {
		py := float64(y) + 0.5
		from, step, ok := st.shot.rowOnLevel(py, box.Min.Z)
		for x := range wide {
			px := float64(x) + 0.5
			p := from.Add(step.Mul(px))
			if !ok {
				var seen bool
				if p, seen = st.shot.onLevel(px, py, box.Min.Z); !seen {
					continue
				}
			}
			dark := gridAt(st.shade, groundCells+1, (p.X-box.Min.X)*scale, (p.Y-box.Min.Y)*scale)
			if dark > 0 {
				out[y*wide+x] = float32(0.75 * dark * min(min(px, w-px, py, h-py)/rim, 1))
			}
		}
	}
	return out
}

// gridAt blends between the values of a square grid of n × n at (x, y), counted
// in cells; 0 outside.
func gridAt(v []float64, n int, x, y float64) float64 {
	if !(x >= 0 && y >= 0 && x < float64(n-1) && y < float64(n-1)) {
		return 0
	}
	i := int(y)*n + int(x)
	fx, fy := x-math.Floor(x), y-math.Floor(y)
	low := float64(v[i]*(1-fx)) + float64(v[i+1]*fx)
	high := float64(v[i+n]*(1-fx)) + float64(v[i+n+1]*fx)
	return float64(low*(1-fy)) + float64(high*fy)
}
