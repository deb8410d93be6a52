package pigment

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"facings/internal/colour"

	"pgregory.net/rapid"
)

func readCSV(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func numbers(t *testing.T, cells []string) []float64 {
	t.Helper()
	out := make([]float64, len(cells))
	for i, c := range cells {
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = v
	}
	return out
}

// The closed form against Kubelka and Munk's differential equation integrated
// step by step (Kubelka & Munk 1931), an independent route; printed to 9 places.
func TestLayerAgainstIntegration(t *testing.T) {
	for _, row := range readCSV(t, "testdata/kubelka-munk/finite_layer_by_ode.csv") {
		v := numbers(t, row)
		k, s, x := v[0], v[1], v[2]
		for i, rg := range []float64{0, 0.8, 1} {
			if got := Layer(k*x, s*x, rg); math.Abs(got-v[3+i]) > 2e-9 {
				t.Errorf("K %v S %v X %v over %v: %.10f, integrated %.9f", k, s, x, rg, got, v[3+i])
			}
		}
	}
}

// K/S = (1−R)²/2R for an opaque film, in exact fractions (Kubelka & Munk 1931).
func TestOpaqueAgainstExactFractions(t *testing.T) {
	for _, row := range readCSV(t, "testdata/kubelka-munk/opaque_exact.csv") {
		v := numbers(t, []string{row[0], row[2]})
		ks := KS{}
		ks.K[0], ks.S[0] = v[1], 1
		if got := ks.Opaque()[0]; math.Abs(got-v[0]) > 1e-9 {
			t.Errorf("K/S %s: %v, want %v", row[1], got, v[0])
		}
		if got := Layer(v[1]*1e4, 1e4, 0.5); math.Abs(got-v[0]) > 1e-9 {
			t.Errorf("thick film of K/S %s: %v, want %v", row[1], got, v[0])
		}
	}
}

// ksRange draws a K·X or S·X from nothing to a thousand, over many magnitudes.
func ksRange(t *rapid.T, name string) float64 {
	if rapid.IntRange(0, 9).Draw(t, name+" zero") == 0 {
		return 0
	}
	return math.Pow(10, rapid.Float64Range(-9, 3).Draw(t, name))
}

func TestLayerKeepsToEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, s := ksRange(t, "k"), ksRange(t, "s")
		rg := rapid.Float64Range(0, 1).Draw(t, "rg")
		r := Layer(k, s, rg)
		if !(r >= 0 && r <= 1+1e-12) {
			t.Fatalf("K %g S %g over %g: %g", k, s, rg, r)
		}
		// A lighter ground never shows darker, more absorption never lighter.
		if r2 := Layer(k, s, math.Min(1, rg+0.1)); r2 < r-1e-12 {
			t.Fatalf("lighter ground: %g then %g", r, r2)
		}
		if r2 := Layer(k*1.1, s, rg); r2 > r+1e-12 {
			t.Fatalf("more absorption: %g then %g", r, r2)
		}
		// Two films of the same paint are one of both thicknesses.
		if two := Layer(k, s, Layer(k/2, s/2, rg)); math.Abs(two-Layer(k*1.5, s*1.5, rg)) > 1e-9 {
			t.Fatalf("stack %g, one film %g", two, Layer(k*1.5, s*1.5, rg))
		}
	})
}

func TestLayerLimits(t *testing.T) {
	for _, rg := range []float64{0, 0.3, 1} {
		for _, x := range []float64{0, 1e-12, 1e-6, 1e-3, 0.1, 1, 10} {
			// S = 0: the light passes twice (Beer and Lambert).
			if got, want := Layer(x, 0, rg), rg*math.Exp(-2*x); math.Abs(got-want) > 1e-12 {
				t.Errorf("K %g S 0 over %g: %g, want %g", x, rg, got, want)
			}
			// K = 0 (Kubelka 1948).
			if got, want := Layer(0, x, rg), (rg+(1-rg)*x)/(1+(1-rg)*x); math.Abs(got-want) > 1e-12 {
				t.Errorf("K 0 S %g over %g: %g, want %g", x, rg, got, want)
			}
			if got, near := Layer(0, x, rg), Layer(1e-14, x, rg); math.Abs(got-near) > 1e-6 {
				t.Errorf("K → 0 jumps at S %g over %g: %g, %g", x, rg, got, near)
			}
		}
	}
}

func TestSurfaceRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Surface{
			Outside: rapid.Float64Range(0, 0.1).Draw(t, "k1"),
			Inside:  rapid.Float64Range(0, 0.8).Draw(t, "k2"),
			Seen:    rapid.Float64Range(0, 1).Draw(t, "seen"),
		}
		in := FlatGround(rapid.Float64Range(0, 1).Draw(t, "r"))
		out := s.FromOutside(&in)
		if !out.Valid() {
			t.Fatalf("%v seen through %v: %v", in[0], s, out[0])
		}
		if back := s.FromInside(&out); math.Abs(back[0]-in[0]) > 1e-9 {
			t.Fatalf("%v became %v became %v", in[0], out[0], back[0])
		}
	})
}

// Measured contrast ratios of real films, worked out from the same spectra by
// other code (Geldof and others 2018). The measurement covers 400–700 nm; the
// table was summed over that range only, hence the tolerance.
func TestMeasuredContrastRatios(t *testing.T) {
	spectra := readOil(t)
	view := colour.ViewD65()
	for _, row := range readCSV(t, "testdata/kubelka-munk/measured_contrast_ratio.csv") {
		white, black := spectra[row[0]+"_ow"], spectra[row[0]+"_ob"]
		got := ContrastRatio(view, &black, &white)
		if want := numbers(t, row[6:])[0]; math.Abs(got-want) > 2e-3 {
			t.Errorf("%s: contrast ratio %.4f, want %.4f", row[0], got, want)
		}
	}
}
