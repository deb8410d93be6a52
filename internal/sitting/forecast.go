package sitting

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// Spread is how uncertain durations are: each pass by itself, and the painter's
// pace as a whole, both as the standard deviation of the logarithm (estimates,
// until sittings have been logged).
type Spread struct {
	Pass float64
	Pace float64
	// Missed is the chance that a sitting does not take place at all.
	Missed float64
	// Draw, if set, stands in for Pass and Pace: it fills in each pass's factor
	// in one future, from what was learned of the painter.
	Draw func(rng *rand.Rand, factors []float64)
}

// DefaultSpread is the uncertainty of a painter who has logged nothing yet
// (estimate): a pass takes 0.7 to 1.4 times as long as planned in two cases of
// three, the whole 0.85 to 1.17 times, one sitting in ten falls through.
func DefaultSpread() Spread { return Spread{Pass: 0.35, Pace: 0.16, Missed: 0.1} }

// Dates is the outcome of a forecast.
type Dates struct {
	P50, P90 time.Time
	// OnTime is the share of runs that ended by the date asked for, NaN when none was.
	OnTime float64
	Runs   int
	// Beyond is how many runs the calendar was too short for. They count as
	// ending last, on the day Endless.
	Beyond int
}

// Endless stands for the end of a run that the calendar is too short for.
var Endless = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)

// Replay plays an order through with each pass's duration multiplied by
// factors[pass] and the sittings numbered in missed falling through; it
// returns when the last pass ends, and false if the calendar is too short.
type Replay func(factors []float64, missed func(sitting int) bool) (time.Time, bool)

// Forecast simulates the rest of a plan: seeded, the same on every machine.
// passes is how many there are; readyBy is the date to keep, zero for none. A
// date is kept when the work ends before that day is over.
func Forecast(seed uint64, runs, passes int, spread Spread, readyBy time.Time, replay Replay) Dates {
	rng := rand.New(rand.NewPCG(seed, 0x5fac1465))
	var ends []time.Time
	kept, beyond := 0, 0
	for range runs {
		factors := make([]float64, passes)
		spread.fill(rng, factors)
		salt := rng.Uint64()
		missed := func(sitting int) bool {
			return rand.New(rand.NewPCG(salt, uint64(sitting))).Float64() < spread.Missed
		}
		end, ok := replay(factors, missed)
		if !ok {
			end = Endless
			beyond++
		}
		ends = append(ends, end)
		if !readyBy.IsZero() && end.Before(readyBy.AddDate(0, 0, 1)) {
			kept++
		}
	}
	slices.SortFunc(ends, time.Time.Compare)
	d := Dates{Runs: runs, OnTime: math.NaN(), Beyond: beyond}
	if runs > 0 {
		d.P50, d.P90 = ends[(runs-1)/2], ends[(runs*9-1)/10]
		if !readyBy.IsZero() {
			d.OnTime = float64(kept) / float64(runs)
		}
	}
	return d
}

func (s Spread) fill(rng *rand.Rand, factors []float64) {
	if s.Draw != nil {
		s.Draw(rng, factors)
		return
	}
	pace := lognormal(rng, s.Pace)
	for i := range factors {
		factors[i] = float64(pace * lognormal(rng, s.Pass))
	}
}

// lognormal draws a factor whose median is 1.
func lognormal(rng *rand.Rand, sigma float64) float64 {
	return math.Exp(float64(sigma * rng.NormFloat64()))
}
