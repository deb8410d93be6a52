package cli

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

func (p *Program) order() *cobra.Command {
	var asJSON, tasks, verbose bool
	var steps int64
	var log, weather string
	cmd := &cobra.Command{
		Use:   "order FILE",
		Short: "Show the passes, the sittings, the finish dates, and how good the order is proved to be",
		Long: `Plans the work on FILE: the passes in the best order that was found, sitting by
sitting, with the dates by which it is done.

With --done LOG only what is left is planned. The bench of the pages keeps such a
log: it is log.json in the zip that they export. A log of one's own is a list of
entries whose tasks --json --tasks gives for every pass.`,
		Example: "  facings order army.yaml\n  facings order army.yaml --done log.json\n  facings order army.yaml --json --tasks > order.json",
		Args:    exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if tasks && !asJSON {
				return usageError{errors.New("--tasks goes with --json")}
			}
			if err := checkSteps(steps); err != nil {
				return err
			}
			var entries []facings.Entry
			if log != "" {
				var err error
				if entries, err = readEntries(log); err != nil {
					return err
				}
			}
			plan, err := p.planned(cmd, args[0], steps, func(a *app.App, o *app.Opened) (*app.Plan, error) {
				var err error
				o.Progress = facings.ProgressOf(entries)
				if o.Pace, err = a.LearnedPace(cmd.Context(), o, entries); err != nil {
					return nil, err
				}
				if weather != "" {
					return p.inWeather(cmd.Context(), a, o, weather, asJSON)
				}
				return a.Plan(cmd.Context(), o)
			})
			if err != nil {
				if asJSON && plan != nil && plan.Order != nil && len(plan.Order.Conflicts) > 0 {
					return errors.Join(p.json(plan.OrderResult()), err)
				}
				return err
			}
			p.strangers(log, plan.Roster, entries)
			if asJSON {
				result := plan.OrderResult()
				if tasks {
					result.PassTasks = plan.TasksOfPasses()
				}
				return p.json(result)
			}
			p.printOrder(plan, verbose)
			return nil
		},
	}
	cmd.Flags().StringVar(&log, "done", "", "a LOG of what is painted already (JSON): only what is left is planned, from now on")
	cmd.Flags().StringVar(&weather, "weather", "", "a forecast (CSV: time, temp, rh) in place of the file's own: spraying is moved to sittings in which the air is fit for it")
	cmd.Flags().BoolVar(&verbose, "verbose", false, "show every colour that units share, and everything that is left out")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the order as JSON")
	cmd.Flags().BoolVar(&tasks, "tasks", false, "with --json: the tasks of every pass too, as a log names them")
	cmd.Flags().Int64Var(&steps, "steps", 0, "search work allowed, in steps (0: by the project's size); the same number gives the same order everywhere")
	return cmd
}

func (p *Program) printOrder(plan *app.Plan, verbose bool) {
	p.printSummary(plan, verbose)
	o := plan.Order
	for _, s := range o.Sittings {
		waiting, left := waits(s)
		fmt.Fprintf(p.Out, "\nSitting %d, %s, %s to %s%s: %.0f min of work, %.0f of set-up, %.0f of waiting%s\n", s.Number,
			s.Begins.Format("Mon 2 Jan 2006"), s.Begins.Format("15:04"), s.End.Format("15:04"), byPainter(plan, s), math.Round(float64(s.WorkMinutes)),
			math.Round(float64(s.SetUpMinutes)), math.Round(float64(waiting)), left)
		for _, n := range s.Passes {
			p.printPass(plan, &o.Passes[n-1], s)
		}
	}
	if slices.ContainsFunc(o.Passes, func(pass facings.Pass) bool { return pass.Drops > 0 && pass.Drops <= facings.MinimumDrops }) {
		fmt.Fprintln(p.Out, "\nWhere no amount is given a few drops do.")
	}
	p.printLeftOut(plan, verbose)
}

// checkSteps refuses search work that is none.
func checkSteps(steps int64) error {
	if steps < 0 {
		return usageError{fmt.Errorf("--steps %d: give 0 or more", steps)}
	}
	return nil
}

// waits tells waiting inside a sitting from what is left of it at its end, for
// which the order counts too: something was not dry in time.
func waits(s facings.Sitting) (waiting facings.Minutes, left string) {
	rest := s.WorkMinutes + s.SetUpMinutes + s.WaitMinutes - facings.Minutes(s.End.Sub(s.Begins).Minutes())
	if rest < 0.5 {
		return s.WaitMinutes, ""
	}
	return max(0, s.WaitMinutes-rest), fmt.Sprintf("; the last %.0f are lost to drying", float64(rest))
}

func byPainter(plan *app.Plan, s facings.Sitting) string {
	if len(plan.Project.Calendar.Painters) < 2 {
		return ""
	}
	return ", " + s.Painter
}

