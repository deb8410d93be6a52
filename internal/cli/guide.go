package cli

import (
	"github.com/spf13/cobra"

	"facings/internal/app"
)

func (p *Program) sheetGuide() *cobra.Command {
	var o app.GuideOptions
	var done string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "guide FILE",
		Short: "Print an illustrated guide of the whole project, or write it as a page for a browser",
		Long: `Makes an illustrated booklet of the whole project, for next year or for others:
what was used, the uniforms with a numbered key, every pass in its order with a
picture of the figure as it then stands, what was left out, and the finished
units. As PDF to print, or as one HTML file that needs nothing else. With --done
and a log of what was painted it tells real dates and what was really used.`,
		Example: `  facings sheet guide army.yaml
  facings sheet guide army.yaml --done log.json --out guide.html`,
		Args: exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Out = outName(o.Out, args[0], "guide", ".pdf")
			if err := usable(o.SheetOptions, ".pdf", ".html"); err != nil {
				return err
			}
			if done != "" {
				var err error
				if o.Log, err = readEntries(done); err != nil {
					return err
				}
			}
			var files []app.SheetFile
			_, err := p.planned(cmd, args[0], 0, func(a *app.App, opened *app.Opened) (*app.Plan, error) {
				plan, made, err := a.Guide(cmd.Context(), opened, o)
				files = made
				return plan, err
			})
			if err != nil {
				return err
			}
			return p.report(files, asJSON)
		},
	}
	cmd.Flags().StringVar(&o.Paper, "paper", "a4", "a4 or letter")
	choices(cmd, "paper", "a4", "letter")
	cmd.Flags().StringVar(&o.Out, "out", "", "file to write, ending in .pdf or .html (default: beside the project, as PDF)")
	cmd.Flags().StringVar(&done, "done", "", "a LOG of what is painted already (JSON): the guide is of the whole work, and tells what was really used")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the file written as JSON")
	return cmd
}
