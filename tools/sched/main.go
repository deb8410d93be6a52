// Command sched makes and runs instances for the sequencing engine.
//
//	sched gen lags DIR                 the pure family: lags, set-ups, 1 to 3 workers
//	sched gen plan [flags] FILE        one plan-like instance: batches of figures
//	sched ask PROJECT.yaml             the instance that a project's plan comes to
//	sched run [flags] FILE…            solves files and prints a JSON list
//
// The format of the files is described in internal/solve/sched/testdata/README.md.
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

	"facings/internal/app"
	"facings/internal/solve/sched"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "sched:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	switch {
	case len(args) >= 3 && args[0] == "gen" && args[1] == "lags":
		return genLags(args[2])
	case len(args) >= 3 && args[0] == "gen" && args[1] == "plan":
		return genPlan(args[2:])
	case len(args) == 2 && args[0] == "ask":
		return ask(args[1], out)
	case len(args) >= 2 && args[0] == "run":
		return solveFiles(args[1:], out)
	}
	return fmt.Errorf("usage: sched gen lags DIR | sched gen plan [flags] FILE | sched ask PROJECT.yaml | sched run [flags] FILE…")
}

// ask prints the task that the engine is given for a project file.
func ask(file string, out io.Writer) error {
	var asked *sched.Problem
	// Enough steps for the choice between ways to put the task to be the usual one.
	a := &app.App{Steps: 4_000_000, Runs: 1, Asked: func(p *sched.Problem) { asked = p }}
	o, err := a.Load(file)
	if err == nil {
		_, err = a.Plan(context.Background(), o)
	}
	if asked == nil {
		return fmt.Errorf("%s: nothing was asked of the engine: %w", file, err)
	}
	return json.NewEncoder(out).Encode(asked)
}

// row is one line of the list that run prints.
type row struct {
	Instance   string  `json:"instance"`
	Status     string  `json:"status"`
	Objective  int     `json:"objective"`
	LowerBound int     `json:"lower_bound"`
	Seconds    float64 `json:"seconds"`
	Work       int     `json:"work_seconds"`
	Setup      int     `json:"setup_seconds"`
	Wait       int     `json:"wait_seconds"`
	// Spread is (objective - lower bound) / (objective - work): the gap on
	// set-up and waiting alone; for one worker.
	Spread float64 `json:"spread"`
	Steps  int64   `json:"steps"`
}

func solveFiles(args []string, out io.Writer) error {
	set := flag.NewFlagSet("run", flag.ContinueOnError)
	limit := set.Duration("limit", 0, "wall limit for each file; 0: none")
	steps := set.Int64("steps", 0, "work steps for each file; 0: by size, or no limit with -limit")
	seed := set.Uint64("seed", 1, "seed")
	table := set.Bool("table", false, "print a Markdown table instead of JSON")
	set.Bool("json", true, "print JSON (always, unless -table)")
	if err := set.Parse(args); err != nil {
		return err
	}
	rows := []row{}
	for _, file := range set.Args() {
		p, err := read(file)
		if err != nil {
			return err
		}
		ctx, cancel := context.Background(), context.CancelFunc(func() {})
		opt := sched.Options{Seed: *seed, Steps: *steps}
		if *limit > 0 {
			ctx, cancel = context.WithTimeout(ctx, *limit)
			if opt.Steps == 0 {
				opt.Steps = 1 << 50
			}
		}
		begin := time.Now()
		res, err := sched.Solve(ctx, p, opt)
		cancel()
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		r := row{
			Instance: filepath.Base(file), Status: string(res.Status), Objective: res.Objective,
			LowerBound: res.LowerBound, Seconds: float64(time.Since(begin).Milliseconds()) / 1000,
			Work: res.Solution.Work, Setup: res.Solution.Setup, Wait: res.Solution.Wait, Steps: res.Steps,
		}
		if idle := res.Objective - res.Solution.Work; idle > 0 && p.Workers == 1 {
			r.Spread = float64((res.Objective-res.LowerBound)*1000/idle) / 1000
		}
		rows = append(rows, r)
	}
	if *table {
		return printTable(out, rows)
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	return enc.Encode(rows)
}

func printTable(out io.Writer, rows []row) error {
	fmt.Fprintln(out, "| instance | status | objective | lower bound | set-up | waiting | gap on both | s |")
	fmt.Fprintln(out, "|---|---|---:|---:|---:|---:|---:|---:|")
	for _, r := range rows {
		_, err := fmt.Fprintf(out, "| %s | %s | %d | %d | %d | %d | %.1f %% | %.2f |\n", r.Instance,
			r.Status, r.Objective, r.LowerBound, r.Setup, r.Wait, 100*r.Spread, r.Seconds)
		if err != nil {
			return err
		}
	}
	return nil
}

func read(file string) (*sched.Problem, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var p sched.Problem
	if err := json.Unmarshal(data, &p); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if err := p.Validate(); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return &p, nil
}

// write puts p into file by way of a temporary file beside it, one line per
// row, so that the files can be read and compared.
func write(file string, p *sched.Problem) error {
	if err := p.Validate(); err != nil {
		return err
	}
	data, err := pretty(p)
	if err != nil {
		return err
	}
	part := file + ".part"
	if err := os.WriteFile(part, data, 0o644); err != nil {
		return err
	}
	return os.Rename(part, file)
}

// pretty is JSON with one job, lag, window list or matrix row to a line.
func pretty(p *sched.Problem) ([]byte, error) {
	fields := map[string]json.RawMessage{}
	data, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(data, &fields); err != nil {
		return nil, err
	}
	out := []byte("{")
	for _, name := range []string{"workers", "first", "make", "life", "patience", "long_dry", "close", "windows", "jobs", "switch", "lags"} {
		value, ok := fields[name]
		if !ok {
			continue
		}
		if len(out) > 1 {
			out = append(out, ',')
		}
		out = append(out, "\n  \""+name+"\": "...)
		var list []json.RawMessage
		if json.Unmarshal(value, &list) != nil || len(list) == 0 || list[0][0] != '[' && list[0][0] != '{' {
			out = append(out, value...)
			continue
		}
		out = append(out, '[')
		for i, item := range list {
			if i > 0 {
				out = append(out, ',')
			}
			out = append(append(out, "\n    "...), item...)
		}
		out = append(out, "\n  ]"...)
	}
	return append(out, "\n}\n"...), nil
}
