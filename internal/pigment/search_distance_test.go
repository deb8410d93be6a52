package pigment

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"facings/internal/colour"
)

// No colour of a box is nearer than is said.
func TestLeastIsBelow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 12))
		for range 100 {
			p, q := farQuery(r).Target, drawnQuery(r).Target
			if r.IntN(2) == 0 {
				p = drawnQuery(r).Target
			}
			f := frameOf(p)
			size := 30 * max(0, r.Float64()-0.3)
			around := func(v float64) [2]float64 {
				low := v - size*r.Float64()
				return [2]float64{low, max(v, low+size)}
			}
			d := colour.DeltaE00(p, q)
			if least := math.Sqrt(f.least(around(q.L), around(q.A), around(q.B))); least > d+1e-6 {
				t.Fatalf("%v to %v is %v, said to be over %v", p, q, d, least)
			}
		}
	})
}

// Of a single colour the bound says what CIEDE2000 says: nothing is given away
// but what the size of a box makes uncertain.
func TestLeastIsTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 14))
		for range 100 {
			p, q := farQuery(r).Target, drawnQuery(r).Target
			if turn := turnBy(hueOf(p), hueOf(q)); math.Abs(turn) > 150 {
				continue // the mean hue may be on either side
			}
			at := func(v float64) [2]float64 { return [2]float64{v, v} }
			d := colour.DeltaE00(p, q)
			if least := math.Sqrt(frameOf(p).least(at(q.L), at(q.A), at(q.B))); math.Abs(least-d) > 1e-4*d+1e-4 {
				t.Fatalf("%v to %v is %v, said to be over %v", p, q, d, least)
			}
		}
	})
}

func hueOf(c colour.Lab) float64 { return math.Atan2(c.B, c.A) * 180 / math.Pi }

func frameOf(target colour.Lab) *frame {
	var all [Bands][2]float64
	sums := [][3]float64{{0, 0, 1}, {1, -0.4, -0.19}, {-0.5, 1, 0.095}}
	return newFrame(colour.NewTarget(target), colour.ViewD65(), sums, &all)
}
