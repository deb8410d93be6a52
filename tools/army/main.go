// Command army writes a project file of an invented army of any size, to
// measure with and to test against. A tool for developers.
//
//	go run ./tools/army -figures 500 -seed 1 -painters 1 > army.yaml
//	go run ./tools/army -figures 60 -seed 3 -broken > broken.yaml
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"facings"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run writes the army to out; the exit status is 0, 1 when it cannot be
// written, or 2 for wrong usage.
func run(args []string, out, problems io.Writer) int {
	flags := flag.NewFlagSet("army", flag.ContinueOnError)
	flags.SetOutput(problems)
	figures := flags.Int("figures", 500, fmt.Sprintf("how many figures, 1 to %d", facings.MaxFigures))
	seed := flags.Uint64("seed", 1, "the same seed gives the same army")
	painters := flags.Int("painters", 0, fmt.Sprintf("how many painters, 1 to %d; 0 lets the seed choose", facings.MaxPainters))
	broken := flags.Bool("broken", false, "break it in one known way, named on standard error")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return 0
	} else if err != nil {
		return 2
	}
	if *painters < 0 || *painters > facings.MaxPainters {
		fmt.Fprintf(problems, "army: %d painters: give -painters from 0 to %d\n", *painters, facings.MaxPainters)
		return 2
	}
	if flags.NArg() > 0 || *figures < 1 || *figures > facings.MaxFigures {
		fmt.Fprintf(problems, "army: %d figures and arguments %q: give -figures from 1 to %d and nothing else\n", *figures, flags.Args(), facings.MaxFigures)
		return 2
	}
	p := demo.Army(*seed, *figures)
	if *broken {
		var id, path string
		p, id, path = demo.Broken(*seed, *figures)
		fmt.Fprintf(problems, "broken: %s at %s\n", id, path)
	}
	if n := *painters; n > 0 {
		for len(p.Calendar.Painters) < n {
			more := p.Calendar.Painters[0]
			more.Name = fmt.Sprintf("painter %d", len(p.Calendar.Painters)+1)
			p.Calendar.Painters = append(p.Calendar.Painters, more)
		}
		p.Calendar.Painters = p.Calendar.Painters[:n]
	}
	text, err := projectfile.Marshal(p)
	if err == nil {
		_, err = out.Write(text)
	}
	if err != nil {
		fmt.Fprintf(problems, "army: %v\n", err)
		return 1
	}
	return 0
}
