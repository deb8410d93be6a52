package cli

import (
	"context"
	"fmt"

	"facings/internal/app"
)

// inWeather plans with a forecast and says on standard error when it sprays,
// since that is about the forecast and not part of the order.
func (p *Program) inWeather(ctx context.Context, a *app.App, o *app.Opened, path string, quiet bool) (*app.Plan, error) {
	f, err := open(path, "give a forecast as CSV with the columns time, temp and rh")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	forecast, err := app.ReadWeather(path, f, o.Project.Calendar)
	if err != nil {
		return nil, err
	}
	w, err := a.PlanInWeather(ctx, o, forecast)
	if err != nil || quiet {
		if w == nil {
			return nil, err
		}
		return w.Plan, err
	}
	const at = "Mon 2 Jan 2006, 15:04"
	for _, s := range w.Sprays {
		moved := ""
		if !s.Instead.IsZero() {
			moved = ", instead of " + s.Instead.Format(at)
		}
		fmt.Fprintf(p.Err, "spraying, pass %d: %s on %s%s: %s\n", s.Pass, s.Medium, s.Start.Format(at), moved, s.Summary)
	}
	if w.Later > 0 {
		fmt.Fprintf(p.Err, "the weather costs %s at the bench\n", hours(w.Later))
	}
	return w.Plan, nil
}
