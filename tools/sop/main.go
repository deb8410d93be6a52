// Command sop solves TSPLIB sequential ordering instances with the engine in
// internal/solve/sop and prints what it found and proved. A tool for
// developers: it keeps the engine honest against published optima.
//
//	go run ./tools/sop -limit 10s -json FILE.sop...
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"facings/internal/solve/sop"
)

func main() {
	ctx, cancel := signal.NotifyContext(context.Background(), os.Interrupt)
	defer cancel()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// row is what the tool reports of one instance.
type row struct {
	Instance   string  `json:"instance"`
	Status     string  `json:"status"`
	Cost       int     `json:"cost"`
	LowerBound int     `json:"lower_bound"`
	Seconds    float64 `json:"seconds"`
	Cycle      []int   `json:"cycle,omitempty"` // of an infeasible instance; nodes from 1
}

// run is the tool without the process around it; it returns the exit status:
// 1 for bad input, 2 for wrong usage.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("sop", flag.ContinueOnError)
	fs.SetOutput(stderr)
	limit := fs.Duration("limit", 10*time.Second, "wall time for each instance; 0: by work only")
	work := fs.Int64("work", 0, "work steps for each instance; 0: no budget if there is a limit")
	seed := fs.Uint64("seed", 1, "seed of the random choices")
	threads := fs.Int("threads", 2, "searches side by side")
	asJSON := fs.Bool("json", false, "print a JSON list")
	fs.Usage = func() {
		fmt.Fprintln(stderr, "usage: sop [-limit 10s] [-work N] [-seed N] [-threads N] [-json] FILE.sop...")
		fs.PrintDefaults()
	}
	switch err := fs.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
		return 2
	case fs.NArg() == 0, *limit < 0, *work < 0, *threads < 1, *threads > 256:
		fmt.Fprintln(stderr, "sop: want at least one FILE.sop, limit and work not below 0, threads from 1 to 256")
		fs.Usage()
		return 2
	}
	settings := sop.Settings{Work: *work, Limit: *limit, Seed: *seed, Threads: *threads, Memory: 1 << 30}
	rows := []row{}
	status := 0
	for _, file := range fs.Args() {
		r, err := one(ctx, file, settings)
		if err != nil {
			fmt.Fprintln(stderr, err)
			status = 1
			continue
		}
		rows = append(rows, r)
		if ctx.Err() != nil {
			break
		}
	}
	if err := report(stdout, rows, *asJSON); err != nil {
		fmt.Fprintln(stderr, err)
		return 1
	}
	return status
}

// one reads and solves a file. The time counts from before reading.
func one(ctx context.Context, file string, s sop.Settings) (row, error) {
	began := time.Now()
	f, err := os.Open(file)
	if err != nil {
		return row{}, err
	}
	defer f.Close()
	in, err := sop.ReadTSPLIB(f, file)
	if err != nil {
		return row{}, err
	}
	if s.Limit > 0 {
		s.Limit = max(s.Limit-time.Since(began), time.Millisecond)
	}
	r, err := sop.Solve(ctx, in.Problem, s)
	if err != nil {
		return row{}, fmt.Errorf("%s: %w", file, err)
	}
	name := strings.TrimSuffix(filepath.Base(file), ".sop")
	seconds := math.Round(time.Since(began).Seconds()*1000) / 1000
	for i := range r.Cycle {
		r.Cycle[i]++
	}
	return row{name, string(r.Status), r.Cost, r.LowerBound, seconds, r.Cycle}, nil
}

func report(w io.Writer, rows []row, asJSON bool) error {
	if asJSON {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(rows)
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "instance\tstatus\tcost\tlower bound\tseconds\t")
	for _, r := range rows {
		fmt.Fprintf(tw, "%s\t%s\t%d\t%d\t%.3f\t\n", r.Instance, r.Status, r.Cost, r.LowerBound, r.Seconds)
	}
	return tw.Flush()
}
