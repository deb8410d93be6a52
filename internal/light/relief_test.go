package light

import (
	"math"
	"testing"

	"facings/internal/geom"
)

// A spherical cap's height below the tangent plane is spread evenly over its
// area, so its mean is half the cap's height r²/(2R).
func TestReliefOfSphereAndPlane(t *testing.T) {
	const R, r = 10.0, 3.0
	m := geom.NewSphere(R, 32)
	for i, v := range Relief(m, r, Options{Threads: 2}) {
		near(t, "relief of the ball", v, r/(4*R), 0.009)
		_ = i
	}
	flat := geom.NewGrid(geom.Vec3{}, geom.Vec3{X: 10, Y: 10}, 10, 10)
	for _, v := range Relief(flat, 2, Options{}) {
		near(t, "relief of the plane", v, 0, 1e-12)
	}
	for i := range m.F {
		m.F[i][1], m.F[i][2] = m.F[i][2], m.F[i][1]
	}
	for _, v := range Relief(m, r, Options{}) {
		near(t, "relief of the hollow", v, -r/(4*R), 0.009)
	}
	if v := Relief(flat, math.NaN(), Options{}); v[0] != 0 {
		t.Errorf("relief without a radius: %v", v[0])
	}
}
