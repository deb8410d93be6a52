package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

func (p *Program) shop() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "shop FILE",
		Short: "Show the paint needed, owned, short and to buy",
		Args:  exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			plan, err := p.planned(cmd, args[0], 0, func(a *app.App, o *app.Opened) (*app.Plan, error) { return a.Coats(cmd.Context(), o) })
			if err != nil {
				return err
			}
			a, _ := p.app()
			if err := a.Instead(cmd.Context(), plan); err != nil {
				return err
			}
			if asJSON {
				return p.json(plan.Shopping)
			}
			p.printShopping(plan.Shopping)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON")
	return cmd
}

func (p *Program) printShopping(list *facings.Shopping) {
	t := p.newTable("paint", "kind", "needed", "drops", "on the rack", "short", "buy", "")
	row := func(n facings.Need) {
		unit, need, left := "mL", n.NeedML, n.LeftML
		if n.Kind == facings.Texture {
			unit, need, left = "g", n.NeedG, n.LeftG
		}
		drops, short, buy := "", "", ""
		if n.Drops > 0 {
			drops = fmt.Sprint(n.Drops)
		}
		if n.Buy > 0 {
			short, buy = amount(n.Short, unit), fmt.Sprint(n.Buy)
		}
		rack := amount(left, unit)
		if !n.Owned {
			rack = "none"
		}
		note := n.Note
		if len(n.InMixes) > 0 {
			note = strings.TrimPrefix(note+"; in "+strings.Join(n.InMixes, ", "), "; ")
		}
		if n.Instead != "" {
			or := "; or "
			if strings.HasPrefix(n.Instead, "nothing") {
				or = "; "
			}
			note = strings.TrimPrefix(note+or+n.Instead, "; ")
		}
		t.AppendRow(table.Row{n.Paint, n.Kind, amount(need, unit), drops, rack, short, buy, note})
	}
	for _, n := range list.Paints {
		row(n)
	}
	for _, n := range list.Materials {
		row(n)
	}
	t.Render()
}

// amount writes a quantity with two figures after the point when it is small.
func amount(v float64, unit string) string {
	if v > 0 && v < 1 {
		return fmt.Sprintf("%.2f %s", v, unit)
	}
	return fmt.Sprintf("%.1f %s", v, unit)
}
