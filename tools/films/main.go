// Command films holds the paint model against measured films. It fits each
// pigment on its pure film and its about 10 % tint with white, white on its
// pure film, a black (or any paint without a pure film) on its richest film
// with white and its tint; predicts every other film over white and over
// black; and prints how far off the prediction is, in CIEDE2000 under D65.
//
//	films [--json] SPECTRA MIXTURES
//
// SPECTRA is a table of reflectances in percent, parted by tabs: a first line
// of wavelengths, then per film the rows ID_w and ID_b (bare white and black
// card), ID_ow and ID_ob (the film over each). MIXTURES has lines "ID, tab,
// A-B-C|50-49-1" with parts by weight. A film with a component that cannot be
// fitted is not predicted but listed.
//
// Ref: geldof2018.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"sort"

	"facings/internal/colour"
	"facings/internal/pigment"
)

// result is one predicted film over one card.
type result struct {
	Paint    string  `json:"paint"`
	Ground   string  `json:"ground"` // white or black
	DeltaE00 float64 `json:"delta_e00"`
}

// report is what is printed.
type report struct {
	Films  []result `json:"films"` // not used in fitting
	Median float64  `json:"median"`
	P90    float64  `json:"p90"`
	Max    float64  `json:"max"`
	Fitted []string `json:"fitted"` // films used in fitting
	// Skipped films hold a paint that has neither a pure film nor a tint.
	Skipped []string `json:"skipped"`
	// WithoutSpectra are mixtures that were not measured.
	WithoutSpectra []string `json:"without_spectra"`
}

func main() {
	flags := flag.NewFlagSet("films", flag.ExitOnError)
	asJSON := flags.Bool("json", false, "print JSON")
	flags.Usage = func() { fmt.Fprintln(os.Stderr, "usage: films [--json] SPECTRA MIXTURES") }
	_ = flags.Parse(os.Args[1:]) // ExitOnError
	if flags.NArg() != 2 {
		flags.Usage()
		os.Exit(2)
	}
	if err := run(os.Stdout, flags.Arg(0), flags.Arg(1), *asJSON); err != nil {
		fmt.Fprintln(os.Stderr, "films:", err)
		os.Exit(1)
	}
}

func run(w io.Writer, spectraFile, mixturesFile string, asJSON bool) error {
	films, without, err := load(spectraFile, mixturesFile)
	if err != nil {
		return err
	}
	r, err := judge(films)
	if err != nil {
		return err
	}
	r.WithoutSpectra = append(r.WithoutSpectra, without...)
	if asJSON {
		enc := json.NewEncoder(w)
		enc.SetIndent("", " ")
		return enc.Encode(r)
	}
	for _, f := range r.Films {
		fmt.Fprintf(w, "%-6s over %-6s %6.2f\n", f.Paint, f.Ground, f.DeltaE00)
	}
	_, err = fmt.Fprintf(w, "%d films not used in fitting: median %.2f, p90 %.2f, max %.2f\n",
		len(r.Films), r.Median, r.P90, r.Max)
	return err
}

func load(spectraFile, mixturesFile string) ([]*film, []string, error) {
	sf, err := os.Open(spectraFile)
	if err != nil {
		return nil, nil, err
	}
	defer sf.Close()
	spectra, err := pigment.ReadSpectra(sf)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", spectraFile, err)
	}
	mf, err := os.Open(mixturesFile)
	if err != nil {
		return nil, nil, err
	}
	defer mf.Close()
	films, err := readMixtures(mf)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", mixturesFile, err)
	}
	with, without := attach(films, pigment.Samples(spectra))
	if len(with) == 0 {
		return nil, nil, errors.New("no mixture has its four spectra ID_w, ID_b, ID_ow, ID_ob")
	}
	return with, without, nil
}

// judge fits the model and compares it with every film it was not fitted on.
func judge(films []*film) (*report, error) {
	m, err := newModel(films)
	if err != nil {
		return nil, err
	}
	r := &report{Films: []result{}, Fitted: []string{}, Skipped: []string{}, WithoutSpectra: []string{}}
	view := colour.ViewD65()
	for _, f := range films {
		if m.trained[f.id] {
			r.Fitted = append(r.Fitted, f.id)
			continue
		}
		if _, ok := m.known(f); !ok {
			r.Skipped = append(r.Skipped, f.id)
			continue
		}
		for side, lab := range m.predict(f) {
			measured := f.sample.Film[side]
			d := colour.DeltaE00(lab, view.Lab(&measured))
			r.Films = append(r.Films, result{f.id, [2]string{"white", "black"}[side], round(d)})
		}
	}
	sort.Strings(r.Fitted)
	r.summarise()
	return r, nil
}

func (r *report) summarise() {
	var d []float64
	for _, f := range r.Films {
		d = append(d, f.DeltaE00)
	}
	if len(d) == 0 {
		return
	}
	slices.Sort(d)
	r.Median, r.P90, r.Max = round(quantile(d, 0.5)), round(quantile(d, 0.9)), d[len(d)-1]
}

// quantile interpolates linearly between the sorted values.
func quantile(sorted []float64, q float64) float64 {
	at := q * float64(len(sorted)-1)
	i := min(int(at), len(sorted)-2)
	if i < 0 {
		return sorted[0]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

// round keeps three decimals, so that the last bits of a machine do not show.
func round(x float64) float64 { return float64(int(x*1000+0.5)) / 1000 }
