package synth

import (
	"math"

	"facings/internal/colour"
	"facings/internal/pigment"
)

// sensor is a camera whose three channels are bells over the spectrum, which no
// matrix turns into the standard observer exactly; the best one for the
// pigments of the starter rack, with white kept white, is what its maker is
// taken to have built in.
type sensor struct {
	weight [3][colour.Bands]float64
	matrix [3]vec
}

// The middles and widths of the channels, nm (about those of common sensors
// behind their infrared filters; an estimate).
var channels = [3][2]float64{{600, 38}, {538, 42}, {460, 32}}

func newSensor(rack []pigment.Paint) *sensor {
	s := &sensor{}
	for c, bell := range channels {
		var sum float64
		for i := range s.weight[c] {
			d := (colour.Wavelength(i) - bell[0]) / bell[1]
			s.weight[c][i] = math.Exp(-d * d / 2)
			sum += s.weight[c][i]
		}
		for i := range s.weight[c] {
			s.weight[c][i] /= sum
		}
	}
	// Least squares of out − raw[1] = a (raw[0] − raw[1]) + b (raw[2] − raw[1])
	// for each channel: the rows then add to 1 and white stays white.
	_, ground := pigment.Chart()
	for c := range s.matrix {
		var aa, ab, bb, ay, by float64
		for _, p := range rack {
			r := pigment.Show(&p.KS, p.Surface, &ground, 1).Reflectance
			raw := s.raw(&r)
			u, v, y := raw[0]-raw[1], raw[2]-raw[1], observed(&r)[c]-raw[1]
			aa, ab, bb, ay, by = aa+u*u, ab+u*v, bb+v*v, ay+u*y, by+v*y
		}
		det := aa*bb - ab*ab
		a, b := (ay*bb-by*ab)/det, (by*aa-ay*ab)/det
		s.matrix[c] = vec{a, 1 - a - b, b}
	}
	return s
}

func (s *sensor) raw(r *colour.Reflectance) (out vec) {
	for c := range out {
		for i, w := range s.weight[c] {
			out[c] += w * r[i]
		}
	}
	return out
}

// see returns the linear sRGB that the camera takes a reflectance for.
func (s *sensor) see(r *colour.Reflectance) (out vec) {
	raw := s.raw(r)
	for c := range out {
		out[c] = dot(s.matrix[c], raw)
	}
	return out
}
