package light

import (
	"math"
	"sync"

	"facings/internal/colour"
)

// glossF0 is what a varnish of refractive index 1.5 reflects head-on.
const glossF0 = 0.04

// surface is how one material scatters light: a GGX microfacet layer and, for
// everything but metal, a matt body under it. What single scattering loses is
// given back so that a white surface reflects all of a uniform light, and the
// law stays reciprocal.
//
// Ref: walter2007, heitz2014, kulla2017.
type surface struct {
	metal  bool
	alpha  float64
	table  [tableSize]([2]float64) // A and B: the layer reflects F0·A + B
	meanA  float64                 // cosine-weighted means of A and B
	meanB  float64
	lossAB float64 // 1 - mean of A + B: what a perfect mirror layer would lose
	lossD  float64 // 1 - mean of F0·A + B for the gloss layer
}

const tableSize = 24

// materials keeps the surfaces that were asked for; safe for many goroutines.
type materials struct {
	mu   sync.Mutex
	made map[material]*surface
}

type material struct {
	metal     bool
	roughness float64
}

func (m *materials) surface(metal bool, roughness float64) *surface {
	m.mu.Lock()
	defer m.mu.Unlock()
	k := material{metal, roughness}
	if m.made[k] == nil {
		if m.made == nil {
			m.made = map[material]*surface{}
		}
		m.made[k] = newSurface(metal, roughness)
	}
	return m.made[k]
}

// newSurface prepares a material; roughness 0 to 1 as in glTF (alpha = its square).
func newSurface(metal bool, roughness float64) *surface {
	r := min(max(roughness, 0.08), 1)
	s := &surface{metal: metal, alpha: r * r}
	for i := range s.table {
		a, b := s.integrate(tableCos(i))
		s.table[i] = [2]float64{a, b}
	}
	const n = 256
	for i := range n {
		μ := (float64(i) + 0.5) / n
		a, b := s.layer(μ)
		s.meanA += 2 * a * μ / n
		s.meanB += 2 * b * μ / n
	}
	s.lossAB = max(1-s.meanA-s.meanB, 1e-6)
	s.lossD = max(1-glossF0*s.meanA-s.meanB, 1e-6)
	return s
}

// tableCos spaces the entries by the square, closer where light grazes.
func tableCos(i int) float64 {
	x := float64(i) / (tableSize - 1)
	return max(x*x, 1e-3)
}

// layer looks up A and B for the cosine μ.
func (s *surface) layer(μ float64) (a, b float64) {
	x := math.Sqrt(min(max(μ, 0), 1)) * (tableSize - 1)
	i := min(int(x), tableSize-2)
	t := x - float64(i)
	p, q := s.table[i], s.table[i+1]
	return p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])
}

// integrate finds A and B at cosine μ by summing over half vectors spread as the
// microfacets are.
func (s *surface) integrate(μ float64) (a, b float64) {
	const nu, nv = 64, 32
	sin := math.Sqrt(1 - μ*μ)
	var cos [nv]float64
	for j := range nv {
		cos[j] = math.Cos(2 * math.Pi * (float64(j) + 0.5) / nv)
	}
	for i := range nu {
		u := (float64(i) + 0.5) / nu
		ch := math.Sqrt((1 - u) / (1 + (s.alpha*s.alpha-1)*u))
		sh := math.Sqrt(max(0, 1-ch*ch))
		for j := range nv {
			vh := sin*sh*cos[j] + μ*ch
			nl := 2*vh*ch - μ
			if nl <= 0 || vh <= 0 {
				continue
			}
			w := s.visibility(nl, μ) * 4 * nl * vh / ch / (nu * nv)
			f := fifth(1 - vh)
			a += w * (1 - f)
			b += w * f
		}
	}
	return a, b
}

func fifth(x float64) float64 {
	x2 := float64(x * x)
	return float64(x2*x2) * x
}

