package pace_test

import (
	"math"
	"testing"

	"facings/internal/pace"
)

// The score of a normal forecast in closed form (Gneiting & Raftery 2007,
// section 4.2, from memory): σ (z (2Φ(z) − 1) + 2φ(z) − 1/√π), here of the
// sample of the normal's own quantiles.
func TestCRPSOfANormalForecast(t *testing.T) {
	const n = 20001
	mean, sigma := 30.0, 4.0
	sample := make([]float64, n)
	for i := range sample {
		p := (float64(i) + 0.5) / n
		sample[i] = mean + sigma*math.Sqrt2*math.Erfinv(2*p-1)
	}
	for _, x := range []float64{20, 28, 30, 37.5} {
		z := (x - mean) / sigma
		phi, cdf := math.Exp(-z*z/2)/math.Sqrt(2*math.Pi), 0.5*(1+math.Erf(z/math.Sqrt2))
		want := sigma * (z*(2*cdf-1) + 2*phi - 1/math.Sqrt(math.Pi))
		if got := pace.CRPS(sample, x); math.Abs(got-want) > 0.002 {
			t.Errorf("at %.1f: %.4f, want %.4f", x, got, want)
		}
	}
	if got := pace.CRPS([]float64{25}, 31); got != 6 {
		t.Errorf("a sure forecast scores %.2f, want its error 6", got)
	}
}

// Forecasts that learn beat those that do not, and own to as much as they miss
// by: over many simulated painters 90 % of passes fall inside the middle 90 %.
func TestForecastsThatLearnScoreBetter(t *testing.T) {
	crps, before, in90, in50, n := 0.0, 0.0, 0.0, 0.0, 0.0
	rests, kept := 0, 0
	for seed := range uint64(16) {
		s := pace.ScoreOf(newPainter(1000 + seed).paint(60))
		k := float64(s.Passes)
		crps, before, n = crps+k*s.CRPS, before+k*s.DefaultCRPS, n+k
		in90, in50 = in90+k*s.Within90, in50+k*s.Within50
		for _, r := range s.Rest {
			if r.After >= 5 {
				rests++
				if r.P10 <= r.Actual && r.Actual <= r.P90 {
					kept++
				}
			}
		}
	}
	share := float64(kept) / float64(rests)
	t.Logf("CRPS %.2f min, %.2f without learning; %.1f %% within 50 %%, %.1f %% within 90 %%; the rest within 80 %%: %.1f %%",
		crps/n, before/n, 100*in50/n, 100*in90/n, 100*share)
	if crps > 0.85*before {
		t.Error("learning does not help")
	}
	if in90/n < 0.85 || in90/n > 0.95 || in50/n < 0.43 || in50/n > 0.57 {
		t.Error("forecasts own to too much or too little")
	}
	if share < 0.7 || share > 0.92 {
		t.Error("forecasts of the rest own to too much or too little")
	}
}
