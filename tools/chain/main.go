// Command chain sends random projects through the whole chain, and looks that
// nothing gives way: no panic, no order that the checker rejects, no finding
// without a place, no broken project without its fault.
//
//	go run ./tools/chain -n 10000 [-from 0] [-json]
//
// Of every ten projects six are whole (armies of up to 24 figures), two are
// broken in one known way, and two are text with some bytes changed. Of the
// whole ones a part of the order is taken as painted, and the rest planned
// again. The same numbers give the same projects. Searches are short: what is
// tried here is the way, not how good the orders are.
//
// The exit status is 0, 1 when something gave way, 2 for wrong usage.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"facings/internal/app"
)

func main() { os.Exit(command(os.Args[1:], os.Stdout, os.Stderr)) }

func command(args []string, out, problems io.Writer) int {
	flags := flag.NewFlagSet("chain", flag.ContinueOnError)
	flags.SetOutput(problems)
	n := flags.Int("n", 1000, "how many projects")
	from := flags.Int("from", 0, "the number of the first")
	asJSON := flags.Bool("json", false, "print one JSON document")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return 0
	} else if err != nil {
		return 2
	}
	if flags.NArg() > 0 || *n < 1 || *from < 0 {
		fmt.Fprintf(problems, "chain: -n %d -from %d and arguments %q: give 1 or more, 0 or more, and nothing else\n", *n, *from, flags.Args())
		return 2
	}
	r := run(*from, *n)
	if *asJSON {
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		e.Encode(r)
	} else {
		r.print(out)
	}
	if len(r.Bad) > 0 {
		return 1
	}
	return 0
}

// report counts what became of the projects.
type report struct {
	From       int      `json:"from"`
	Projects   int      `json:"projects"`
	Planned    int      `json:"planned"`
	PlannedOn  int      `json:"planned_again"` // from the middle of the work
	Infeasible int      `json:"infeasible"`    // its rules conflict
	Faulty     int      `json:"faulty"`        // refused when read
	Refused    int      `json:"refused"`       // refused on the way, as when no evening holds the work
	Findings   int      `json:"findings"`
	Seconds    float64  `json:"seconds"`
	Bad        []string `json:"bad"` // what should not have been
}

func (r *report) add(one *report) {
	r.Planned += one.Planned
	r.PlannedOn += one.PlannedOn
	r.Infeasible += one.Infeasible
	r.Faulty += one.Faulty
	r.Refused += one.Refused
	r.Findings += one.Findings
	r.Bad = append(r.Bad, one.Bad...)
}

func (r *report) print(out io.Writer) {
	fmt.Fprintf(out, "projects %d to %d: %d planned (%d of them again from the middle), %d with rules in conflict, %d refused on the way, %d faulty; %d findings; %.0f s\n",
		r.From, r.From+r.Projects-1, r.Planned, r.PlannedOn, r.Infeasible, r.Refused, r.Faulty, r.Findings, r.Seconds)
	for _, bad := range r.Bad {
		fmt.Fprintln(out, bad)
	}
}

// run tries the projects of n numbers, on all processors.
func run(from, n int) *report {
	r := &report{From: from, Projects: n, Bad: []string{}}
	paints := app.NewPaints() // the armies share most of their racks
	var mu sync.Mutex
	var next atomic.Int64
	var wg sync.WaitGroup
	begun := time.Now()
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				one := &report{}
				if bad := try(from+i, paints, one); bad != "" {
					one.Bad = append(one.Bad, fmt.Sprintf("project %d: %s", from+i, bad))
				}
				mu.Lock()
				r.add(one)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	slices.Sort(r.Bad)
	r.Seconds = time.Since(begun).Seconds()
	return r
}
