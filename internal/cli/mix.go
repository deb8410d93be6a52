package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

// mixFlags are what mix and match have in common.
type mixFlags struct {
	q                  app.MixRequest
	project, technique string
	asJSON             bool
}

func (f *mixFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.q.Target, "target", "", `the colour wanted: "#rrggbb", "L,a,b", or a finish, paint or mix by name`)
	flags.StringVar(&f.q.Over, "over", "white", `what it is laid over: white, black, "grey 40 %", "#rrggbb", or a finish, paint or mix by name`)
	flags.StringVar(&f.project, "project", "", "take the owned paints of this project FILE; without it the starter rack is used")
	flags.IntVar(&f.q.Paints, "paints", 3, "the most paints in a mix, 1 to 3")
	flags.IntVar(&f.q.Parts, "parts", 8, "the greatest sum of parts, 1 to 20")
	flags.Float64Var(&f.q.AreaMM2, "area", 0, "the area to cover in mm², all figures together")
	flags.StringVar(&f.technique, "technique", "brush", "how it is laid on")
	flags.Float64Var(&f.q.Coats, "coats", 1, "how many coats, taken as one film of that thickness")
	flags.BoolVar(&f.asJSON, "json", false, "print the result as JSON")
	choices(cmd, "technique", "brush", "wash", "drybrush", "dot", "line", "glaze", "spray")
	choices(cmd, "over", "white", "black", "grey 40 %")
}

// request checks the flags and loads the project.
func (p *Program) request(f *mixFlags) (*app.App, app.MixRequest, error) {
	q := f.q
	q.Technique = facings.Technique(f.technique)
	a, _ := p.app()
	switch {
	case strings.TrimSpace(q.Target) == "":
		return a, q, usageError{fmt.Errorf(`--target is missing; for example --target "#3a8f9b"`)}
	case q.Paints < 1 || q.Paints > 3:
		return a, q, usageError{fmt.Errorf("--paints %d: a mix has 1 to 3", q.Paints)}
	case q.Parts < 1 || q.Parts > 20:
		return a, q, usageError{fmt.Errorf("--parts %d: the sum of parts is 1 to 20", q.Parts)}
	case !(q.Coats > 0):
		return a, q, usageError{fmt.Errorf("--coats %v: give more than 0", q.Coats)}
	}
	if f.project == "" {
		return a, q, nil
	}
	o, err := a.Load(f.project)
	if err != nil {
		return a, q, p.explain(o, nil, err)
	}
	q.Project = o.Project
	return a, q, nil
}

func (p *Program) mix() *cobra.Command {
	var f mixFlags
	cmd := &cobra.Command{
		Use:   "mix --target COLOUR",
		Short: "Find the best mix of up to three owned paints for a colour over a ground",
		Long: `Finds the mix of up to three owned paints in whole parts, their sum at most
--parts, that shows the target best over the ground: no other mix is nearer by
CIEDE2000 under D65, and of equally near ones it has fewest paints, then parts.`,
		Args: exactly(0, "no argument, only --target"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			a, q, err := p.request(&f)
			if err != nil {
				return err
			}
			r, err := a.Mix(cmd.Context(), q)
			if err != nil {
				return err
			}
			if f.asJSON {
				return p.json(r)
			}
			p.printMix(r, q.Paints)
			return nil
		},
	}
	f.add(cmd)
	return cmd
}

func (p *Program) match() *cobra.Command {
	var f mixFlags
	cmd := &cobra.Command{
		Use:   "match --target COLOUR",
		Short: "Find the paints nearest to a colour, or to a paint that is missing, over black and over white",
		Args:  exactly(0, "no argument, only --target"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			a, q, err := p.request(&f)
			if err != nil {
				return err
			}
			r, err := a.Match(cmd.Context(), q)
			if err != nil {
				return err
			}
			if f.asJSON {
				return p.json(r)
			}
			p.printMatch(r)
			return nil
		},
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&f.q.Starter, "starter", false, "look through the starter rack too")
	return cmd
}

func colourWords(s app.Seen) string {
	words := fmt.Sprintf("%s, %s", s.Name, s.Hex)
	if s.Given != "" && s.Given != s.Hex {
		words = s.Given + ": " + words
	}
	return words
}

