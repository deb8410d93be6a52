package cli

import (
	"fmt"
	"strings"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

func (p *Program) newTable(headers ...any) table.Writer {
	t := table.NewWriter()
	t.SetOutputMirror(p.Out)
	style := table.StyleLight
	style.Format.Header = text.FormatDefault // or "µm" becomes "ΜM"
	style.Options.DrawBorder = false
	style.Options.SeparateColumns = false
	style.Options.SeparateHeader = true
	t.SetStyle(style)
	t.AppendHeader(headers)
	return t
}

// planned loads a project and runs one of the app's use cases on it.
func (p *Program) planned(cmd *cobra.Command, file string, steps int64, use func(*app.App, *app.Opened) (*app.Plan, error)) (*app.Plan, error) {
	a, bar := p.app()
	a.Steps = steps
	o, err := a.Load(file)
	if err != nil {
		return nil, p.explain(o, nil, err)
	}
	plan, err := use(a, o)
	bar.done()
	if err == nil {
		// A search that was stopped has an answer too, but not that of the seed.
		err = cmd.Context().Err()
	}
	return plan, p.explain(o, plan, err)
}

func (p *Program) ranks() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "ranks FILE",
		Short: "Show who stands where and what differs from man to man",
		Args:  exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			plan, err := p.planned(cmd, args[0], 0, func(a *app.App, o *app.Opened) (*app.Plan, error) { return a.Roster(cmd.Context(), o) })
			if err != nil {
				return err
			}
			if asJSON {
				return p.json(plan.Roster)
			}
			p.printRoster(plan.Project, plan.Roster)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the roster as JSON")
	return cmd
}

func (p *Program) printRoster(project *facings.Project, r *facings.Roster) {
	for _, u := range r.Units {
		fmt.Fprintf(p.Out, "%s: %s, %s of %s\n", u.Unit, count(len(figuresOf(r, u.Unit)), "figure", "figures"), count(u.Ranks, "rank", "ranks"), count(u.Files, "file", "files"))
		unit := unitNamed(project, u.Unit)
		headers := []any{"rank", "file", "figure"}
		for _, t := range unit.Traits {
			headers = append(headers, t)
		}
		t := p.newTable(headers...)
		for _, f := range figuresOf(r, u.Unit) {
			row := table.Row{f.Rank, f.File, facings.SingleName(f.ID.Role, f.ID.Number)}
			for _, name := range unit.Traits {
				row = append(row, f.Traits[name])
			}
			t.AppendRow(row)
		}
		t.Render()
		for _, line := range shareLines(u) {
			fmt.Fprintf(p.Out, "  %s\n", line)
		}
		if len(u.Shares) > 0 {
			fmt.Fprintf(p.Out, "  neighbours alike in everything: %d; %s\n", u.Alike, provedWords(u))
		}
		fmt.Fprintln(p.Out)
	}
}

func provedWords(u facings.UnitRoster) string {
	if u.Objective >= u.Bound {
		return "no dealing keeps neighbours further apart (proved)"
	}
	return fmt.Sprintf("apart by %d points, no dealing reaches more than %d", u.Objective, u.Bound)
}

// shareLines says per trait what was wanted against what was dealt.
func shareLines(u facings.UnitRoster) []string {
	var lines []string
	trait := ""
	var parts []string
	flush := func() {
		if len(parts) > 0 {
			lines = append(lines, trait+": "+strings.Join(parts, ", "))
		}
		parts = nil
	}
	for _, s := range u.Shares {
		if s.Trait != trait {
			flush()
			trait = s.Trait
		}
		if s.Follows {
			parts = append(parts, fmt.Sprintf("%s %d", s.Value, s.Count))
		} else if s.Count > 0 || s.Wanted > 0 {
			parts = append(parts, fmt.Sprintf("%s %d (%.0f %% wanted)", s.Value, s.Count, 100*s.Wanted))
		}
	}
	flush()
	return lines
}

func figuresOf(r *facings.Roster, unit string) []facings.Figure {
	var out []facings.Figure
	for _, f := range r.Figures {
		if f.ID.Unit == unit {
			out = append(out, f)
		}
	}
	return out
}

func unitNamed(p *facings.Project, name string) *facings.Unit {
	for i := range p.Units {
		if p.Units[i].Name == name {
			return &p.Units[i]
		}
	}
	return &facings.Unit{}
}

