package app

import (
	"context"
	"errors"
	"strings"
	"time"

	"facings"
)

// maxForecast bounds a forecast as text, in bytes.
const maxForecast = 1 << 20

// WeatherAnswer is the plan of what is left as it would be in forecast weather,
// beside what it would be in any.
type WeatherAnswer struct {
	Points int       `json:"points"` // of the forecast
	First  time.Time `json:"first"`
	Last   time.Time `json:"last"`
	// Sprays are the spraying passes, by number; empty where nothing is sprayed.
	Sprays []SprayTime `json:"sprays"`
	// LaterMinutes is by how much bench time the plan is longer than without.
	LaterMinutes facings.Minutes `json:"later_minutes"`
	WhatIfNumbers
	Findings facings.Diagnostics `json:"findings"`
}

// Weather plans what is left so that spraying falls into fit air (see
// App.PlanInWeather). The forecast is CSV as ReadWeather takes it. Nothing is
// kept. Faults of the forecast name its line.
func (d *Desk) Weather(ctx context.Context, id, forecast string) (*WeatherAnswer, error) {
	if len(forecast) > maxForecast {
		return nil, &Mistake{Message: "the forecast is longer than 1 MB", Hint: "leave out the days after the project"}
	}
	s, r, _, err := d.current(ctx, id)
	if err != nil {
		return nil, err
	}
	if r.opened.Findings.Faulty() {
		return nil, &Mistake{Message: "the project has faults", Hint: "mend them first", Findings: r.opened.Findings}
	}
	points, err := ReadWeather("forecast", strings.NewReader(forecast), r.opened.Project.Calendar)
	if err != nil {
		return nil, &Mistake{Message: err.Error(), Hint: "a heading time,temp_c,rh, then lines like 2027-01-05 19:00,18,55"}
	}
	o := *r.opened
	s.mu.Lock()
	o.Progress = s.progress
	s.mu.Unlock()
	d.learn(ctx, s, r, &o)
	select { // the search uses all processors, so one at a time
	case d.planning <- struct{}{}:
		defer func() { <-d.planning }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	a := d.app
	plan, err := a.PlanInWeather(ctx, &o, points)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case errors.Is(err, ErrFaulty) && plan != nil && plan.Plan != nil:
		return nil, &Mistake{Message: "that cannot be planned", Findings: plan.Findings}
	case err != nil:
		return nil, err
	}
	out := &WeatherAnswer{Points: len(points), First: points[0].At, Last: points[len(points)-1].At, Sprays: plan.Sprays,
		LaterMinutes: plan.Later, WhatIfNumbers: numbersOf(plan.Order), Findings: facings.Diagnostics{}}
	for _, f := range plan.Findings {
		if strings.HasPrefix(f.ID, "weather-") {
			out.Findings = append(out.Findings, f)
		}
	}
	return out, nil
}
