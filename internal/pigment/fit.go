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

	sample int  // of the samples it belongs to, whose thickness may be sought
	pure   bool // shows the paint as it is without white (TwoPoint)
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
}

// DefaultPrior is weak: at a hundredth of a step in the cube root of
// reflectance (about one unit of lightness) any measurement outweighs it.
func DefaultPrior() Prior {
	return Prior{Scatter: 1, LevelWeight: 0.002, SmoothS: 0.005, SmoothK: 0.001, LeastK: 1e-4, GreatestBoth: 1e3}
}

// fitSteps bounds the damped Gauss–Newton steps; real swatches take about ten.
const fitSteps = 60

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
	return f.tint(), f.rms(), nil
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

// fitter seeks the unknowns at: by band ln K and ln S, and with drift how much
// higher both are in the pure film; then ln of the thicknesses sought.
type fitter struct {
	obs    []Observation
	prior  Prior
	drift  *drift
	sought []soughtThickness
	at     []float64
	target [][Bands]float64 // cube roots of the measurements, by observation
}

// soughtThickness is a sample whose thickness is found along with K and S.
type soughtThickness struct {
	sample int
	usual  float64 // ln coats
	weight float64 // pull towards the usual
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

// perBand is the number of unknowns of each band.
func (f *fitter) perBand() int {
	if f.drift != nil {
		return 4
	}
	return 2
}

// start looks, band by band, for the best of a coarse grid, so that the steps
// that follow begin in the right valley: a dark film can be dark by a little
// scattering over much absorption, or by letting a dark ground through.
func (f *fitter) start() {
	n := f.perBand()
	f.at = make([]float64, n*Bands+len(f.sought))
	for j, s := range f.sought {
		f.at[n*Bands+j] = s.usual
	}
	for i := range Bands {
		best := math.Inf(1)
		var at point
		for lnK := -8.0; lnK <= 6; lnK++ {
			for lnS := -4.0; lnS <= 4; lnS += 1.6 {
				var sum float64
				for o := range f.obs {
					sum += f.obs[o].Weight * sq(f.predict(o, i, point{lnK, lnS}, f.thickness(o))-f.target[o][i])
				}
				if sum < best {
					best, at = sum, point{lnK, lnS}
				}
			}
		}
		f.at[n*i], f.at[n*i+1] = at[0], at[1]
	}
}

// point is ln K and ln S of one band in one film.
type point [2]float64

// point returns what the paint has at a band in the film of an observation.
func (f *fitter) point(o, band int) point {
	u := f.at[f.perBand()*band:]
	if f.drift != nil && f.obs[o].pure {
		return point{u[0] + u[2], u[1] + u[3]}
	}
	return point{u[0], u[1]}
}

// seeks returns where the thickness of an observation stands among those
// sought, -1 where it is given.
func (f *fitter) seeks(o int) int {
	for j := range f.sought {
		if f.sought[j].sample == f.obs[o].sample {
			return j
		}
	}
	return -1
}

func (f *fitter) thickness(o int) float64 {
	if j := f.seeks(o); j >= 0 {
		return math.Exp(f.at[f.perBand()*Bands+j])
	}
	return f.obs[o].Thickness
}

// predict returns the cube root of what observation o shows at band i.
func (f *fitter) predict(o, i int, p point, thickness float64) float64 {
	ob := &f.obs[o]
	k := ob.Rest.K[i] + ob.Share*math.Exp(p[0])
	s := ob.Rest.S[i] + ob.Share*math.Exp(p[1])
	return math.Cbrt(math.Max(0, ob.Surface.seen(film(k*thickness, s*thickness, ob.Ground[i]))))
}

func (f *fitter) rms() float64 {
	var sum float64
	for o := range f.obs {
		for i := range Bands {
			sum += f.obs[o].Weight * sq(f.predict(o, i, f.point(o, i), f.thickness(o))-f.target[o][i])
		}
	}
	return math.Sqrt(sum / float64(len(f.obs)*Bands))
}

func sq(x float64) float64 { return x * x }

// residual is a difference to be made small, with its slopes along the
// unknowns it hangs on.
type residual struct {
	value float64
	n     int
	at    [5]int
	slope [5]float64
}

func (r *residual) along(unknown int, slope float64) {
	r.at[r.n], r.slope[r.n] = unknown, slope
	r.n++
}

// residuals passes on everything that the fit makes small: misfits and pulls.
func (f *fitter) residuals(slopes bool, add func(*residual)) {
	for i := range Bands {
		for o := range f.obs {
			f.misfit(o, i, slopes, add)
		}
		f.pulls(i, add)
	}
	for j, s := range f.sought {
		at := f.perBand()*Bands + j
		r := residual{value: s.weight * (f.at[at] - s.usual)}
		r.along(at, s.weight)
		add(&r)
	}
}

func (f *fitter) misfit(o, i int, slopes bool, add func(*residual)) {
	const h = 1e-5
	at, t, w := f.point(o, i), f.thickness(o), math.Sqrt(f.obs[o].Weight)
	p := f.predict(o, i, at, t)
	r := residual{value: w * (p - f.target[o][i])}
	if slopes {
		n := f.perBand()
		dk := w * (f.predict(o, i, point{at[0] + h, at[1]}, t) - p) / h
		ds := w * (f.predict(o, i, point{at[0], at[1] + h}, t) - p) / h
		r.along(n*i, dk)
		r.along(n*i+1, ds)
		if f.drift != nil && f.obs[o].pure {
			r.along(n*i+2, dk)
			r.along(n*i+3, ds)
		}
		if j := f.seeks(o); j >= 0 {
			r.along(n*Bands+j, w*(f.predict(o, i, at, t*(1+h))-p)/h)
		}
	}
	add(&r)
}

// pulls passes on what the prior wants of a band.
func (f *fitter) pulls(i int, add func(*residual)) {
	n, p := f.perBand(), &f.prior
	pull := func(u int, weight, to float64) {
		r := residual{value: weight * (f.at[n*i+u] - to)}
		r.along(n*i+u, weight)
		add(&r)
	}
	smooth := func(u int, weight float64) {
		if i == 0 {
			return
		}
		r := residual{value: weight * (f.at[n*i+u] - f.at[n*(i-1)+u])}
		r.along(n*i+u, weight)
		r.along(n*(i-1)+u, -weight)
		add(&r)
	}
	pull(1, p.LevelWeight, math.Log(p.Scatter))
	smooth(0, p.SmoothK)
	smooth(1, p.SmoothS)
	if f.drift != nil {
		pull(2, f.drift.k, 0)
		pull(3, f.drift.s, 0)
		smooth(2, f.drift.smooth)
		smooth(3, f.drift.smooth)
	}
}

func (f *fitter) cost() float64 {
	var sum float64
	f.residuals(false, func(r *residual) { sum += r.value * r.value })
	return sum
}

// run takes damped Gauss–Newton steps (Levenberg and Marquardt) until they no
// longer help.
func (f *fitter) run() {
	damp, cost := 1e-2, f.cost()
	for range fitSteps {
		gain := false
		n := newNormal(len(f.at))
		f.residuals(true, n.add)
		for range 8 {
			old := f.at
			f.at = f.moved(n.solve(damp))
			if c := f.cost(); c < cost {
				gain = cost-c > 1e-8*cost
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

// moved returns the unknowns after a step, at most a factor e² at once, with K
// and S of the tint within their bounds.
func (f *fitter) moved(step []float64) []float64 {
	low, high := math.Log(f.prior.LeastK), math.Log(f.prior.GreatestBoth)
	out := make([]float64, len(step))
	n := f.perBand()
	for i, d := range step {
		out[i] = f.at[i] + math.Min(2, math.Max(-2, d))
		if i < n*Bands && i%n < 2 {
			out[i] = math.Min(high, math.Max(low, out[i]))
		}
	}
	return out
}

// tint returns the K and S found; with drift those of the tint.
func (f *fitter) tint() KS {
	var out KS
	for i := range Bands {
		u := f.at[f.perBand()*i:]
		out.K[i], out.S[i] = math.Exp(u[0]), math.Exp(u[1])
	}
	return out
}

// normal holds the normal equations of a step. Each row keeps its entries from
// its first one to the diagonal: bands meet only their neighbours.
type normal struct {
	row  [][]float64 // lower triangle
	grad []float64
}

func newNormal(n int) *normal {
	out := &normal{row: make([][]float64, n), grad: make([]float64, n)}
	for i := range out.row {
		out.row[i] = make([]float64, i+1)
	}
	return out
}

func (n *normal) add(r *residual) {
	for a := range r.n {
		i := r.at[a]
		n.grad[i] -= r.slope[a] * r.value
		for b := range r.n {
			if j := r.at[b]; j <= i {
				n.row[i][j] += r.slope[a] * r.slope[b]
			}
		}
	}
}

// solve returns the step for a damping, by Cholesky's factors. The damped
// equations are positive definite, whatever the films say.
func (n *normal) solve(damp float64) []float64 {
	size := len(n.grad)
	l := newNormal(size)
	first := make([]int, size)
	x := l.grad
	for i, row := range n.row {
		for first[i] < i && row[first[i]] == 0 {
			first[i]++
		}
		x[i] = n.grad[i]
		for j := first[i]; j <= i; j++ {
			s := row[j]
			if j == i {
				s += damp*s + 1e-12
			}
			for k := max(first[i], first[j]); k < j; k++ {
				s -= l.row[i][k] * l.row[j][k]
			}
			if j < i {
				l.row[i][j] = s / l.row[j][j]
				x[i] -= l.row[i][j] * x[j]
			} else {
				l.row[i][i] = math.Sqrt(math.Max(s, 1e-12))
				x[i] /= l.row[i][i]
			}
		}
	}
	for i := size - 1; i >= 0; i-- {
		x[i] /= l.row[i][i]
		for k := first[i]; k < i; k++ {
			x[k] -= l.row[i][k] * x[i]
		}
	}
	return x
}
