package pace_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"facings"
	"facings/internal/pace"
)

// painter is a simulated painter whose true pace is known.
type painter struct {
	rng       *rand.Rand
	mean      float64
	technique map[facings.Technique]float64
	fiddly    map[facings.Fiddliness]float64
	noise     float64
	forgets   float64
}

// newPainter draws one: pace 0.55 to 1.8 times the default (uniform in the
// logarithm, so not as the model's prior has it), techniques apart by a sixth,
// fiddliness by an eighth, a pass uncertain by a quarter to a half, and one
// watch in twenty not stopped.
func newPainter(seed uint64) *painter {
	p := &painter{rng: rand.New(rand.NewPCG(seed, 77)), technique: map[facings.Technique]float64{}, fiddly: map[facings.Fiddliness]float64{}, forgets: 0.05}
	p.mean = -0.6 + 1.2*p.rng.Float64()
	for _, h := range facings.Techniques() {
		p.technique[h.Technique] = 0.17 * p.rng.NormFloat64()
	}
	for _, c := range facings.Fiddlinesses() {
		p.fiddly[c] = 0.12 * p.rng.NormFloat64()
	}
	p.noise = 0.25 + 0.2*p.rng.Float64()
	return p
}

func (p *painter) factor(g pace.Group) float64 {
	return math.Exp(p.mean + p.technique[g.Technique] + p.fiddly[g.Fiddliness])
}

// paint logs n passes: mostly brush, then washes, lines, dots and drybrushing.
// A forgotten watch runs on for half an hour to eight hours.
func (p *painter) paint(n int) []pace.Observation {
	var out []pace.Observation
	for range n {
		g := pace.Group{Fiddliness: facings.Fiddlinesses()[p.rng.IntN(3)]}
		switch x := p.rng.Float64(); {
		case x < 0.5:
			g.Technique = facings.Brush
		case x < 0.7:
			g.Technique = facings.WashOn
		case x < 0.85:
			g.Technique = facings.Line
		case x < 0.95:
			g.Technique = facings.Dot
		default:
			g.Technique = facings.Drybrush
		}
		planned := 120 * math.Exp(2.5*p.rng.Float64()) // 2 to 24 minutes
		took := planned * p.factor(g) * math.Exp(p.noise*p.rng.NormFloat64())
		if p.rng.Float64() < p.forgets {
			took += 1800 * math.Exp(2.77*p.rng.Float64())
		}
		out = append(out, pace.Observation{Technique: g.Technique, Fiddliness: g.Fiddliness,
			Planned: facings.Seconds(planned), Measured: facings.Seconds(max(1, took))})
	}
	return out
}

// The 90 % intervals hold the truth in 85 to 95 of a hundred cases, after few
// passes as after many; and what is learned beats what was believed before.
func TestIntervalsCoverTheTruth(t *testing.T) {
	for _, n := range []int{10, 40, 160} {
		in, all := 0, 0
		learned, before := 0.0, 0.0
		for seed := range uint64(120) {
			p := newPainter(seed)
			m := pace.Learn(p.paint(n))
			for _, f := range m.Factors() {
				truth := p.factor(f.Group)
				if f.Low <= truth && truth <= f.High {
					in++
				}
				all++
				learned += math.Abs(math.Log(f.Factor / truth))
				before += math.Abs(math.Log(truth))
			}
		}
		share := float64(in) / float64(all)
		t.Logf("%3d passes: %d groups, 90 %% intervals cover %.1f %%; error of the factor %.0f %%, %.0f %% before", n, all, 100*share,
			100*learned/float64(all), 100*before/float64(all))
		if share < 0.85 || share > 0.95 {
			t.Errorf("%d passes: 90 %% intervals cover %.1f %%", n, 100*share)
		}
		if learned > 0.75*before {
			t.Errorf("%d passes: nothing was learned", n)
		}
	}
}

// Watches that run on for hours move the factor by little, and are named.
func TestAForgottenWatchIsDoubted(t *testing.T) {
	var fair []pace.Observation
	for i := range 30 {
		fair = append(fair, pace.Observation{Technique: facings.Brush, Fiddliness: facings.EasyAreas, Planned: 600, Measured: facings.Seconds(700 + 10*(i%7))})
	}
	clean := pace.Learn(fair).Factor(facings.Brush, 1)
	spoilt := append([]pace.Observation{{Technique: facings.Brush, Fiddliness: facings.EasyAreas, Planned: 600, Measured: 8 * 3600}}, fair...)
	m := pace.Learn(spoilt)
	if got := m.Factor(facings.Brush, 1); math.Abs(math.Log(got.Factor/clean.Factor)) > 0.02 {
		t.Errorf("the factor went from %.3f to %.3f", clean.Factor, got.Factor)
	}
	if len(m.Doubted) != 1 || m.Doubted[0] != 0 {
		t.Errorf("doubted are %v, want the first", m.Doubted)
	}
	if clean.Effective < 15 || clean.Passes != 30 {
		t.Errorf("30 passes count as %.1f", clean.Effective)
	}
}

// With one technique, no strays and much data the posterior is that of a normal
// mean with known variance: the median the sample mean, the interval
// ±1.645 σ/√n (any textbook; the priors weigh nothing at n = 2000).
func TestManyPassesGiveTheTextbookInterval(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var list []pace.Observation
	sum := 0.0
	const n, sigma = 2000, 0.3
	for range n {
		z := 0.2 + sigma*rng.NormFloat64()
		o := pace.Observation{Technique: facings.Brush, Fiddliness: facings.FiddlyAreas, Planned: 100_000, Measured: facings.Seconds(100_000 * math.Exp(z))}
		sum += math.Log(float64(o.Measured) / float64(o.Planned))
		list = append(list, o)
	}
	f := pace.Learn(list).Factor(facings.Brush, 2.5)
	if math.Abs(math.Log(f.Factor)-sum/n) > 0.004 {
		t.Errorf("log factor %.4f, sample mean %.4f", math.Log(f.Factor), sum/n)
	}
	want := 2 * 1.645 * sigma / math.Sqrt(n)
	if got := math.Log(f.High / f.Low); math.Abs(got-want) > 0.25*want {
		t.Errorf("the interval is %.4f wide, want %.4f", got, want)
	}
}

func TestNothingLearnedIsThePrior(t *testing.T) {
	m := pace.Learn([]pace.Observation{{Technique: "hex", Planned: 60, Measured: 60}, {Technique: facings.Brush, Planned: 60}})
	f := m.Factor(facings.Brush, 1)
	if f.Factor != 1 || f.Low >= 0.7 || f.High <= 1.4 || m.Passes() != 0 || len(m.Factors()) != 0 {
		t.Errorf("got %+v", f)
	}
	into := make([]float64, 1)
	m.Predict(rand.New(rand.NewPCG(1, 1)), []pace.Group{{Technique: facings.Brush}}, into)
	if into[0] <= 0 {
		t.Errorf("predicts %v", into)
	}
}

func TestTheSamePassesTeachTheSame(t *testing.T) {
	list := newPainter(5).paint(60)
	if a, b := pace.Learn(list).Table(), pace.Learn(list).Table(); !reflect.DeepEqual(a, b) {
		t.Error("two models of the same passes differ")
	}
}

func BenchmarkLearn(b *testing.B) {
	list := newPainter(1).paint(500)
	for b.Loop() {
		pace.Learn(list)
	}
}
