// Command seat measures the engine that deals traits out over places.
//
//	seat gen DIR                     writes the test problems
//	seat run [flags] FILE…           solves problems, one after another
//
// Flags of run: --limit 1s stops each by the clock; --work N stops after N
// exchanges instead; --seed N; --threads N; --json prints a JSON list of
// instance, status, objective, upper_bound, breaches, seconds and the terms;
// --values adds the values by place and trait.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"facings/internal/solve/seat"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "seat:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	if len(args) > 1 && args[0] == "gen" {
		return generate(args[1])
	}
	if len(args) == 0 || args[0] != "run" {
		return fmt.Errorf("say: seat gen DIR, or: seat run [--limit 1s] [--json] FILE…")
	}
	fs := flag.NewFlagSet("run", flag.ContinueOnError)
	limit := fs.Duration("limit", 0, "stop each by the clock")
	work := fs.Int("work", 0, "stop each after this many exchanges")
	seed := fs.Uint64("seed", 1, "seed")
	threads := fs.Int("threads", 0, "threads; 0 for all")
	asJSON := fs.Bool("json", false, "print JSON")
	values := fs.Bool("values", false, "with the values dealt")
	if err := fs.Parse(args[1:]); err != nil {
		return err
	}
	var rows []row
	for _, file := range fs.Args() {
		set := seat.Settings{Work: *work, Limit: *limit, Seed: *seed, Threads: *threads}
		r, err := solveFile(file, set, *values)
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		rows = append(rows, r)
		if !*asJSON {
			fmt.Fprintf(out, "%-16s %-10s %12d ≤ %12d  %2d breaches %6d distance %3d runs %4d repeats %7.3f s\n",
				r.Instance, r.Status, r.Objective, r.UpperBound, r.Breaches, r.Distance, r.Runs, r.Repeats, r.Seconds)
		}
	}
	if *asJSON {
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		return enc.Encode(rows)
	}
	return nil
}

// row is what run prints about one problem.
type row struct {
	Instance   string   `json:"instance"`
	Status     string   `json:"status"`
	Objective  int      `json:"objective"`
	UpperBound int      `json:"upper_bound"`
	Gap        float64  `json:"gap"`
	Breaches   int      `json:"breaches"`
	Preferred  int      `json:"preferred"`
	Distance   int      `json:"distance"`
	Runs       int      `json:"runs"`
	Repeats    int      `json:"repeats"`
	Closest    int      `json:"closest"`
	Conflict   []string `json:"conflict,omitempty"`
	Seconds    float64  `json:"seconds"`
	Values     [][]int  `json:"values,omitempty"`
}

func solveFile(file string, set seat.Settings, values bool) (row, error) {
	f, err := os.Open(file)
	if err != nil {
		return row{}, err
	}
	defer f.Close()
	p, err := seat.Read(f)
	if err != nil {
		return row{}, err
	}
	start := time.Now()
	r, err := seat.Solve(context.Background(), p, set)
	if err != nil {
		return row{}, err
	}
	name := p.Name
	if name == "" {
		name = filepath.Base(file)
	}
	out := row{
		Instance: name, Status: string(r.Status), Objective: r.Objective, UpperBound: r.UpperBound, Gap: r.Gap,
		Breaches: r.Terms.Breaches, Preferred: r.Terms.Preferred, Distance: r.Terms.Distance,
		Runs: r.Terms.Runs, Repeats: r.Terms.Repeats, Closest: r.Terms.Closest,
		Conflict: r.Conflict, Seconds: time.Since(start).Seconds(),
	}
	if values {
		out.Values = r.Values
	}
	return out, nil
}
