package figure

import (
	"math"
	"testing"
)

// The underside of a base is closed and flat, as large as the base is, by plain
// geometry, and takes few faces, in whatever cells it is built.
func TestUnderside(t *testing.T) {
	const edge = 0.12 // rounded off
	for name, size := range map[string][2]float64{
		"march": {math.Pi * (10 - edge) * (10 - edge), math.Pi * 10 * 10},
		"gun":   {(40 - 2*edge) * (70 - 2*edge), 40 * 70},
	} {
		for _, k := range []float64{1, 1.6, 2} {
			s, err := assembleFor(cases()[name], k)
			if err != nil {
				t.Fatal(err)
			}
			g := newGrid(s, qualityOf(cases()[name].normal().Kind).coarser(k))
			g.sample()
			m := g.contour()
			area, faces := 0.0, 0
			for i, f := range m.F {
				if m.V[f[0]].Z < 0.02 && m.V[f[1]].Z < 0.02 && m.V[f[2]].Z < 0.02 {
					if m.FaceNormal(i).Z > -0.6 {
						t.Fatalf("%s built %g times as coarsely: a face of the underside looks elsewhere", name, k)
					}
					area += m.FaceArea(i)
					faces++
				}
			}
			if area < 0.93*size[0] || area > size[1] {
				t.Errorf("%s built %g times as coarsely: the underside is %.1f mm², not %.1f to %.1f", name, k, area, size[0], size[1])
			}
			if faces == 0 || faces > len(m.F)/9 {
				t.Errorf("%s built %g times as coarsely: %d of %d faces are of the underside", name, k, faces, len(m.F))
			}
		}
	}
}