// provedOf says among what there is no better answer, if a mix has so many paints at
// most.
func provedOf(r *app.MixResult, most int) string {
	most = min(most, r.Rack, r.MostParts)
	switch {
	case r.Rack == 1:
		return "it is the only paint there is"
	case most == 1:
		return fmt.Sprintf("of %d single paints none is nearer (proved)", r.Rack)
	}
	return fmt.Sprintf("of all mixes of up to %d of %d paints in parts up to %d none is nearer (proved)", most, r.Rack, r.MostParts)
}

func (p *Program) printMix(r *app.MixResult, most int) {
	fmt.Fprintf(p.Out, "Target  %s\nOver    %s\n", colourWords(r.Target), colourWords(r.Over))
	fmt.Fprintf(p.Out, "Best    %s: ΔE %.2f, shows %s\n", r.Best.Words(), r.Best.DeltaE, colourWords(r.Best.Look))
	fmt.Fprintf(p.Out, "        %s\n", provedOf(r, most))
	fmt.Fprintf(p.Out, "        put out %s%s\n", dropWords(r.Best), areaWords(r.AreaMM2))
	if len(r.Best.Parts) > 1 {
		fmt.Fprintf(p.Out, "        a drop miscounted shifts it by up to ΔE %.1f\n", r.Best.Miscount)
	}
	if len(r.Simpler) > 0 {
		fmt.Fprintln(p.Out, "\nSimpler:")
		t := p.newTable("mix", "ΔE", "shows", "drop miscounted")
		for _, m := range r.Simpler {
			miscount := ""
			if len(m.Parts) > 1 {
				miscount = fmt.Sprintf("ΔE %.1f", m.Miscount)
			}
			t.AppendRow(table.Row{m.Words(), fmt.Sprintf("%.2f", m.DeltaE), colourWords(m.Look), miscount})
		}
		t.Render()
	}
	what := "Mix"
	if len(r.Best.Parts) == 1 {
		what = "Paint"
	}
	fmt.Fprintf(p.Out, "\n%s and target under other lights:\n", what)
	for _, l := range r.Best.Lights {
		fmt.Fprintf(p.Out, "  ΔE %5.2f  %s (%s)\n", l.DeltaE, l.Light, l.What)
	}
	p.printWarnings(r.Warnings, r.Caution)
}

func (p *Program) printWarnings(warnings []string, caution string) {
	if len(warnings) > 0 {
		fmt.Fprintln(p.Out)
	}
	for _, w := range warnings {
		fmt.Fprintf(p.Out, "Mind: %s\n", w)
	}
	if caution != "" {
		fmt.Fprintf(p.Out, "CAUTION: %s\n", caution)
	}
}

func dropWords(m app.MixAnswer) string {
	var out []string
	for _, part := range m.Parts {
		out = append(out, count(part.Drops, "drop", "drops")+" of "+part.Paint)
	}
	return strings.Join(out, ", ")
}

func areaWords(mm2 float64) string {
	if mm2 == 0 {
		return " (the least that can be worked with)"
	}
	return fmt.Sprintf(" for %.0f mm²", mm2)
}

func (p *Program) printMatch(r *app.MatchResult) {
	fmt.Fprintf(p.Out, "Target  %s over white; %s over black\n", colourWords(r.Target), colourWords(r.OverBlack))
	t := p.newTable("paint", "from", "over white ΔE", "over black ΔE", "shows over white", "over black")
	for _, m := range r.Paints {
		t.AppendRow(table.Row{m.Paint, m.From, fmt.Sprintf("%.2f", m.DeltaEWhite), fmt.Sprintf("%.2f", m.DeltaEBlack),
			colourWords(m.OverWhite), colourWords(m.OverBlack)})
	}
	t.Render()
	fmt.Fprintf(p.Out, "\nThe best mix for it, over %s: %s, ΔE %.2f (see facings mix)\n", r.Over.Given, r.Mix.Words(), r.Mix.DeltaE)
	p.printWarnings(r.Warnings, "")
}
