package pigment

import (
	"math"
	"testing"

	"facings/internal/colour"

	"pgregory.net/rapid"
)

// The paint is its pure film's without white, its tint's in a tint and below,
// and between them between.
func TestTwoPointEnds(t *testing.T) {
	p := TwoPoint{PureShare: 1, TintShare: 0.1}
	for i := range Bands {
		p.Pure.K[i], p.Pure.S[i], p.Tint.K[i], p.Tint.S[i] = 4, 1, 1, 2
	}
	for share, want := range map[float64][2]float64{0: {1, 2}, 0.1: {1, 2}, 0.55: {2, math.Sqrt2}, 1: {4, 1}} {
		got := p.At(share)
		if math.Abs(got.K[7]-want[0]) > 1e-9 || math.Abs(got.S[7]-want[1]) > 1e-9 {
			t.Errorf("share %v: K %v S %v, want %v", share, got.K[7], got.S[7], want)
		}
	}
}

// Films made by the model from a known red and white, the tint 0.6 times as
// thick as the usual: fitting finds the thickness and shows both films again.
func TestFitTwoPointRecoversFilms(t *testing.T) {
	red, white := *flatKS(0, 0), *flatKS(0.01, 6)
	for i := range Bands {
		red.K[i] = 0.05 + 8/(1+math.Exp(float64(i-20)))
		red.S[i] = 2
	}
	c := OilConditions()
	c.Usual = 0.65 // a little off: the films have to tell
	card := [2]colour.Reflectance{colour.Flat(0.85), colour.Flat(0.05)}
	made := func(ks *KS, thickness float64) Sample {
		s := Sample{Card: card}
		for side := range card {
			in := ks.Over(ptr(c.Surface.FromInside(&card[side])), thickness)
			s.Film[side] = c.Surface.FromOutside(&in)
		}
		return s
	}
	pure := made(&red, 1)
	pure.Share = 1
	var mixed KS
	mixed.Add(&red, 0.1)
	mixed.Add(&white, 0.9)
	tint := made(&mixed, 0.6)
	tint.Share = 0.1
	tint.Rest.Add(&white, 0.9)
	law, fit, err := FitTwoPoint(pure, tint, c)
	if err != nil {
		t.Fatal(err)
	}
	if x := fit.Thickness[1]; math.Abs(x-0.6) > 0.03 {
		t.Errorf("the tint is taken for %.3f thick, made 0.6", x)
	}
	view := colour.ViewD65()
	again := law.At(0.1)
	var film KS
	film.Add(&again, 0.1)
	film.Add(&white, 0.9)
	for name, pair := range map[string][2]Sample{
		"pure": {pure, made(ptr(law.At(1)), 1)},
		"tint": {tint, made(&film, fit.Thickness[1])},
	} {
		for side := range card {
			want, got := view.Lab(&pair[0].Film[side]), view.Lab(&pair[1].Film[side])
			if d := colour.DeltaE00(want, got); d > 0.3 {
				t.Errorf("%s over card %d: shown %.2f away", name, side, d)
			}
		}
	}
}

func ptr[T any](v T) *T { return &v }

func flatKS(k, s float64) *KS {
	var out KS
	for i := range Bands {
		out.K[i], out.S[i] = k, s
	}
	return &out
}

// A step solves the normal equations it is asked to solve: multiplied out, it
// gives the right-hand side again. Residuals hang on a band and its neighbour
// and on one unknown at the end, as those of a fit do.
func TestNormalSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(2, 12).Draw(t, "size")
		n := newNormal(size)
		slope := rapid.Float64Range(-2, 2)
		for i := range size {
			r := residual{value: slope.Draw(t, "value")}
			r.along(i, slope.Draw(t, "own")+3)
			if i > 0 {
				r.along(i-1, slope.Draw(t, "neighbour"))
			}
			if i < size-1 {
				r.along(size-1, slope.Draw(t, "last"))
			}
			n.add(&r)
		}
		const damp = 0.5
		x := n.solve(damp)
		for i := range size {
			var sum float64
			for j := range size {
				a := n.row[max(i, j)][min(i, j)]
				if i == j {
					a *= 1 + damp
				}
				sum += a * x[j]
			}
			if math.Abs(sum-n.grad[i]) > 1e-8*(1+math.Abs(n.grad[i])) {
				t.Fatalf("row %d: %v, want %v", i, sum, n.grad[i])
			}
		}
	})
}
