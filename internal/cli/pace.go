package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings/internal/app"
)

func (p *Program) pace() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "pace FILE LOG.json",
		Short: "Show your own pace as a log of timed passes tells it, how sure that is, and how good forecasts were",
		Long: `Learns from the timed passes of a log how long each technique takes you on easy,
middling and fiddly areas, against the defaults. A watch that somebody forgot to
stop is not believed. "facings order FILE --done LOG.json" plans by that pace.

The bench of the pages keeps the log: it is log.json in the zip that they export.`,
		Args: exactly(2, "FILE and LOG.json"),
		RunE: func(cmd *cobra.Command, args []string) error {
			log, err := readEntries(args[1])
			if err != nil {
				return err
			}
			a, bar := p.app()
			o, err := a.Load(args[0])
			if err != nil {
				return p.explain(o, nil, err)
			}
			report, err := a.Pace(cmd.Context(), o, log)
			bar.done()
			if err := p.explain(o, nil, err); err != nil {
				return err
			}
			if asJSON {
				return p.json(report)
			}
			p.printPace(report)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the report as JSON")
	return cmd
}

func (p *Program) printPace(r *app.PaceReport) {
	if r.Passes == 0 {
		fmt.Fprintln(p.Out, "No pass of this log is timed: plans go by the defaults and by pace: in the project.")
		return
	}
	fmt.Fprintf(p.Out, "%s timed; 1 is the time by the defaults, 1.2 a fifth more\n", count(r.Passes, "pass", "passes"))
	t := p.newTable("technique", "areas", "takes", "9 in 10 sure", "passes", "worth")
	for _, f := range r.Factors {
		t.AppendRow(table.Row{f.Technique, f.Fiddliness, fmt.Sprintf("%.2f", f.Factor), fmt.Sprintf("%.2f to %.2f", f.Low, f.High),
			f.Passes, fmt.Sprintf("%.0f", f.Effective)})
	}
	if len(r.Factors) > 0 {
		t.Render()
	}
	for _, d := range r.Doubted {
		fmt.Fprintf(p.Out, "not believed: %s, %s, took %.0f min where %.0f were planned; was the watch stopped?\n",
			d.At.Format("2 Jan 2006 15:04"), strings.TrimSpace(d.Medium+" "+string(d.Group.Technique)), float64(d.Measured), float64(d.Planned))
	}
	if r.Unread > 0 {
		fmt.Fprintf(p.Out, "%s of the log are about work that is not in the project any more\n", count(r.Unread, "timed entry", "timed entries"))
	}
	if s := r.Score; s.Passes > 1 {
		fmt.Fprintf(p.Out, "forecasts along the log: a pass was missed by %.1f min (CRPS), by %.1f had nothing been learned; %.0f %% fell inside the middle half, %.0f %% inside the middle 90 %%\n",
			s.CRPS, s.DefaultCRPS, 100*s.Within50, 100*s.Within90)
		for _, rest := range s.Rest {
			if rest.After >= s.Passes/2 {
				fmt.Fprintf(p.Out, "after %s the rest was forecast at %.0f min (80 %%: %.0f to %.0f) and took %.0f\n",
					count(rest.After, "pass", "passes"), rest.P50, rest.P10, rest.P90, rest.Actual)
				break
			}
		}
	}
}
