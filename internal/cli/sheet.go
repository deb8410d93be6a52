package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

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
	cmd.AddCommand(p.sheetFlags(), p.sheetGuide(), p.sheetCards(), p.sheetShopping(), p.sheetRanks(), p.sheetTrays(), p.sheetCalendar(), p.sheetPalette(), p.sheetSwatchCard())
	return cmd
}

// sheetSettings are the settings of every printed sheet.
func sheetSettings(cmd *cobra.Command, o *app.SheetOptions) {
	cmd.Flags().StringVar(&o.Paper, "paper", "a4", "a4 or letter")
	choices(cmd, "paper", "a4", "letter")
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

// writeFiles writes all files; each appears whole or not at all, and when one
// cannot be written, those that were not there before are taken away again.
func writeFiles(files []app.SheetFile) error {
	var made []string
	for _, f := range files {
		_, err := os.Lstat(f.Name)
		isNew := errors.Is(err, fs.ErrNotExist)
		if err := projectfile.Write(f.Name, f.Data); err != nil {
			for _, name := range made {
				os.Remove(name)
			}
			return err
		}
		if isNew {
			made = append(made, f.Name)
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
	p.wrote(files)
	return nil
}

func (p *Program) wrote(files []app.SheetFile) {
	for _, f := range files {
		fmt.Fprintf(p.Out, "wrote %s\n", f.Name)
	}
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
			if cmd.Flags().Changed("scale") && !(o.Scale > 0) {
				return usageError{fmt.Errorf("--scale %g: give more than 0, such as 56 for 1/56, or leave it out for the project's", o.Scale)}
			}
			o.Out = outName(o.Out, args[0], "flags", ".pdf")
			if err := usable(o.SheetOptions, ".pdf", ".svg", ".png"); err != nil {
				return err
			}
			a, _ := p.app()
			opened, err := a.Load(args[0])
			if err := p.explain(opened, nil, err); err != nil {
				return err
			}
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
			p.wrote(made.Files)
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

// usable says at once when a file's name or the paper cannot be used, before
// any long work begins.
func usable(o app.SheetOptions, endings ...string) error {
	if !slices.Contains(endings, strings.ToLower(filepath.Ext(o.Out))) {
		return usageError{fmt.Errorf("%q does not say what kind of file to write; end it in %s", o.Out, strings.Join(endings, ", "))}
	}
	if p := strings.ToLower(o.Paper); p != "" && p != "a4" && p != "letter" {
		return usageError{fmt.Errorf("%q is no paper known here; write a4 or letter", o.Paper)}
	}
	return roomFor(o.Out)
}

// plannedSheet is a sheet that is printed from a plan.
func (p *Program) plannedSheet(kind, use, short string, setUp func(*cobra.Command), plan func(*app.App, *cobra.Command, *app.Opened) (*app.Plan, error),
	print func(*app.App, *app.Plan, app.SheetOptions) ([]app.SheetFile, error)) *cobra.Command {
	var o app.SheetOptions
	var asJSON bool
	cmd := &cobra.Command{
		Use:   use + " FILE",
		Short: short,
		Args:  exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Out = outName(o.Out, args[0], kind, ".pdf")
			if err := usable(o, ".pdf", ".svg", ".png"); err != nil {
				return err
			}
			var use *app.App
			made, err := p.planned(cmd, args[0], 0, func(a *app.App, opened *app.Opened) (*app.Plan, error) {
				use = a
				return plan(a, cmd, opened)
			})
			if err != nil {
				return err
			}
			files, err := print(use, made, o)
			if err != nil {
				return err
			}
			return p.report(files, asJSON)
		},
	}
	sheetSettings(cmd, &o)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the files written as JSON")
	if setUp != nil {
		setUp(cmd)
	}
	return cmd
}

func (p *Program) sheetCards() *cobra.Command {
	var only string
	return p.plannedSheet("cards", "cards", "Print the tick list and a card for every pass, eight to a page",
		func(cmd *cobra.Command) {
			cmd.Flags().StringVar(&only, "only", "", "cards or ticks (default: both)")
			choices(cmd, "only", "cards", "ticks")
			inner := cmd.RunE
			cmd.RunE = func(cmd *cobra.Command, args []string) error {
				if only != "" && only != "cards" && only != "ticks" {
					return usageError{fmt.Errorf("--only takes cards or ticks, not %q", only)}
				}
				return inner(cmd, args)
			}
		},
		func(a *app.App, cmd *cobra.Command, o *app.Opened) (*app.Plan, error) {
			return a.Plan(cmd.Context(), o)
		},
		func(a *app.App, plan *app.Plan, o app.SheetOptions) ([]app.SheetFile, error) {
			return a.PassCards(plan, o, only)
		})
}

func (p *Program) sheetShopping() *cobra.Command {
	return p.plannedSheet("shopping", "shopping", "Print the shopping list", nil,
		func(a *app.App, cmd *cobra.Command, o *app.Opened) (*app.Plan, error) {
			return a.Coats(cmd.Context(), o)
		},
		func(a *app.App, plan *app.Plan, o app.SheetOptions) ([]app.SheetFile, error) {
			return a.ShoppingSheet(plan, o)
		})
}

func (p *Program) sheetRanks() *cobra.Command {
	return p.plannedSheet("ranks", "ranks", "Print the formation with bases at their true size, and the roster", nil,
		func(a *app.App, cmd *cobra.Command, o *app.Opened) (*app.Plan, error) {
			return a.Roster(cmd.Context(), o)
		},
		func(a *app.App, plan *app.Plan, o app.SheetOptions) ([]app.SheetFile, error) {
			return a.RanksSheet(plan, o)
		})
}

func (p *Program) sheetCalendar() *cobra.Command {
	var out, stamp, was string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "calendar FILE",
		Short: "Write the sittings as an iCalendar file",
		Long: `Writes the sittings as an iCalendar file (RFC 5545). Imported again after a new
plan, it changes the evenings that are still needed instead of doubling them. With
--was and the file imported before, evenings to come that are no longer needed are
cancelled too.`,
		Example: `  facings sheet calendar army.yaml
  facings sheet calendar army.yaml --was army-calendar.ics --out army-calendar.ics`,
		Args: exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			out := outName(out, args[0], "calendar", ".ics")
			if err := usable(app.SheetOptions{Out: out}, ".ics"); err != nil {
				return err
			}
			var when time.Time
			if stamp != "" {
				var err error
				if when, err = time.Parse(time.RFC3339, stamp); err != nil {
					return usageError{fmt.Errorf("--stamp %q is no time like 2027-01-04T09:00:00Z", stamp)}
				}
			}
			var earlier []byte
			if was != "" {
				var err error
				if earlier, err = readBounded(was, app.MaxCalendarBytes+1, "give the calendar file (.ics) that was imported before"); err != nil {
					return err
				}
			}
			var use *app.App
			plan, err := p.planned(cmd, args[0], 0, func(a *app.App, o *app.Opened) (*app.Plan, error) {
				use = a
				return a.Plan(cmd.Context(), o)
			})
			if err != nil {
				return err
			}
			f, err := use.NextCalendarFile(plan, out, when, earlier)
			if err != nil {
				return fmt.Errorf("%s: %w", was, err)
			}
			return p.report([]app.SheetFile{f}, asJSON)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "file to write, ending in .ics (default: beside the project)")
	cmd.Flags().StringVar(&was, "was", "", "the calendar file imported before, to cancel what is no longer needed")
	cmd.Flags().StringVar(&stamp, "stamp", "", "when the file is made, as 2027-01-04T09:00:00Z (default: now)")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the file written as JSON")
	return cmd
}

func (p *Program) sheetPalette() *cobra.Command {
	var out string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "palette FILE",
		Short: "Write the project's colours as a GIMP palette or a table",
		Long:  "Writes what each paint, mix and finish will show, as a GIMP palette (.gpl) or a table (.csv).",
		Args:  exactly(1, "one FILE"),
		RunE: func(_ *cobra.Command, args []string) error {
			out := outName(out, args[0], "palette", ".gpl")
			if err := usable(app.SheetOptions{Out: out}, ".gpl", ".csv"); err != nil {
				return err
			}
			a, _ := p.app()
			opened, err := a.Load(args[0])
			if err := p.explain(opened, nil, err); err != nil {
				return err
			}
			f, err := a.PaletteFile(opened, out)
			if err != nil {
				return err
			}
			return p.report([]app.SheetFile{f}, asJSON)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "file to write, ending in .gpl or .csv (default: beside the project, as .gpl)")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the file written as JSON")
	return cmd
}
