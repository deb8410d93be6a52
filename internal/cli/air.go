package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"facings/internal/app"
)

func (p *Program) air() *cobra.Command {
	var asJSON bool
	var q app.AirQuestion
	var surface, fromCold float64
	cmd := &cobra.Command{
		Use:   "air --temp C --rh PERCENT",
		Short: "Say whether the air is fit to spray and paint in",
		Long: `Works out the dew point and says whether it is fit to spray and to paint by
brush: the surface at least 3 °C above the dew point, humidity green up to 60 %,
amber to 75 %, red above and never over 85 %, 15 to 25 °C for spray and no acrylic
paint below 10 °C. With --from-cold it also says how long castings from a cold
room should stand first. The can's own label goes first.`,
		Example: "  facings air --temp 18 --rh 65\n  facings air --temp 20 --rh 50 --from-cold 5",
		Args:    exactly(0, "no argument, only flags"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !cmd.Flags().Changed("temp") || !cmd.Flags().Changed("rh") {
				return usageError{errors.New("--temp and --rh are both needed; for example --temp 20 --rh 50")}
			}
			if cmd.Flags().Changed("surface") {
				q.SurfaceC = &surface
			}
			if cmd.Flags().Changed("from-cold") {
				q.FromColdC = &fromCold
			}
			a, _ := p.app()
			r, err := a.Air(q)
			if err != nil {
				return err
			}
			if asJSON {
				return p.json(r)
			}
			p.printAir(r)
			return nil
		},
	}
	cmd.Flags().Float64Var(&q.TemperatureC, "temp", 0, "temperature of the air, °C")
	cmd.Flags().Float64Var(&q.HumidityPercent, "rh", 0, "relative humidity, %")
	cmd.Flags().Float64Var(&surface, "surface", 0, "measured temperature of the castings, °C (without it, that of the air)")
	cmd.Flags().Float64Var(&fromCold, "from-cold", 0, "temperature, °C, of the cold room the castings come from")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the result as JSON")
	return cmd
}

func (p *Program) printAir(r *app.AirReport) {
	fmt.Fprintf(p.Out, "Verdict  %s\n", r.Summary)
	fmt.Fprintf(p.Out, "         dew point %.1f °C", r.DewPointC)
	if r.FrostPointC != nil {
		fmt.Fprintf(p.Out, ", frost from %.1f °C", *r.FrostPointC)
	}
	fmt.Fprintln(p.Out)
	if r.DryingFactor != nil {
		fmt.Fprintf(p.Out, "         waterborne paint dries in %.2f times the time it takes at 20 °C and 50 %%\n", *r.DryingFactor)
	}
	fmt.Fprintln(p.Out, "\nWhy:")
	for _, reason := range r.Reasons {
		fmt.Fprintf(p.Out, "  %-8s  %s\n", reason.Verdict, reason.Message)
		if reason.Hint != "" {
			fmt.Fprintf(p.Out, "            %s\n", reason.Hint)
		}
	}
	if r.Warming != nil {
		fmt.Fprintf(p.Out, "\nFrom the cold: %s.\n", r.Warming.Message)
	}
	for _, c := range r.Cautions {
		fmt.Fprintf(p.Out, "\nCAUTION: %s\n", c)
	}
}
