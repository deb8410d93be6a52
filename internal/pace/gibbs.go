package pace

import (
	"math"
	"math/rand/v2"
	"slices"

	"facings"
)

// The priors, as standard deviations of logarithms (estimates: most painters
// are within 0.6 to 1.6 times the defaults; a technique or kind of area moves
// that by a fifth; a pass takes 0.7 to 1.4 times what it should in two cases of
// three, see sitting.DefaultSpread). Degrees are those of the inverse χ².
const (
	priorMean      = 0.3
	priorTechnique = 0.2
	priorFiddly    = 0.15
	priorNoise     = 0.35
	degrees        = 4.0

	strayMean   = 1.0986122886681098 // log 3
	straySpread = 1.0
	strayFew    = 2.0 // of the Beta prior
	strayMost   = 38.0
)

// priorSpread is the spread of one group's factor before anything was logged:
// √(0.3² + 0.2² + 0.15²).
const priorSpread = 0.3905124837953327

const (
	burnIn    = 300
	keptDraws = 800
	thinning  = 2
)

// draw is one painter whom the log allows.
type draw struct {
	mean      float64
	technique []float64
	fiddly    []float64
	noise     float64
}

// log is the log factor of technique t on fiddliness c; either may be −1.
func (d *draw) log(t, c int) float64 {
	x := d.mean
	if t >= 0 && t < len(d.technique) {
		x += d.technique[t]
	}
	if c >= 0 && c < len(d.fiddly) {
		x += d.fiddly[c]
	}
	return x
}

// sampler is the state of the Gibbs sampler.
type sampler struct {
	rng  *rand.Rand
	y    []float64 // log ratios
	t, c []int     // of each: technique, fiddliness (−1: none)
	fair []bool    // not a stray

	draw
	// variances of α, β and the noise, and the share of strays
	alpha, beta, sigma2, share float64
	doubt                      []int // how often each was a stray in the draws kept
}

// Learn fits the model to passes; those without times are passed over. The
// same passes in the same order give the same model. Time grows with the
// number of passes: 500 take about 0.1 s.
func Learn(passes []Observation) *Model {
	m := &Model{passes: map[Group]int{}}
	s := &sampler{rng: rand.New(rand.NewPCG(0x70616365, 1))}
	var index []int
	for i, o := range passes {
		if !o.usable() {
			continue
		}
		g := Group{o.Technique, o.Fiddliness}
		if o.Technique == SetUp {
			g.Fiddliness = ""
		}
		m.passes[g]++
		index = append(index, i)
		s.y = append(s.y, math.Log(float64(o.Measured)/float64(o.Planned)))
		s.t = append(s.t, techniqueIndex(g.Technique))
		s.c = append(s.c, slices.Index(facings.Fiddlinesses(), g.Fiddliness))
	}
	if len(s.y) == 0 {
		return m
	}
	s.start()
	for i := range burnIn + keptDraws*thinning {
		s.step()
		if i < burnIn {
			continue
		}
		for k, fair := range s.fair {
			if !fair {
				s.doubt[k]++
			}
		}
		if (i-burnIn)%thinning == 0 {
			m.draws = append(m.draws, draw{s.mean, slices.Clone(s.technique), slices.Clone(s.fiddly), s.noise})
		}
	}
	for k, n := range s.doubt {
		if n > keptDraws*thinning/2 {
			m.Doubted = append(m.Doubted, index[k])
		}
	}
	return m
}

// start begins at the median, with what is far from it taken for strays.
func (s *sampler) start() {
	s.technique, s.fiddly = make([]float64, len(techniques())), make([]float64, len(facings.Fiddlinesses()))
	s.alpha, s.beta = priorTechnique*priorTechnique, priorFiddly*priorFiddly
	s.noise, s.share = priorNoise, strayFew/(strayFew+strayMost)
	s.sigma2 = priorNoise * priorNoise
	sorted := slices.Sorted(slices.Values(s.y))
	s.mean = quantile(sorted, 0.5)
	s.fair, s.doubt = make([]bool, len(s.y)), make([]int, len(s.y))
	for i, y := range s.y {
		s.fair[i] = math.Abs(y-s.mean) < 1.2
	}
}

// step draws everything once, each given the rest.
func (s *sampler) step() {
	s.effects()
	s.spreads()
	s.strays()
}

