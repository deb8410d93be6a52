package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"facings/internal/app"
)

// Exit statuses.
const (
	exitOK    = 0
	exitInput = 1
	exitUsage = 2
)

// Program is a command line about to run; a test starts the whole of it.
type Program struct {
	Out, Err io.Writer
	In       io.Reader
	Now      func() time.Time
	// Terminal is whether Err is one that progress may be drawn on.
	Terminal bool
	Version  string
	// Serve serves the pages; nil in a program without them.
	Serve Server

	bars []*progress // begun and perhaps not taken away yet
}

// usageError is a mistake in how a command was called.
type usageError struct{ error }

// inputError was already explained on standard error.
type inputError struct{}

func (inputError) Error() string { return "the input has faults" }

// Main runs one command and returns the exit status.
func (p *Program) Main(ctx context.Context, args []string) int {
	out := &noted{to: p.Out, before: p.clear}
	defer func(was io.Writer) { p.Out = was }(p.Out)
	defer p.clear()
	p.Out = out
	root := p.root()
	root.SetArgs(args)
	root.SetOut(p.Out)
	root.SetErr(p.Err)
	root.SetIn(p.In)
	err := root.ExecuteContext(ctx)
	if out.err != nil && (err == nil || errors.Is(err, out.err)) {
		err = fmt.Errorf("the output cannot be written: %w", cause(out.err))
	}
	var usage usageError
	var input inputError
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &input):
		return exitInput
	case errors.Is(err, context.Canceled):
		err = errors.New("stopped before it was done")
	case errors.As(err, &usage) || strings.HasPrefix(err.Error(), "unknown command"):
		fmt.Fprintf(p.Err, "facings: %v\n    see: %s --help\n", err, commandPath(root, args))
		return exitUsage
	}
	fmt.Fprintf(p.Err, "facings: %v\n", err)
	return exitInput
}

// noted passes text on and remembers the first time that failed: a full disk
// must not leave half a list that looks whole.
type noted struct {
	to     io.Writer
	before func()
	err    error
}

func (n *noted) Write(text []byte) (int, error) {
	n.before()
	size, err := n.to.Write(text)
	if err != nil && n.err == nil {
		n.err = err
	}
	return size, err
}

func commandPath(root *cobra.Command, args []string) string {
	if c, _, err := root.Find(args); err == nil {
		return c.CommandPath()
	}
	return root.CommandPath()
}

func (p *Program) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "facings",
		Short: "Plan a batch of historical miniatures from bare castings to the varnished, based, flagged unit",
		Long: `Facings plans the painting of historical miniatures in batches: what every part
of every figure gets, who differs from whom and how, in what order the passes
go, when it will be done and what paint it takes.

Start with:  facings demo            an example to look at
             facings new army.yaml   a project of your own`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Version:       p.Version,
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{flagFault(err)} })
	root.AddCommand(p.demo(), p.new(), p.check(), p.ranks(), p.order(), p.shop(), p.mix(), p.match(), p.sheet(), p.swatch(), p.measure(), p.air(), p.serve(), p.pace(), p.record(), p.more(), p.campaign())
	return root
}

// choices tells the shell what a flag takes.
func choices(cmd *cobra.Command, flag string, values ...cobra.Completion) {
	if err := cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err) // there is no such flag
	}
}

// flagFault says of a flag whose value cannot be read what it takes.
func flagFault(err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err
	}
	what := "it takes a " + bad.GetFlag().Value.Type()
	switch bad.GetFlag().Value.Type() {
	case "int", "int64":
		what = "it takes a whole number"
	case "float64":
		what = "it takes a number, with a point and no unit"
	case "bool":
		what = "it takes true or false, or stands alone"
	}
	if errors.Is(err, strconv.ErrRange) {
		what = "that is more than fits"
	}
	return fmt.Errorf("--%s %q: %s", bad.GetFlag().Name, bad.GetValue(), what)
}

// exactly demands a number of arguments, as wrong usage otherwise.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) != n {
			return usageError{fmt.Errorf("%s expected, %s given", what, count(len(args), "argument", "arguments"))}
		}
		return nil
	}
}

func atMost(n int, what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > n {
			return usageError{fmt.Errorf("%s expected, %s given", what, count(len(args), "argument", "arguments"))}
		}
		return nil
	}
}

// json writes a value as one indented JSON document, in which no list is null.
func (p *Program) json(v any) error {
	v = app.Filled(v)
	e := json.NewEncoder(p.Out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// app makes the use cases with this program's clock and progress.
func (p *Program) app() (*app.App, *progress) {
	pr := newProgress(p.Err, p.Terminal)
	p.bars = append(p.bars, pr)
	return &app.App{Now: p.Now, Progress: pr.set}, pr
}

// clear takes the progress away, before anything else is shown or the program
// ends.
func (p *Program) clear() {
	for _, bar := range p.bars {
		bar.done()
	}
	p.bars = nil
}

// explain prints findings and turns faults into an error already explained.
func (p *Program) explain(o *app.Opened, plan *app.Plan, err error) error {
	findings := o.Findings
	if plan != nil {
		findings = plan.Findings
	}
	p.clear()
	findings = slices.Clone(findings)
	findings.Sort()
	for _, f := range findings {
		fmt.Fprintln(p.Err, f)
	}
	if errors.Is(err, app.ErrFaulty) {
		return inputError{}
	}
	return err
}

// Stdio is the program on the real standard streams.
func Stdio(version string) *Program {
	info, err := os.Stderr.Stat()
	return &Program{Out: os.Stdout, Err: os.Stderr, In: os.Stdin, Now: time.Now, Version: version,
		Terminal: err == nil && info.Mode()&os.ModeCharDevice != 0}
}
