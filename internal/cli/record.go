package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
	"facings/internal/projectfile"
)

func (p *Program) record() *cobra.Command {
	var asJSON bool
	var find string
	cmd := &cobra.Command{
		Use:   "record FILE LOG.json",
		Short: "Show what was really used on each unit: paints, lots, mixes, dates, notes and photographs",
		Args:  exactly(2, "FILE and LOG.json"),
		RunE: func(cmd *cobra.Command, args []string) error {
			log, err := readEntries(args[1])
			if err != nil {
				return err
			}
			plan, err := p.planned(cmd, args[0], 0, func(a *app.App, o *app.Opened) (*app.Plan, error) { return a.Coats(cmd.Context(), o) })
			if err != nil {
				return err
			}
			record := (&app.App{}).Record(plan, log)
			if find != "" {
				record = record.Find(find)
			}
			if asJSON {
				return p.json(record)
			}
			p.printRecord(record, find)
			return nil
		},
	}
	cmd.Flags().StringVar(&find, "find", "", "show only what holds all of these words: a paint, a unit, an area, a lot, a date …")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the record as JSON")
	return cmd
}

func (p *Program) printRecord(r *app.Record, find string) {
	const day = "2 January 2006"
	shown := 0
	remarks := func(list []app.Remark) {
		for _, x := range list {
			fmt.Fprintf(p.Out, "  %s: %s\n", x.At.Format(day), x.Words())
			shown++
		}
	}
	for _, u := range r.Units {
		if len(u.Laid)+len(u.Remarks) == 0 {
			if find == "" {
				fmt.Fprintf(p.Out, "%s: nothing painted yet\n", u.Unit)
				shown++
			}
			continue
		}
		when := "on " + u.First.Format(day)
		if last := u.Last.Format(day); "on "+last != when {
			when = fmt.Sprintf("from %s to %s", u.First.Format(day), last)
		}
		fmt.Fprintf(p.Out, "%s: painted %s\n", u.Unit, when)
		for _, l := range u.Laid {
			fmt.Fprintf(p.Out, "  %s\n", strings.ReplaceAll(l.Text(), " of "+u.Unit, "")) // it is said above
			shown++
		}
		remarks(u.Remarks)
	}
	if len(r.Remarks) > 0 {
		fmt.Fprintf(p.Out, "%s, about no unit:\n", r.Project)
		remarks(r.Remarks)
	}
	if shown == 0 {
		fmt.Fprintf(p.Out, "Nothing in the record holds %q: look for fewer words.\n", find)
	}
}

func (p *Program) more() *cobra.Command {
	var asJSON bool
	var figures int
	var log, out, rack string
	cmd := &cobra.Command{
		Use:   "more FILE UNIT",
		Short: "Start a project of more figures that match a unit as it was really painted",
		Long: `Writes a new project of more figures of a unit: the same scheme and traits, with
the paints and mixes that the log says were really used. What the rack has not
any more is said, with the best mix in its place.`,
		Args: exactly(2, "FILE and UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if figures < 1 || out == "" {
				return usageError{errors.New("--figures N and --out NEW.yaml are needed")}
			}
			if _, err := os.Stat(out); err == nil {
				return fmt.Errorf("%s is there already and was left alone; choose another name", out)
			} else if !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			if err := roomFor(out); err != nil {
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
			o, err := a.Load(args[0])
			if err != nil {
				return p.explain(o, nil, err)
			}
			var now []facings.Paint
			if rack != "" {
				other, err := a.Load(rack)
				if err != nil {
					return p.explain(other, nil, err)
				}
				now = other.Project.Rack
			}
			more, err := a.More(cmd.Context(), o, entries, args[1], figures, now)
			bar.done()
			if err != nil {
				return err
			}
			if err := projectfile.Write(out, more.Text); err != nil {
				return err
			}
			if asJSON {
				return p.json(more)
			}
			fmt.Fprintf(p.Out, "wrote %s: %s to match the %s\n", out, count(figures, "figure", "figures"), more.Unit)
			for _, s := range more.AsPainted {
				fmt.Fprintf(p.Out, "  as really painted: %s\n", s)
			}
			for _, trait := range more.Freed {
				fmt.Fprintf(p.Out, "  %s: dealt to go with the other traits, since so few cannot have its shares\n", trait)
			}
			for _, m := range more.Missing {
				fmt.Fprintf(p.Err, "warning: %s\n", m.Words)
			}
			fmt.Fprintf(p.Out, "next: facings order %s\n", word(out))
			return nil
		},
	}
	cmd.Flags().IntVar(&figures, "figures", 0, "how many figures more")
	cmd.Flags().StringVar(&log, "log", "", "the LOG of what was painted (JSON): paints and mixes as really used")
	cmd.Flags().StringVar(&rack, "rack", "", "a project FILE whose rack is the one of now (the project's own by default)")
	cmd.Flags().StringVar(&out, "out", "", "the new project file to write")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print what was found as JSON")
	return cmd
}
