package pigment

import (
	"errors"
	"math"

	"facings/internal/colour"
)

// Observation is one measured film that holds the paint to be fitted.
type Observation struct {
	Measured  colour.Reflectance
	Ground    Inner
	Surface   Surface
	Thickness float64 // coats
	Share     float64 // of the paint in the film, by volume, over 0 to 1
	Rest      KS      // what the other paints in the film add: their KS times their shares
	Weight    float64 // 1 for an ordinary measurement
}

// Prior is what is assumed where the observations say little: neighbouring
// bands scatter and absorb alike, and scattering is about Scatter. A film that
// hides does not tell how much it scatters, a film that shows nothing does not
// tell its K; the prior keeps such bands in line.
type Prior struct {
	Scatter      float64 // S per coat, over 0
	LevelWeight  float64 // pull of ln S towards ln Scatter
	SmoothS      float64 // pull of ln S towards its neighbour
	SmoothK      float64 // pull of ln K towards its neighbour
	LeastK       float64 // K is kept at or above this
	GreatestBoth float64 // K and S are kept at or below this
	// Near, if given, is what K and S are expected to be, with NearWeight as the
	// pull of their logarithms towards it.
	Near       *KS
	NearWeight float64
}

// DefaultPrior is weak: at a hundredth of a step in the cube root of
// reflectance (about one unit of lightness) any measurement outweighs it.
func DefaultPrior() Prior {
	return Prior{Scatter: 1, LevelWeight: 0.002, SmoothS: 0.005, SmoothK: 0.001, LeastK: 1e-4, GreatestBoth: 1e3}
}

// fitSteps bounds the damped Gauss–Newton steps; real swatches take about ten.
const fitSteps = 40

// Fit returns the K and S that explain the observations best: least squares of
// the cube root of reflectance, which is as even to the eye as lightness is.
// The second result is the root mean square of those residuals (0.01 is about
// one unit of L). It is an error to give no observation, or one without the
// paint in it.
func Fit(obs []Observation, prior Prior) (KS, float64, error) {
	if err := checkObservations(obs); err != nil {
		return KS{}, 0, err
	}
	f := newFitter(obs, prior)
	f.start()
	f.run()
	return f.result(), f.rms(), nil
}

func checkObservations(obs []Observation) error {
	if len(obs) == 0 {
		return errors.New("no film to fit the paint from; measure it over black and over white")
	}
	for i := range obs {
		if !(obs[i].Share > 0) || !(obs[i].Thickness > 0) {
			return errors.New("a film without the paint in it cannot tell what the paint is")
		}
	}
	return nil
}

// point is ln K and ln S of one band.
type point [2]float64

type fitter struct {
	obs    []Observation
	prior  Prior
	at     [Bands]point
	target [][Bands]float64 // cube roots of the measurements, by observation
}

func newFitter(obs []Observation, prior Prior) *fitter {
	f := &fitter{obs: obs, prior: prior, target: make([][Bands]float64, len(obs))}
	for o := range obs {
		for i, r := range obs[o].Measured {
			f.target[o][i] = math.Cbrt(math.Max(r, 0))
		}
	}
	return f
}

// start looks, band by band, for the best of a coarse grid, so that the steps
// that follow begin in the right valley: a dark film can be dark by a little
// scattering over much absorption, or by letting a dark ground through.
func (f *fitter) start() {
	for i := range Bands {
		if f.prior.Near != nil {
			f.at[i] = lnKS(f.prior.Near, i)
			continue
		}
		best := math.Inf(1)
		for lnK := -8.0; lnK <= 6; lnK++ {
			for lnS := -4.0; lnS <= 4; lnS += 1.6 {
				var sum float64
				for o := range f.obs {
					sum += f.obs[o].Weight * sq(f.predict(o, i, point{lnK, lnS})-f.target[o][i])
				}
				if sum < best {
					best = sum
					f.at[i] = point{lnK, lnS}
				}
			}
		}
	}
}

// predict returns the cube root of what observation o shows at band i.
func (f *fitter) predict(o, i int, p point) float64 {
	ob := &f.obs[o]
	k := ob.Rest.K[i] + ob.Share*math.Exp(p[0])
	s := ob.Rest.S[i] + ob.Share*math.Exp(p[1])
	return math.Cbrt(math.Max(0, ob.Surface.seen(film(k*ob.Thickness, s*ob.Thickness, ob.Ground[i]))))
}

// misfit is the weighted sum of squares of the residuals without the prior.
func (f *fitter) misfit() float64 {
	var sum float64
	for o := range f.obs {
		for i := range Bands {
			r := f.predict(o, i, f.at[i]) - f.target[o][i]
			sum += f.obs[o].Weight * r * r
		}
	}
	return sum
}

func (f *fitter) rms() float64 { return math.Sqrt(f.misfit() / float64(len(f.obs)*Bands)) }

