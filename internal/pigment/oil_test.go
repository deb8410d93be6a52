package pigment

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"facings/internal/colour"
)

// readOil reads the measured films of Geldof and others 2018: per paint the
// bare white and black card (_w, _b) and the film over each (_ow, _ob).
func readOil(t testing.TB) map[string]colour.Reflectance {
	t.Helper()
	raw, err := os.ReadFile("testdata/geldof-2018/spectra.txt")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(raw)), "\n")
	row := func(line string) (string, []float64) {
		cells := strings.Split(strings.TrimSpace(line), "\t")
		v := make([]float64, len(cells)-1)
		for i, c := range cells[1:] {
			if v[i], err = strconv.ParseFloat(c, 64); err != nil {
				t.Fatal(err)
			}
		}
		return cells[0], v
	}
	_, nm := row(lines[0])
	out := make(map[string]colour.Reflectance)
	for _, line := range lines[1:] {
		name, v := row(line)
		for i := range v {
			v[i] /= 100
		}
		r, err := colour.Resample(nm, v)
		if err != nil {
			t.Fatal(name, err)
		}
		out[name] = r
	}
	return out
}

// A film fitted from its two swatches shows those swatches again; an opaque
// one (the two nearly equal) too.
func TestFitReproducesMeasuredSwatches(t *testing.T) {
	spectra := readOil(t)
	view := colour.ViewD65()
	for _, id := range []string{"01A", "04A", "05A", "07A", "10A", "11A", "13A", "14A", "16A"} {
		var obs []Observation
		for _, side := range []string{"w", "b"} {
			card := spectra[id+"_"+side]
			obs = append(obs, Observation{
				Measured: spectra[id+"_o"+side], Ground: Matt().FromInside(&card),
				Surface: Matt(), Thickness: 1, Share: 1, Weight: 1,
			})
		}
		ks, rms, err := Fit(obs, DefaultPrior())
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range obs {
			set := Setting{View: view, Surface: o.Surface, Ground: o.Ground, Thickness: 1}
			if d := colour.DeltaE00(set.Lab(&ks), view.Lab(&o.Measured)); d > 1 {
				t.Errorf("%s: shows its own swatch %.2f away (rms %.4f)", id, d, rms)
			}
		}
	}
}
