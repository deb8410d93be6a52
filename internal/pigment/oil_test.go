package pigment

import (
	"flag"
	"fmt"
	"math"
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
	f, err := os.Open("testdata/geldof-2018/spectra.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out, err := ReadSpectra(f)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// oilCoats is how many coats the measured oil films are taken for; their
// thickness is not published.
const oilCoats = 2

// oilConditions describe the measured oil films as tools/films finds them.
func oilConditions() Conditions {
	c := OilConditions()
	c.Thickness = oilCoats
	c.Usual, c.Spread = 0.64, 0.4
	return c
}

// fromFilms fits a paint to films given as "film share rest; film share rest",
// as the starter rack's table writes them.
func fromFilms(t *testing.T, list string, films map[string]Sample, known map[string]KS) KS {
	t.Helper()
	var samples []Sample
	for item := range strings.SplitSeq(list, ";") {
		words := strings.SplitN(strings.TrimSpace(item), " ", 3)
		s, ok := films[words[0]]
		if !ok {
			t.Fatalf("no film %s", words[0])
		}
		var err error
		if s.Share, err = strconv.ParseFloat(words[1], 64); err != nil {
			t.Fatal(err)
		}
		if len(words) == 3 {
			rest, ok := known[words[2]]
			if !ok {
				t.Fatalf("%s stands before %s", list, words[2])
			}
			s.Rest.Add(&rest, 1-s.Share)
		}
		samples = append(samples, s)
	}
	fit, err := FitSamples(samples, oilConditions())
	if err != nil {
		t.Fatal(err)
	}
	return fit.KS
}

var update = flag.Bool("update", false, "write data/oil_ks.csv anew")

// The measured paints of the starter rack are what fitting the published films
// gives (Geldof and others 2018), to the digits kept.
func TestOilPaints(t *testing.T) {
	films := Samples(readOil(t))
	known := make(map[string]KS)
	var file strings.Builder
	file.WriteString("paint,quantity")
	for i := range Bands {
		fmt.Fprintf(&file, ",%.0f", colour.Wavelength(i))
	}
	file.WriteString("\n")
	for _, row := range readCSV(t, "data/rack.csv") {
		if row[4] != "films" {
			continue
		}
		ks := fromFilms(t, row[5], films, known)
		known[row[0]] = ks
		for q, values := range map[string][Bands]float64{"K": ks.K, "S": ks.S} {
			for i, v := range values {
				if got := value(row[0], q, i); !*update && math.Abs(got-v) > 1e-3*v+1e-5 {
					t.Fatalf("%s, %s at %v nm is %v in the rack, fitted %v; run with -update", row[0], q, colour.Wavelength(i), got, v)
				}
			}
		}
		for _, q := range []string{"K", "S"} {
			fmt.Fprintf(&file, "%s,%s", row[0], q)
			for i := range Bands {
				v := ks.K[i]
				if q == "S" {
					v = ks.S[i]
				}
				fmt.Fprintf(&file, ",%.5g", v)
			}
			file.WriteString("\n")
		}
	}
	if *update {
		if err := os.WriteFile("data/oil_ks.csv", []byte(file.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func value(paint, quantity string, band int) float64 {
	ks := oilPaints()[paint]
	if quantity == "K" {
		return ks.K[band]
	}
	return ks.S[band]
}

// A film fitted from its two swatches shows those swatches again; an opaque
// one (the two nearly equal) too.
func TestFitReproducesMeasuredSwatches(t *testing.T) {
	spectra := readOil(t)
	view := colour.ViewD65()
	for _, id := range []string{"01A", "04A", "05A", "07A", "10A", "11A", "13A", "14A", "16A"} {
		var obs []Observation
		surface := GlossIncluded()
		if id == "11A" { // its dull surface throws back less
			surface.Outside = 0.0195
		}
		for _, side := range []string{"w", "b"} {
			card := spectra[id+"_"+side]
			obs = append(obs, Observation{
				Measured: spectra[id+"_o"+side], Ground: surface.FromInside(&card),
				Surface: surface, Thickness: 1, Share: 1, Weight: 1,
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