// visibility is the height-correlated Smith term divided by 4·nl·nv.
func (s *surface) visibility(nl, nv float64) float64 {
	a2 := s.alpha * s.alpha
	gl := nv * math.Sqrt(nl*nl*(1-a2)+a2)
	gv := nl * math.Sqrt(nv*nv*(1-a2)+a2)
	return 0.5 / max(gl+gv, 1e-12)
}

func (s *surface) spread(nh float64) float64 {
	a2 := s.alpha * s.alpha
	d := nh*nh*(a2-1) + 1
	return a2 / (math.Pi * d * d)
}

// eval returns the BRDF in 1/sr for the cosines of light, eye and half vector to
// the normal, and of eye to half vector.
func (s *surface) eval(albedo colour.Linear, nl, nv, nh, vh float64) colour.Linear {
	av, bv := s.layer(nv)
	return s.lamp(albedo, nl, nv, nh, fresnel(vh), av, bv)
}

// fresnel is how much more than head-on a layer reflects at the cosine of eye to
// half vector.
func fresnel(vh float64) float64 { return fifth(1 - min(max(vh, 0), 1)) }

// lamp is eval with what the eye's side has in common for every light: the layer
// at its cosine.
func (s *surface) lamp(albedo colour.Linear, nl, nv, nh, f, av, bv float64) colour.Linear {
	spec := s.spread(nh) * s.visibility(nl, nv)
	al, bl := s.layer(nl)
	if s.metal {
		back := (1 - al - bl) * (1 - av - bv) / (math.Pi * s.lossAB)
		return mapRGB(albedo, func(c float64) float64 {
			return spec*(c+(1-c)*f) + back*s.again(c)
		})
	}
	gloss := spec * (glossF0 + (1-glossF0)*f)
	matt := (1 - glossF0*al - bl) * (1 - glossF0*av - bv) / (math.Pi * s.lossD)
	return colour.Linear{R: gloss + matt*albedo.R, G: gloss + matt*albedo.G, B: gloss + matt*albedo.B}
}

// again is the colour of light scattered more than once within a metal layer.
func (s *surface) again(f0 float64) float64 {
	mean := f0 + (1-f0)/21
	e := 1 - s.lossAB
	return mean * mean * e / (1 - mean*(1-e))
}

// sky returns what reaches the eye under a light from all around: body is the
// mean radiance over the hemisphere, mirror the radiance from where the eye's
// mirror image looks, blurred as the roughness wants; a and b are the layer at
// the eye's cosine.
func (s *surface) sky(albedo, body, mirror colour.Linear, a, b float64) colour.Linear {
	if s.metal {
		return zipRGB(albedo, mirror, func(c, l float64) float64 {
			return l * (c*a + b + (1-a-b)*s.again(c))
		})
	}
	layer := glossF0*a + b
	under := zipRGB(albedo, body, func(c, l float64) float64 { return (1 - layer) * c * l })
	return zipRGB(under, mirror, func(u, l float64) float64 { return u + layer*l })
}

func mapRGB(c colour.Linear, f func(float64) float64) colour.Linear {
	return colour.Linear{R: f(c.R), G: f(c.G), B: f(c.B)}
}

func zipRGB(a, b colour.Linear, f func(a, b float64) float64) colour.Linear {
	return colour.Linear{R: f(a.R, b.R), G: f(a.G, b.G), B: f(a.B, b.B)}
}

func scaleRGB(c colour.Linear, s float64) colour.Linear {
	return colour.Linear{R: c.R * s, G: c.G * s, B: c.B * s}
}

func addRGB(a, b colour.Linear) colour.Linear {
	return colour.Linear{R: a.R + b.R, G: a.G + b.G, B: a.B + b.B}
}

func mixRGB(a, b colour.Linear, t float64) colour.Linear {
	return addRGB(scaleRGB(a, 1-t), scaleRGB(b, t))
}
