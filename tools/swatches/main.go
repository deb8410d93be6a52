// Command swatches judges the reader of swatch cards on photographs that are
// made for it, of which the truth is known.
//
//	swatches --n 200 --seed 1 [--json] [--defect blur] [--out DIR] [--list]
//
// It prints n, the cells and colours read, median, p95 and max of their errors
// (CIEDE2000), photographs rejected, cells warned of, and how many colours were
// wrong without a warning: more than Wrong off, with nothing found in the cell
// or in the photograph as a whole. Errors are counted over all colours read,
// warned of or not; clean_* over those without a warning. With --defect every
// photograph has that defect; with --sensor the camera's three channels are not
// the standard observer's. --save keeps what came of the photographs in a file;
// files named after the flags are added in, so that many photographs can be
// judged in several runs. --out writes the photographs, --list prints the
// worst colours.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"facings/internal/colour"
	"facings/internal/swatch"
	"facings/internal/swatch/synth"
)

// Wrong is the error from which a colour without a warning counts as wrong.
const Wrong = 5.0

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "swatches:", err)
		os.Exit(1)
	}
}

// report is what --json prints.
type report struct {
	N                   int            `json:"n"`
	Defect              string         `json:"defect,omitempty"`
	Cells               int            `json:"cells"`
	Colours             int            `json:"colours"`
	Median              float64        `json:"median"`
	P95                 float64        `json:"p95"`
	Max                 float64        `json:"max"`
	CleanColours        int            `json:"clean_colours"`
	CleanMedian         float64        `json:"clean_median"`
	CleanP95            float64        `json:"clean_p95"`
	CleanMax            float64        `json:"clean_max"`
	WithinUncertainty   float64        `json:"within_uncertainty"`
	Rejected            int            `json:"rejected"`
	Warned              int            `json:"warned"`
	WarnedPhotos        int            `json:"warned_photos"`
	WrongEmpty          int            `json:"wrong_empty"`
	HurtCells           int            `json:"hurt_cells"`
	HurtUnnoticed       int            `json:"hurt_unnoticed"`
	Over4               int            `json:"over_4_without_warning"`
	WrongWithoutWarning int            `json:"wrong_without_warning"`
	Findings            map[string]int `json:"findings"`
}

// colourError is the error of one colour read.
type colourError struct {
	Seed    uint64
	Cell    int
	Side    string
	Error   float64
	Stated  float64
	Warned  bool
	Reason  string
	Paint   string
	Truth   colour.Lab
	Reading [3]float64
}

// outcome is what came of one photograph.
type outcome struct {
	Errors   []colourError
	Rejected string
	Warned   int
	Photo    bool // a finding of the photograph as a whole
	Cells    int
	Mistaken []string // painted cells taken for empty ones, or the other way
	Hurt     int
	Missed   int
	Findings []string
}

func run(args []string, out io.Writer) error {
	fs := flag.NewFlagSet("swatches", flag.ContinueOnError)
	n := fs.Int("n", 200, "photographs")
	seed := fs.Uint64("seed", 1, "seed of the first")
	asJSON := fs.Bool("json", false, "print JSON")
	defect := fs.String("defect", "", "spoil every photograph: blur, glare, clipped, cut off, dark, cast, shadow, missed, far")
	dir := fs.String("out", "", "write the photographs into this folder")
	sensor := fs.Bool("sensor", false, "a camera whose channels are not the standard observer's")
	save := fs.String("save", "", "keep what came of the photographs in this file")
	list := fs.Bool("list", false, "print the worst colours")
	if err := fs.Parse(args); err != nil {
		return err
	}
	if *defect != "" && !slices.Contains(synth.Defects(), synth.Defect(*defect)) {
		return fmt.Errorf("defect %q is not known", *defect)
	}
	options := synth.Options{Defect: synth.Defect(*defect), Sensor: *sensor, Turn: -1}
	outcomes := make([]outcome, *n)
	errs := make([]error, *n)
	var wg sync.WaitGroup
	queue := make(chan int)
	for range 2 {
		wg.Go(func() {
			for i := range queue {
				outcomes[i], errs[i] = judge(*seed+uint64(i), options, *dir)
			}
		})
	}
	for i := range *n {
		queue <- i
	}
	close(queue)
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	if *save != "" {
		text, err := json.Marshal(outcomes)
		if err != nil {
			return err
		}
		if err := os.WriteFile(*save, text, 0o644); err != nil {
			return err
		}
	}
	for _, file := range fs.Args() {
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		var more []outcome
		if err := json.Unmarshal(text, &more); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		outcomes = append(outcomes, more...)
	}
	r, all := summarise(outcomes)
	r.Defect = *defect
	if *list {
		for _, o := range outcomes {
			for _, m := range o.Mistaken {
				fmt.Fprintln(out, m)
			}
		}
		for _, e := range all[:min(25, len(all))] {
			fmt.Fprintf(out, "%5.2f ±%.1f warned %-5v seed %d cell %d %s: %s read %.1f true %.1f %s\n", e.Error, e.Stated, e.Warned, e.Seed, e.Cell, e.Side, e.Paint, e.Reading, e.Truth, e.Reason)
		}
	}
	if *asJSON {
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		return e.Encode(r)
	}
	fmt.Fprintf(out, "%d photographs, %d rejected, %d cells, %d warned of\n", r.N, r.Rejected, r.Cells, r.Warned)
	fmt.Fprintf(out, "CIEDE2000 of %d colours: median %.2f, p95 %.2f, max %.2f\n", r.Colours, r.Median, r.P95, r.Max)
	fmt.Fprintf(out, "without a warning, %d: median %.2f, p95 %.2f, max %.2f; wrong %d\n", r.CleanColours, r.CleanMedian, r.CleanP95, r.CleanMax, r.WrongWithoutWarning)
	fmt.Fprintf(out, "%.0f %% within the stated uncertainty; empty or painted mistaken: %d; spoilt cells %d, unnoticed %d\n", 100*r.WithinUncertainty, r.WrongEmpty, r.HurtCells, r.HurtUnnoticed)
	return nil
}

