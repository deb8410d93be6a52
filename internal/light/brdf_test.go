package light

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"facings/internal/colour"
	"facings/internal/geom"
)

var white = colour.Linear{R: 1, G: 1, B: 1}

func evalAt(s *surface, albedo colour.Linear, l, v geom.Vec3) colour.Linear {
	h := l.Add(v).Unit()
	return s.eval(albedo, l.Z, v.Z, h.Z, v.Dot(h))
}

// A white surface in a uniform light of 1 sends 1 to the eye, at every angle: the
// furnace test.
func TestWhiteFurnace(t *testing.T) {
	for _, metal := range []bool{false, true} {
		for _, rough := range []float64{0.4, 0.7, 1} {
			s := newSurface(metal, rough)
			for _, elevation := range []float64{90, 50, 20} {
				v := aim(0, elevation)
				sum := 0.0
				const n = 120 // steps in z² (cosine-weighted) and azimuth
				for i := range n {
					z := math.Sqrt((float64(i) + 0.5) / n)
					for j := range n {
						l := aimZ(2*math.Pi*(float64(j)+0.5)/n, z)
						sum += evalAt(s, white, l, v).G * math.Pi / (n * n)
					}
				}
				near(t, "furnace", sum, 1, 0.02)
			}
			a, b := s.layer(0.37)
			got := s.sky(white, white, white, a, b)
			near(t, "sky", got.R, 1, 1e-9)
		}
	}
}

// Light and eye may change places, and nothing sends back more than it gets.
func TestReciprocity(t *testing.T) {
	surfaces := []*surface{newSurface(false, 0.1), newSurface(false, 0.6), newSurface(true, 0.25), newSurface(true, 1)}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(surfaces).Draw(t, "surface")
		c := colour.Linear{R: rapid.Float64Range(0, 1).Draw(t, "r"), G: 0.5, B: 0.1}
		a := aimZ(rapid.Float64Range(0, 6).Draw(t, "φ"), rapid.Float64Range(0.01, 1).Draw(t, "z"))
		b := aimZ(0, rapid.Float64Range(0.01, 1).Draw(t, "z2"))
		x, y := evalAt(s, c, a, b), evalAt(s, c, b, a)
		if math.Abs(x.R-y.R) > 1e-9*(1+x.R) || x.R < 0 {
			t.Fatalf("%v against %v", x, y)
		}
	})
}

// Light that bounces again and again within a metal's roughness loses a share at
// each bounce: the closed form is the sum of that series.
func TestLightScatteredAgain(t *testing.T) {
	s := newSurface(true, 0.8)
	e := 1 - s.lossAB
	for _, f0 := range []float64{0.2, 0.6, 0.95} {
		mean := f0 + (1-f0)/21
		sum := 0.0
		for k := 2; k < 200; k++ {
			sum += math.Pow(mean, float64(k)) * math.Pow(1-e, float64(k-1)) * e
		}
		near(t, "again", s.again(f0)*(1-e), sum, 1e-9)
	}
}
