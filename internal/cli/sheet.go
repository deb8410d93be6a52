package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
	"facings/internal/projectfile"
)

func (p *Program) sheet() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "sheet KIND FILE",
		Short: "Print flags, pass cards, lists, the formation plan, the calendar and the palette",
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("there is no sheet called %q", args[0])}
			}
			return usageError{fmt.Errorf("a KIND of sheet and one FILE expected")}
		},
	}
	cmd.AddCommand(p.sheetFlags())
	return cmd
}

// sheetFlags are the settings of every printed sheet.
func sheetSettings(cmd *cobra.Command, o *app.SheetOptions) {
	cmd.Flags().StringVar(&o.Paper, "paper", "a4", "a4 or letter")
	cmd.Flags().StringVar(&o.Out, "out", "", "file to write, ending in .pdf, .svg or .png (default: beside the project, as PDF)")
	cmd.Flags().Float64Var(&o.DPI, "dpi", 600, "dots per inch of a PNG")
}

// outName is the file named, or one beside the project.
func outName(out, project, kind, ending string) string {
	if out != "" {
		return out
	}
	return strings.TrimSuffix(project, filepath.Ext(project)) + "-" + kind + ending
}

// writeFiles writes all files or says which failed; each appears whole or not
// at all.
func writeFiles(files []app.SheetFile) error {
	for _, f := range files {
		if err := projectfile.Write(f.Name, f.Data); err != nil {
			return err
		}
	}
	return nil
}

// written is what sheet --json prints.
type written struct {
	Files []string `json:"files"`
}

func names(files []app.SheetFile) []string {
	var out []string
	for _, f := range files {
		out = append(out, f.Name)
	}
	return out
}

// report says which files were written.
func (p *Program) report(files []app.SheetFile, asJSON bool) error {
	if err := writeFiles(files); err != nil {
		return err
	}
	if asJSON {
		return p.json(written{names(files)})
	}
	for _, f := range files {
		fmt.Fprintf(p.Out, "wrote %s\n", f.Name)
	}
	return nil
}

func (p *Program) sheetFlags() *cobra.Command {
	var o app.FlagOptions
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "flags FILE",
		Short: "Print the units' flags at the model's size",
		Long: `Prints every unit's flag that has parts or a picture: the real size ÷ scale,
reverse, sleeve and obverse as one strip to cut, fold and glue, many on a page.`,
		Args: exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			a, _ := p.app()
			opened, err := a.Load(args[0])
			if err := p.explain(opened, nil, err); err != nil {
				return err
			}
			o.Out = outName(o.Out, args[0], "flags", ".pdf")
			made, err := a.FlagSheet(cmd.Context(), opened, o)
			if err != nil {
				return err
			}
			if err := writeFiles(made.Files); err != nil {
				return err
			}
			if asJSON {
				return p.json(flagsJSON{Files: names(made.Files), Scale: made.Scale, Flags: made.Flags, WordsOnly: made.Words})
			}
			for _, f := range made.Flags {
				fmt.Fprintf(p.Out, "%s: %.1f × %.1f mm, sleeve %.1f mm, %s\n", f.Unit, f.FlyMM, f.HoistMM, f.SleeveMM, count(f.Copies, "copy", "copies"))
			}
			for _, u := range made.Words {
				fmt.Fprintf(p.Out, "%s: left out, its flag is described in words only; give it parts or a picture\n", u)
			}
			for _, f := range made.Files {
				fmt.Fprintf(p.Out, "wrote %s\n", f.Name)
			}
			return nil
		},
	}
	sheetSettings(cmd, &o.SheetOptions)
	cmd.Flags().Float64Var(&o.Scale, "scale", 0, "print at 1/SCALE (default: the project's)")
	cmd.Flags().Float64Var(&o.PoleMM, "pole", 0, fmt.Sprintf("thickness of the model's poles in mm (default: the flag's own, or %g)", facings.DefaultPoleMM))
	cmd.Flags().Float64Var(&o.BleedMM, "bleed", 1, "colour past the cut, in mm")
	cmd.Flags().IntVar(&o.Copies, "copies", 1, "copies of each flag")
	cmd.Flags().BoolVar(&o.Hatching, "hatching", false, "heraldry's hatching in place of colours, for black and white")
	cmd.Flags().BoolVar(&o.Ripples, "ripples", false, "print light and shade of folds")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print files and sizes as JSON")
	return cmd
}

// flagsJSON is what sheet flags --json prints.
type flagsJSON struct {
	Files     []string       `json:"files"`
	Scale     float64        `json:"scale"`
	Flags     []app.FlagSize `json:"flags"`
	WordsOnly []string       `json:"words_only,omitempty"`
}