// judge takes one photograph, reads it and compares.
func judge(seed uint64, options synth.Options, dir string) (outcome, error) {
	var o outcome
	shot, err := synth.Take(seed, options)
	if err != nil {
		return o, err
	}
	if dir != "" {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%04d.jpg", seed)), shot.JPEG, 0o644); err != nil {
			return o, err
		}
	}
	photo, err := swatch.LoadPhoto(shot.JPEG)
	if err != nil {
		return o, err
	}
	reading, err := swatch.Read(photo)
	if err != nil {
		o.Rejected = err.Error()
		return o, nil
	}
	o.Photo = len(reading.Findings) > 0
	for _, f := range reading.Findings {
		o.Findings = append(o.Findings, f.ID)
	}
	for i, truth := range shot.Truth {
		o.compare(seed, &truth, &reading.Cells[i])
	}
	return o, nil
}

func (o *outcome) compare(seed uint64, truth *synth.Truth, cell *swatch.CellReading) {
	o.Cells++
	warned := o.Photo || cell.State == swatch.Doubtful
	if cell.State == swatch.Doubtful {
		o.Warned++
	}
	reason := ""
	for _, f := range cell.Findings {
		o.Findings = append(o.Findings, f.ID)
		reason += " " + f.ID
	}
	if (cell.State == swatch.Empty) != (truth.Paint == "") && !warned {
		o.Mistaken = append(o.Mistaken, fmt.Sprintf("seed %d cell %d: %q is read as %s", seed, cell.Number, truth.Paint, cell.State))
	}
	if truth.Hurt {
		o.Hurt++
		if !warned {
			o.Missed++
		}
	}
	if truth.Paint == "" || cell.OverBlack == nil {
		return
	}
	for side, read := range map[string]*swatch.Colour{"black": cell.OverBlack, "white": cell.OverWhite} {
		t := truth.OverBlack
		if side == "white" {
			t = truth.OverWhite
		}
		de := colour.DeltaE00(t, colour.Lab{L: read.Lab[0], A: read.Lab[1], B: read.Lab[2]})
		o.Errors = append(o.Errors, colourError{seed, cell.Number, side, de, read.Uncertainty, warned, reason, truth.Paint, t, read.Lab})
	}
}

func summarise(outcomes []outcome) (report, []colourError) {
	r := report{N: len(outcomes), Findings: map[string]int{}}
	var all, clean []colourError
	within := 0.0
	for _, o := range outcomes {
		if o.Rejected != "" {
			r.Rejected++
			r.Findings["rejected: "+o.Rejected]++
		}
		if o.Photo {
			r.WarnedPhotos++
		}
		r.Cells, r.Warned, r.WrongEmpty = r.Cells+o.Cells, r.Warned+o.Warned, r.WrongEmpty+len(o.Mistaken)
		r.HurtCells, r.HurtUnnoticed = r.HurtCells+o.Hurt, r.HurtUnnoticed+o.Missed
		for _, f := range o.Findings {
			r.Findings[f]++
		}
		for _, e := range o.Errors {
			all = append(all, e)
			if e.Error <= e.Stated {
				within++
			}
			if !e.Warned {
				clean = append(clean, e)
				if e.Error > 4 {
					r.Over4++
				}
				if e.Error > Wrong {
					r.WrongWithoutWarning++
				}
			}
		}
	}
	if len(all) > 0 {
		r.WithinUncertainty = within / float64(len(all))
	}
	r.Colours, r.Median, r.P95, r.Max = quantiles(all)
	r.CleanColours, r.CleanMedian, r.CleanP95, r.CleanMax = quantiles(clean)
	return r, all
}

// quantiles sorts the errors, worst first.
func quantiles(all []colourError) (n int, median, p95, worst float64) {
	slices.SortFunc(all, func(a, b colourError) int {
		switch {
		case a.Error > b.Error:
			return -1
		case a.Error < b.Error:
			return 1
		}
		return 0
	})
	if n = len(all); n == 0 {
		return 0, 0, 0, 0
	}
	return n, all[n/2].Error, all[n/20].Error, all[0].Error
}