func (f *fitter) cost() float64 {
	p := f.prior
	sum := f.misfit()
	for i := range Bands {
		sum += sq(p.LevelWeight * (f.at[i][1] - math.Log(p.Scatter)))
		if p.Near != nil {
			near := lnKS(p.Near, i)
			sum += sq(p.NearWeight*(f.at[i][0]-near[0])) + sq(p.NearWeight*(f.at[i][1]-near[1]))
		}
		if i > 0 {
			sum += sq(p.SmoothK*(f.at[i][0]-f.at[i-1][0])) + sq(p.SmoothS*(f.at[i][1]-f.at[i-1][1]))
		}
	}
	return sum
}

func sq(x float64) float64 { return x * x }

func lnKS(p *KS, band int) point { return point{math.Log(p.K[band]), math.Log(p.S[band])} }

// run takes damped Gauss–Newton steps (Levenberg and Marquardt) until they no
// longer help.
func (f *fitter) run() {
	damp := 1e-2
	cost := f.cost()
	for range fitSteps {
		gain := false
		n := f.normal()
		for range 8 {
			old := f.at
			f.move(n.solve(damp))
			if c := f.cost(); c < cost {
				gain = cost-c > 1e-9*cost
				cost = c
				damp = math.Max(damp/5, 1e-9)
				break
			}
			f.at = old
			damp *= 5
		}
		if !gain {
			return
		}
	}
}

// move adds the step, at most a factor e² at once and within the bounds.
func (f *fitter) move(step [Bands]point) {
	low, high := math.Log(f.prior.LeastK), math.Log(f.prior.GreatestBoth)
	for i := range step {
		for j := range 2 {
			d := math.Min(2, math.Max(-2, step[i][j]))
			f.at[i][j] = math.Min(high, math.Max(low, f.at[i][j]+d))
		}
	}
}

// normal holds the normal equations: a 2×2 block per band, and the coupling of
// each band to the one before it, which is the same for all.
type normal struct {
	block  [Bands][3]float64 // kk, ks, ss
	grad   [Bands]point
	couple point
}

func (f *fitter) normal() *normal {
	n := &normal{couple: point{sq(f.prior.SmoothK), sq(f.prior.SmoothS)}}
	const h = 1e-5
	for i := range Bands {
		at := f.at[i]
		for o := range f.obs {
			w := f.obs[o].Weight
			r := f.predict(o, i, at)
			dk := (f.predict(o, i, point{at[0] + h, at[1]}) - r) / h
			ds := (f.predict(o, i, point{at[0], at[1] + h}) - r) / h
			r -= f.target[o][i]
			n.block[i][0] += w * dk * dk
			n.block[i][1] += w * dk * ds
			n.block[i][2] += w * ds * ds
			n.grad[i][0] -= w * dk * r
			n.grad[i][1] -= w * ds * r
		}
		level := sq(f.prior.LevelWeight)
		n.block[i][2] += level
		n.grad[i][1] -= level * (at[1] - math.Log(f.prior.Scatter))
		if f.prior.Near != nil {
			near, pull := lnKS(f.prior.Near, i), sq(f.prior.NearWeight)
			n.block[i][0] += pull
			n.block[i][2] += pull
			n.grad[i][0] -= pull * (at[0] - near[0])
			n.grad[i][1] -= pull * (at[1] - near[1])
		}
		for _, j := range []int{i - 1, i + 1} {
			if j >= 0 && j < Bands {
				n.block[i][0] += n.couple[0]
				n.block[i][2] += n.couple[1]
				n.grad[i][0] -= n.couple[0] * (at[0] - f.at[j][0])
				n.grad[i][1] -= n.couple[1] * (at[1] - f.at[j][1])
			}
		}
	}
	return n
}

// solve returns the step for a damping, by block elimination from the first
// band to the last and back.
func (n *normal) solve(damp float64) [Bands]point {
	var d [Bands][3]float64 // inverses of the eliminated blocks
	var g, x [Bands]point
	for i := range Bands {
		b := n.block[i]
		b[0] += damp*b[0] + 1e-12
		b[2] += damp*b[2] + 1e-12
		g[i] = n.grad[i]
		if i > 0 {
			c, p := n.couple, d[i-1]
			b[0] -= c[0] * p[0] * c[0]
			b[1] -= c[0] * p[1] * c[1]
			b[2] -= c[1] * p[2] * c[1]
			q := apply(p, g[i-1])
			g[i][0] += c[0] * q[0]
			g[i][1] += c[1] * q[1]
		}
		det := b[0]*b[2] - b[1]*b[1]
		d[i] = [3]float64{b[2] / det, -b[1] / det, b[0] / det}
	}
	for i := Bands - 1; i >= 0; i-- {
		r := g[i]
		if i < Bands-1 {
			r[0] += n.couple[0] * x[i+1][0]
			r[1] += n.couple[1] * x[i+1][1]
		}
		x[i] = apply(d[i], r)
	}
	return x
}

func apply(m [3]float64, v point) point {
	return point{m[0]*v[0] + m[1]*v[1], m[1]*v[0] + m[2]*v[1]}
}

func (f *fitter) result() KS {
	var out KS
	for i, p := range f.at {
		out.K[i], out.S[i] = math.Exp(p[0]), math.Exp(p[1])
	}
	return out
}
