package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

func (p *Program) new() *cobra.Command {
	return &cobra.Command{
		Use:   "new FILE",
		Short: "Write a commented starter project",
		Long:  "Writes a small project that plans as it stands, with every section explained in comments. A file that is there already is left alone.",
		Args:  exactly(1, "one FILE"),
		RunE: func(_ *cobra.Command, args []string) error {
			path := args[0]
			if _, err := os.Stat(path); err == nil {
				return fmt.Errorf("%s is there already and was left alone; choose another name", path)
			} else if !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			if err := roomFor(path); err != nil {
				return err
			}
			if err := projectfile.Write(path, projectfile.Starter()); err != nil {
				return err
			}
			fmt.Fprintf(p.Out, "wrote %s\nnext: facings order %s\n", path, word(path))
			return nil
		},
	}
}

// checked is what check --json prints.
type checked struct {
	File     string              `json:"file"`
	OK       bool                `json:"ok"`
	Findings facings.Diagnostics `json:"findings"`
}

func (p *Program) check() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "check FILE",
		Short: "Show every fault of a project at once, each with its place",
		Args:  exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			a, bar := p.app()
			o, err := a.Check(cmd.Context(), args[0])
			bar.done()
			if asJSON {
				findings := o.Findings
				if findings == nil {
					findings = facings.Diagnostics{}
				}
				if jsonErr := p.json(checked{File: args[0], OK: err == nil, Findings: findings}); jsonErr != nil {
					return jsonErr
				}
				if errors.Is(err, app.ErrFaulty) {
					return inputError{}
				}
				return err
			}
			if err := p.explain(o, nil, err); err != nil {
				return err
			}
			fmt.Fprintf(p.Out, "%s: no faults, %s\n", args[0], count(len(o.Findings), "warning", "warnings"))
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the findings as JSON")
	return cmd
}

func (p *Program) demo() *cobra.Command {
	var noServe, asJSON bool
	cmd := &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Unpack the demo project, plan it, serve it and say where",
		Long:  "Unpacks the demo project into FOLDER (a new folder by default; one with files in it is refused), plans it, prints the summary, and serves the pages over a database in that folder until you stop it.",
		Args:  atMost(1, "at most one FOLDER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			folder := ""
			if len(args) == 1 {
				folder = args[0]
			}
			_, there := os.Stat(folder)
			files, err := demo.Unpack(folder)
			if err != nil {
				return err
			}
			planned := false
			defer func() {
				if !planned {
					takeBack(files, folder == "" || there != nil)
				}
			}()
			file := files[0]
			for _, f := range files {
				if filepath.Base(f) == "demo.yaml" {
					file = f
				}
			}
			a, bar := p.app()
			o, err := a.Load(file)
			if err != nil {
				return p.explain(o, nil, err)
			}
			plan, err := a.Plan(cmd.Context(), o)
			bar.done()
			if err == nil {
				err = cmd.Context().Err() // what a stopped search found is not the demo's order
			}
			if err := p.explain(o, plan, err); err != nil {
				return err
			}
			planned = true
			if asJSON {
				return p.json(demoResult{Folder: filepath.Dir(file), Files: files, Summary: summarise(plan)})
			}
			p.printSummary(plan, false)
			fmt.Fprintf(p.Out, "\nThe demo is in %s:\n", filepath.Dir(file))
			for _, f := range files {
				fmt.Fprintf(p.Out, "  %s\n", f)
			}
			fmt.Fprintf(p.Out, "Look further with:\n  facings order %[1]s\n  facings ranks %[1]s\n  facings shop %[1]s\n", word(file))
			if noServe || p.Serve == nil {
				return nil
			}
			opt := demoServed(filepath.Dir(file), files)
			opt.Planned = map[string]*app.Plan{file: plan}
			return p.Serve(cmd.Context(), opt, p.Out)
		},
	}
	cmd.Flags().BoolVar(&noServe, "no-serve", false, "only unpack, plan and print")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the summary as JSON")
	return cmd
}

// takeBack removes what was unpacked, and the folder where it was made for it.
func takeBack(files []string, made bool) {
	for _, f := range files {
		os.Remove(f)
	}
	if made {
		os.Remove(filepath.Dir(files[0]))
	}
}

// demoServed keeps the demo's projects in a database in its folder, the great
// one last, so that it is the first on the list.
func demoServed(folder string, files []string) ServeOptions {
	opt := ServeOptions{DB: filepath.Join(folder, "facings.db"), Addr: defaultAddr, AnyPort: true, Demo: true}
	for _, f := range files {
		switch filepath.Base(f) {
		case "demo.yaml":
			opt.Import = append(opt.Import, f)
		case "mounted24.yaml":
			opt.Import = append([]string{f}, opt.Import...)
		}
	}
	return opt
}

// demoResult is what demo --json prints.
type demoResult struct {
	Folder  string   `json:"folder"`
	Files   []string `json:"files"`
	Summary summary  `json:"summary"`
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
