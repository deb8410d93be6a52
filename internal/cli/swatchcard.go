package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"facings/internal/app"
)

// swatchCardsJSON is what sheet swatch-card --json prints.
type swatchCardsJSON struct {
	Files []string         `json:"files"`
	Cards []app.SwatchCard `json:"cards"`
}

func (p *Program) sheetSwatchCard() *cobra.Command {
	var o app.SheetOptions
	var cells int
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "swatch-card [FILE]",
		Short: "Print swatch cards with the rack's paints named in their cells",
		Long: `Prints swatch cards whose cells name the paints of FILE's rack, or with --cells
alone one card whose names are left to write in. Brush one stripe of each paint over
its black and its white, let them dry, photograph each card in even daylight and
read it with: facings swatch PHOTO`,
		Args: atMost(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			file := ""
			switch {
			case len(args) == 1:
				file = args[0]
				o.Out = outName(o.Out, file, "swatch-card", ".pdf")
			case !cmd.Flags().Changed("cells"):
				return usageError{errors.New("a FILE whose paints are named, or --cells N, is expected")}
			case o.Out == "":
				o.Out = "swatch-card.pdf"
			}
			return p.printSwatchCards(file, cells, o, asJSON)
		},
	}
	sheetSettings(cmd, &o)
	cmd.Flags().IntVar(&cells, "cells", app.SwatchCells, "paints on a card, 1 to 24")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print files and what is on the cards as JSON")
	return cmd
}

// printSwatchCards prints cards for a project's rack, or one without names
// where there is no file.
func (p *Program) printSwatchCards(file string, cells int, o app.SheetOptions, asJSON bool) error {
	if err := usable(o, ".pdf", ".svg", ".png"); err != nil {
		return err
	}
	if cells < 1 || cells > app.MostSwatchCells {
		return usageError{fmt.Errorf("a swatch card has 1 to %d cells, not %d", app.MostSwatchCells, cells)}
	}
	a, _ := p.app()
	var opened *app.Opened
	if file != "" {
		var err error
		opened, err = a.Load(file)
		if err := p.explain(opened, nil, err); err != nil {
			return err
		}
	}
	files, cards, err := a.SwatchCards(opened, cells, o)
	if err != nil {
		return err
	}
	if err := writeFiles(files); err != nil {
		return err
	}
	if asJSON {
		return p.json(swatchCardsJSON{names(files), cards})
	}
	p.wrote(files)
	fmt.Fprintln(p.Out, "print at 100 %: the rule must measure 50 mm\nnext: facings swatch PHOTO")
	return nil
}