// summary is the plan in a dozen numbers.
type summary struct {
	Project       string          `json:"project"`
	Figures       int             `json:"figures"`
	Units         int             `json:"units"`
	Passes        int             `json:"passes"`
	LeftOut       int             `json:"left_out"`
	Status        string          `json:"status"`
	Minutes       facings.Minutes `json:"minutes"`
	WorkMinutes   facings.Minutes `json:"work_minutes"`
	SetUpMinutes  facings.Minutes `json:"setup_minutes"`
	WaitMinutes   facings.Minutes `json:"wait_minutes"`
	LowerBound    facings.Minutes `json:"lower_bound_minutes"`
	Gap           float64         `json:"gap"`
	Sittings      int             `json:"sittings"`
	FinishP50     string          `json:"finish_p50"`
	FinishP90     string          `json:"finish_p90"`
	PaintsToBuy   int             `json:"paints_to_buy"`
	CommonColours []string        `json:"common_colours"`
}

func summarise(plan *app.Plan) summary {
	o := plan.Order
	s := summary{Project: plan.Project.Name, Figures: len(plan.Roster.Figures), Units: len(plan.Project.Units), Passes: len(o.Passes),
		LeftOut: len(o.LeftOut), Status: o.Status, Minutes: o.Minutes, WorkMinutes: o.WorkMinutes, SetUpMinutes: o.SetUpMinutes,
		WaitMinutes: o.WaitMinutes, LowerBound: o.LowerBoundMinutes, Gap: o.Gap, Sittings: len(o.Sittings),
		FinishP50: o.FinishP50, FinishP90: o.FinishP90, CommonColours: plan.CommonColours()}
	for _, n := range plan.Shopping.Paints {
		if n.Buy > 0 {
			s.PaintsToBuy++
		}
	}
	return s
}

func (p *Program) printSummary(plan *app.Plan, verbose bool) {
	s, o := summarise(plan), plan.Order
	fmt.Fprintf(p.Out, "%s\n", s.Project)
	fmt.Fprintf(p.Out, "  %s in %s: %s in %s, %s left out as already right\n", count(s.Figures, "figure", "figures"),
		count(s.Units, "unit", "units"), count(s.Passes, "pass", "passes"), count(s.Sittings, "sitting", "sittings"), count(s.LeftOut, "coat", "coats"))
	if o.DoneTasks > 0 {
		fmt.Fprintf(p.Out, "  done already: %s, %s of work; what follows is of the rest\n", count(o.DoneTasks, "coat", "coats"), hours(o.DoneMinutes))
	}
	if s.Passes == 0 {
		fmt.Fprintln(p.Out, "  nothing is left to do")
		return
	}
	fmt.Fprintf(p.Out, "  %s at the bench: %s of work, %s of set-up, %s of waiting\n", hours(s.Minutes), hours(s.WorkMinutes),
		hours(s.SetUpMinutes), hours(s.WaitMinutes))
	fmt.Fprintf(p.Out, "  %s\n", provedOrder(o))
	fmt.Fprintf(p.Out, "  ready on %s as likely as not, by %s in nine cases of ten%s\n", s.FinishP50, s.FinishP90, onTime(o))
	if n := len(s.CommonColours); n > 0 {
		const most = 6
		names := s.CommonColours
		more := ""
		if n > most+1 && !verbose {
			names, more = names[:most], fmt.Sprintf(" and %d more (all with facings order --verbose)", n-most)
		}
		fmt.Fprintf(p.Out, "  colours that units share: %s%s\n", strings.Join(names, ", "), more)
	}
	if s.PaintsToBuy > 0 {
		fmt.Fprintf(p.Out, "  %s to buy: see facings shop\n", count(s.PaintsToBuy, "paint", "paints"))
	}
}

// provedOrder says in words how good the order is proved to be.
func provedOrder(o *facings.Order) string {
	if o.Status == "optimal" {
		return "no order needs less time at the bench (proved)"
	}
	return fmt.Sprintf("no order can need less than %s; of set-up and waiting, %.0f %% is not proved necessary", hours(o.LowerBoundMinutes), 100*o.Gap)
}

func onTime(o *facings.Order) string {
	if o.OnTime == nil {
		return ""
	}
	return fmt.Sprintf("; wanted by %s: %.0f %% likely", o.ReadyBy, 100**o.OnTime)
}

// hours writes minutes as "3 h 05 min".
func hours(m facings.Minutes) string {
	d := time.Duration(float64(m) * float64(time.Minute)).Round(time.Minute)
	if d < time.Hour {
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}
