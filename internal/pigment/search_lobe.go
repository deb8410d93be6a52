package pigment

import (
	"math"

	"facings/internal/colour"
)

// lobe is a weighted sum of X, Y and Z that looks at one part of the spectrum.
// Three lobes together tell a colour; a fourth looks along the slope of distance.
type lobe struct {
	sum    [3]float64     // of X, Y and Z
	weight [Bands]float64 // of what is seen at each band, but for what the surface throws back
	thrown float64        // what that adds
	off    float64        // what rounding may be off by
}

// lobeSums are the blue, red and green lobe. The shares of Z and Y taken from
// X, and of X from Y, leave little below zero (chosen by eye on the observer's
// curves; any would be valid).
var lobeSums = [3][3]float64{{0, 0, 1}, {1, -0.4, -0.19}, {-0.5, 1, 0.095}}

// look makes the lobes, and the first region.
func (s *search) look() {
	sums := append(lobeSums[:len(lobeSums):len(lobeSums)], s.slope())
	s.frame = newFrame(s.target, s.query.Setting.View, sums, s.shown())
	s.region.Store(newRegion(s.frame, s.limit()))
	surface := s.query.Setting.Surface
	pass := (1 - surface.Outside) * (1 - surface.Inside)
	for i, f := range sums {
		l := &s.lobes[i]
		l.sum = f
		for b := range Bands {
			var one colour.Reflectance
			one[b] = 1
			c := s.query.Setting.View.XYZ(&one)
			w := float64(f[0]*c.X) + float64(f[1]*c.Y) + float64(f[2]*c.Z)
			l.weight[b] = pass * w
			l.thrown += surface.Outside * surface.Seen * w
			l.off += filmOff * math.Abs(w)
		}
	}
}

// shown bounds what any mix shows at each band.
func (s *search) shown() *[Bands][2]float64 {
	var out [Bands][2]float64
	q := &s.query.Setting
	for b := range out {
		k, c := [2]float64{math.Inf(1)}, [2]float64{math.Inf(1)}
		for i := range s.rack {
			k = [2]float64{min(k[0], s.rack[i].K[b]), max(k[1], s.rack[i].K[b])}
			c = [2]float64{min(c[0], s.rack[i].S[b]), max(c[1], s.rack[i].S[b])}
		}
		x := q.Thickness
		out[b] = [2]float64{
			q.Surface.seen(Layer(k[1]*x*crossing(c[1]*x), c[0]*x, q.Ground[b])) - 1e-9,
			q.Surface.seen(Layer(k[0]*x*crossing(c[0]*x), c[1]*x, q.Ground[b])) + 1e-9,
		}
	}
	return &out
}

// slope is the direction in XYZ in which the distance grows fastest at the
// best mix so far: where no mix comes near the target, what lies beyond is cut
// off by it.
func (s *search) slope() [3]float64 {
	white := s.query.Setting.View.White()
	at := s.best.Load().Lab.XYZ(white)
	const h = 1e-4
	here := s.target.DeltaE00(s.best.Load().Lab)
	var g [3]float64
	for i, c := range []colour.XYZ{{X: at.X + h, Y: at.Y, Z: at.Z}, {X: at.X, Y: at.Y + h, Z: at.Z}, {X: at.X, Y: at.Y, Z: at.Z + h}} {
		g[i] = s.target.DeltaE00(colour.LabFrom(c, white)) - here
	}
	if n := math.Abs(g[0]) + math.Abs(g[1]) + math.Abs(g[2]); n > 0 {
		for i := range g {
			g[i] /= n
		}
	}
	return g
}

// stretch returns which stretch a band belongs to: two bands make one, but where
// little is seen, in the violet and the far red, four.
func stretch(band int) int { return min(stretches-1, max(0, (band-2)/2)) }

// set gives the search its view: the grounds and weights of bands and stretches.
func (s *search) set() {
	ground := &s.query.Setting.Ground
	inside := float32(s.query.Setting.Surface.Inside)
	s.scene.inside, s.view.inside = inside, inside
	for i := range stretches {
		s.scene.dark[i], s.scene.light[i] = 1, 0
	}
	for b := range Bands {
		i, g := stretch(b), float32(ground[b])
		s.view.ground[b] = g
		s.scene.dark[i], s.scene.light[i] = min(s.scene.dark[i], g), max(s.scene.light[i], g)
		for n := range s.lobes {
			w := float32(s.lobes[n].weight[b])
			s.view.weight[n][b] = w
			if w > 0 {
				s.scene.plus[n][i] += w
			} else {
				s.scene.minus[n][i] -= w
			}
		}
	}
}