// effects draws μ, α and β together: given the rest they are jointly normal
// with precision matrix A and mean A⁻¹b.
func (s *sampler) effects() {
	nt, nc := len(s.technique), len(s.fiddly)
	n := 1 + nt + nc
	a, b := make([][]float64, n), make([]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
		switch {
		case i == 0:
			a[i][i] = 1 / (priorMean * priorMean)
		case i <= nt:
			a[i][i] = 1 / s.alpha
		default:
			a[i][i] = 1 / s.beta
		}
	}
	w := 1 / s.sigma2
	for i, y := range s.y {
		if !s.fair[i] {
			continue
		}
		rows := [3]int{0, 1 + s.t[i], 1 + nt + s.c[i]}
		k := 3
		if s.c[i] < 0 {
			k = 2
		}
		for _, r := range rows[:k] {
			b[r] += float64(w * y)
			for _, q := range rows[:k] {
				a[r][q] += w
			}
		}
	}
	x := drawNormal(s.rng, a, b)
	s.mean = x[0]
	copy(s.technique, x[1:1+nt])
	copy(s.fiddly, x[1+nt:])
}

// spreads draws the three variances, each scaled inverse χ² given the rest.
func (s *sampler) spreads() {
	squares := func(x []float64) float64 {
		sum := 0.0
		for _, v := range x {
			sum += float64(v * v)
		}
		return sum
	}
	s.alpha = s.inverseChi(priorTechnique, squares(s.technique), len(s.technique))
	s.beta = s.inverseChi(priorFiddly, squares(s.fiddly), len(s.fiddly))
	sum, n := 0.0, 0
	for i, y := range s.y {
		if s.fair[i] {
			e := y - s.log(s.t[i], s.c[i])
			sum += float64(e * e)
			n++
		}
	}
	s.sigma2 = s.inverseChi(priorNoise, sum, n)
	s.noise = math.Sqrt(s.sigma2)
}

// inverseChi draws a variance whose prior stands for `degrees` values of so
// great a deviation, after n values with so great a sum of squares.
func (s *sampler) inverseChi(prior, sum float64, n int) float64 {
	return (degrees*prior*prior + sum) / (2 * gamma(s.rng, (degrees+float64(n))/2))
}

// strays draws which observations measure no work, and their share.
func (s *sampler) strays() {
	few := 0
	for i, y := range s.y {
		e := y - s.log(s.t[i], s.c[i])
		fair := (1 - s.share) * density(e, 0, s.noise)
		stray := s.share * density(e, strayMean, straySpread)
		s.fair[i] = s.rng.Float64()*(fair+stray) >= stray
		if !s.fair[i] {
			few++
		}
	}
	x, z := gamma(s.rng, strayFew+float64(few)), gamma(s.rng, strayMost+float64(len(s.y)-few))
	s.share = x / (x + z)
}

func density(x, mean, spread float64) float64 {
	z := (x - mean) / spread
	return math.Exp(-z*z/2) / spread
}

// drawNormal draws from the normal distribution with precision a and mean a⁻¹b.
// a is positive definite; it is overwritten by its Cholesky factor.
func drawNormal(rng *rand.Rand, a [][]float64, b []float64) []float64 {
	n := len(b)
	for i := range n {
		for j := 0; j <= i; j++ {
			sum := a[i][j]
			for k := range j {
				sum -= float64(a[i][k] * a[j][k])
			}
			if i == j {
				a[i][i] = math.Sqrt(sum)
			} else {
				a[i][j] = sum / a[j][j]
			}
		}
	}
	// L u = b, then Lᵀ x = u + z gives mean and spread at once.
	x := make([]float64, n)
	for i := range n {
		sum := b[i]
		for k := range i {
			sum -= float64(a[i][k] * x[k])
		}
		x[i] = sum / a[i][i]
	}
	for i := range x {
		x[i] += rng.NormFloat64()
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= float64(a[k][i] * x[k])
		}
		x[i] /= a[i][i]
	}
	return x
}

// gamma draws from the gamma distribution of shape k ≥ 1 and scale 1.
//
// Ref: marsaglia2000.
func gamma(rng *rand.Rand, k float64) float64 {
	d := k - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = v * v * v
		u := rng.Float64()
		if math.Log(u) < x*x/2+d-float64(d*v)+float64(d*math.Log(v)) {
			return d * v
		}
	}
}