func (p *Program) printPass(plan *app.Plan, pass *facings.Pass, s facings.Sitting) {
	name := pass.Name()
	if len(pass.Mix) > 0 {
		name += " (" + mixWords(pass.Mix) + ")"
	}
	more := ""
	if pass.Start.Before(s.Start) {
		more = ", continued"
	}
	areas := strings.Join(pass.Areas, ", ")
	if areas == facings.WholeFigure {
		areas = "all over"
	}
	fmt.Fprintf(p.Out, "  %3d  %s, %s: %s%s\n", pass.Number, name, how(pass), areas, more)
	if more != "" {
		return
	}
	if groups := byAreas(plan.Coats, pass); len(groups) == 1 {
		fmt.Fprintf(p.Out, "       %s\n", facings.FiguresInWords(plan.Roster, pass.Figures))
	} else {
		for _, g := range groups {
			fmt.Fprintf(p.Out, "       %s: %s\n", strings.Join(g.areas, ", "), facings.FiguresInWords(plan.Roster, g.figures))
		}
	}
	line := fmt.Sprintf("%.0f min", math.Ceil(float64(pass.Minutes)))
	if pass.Wait >= 0.5 && s.Passes[0] != pass.Number { // the first of a sitting waited at the end of the one before
		line += fmt.Sprintf(" after %.0f min of waiting", float64(pass.Wait))
	}
	if pass.Drops > facings.MinimumDrops {
		line += ", about " + amountOut(plan.Project, pass)
	}
	switch {
	case len(pass.Mix) > 0 && pass.Makes == 0:
		line += ", the mix of before is still fresh"
	case pass.Makes > 1:
		line += fmt.Sprintf(", mixed %d times as it dries on the palette", pass.Makes)
	}
	if pass.Look.Name != "" {
		line += ", shows " + pass.Look.Name
	}
	fmt.Fprintf(p.Out, "       %s\n", line)
	if len(pass.AlsoCover) > 0 {
		fmt.Fprintf(p.Out, "       go over these too where they want the same colour: %s\n", strings.Join(pass.AlsoCover, ", "))
	}
	if len(pass.KeepOff) > 0 {
		fmt.Fprintf(p.Out, "       keep off: %s\n", strings.Join(pass.KeepOff, ", "))
	}
	if pass.Caution != "" {
		fmt.Fprintf(p.Out, "       CAUTION: %s\n", pass.Caution)
	}
}

// how is the tool of a pass, with the technique where the tool does not tell it.
func how(pass *facings.Pass) string {
	switch pass.Technique {
	case facings.WashOn, facings.Drybrush, facings.Dot, facings.Line, facings.Glaze:
		return fmt.Sprintf("%s with %s", pass.Technique, pass.Tool)
	}
	return pass.Tool
}

// areasOn is some areas with the figures on which a pass paints just these.
type areasOn struct {
	areas   []string
	figures []int
}

// byAreas gathers a pass's areas by the figures that they go on.
func byAreas(coats *facings.Coats, pass *facings.Pass) []areasOn {
	figures := map[string][]int{}
	for _, t := range pass.Tasks {
		task := &coats.Tasks[t]
		if !slices.Contains(figures[task.Area], task.Figure) {
			figures[task.Area] = append(figures[task.Area], task.Figure)
		}
	}
	var out []areasOn
	for _, area := range pass.Areas {
		on := slices.Sorted(slices.Values(figures[area]))
		if i := slices.IndexFunc(out, func(g areasOn) bool { return slices.Equal(g.figures, on) }); i >= 0 {
			out[i].areas = append(out[i].areas, area)
		} else {
			out = append(out, areasOn{[]string{area}, on})
		}
	}
	return out
}

// amountOut is what to put out for a pass: in drops, or in millilitres where
// nobody would count them.
func amountOut(project *facings.Project, pass *facings.Pass) string {
	const exact, countable = 10, 40
	if pass.Drops <= exact {
		return fmt.Sprintf("%.0f drops", pass.Drops)
	}
	if pass.Drops <= countable {
		return fmt.Sprintf("%.0f drops", 5*math.Round(pass.Drops/5))
	}
	paint, _ := project.FindPaint(pass.Medium)
	per := paint.DropsPerML
	if per <= 0 {
		per = facings.DefaultDropsPerMillilitre
	}
	return fmt.Sprintf("%.0f mL", math.Ceil(pass.Drops/per))
}

func mixWords(parts []facings.Part) string {
	var out []string
	for _, part := range parts {
		out = append(out, fmt.Sprintf("%d %s", part.Parts, part.Paint))
	}
	return strings.Join(out, " + ")
}

func (p *Program) printLeftOut(plan *app.Plan, verbose bool) {
	o := plan.Order
	if len(o.LeftOut) == 0 {
		return
	}
	fmt.Fprintf(p.Out, "\nLeft out, because it is right already:\n")
	type coat struct{ area, medium, reason string }
	var order []coat
	figures := map[coat][]int{}
	for _, l := range o.LeftOut {
		k := coat{l.Area, l.Medium, l.Reason}
		if figures[k] == nil {
			order = append(order, k)
		}
		figures[k] = append(figures[k], l.Figure)
	}
	// Areas that are left out on the same figures for the same reason share a line.
	type line struct{ medium, figures, reason string }
	var lines []line
	areas := map[line][]string{}
	for _, k := range order {
		at := line{k.medium, facings.FiguresInWords(plan.Roster, figures[k]), k.reason}
		if areas[at] == nil {
			lines = append(lines, at)
		}
		areas[at] = append(areas[at], k.area)
	}
	const most = 12
	for n, at := range lines {
		if n == most && !verbose && len(lines) > most+1 {
			fmt.Fprintf(p.Out, "  and %d more like these: see --verbose\n", len(lines)-most)
			break
		}
		fmt.Fprintf(p.Out, "  %s on the %s of %s\n       %s\n", at.medium, strings.Join(areas[at], ", "), at.figures,
			strings.TrimPrefix(at.reason, "already right: "))
	}
}
