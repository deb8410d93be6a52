package colour

import (
	"fmt"
	"math"
)

// Smoothest returns the smoothest reflectance within 0..1 that shows the
// colour in the view: with z = artanh(2R − 1), the sum of squared steps of z
// between neighbouring bands is the least possible. Real pigments are smooth,
// so it is a fair guess where only a colour is known; but many spectra show
// one colour, and under another light or in a mix the true one may differ.
//
// Every colour inside the sRGB gamut under D65 has a solution, and so have
// nearly all surface colours. It is an error to ask for one that no surface
// can show.
//
// Ref: burns2020.
func Smoothest(v *View, c XYZ) (Reflectance, error) {
	white := v.White()
	if math.IsNaN(c.X+c.Y+c.Z) || c.Y < 0 || c.Y > 1+1e-9 {
		return Reflectance{}, fmt.Errorf("no surface has the luminance factor %.4f; it must lie in 0..1", c.Y)
	}
	if c.Y < 1e-7 {
		return Flat(0), nil
	}
	if c.Y > 1-1e-7 {
		return Flat(1), nil
	}
	grey := XYZ{white.X * c.Y, c.Y, white.Z * c.Y}
	s := newSmoother(v, c.Y)
	// From the grey of the same luminance, whose answer is known, towards the
	// colour; shorter steps where Newton's method does not settle.
	for done, step := 0.0, 1.0; done < 1; {
		next := math.Min(1, done+step)
		trial := *s
		if trial.newton(mixXYZ(grey, c, next)) {
			*s, done = trial, next
			step = math.Min(2*step, 1)
			continue
		}
		if step /= 2; step < 1.0/512 {
			return Reflectance{}, fmt.Errorf("no surface can show the colour XYZ %.4f %.4f %.4f", c.X, c.Y, c.Z)
		}
	}
	return s.reflectance(), nil
}

func mixXYZ(a, b XYZ, t float64) XYZ {
	return XYZ{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y), a.Z + t*(b.Z-a.Z)}
}

// smoother holds the unknowns: z per band, and a Lagrange multiplier for each
// of X, Y, Z.
type smoother struct {
	view   *View
	z      [Bands]float64
	lambda [3]float64
}

func newSmoother(v *View, y float64) *smoother {
	s := &smoother{view: v}
	for i := range s.z {
		s.z[i] = math.Atanh(2*y - 1)
	}
	return s
}

func (s *smoother) reflectance() Reflectance {
	var r Reflectance
	for i, z := range s.z {
		r[i] = (math.Tanh(z) + 1) / 2
	}
	return r
}

const smoothSize = Bands + 3

// newton solves for the colour from where s stands and reports success.
func (s *smoother) newton(c XYZ) bool {
	target := [3]float64{c.X, c.Y, c.Z}
	for range 40 {
		a, worst := s.system(target)
		if worst < 1e-10 {
			return true
		}
		if !eliminate(&a) {
			return false
		}
		for i := range s.z {
			s.z[i] += a[i][smoothSize]
			if !(math.Abs(s.z[i]) < 40) {
				return false
			}
		}
		for j := range 3 {
			s.lambda[j] += a[Bands+j][smoothSize]
		}
	}
	return false
}

// system returns Newton's equations with the right-hand side in the last
// column, and the greatest residual.
func (s *smoother) system(target [3]float64) (a [smoothSize][smoothSize + 1]float64, worst float64) {
	weights := [3]*[Bands]float64{&s.view.x, &s.view.y, &s.view.z}
	var miss [3]float64
	for j := range 3 {
		miss[j] = -target[j]
	}
	for i, z := range s.z {
		t := math.Tanh(z)
		r, d1 := (t+1)/2, (1-t*t)/2
		d2 := -2 * t * d1
		grad := 0.0
		for _, n := range []int{i - 1, i + 1} {
			if n >= 0 && n < Bands {
				a[i][i] += 2
				a[i][n] -= 2
				grad += 2 * (z - s.z[n])
			}
		}
		for j, w := range weights {
			miss[j] += w[i] * r
			grad += s.lambda[j] * w[i] * d1
			a[i][i] += s.lambda[j] * w[i] * d2
			a[i][Bands+j] = w[i] * d1
			a[Bands+j][i] = w[i] * d1
		}
		a[i][smoothSize] = -grad
		worst = math.Max(worst, math.Abs(grad))
	}
	for j := range 3 {
		a[Bands+j][smoothSize] = -miss[j]
		worst = math.Max(worst, math.Abs(miss[j]))
	}
	return a, worst
}

// eliminate solves the equations in place by Gauss's method with row pivoting;
// the last column becomes the answer. It reports false for a singular system.
func eliminate(a *[smoothSize][smoothSize + 1]float64) bool {
	for c := range smoothSize {
		p := c
		for r := c + 1; r < smoothSize; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-14 {
			return false
		}
		a[c], a[p] = a[p], a[c]
		for r := range smoothSize {
			if f := a[r][c] / a[c][c]; r != c && f != 0 {
				for k := c; k <= smoothSize; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	for c := range smoothSize {
		a[c][smoothSize] /= a[c][c]
	}
	return true
}
