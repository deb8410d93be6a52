package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"facings/internal/app"
)

// traysJSON is what sheet trays --json prints.
type traysJSON struct {
	Files []string       `json:"files"`
	Trays []app.TraySize `json:"trays"`
}

func (p *Program) sheetTrays() *cobra.Command {
	var o app.SheetOptions
	var edge float64
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "trays FILE",
		Short: "Print labels for movement trays, as large as each unit's formation",
		Long: `Prints a label for the movement tray of every unit: ranks × files × bases at
their true size, with the unit's name, arms, figures and facings. --edge adds a
tray's edge all round; a label that no page holds comes in parts.`,
		Args: exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Out = outName(o.Out, args[0], "trays", ".pdf")
			if err := usable(o, ".pdf", ".svg", ".png"); err != nil {
				return err
			}
			var use *app.App
			var opened *app.Opened
			plan, err := p.planned(cmd, args[0], 0, func(a *app.App, o *app.Opened) (*app.Plan, error) {
				use, opened = a, o
				return a.Roster(cmd.Context(), o)
			})
			if err != nil {
				return err
			}
			files, trays, err := use.TraySheet(opened, plan, o, edge)
			if err != nil {
				return err
			}
			if err := writeFiles(files); err != nil {
				return err
			}
			if asJSON {
				return p.json(traysJSON{names(files), trays})
			}
			for _, t := range trays {
				parts := ""
				if t.Parts > 1 {
					parts = fmt.Sprintf(", in %d parts", t.Parts)
				}
				fmt.Fprintf(p.Out, "%s: %.1f × %.1f mm, %s of %s%s\n", t.Unit, t.WidthMM, t.DepthMM, count(t.Ranks, "rank", "ranks"), count(t.Files, "file", "files"), parts)
			}
			p.wrote(files)
			return nil
		},
	}
	sheetSettings(cmd, &o)
	cmd.Flags().Float64Var(&edge, "edge", 0, "edge of the tray around the bases, in mm")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print files and sizes as JSON")
	return cmd
}
