package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

func (p *Program) campaign() *cobra.Command {
	var asJSON, quick bool
	var log string
	var steps int64
	cmd := &cobra.Command{
		Use:   "campaign FILE",
		Short: "Show in what order to paint an army for its dates, and what to leave out where a date cannot be met",
		Long: `Works out in what order to paint the units of an army so that those that matter
most (worth: in a unit) are ready by each date (games: in the calendar, ready_by:
in a unit), from the minutes that each unit takes by itself. Where a unit misses a
date it says what could be left out to keep it, and what that costs in looks.`,
		Args: exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkSteps(steps); err != nil {
				return err
			}
			var entries []facings.Entry
			var err error
			if log != "" {
				if entries, err = readEntries(log); err != nil {
					return err
				}
			}
			a, bar := p.app()
			a.Steps = steps
			o, err := a.Load(args[0])
			if err != nil {
				return p.explain(o, nil, err)
			}
			o.Progress = facings.ProgressOf(entries)
			if o.Pace, err = a.LearnedPace(cmd.Context(), o, entries); err != nil {
				return p.explain(o, nil, err)
			}
			c, err := a.Campaign(cmd.Context(), o, app.CampaignOptions{Quick: quick})
			bar.done()
			if err != nil {
				return p.explain(o, nil, err)
			}
			if asJSON {
				return p.json(c)
			}
			p.printCampaign(c)
			return nil
		},
	}
	cmd.Flags().StringVar(&log, "done", "", "a LOG of what is painted already (JSON): only what is left is planned, from now on")
	cmd.Flags().BoolVar(&quick, "quick", false, "do not plan the whole army to check the dates")
	cmd.Flags().Int64Var(&steps, "steps", 0, "search work allowed for each plan, in steps")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the campaign as JSON")
	return cmd
}

func (p *Program) printCampaign(c *app.Campaign) {
	var all facings.Minutes
	for _, u := range c.Sequence {
		all += u.Minutes
	}
	fmt.Fprintf(p.Out, "%s: %s at the bench, unit by unit\n", c.Project, hours(all))
	t := p.newTable("turn", "unit", "worth", "figures", "takes", "ready", "in the plan")
	for i, u := range c.Sequence {
		t.AppendRow(table.Row{i + 1, strings.Join(u.Units, ", "), number(u.Worth), u.Figures, hours(u.Minutes), u.Ready, u.Planned})
	}
	t.Render()
	proof := "no other order of the units is worth more (proved, by these minutes)"
	if c.Status != "optimal" {
		proof = fmt.Sprintf("no order can be worth more than %s", number(c.Bound))
	}
	fmt.Fprintf(p.Out, "worth %s of %s over all dates; %s\n", number(c.Worth), number(c.Wanted), proof)
	for _, d := range c.Dates {
		fmt.Fprintf(p.Out, "\n%s, %s: worth %s of %s\n", d.Date, d.Name, number(d.Worth), number(d.Wanted))
		if len(d.Ready) > 0 {
			fmt.Fprintf(p.Out, "  ready: %s\n", strings.Join(d.Ready, ", "))
		}
		if len(d.AtRisk) > 0 {
			fmt.Fprintf(p.Out, "  at risk: %s: planned along with the rest ready only later; finish them first\n", strings.Join(d.AtRisk, ", "))
		}
		for _, late := range d.Late {
			p.printLate(late)
		}
	}
	if len(c.Cuts) > 0 {
		fmt.Fprintln(p.Out)
		t := p.newTable("unit", "without", "coats", "saves", "off by ΔE", "most at", "shows", "in place of")
		for _, x := range c.Cuts {
			t.AppendRow(table.Row{batchOf(c, x.Unit), x.What, x.Coats, hours(x.Minutes), fmt.Sprintf("%.2f", x.Loss), fmt.Sprintf("%s (%.0f)", x.Most, x.DeltaE), x.Without.Name, x.With.Name})
		}
		t.Render()
		fmt.Fprintln(p.Out, "off by ΔE: the mean over a figure's surface as seen from three feet; 1 is just noticed side by side")
	}
}

// batchOf names all units that are painted together with one.
func batchOf(c *app.Campaign, unit string) string {
	for _, u := range c.Sequence {
		if slices.Contains(u.Units, unit) {
			return strings.Join(u.Units, ", ")
		}
	}
	return unit
}

func (p *Program) printLate(late app.Late) {
	fmt.Fprintf(p.Out, "  late: %s, by %s at the bench\n", strings.Join(late.Units, ", "), hours(late.Short))
	if len(late.Drops) == 0 {
		fmt.Fprintln(p.Out, "    nothing is left that could be left out: add sittings")
		return
	}
	for i, d := range late.Drops {
		enough := ""
		switch {
		case d.Enough:
			enough = ": enough"
		case i == len(late.Drops)-1:
			enough = ": all there is, and not enough; add sittings"
		}
		fmt.Fprintf(p.Out, "    without %s: saves %s, off by ΔE %.2f%s\n", cutsInWords(d.Cuts), hours(d.Minutes), d.Loss, enough)
	}
}

// cutsInWords says what is left out, unit by unit: of "eyes on the Lancers" and
// "lace on the Lancers" it makes "eyes and lace on the Lancers".
func cutsInWords(cuts []string) string {
	var units []string
	what := map[string][]string{}
	for _, cut := range cuts {
		w, unit, _ := strings.Cut(cut, " on the ")
		if what[unit] == nil {
			units = append(units, unit)
		}
		what[unit] = append(what[unit], w)
	}
	var out []string
	for _, unit := range units {
		list := what[unit]
		words := strings.Join(list, ", ")
		if n := len(list); n > 1 {
			words = strings.Join(list[:n-1], ", ") + " and " + list[n-1]
		}
		out = append(out, words+" on the "+unit)
	}
	return strings.Join(out, "; ")
}

// number writes a number as short as can be.
func number(x float64) string { return fmt.Sprintf("%g", x) }
