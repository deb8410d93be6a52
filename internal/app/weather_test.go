package app_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/projectfile"
)

// weather is a forecast in CSV of ten weeks of evenings: fit (20 °C, 50 %) on
// the days named, far too damp on all others. That 85 % and more is no air to
// spray in is common practice (see internal/air).
func weather(t *testing.T, fit ...string) []app.WeatherPoint {
	t.Helper()
	var b strings.Builder
	b.WriteString("time,temp_c,rh\n")
	day := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	for range 70 {
		rh := 93
		for _, f := range fit {
			if day.Format(time.DateOnly) == f {
				rh = 50
			}
		}
		for _, hour := range []int{0, 6, 12, 18} {
			fmt.Fprintf(&b, "%s %02d:00,20,%d\n", day.Format(time.DateOnly), hour, rh)
		}
		day = day.AddDate(0, 0, 1)
	}
	w, err := app.ReadWeather("weather.csv", strings.NewReader(b.String()), facings.Calendar{Zone: "Europe/Vienna"})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func inWeather(t *testing.T, forecast []app.WeatherPoint) *app.WeatherPlan {
	t.Helper()
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 4000, Runs: 10}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	p, err := a.PlanInWeather(context.Background(), o, forecast) // checked like any plan
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSprayingWaitsForFitAir(t *testing.T) {
	fit := []string{"2027-01-12", "2027-01-28", "2027-02-04", "2027-02-25"} // tuesdays and thursdays are the sittings
	p := inWeather(t, weather(t, fit...))
	if len(p.Sprays) < 3 {
		t.Fatalf("sprays: %+v", p.Sprays)
	}
	for _, s := range p.Sprays {
		if s.Verdict != "fit" || !strings.Contains(strings.Join(fit, " "), s.Start.Format(time.DateOnly)) {
			t.Errorf("pass %d, %s on %s: %s", s.Pass, s.Medium, s.Start, s.Verdict)
		}
	}
	for _, f := range p.Findings {
		if strings.HasPrefix(f.ID, "weather-") {
			t.Errorf("%v", f)
		}
	}
	o := p.Order
	if o.LowerBoundMinutes > o.Minutes || o.Gap < 0 || o.Gap > 1 {
		t.Errorf("bound %.0f of %.0f, gap %.2f", float64(o.LowerBoundMinutes), float64(o.Minutes), o.Gap)
	}
}

// A forecast written in the project is planned by like one that is handed over.
func TestPlanKeepsToTheProjectsForecast(t *testing.T) {
	points := weather(t, "2027-01-12", "2027-01-28", "2027-02-04", "2027-02-25")
	given := inWeather(t, points)
	last := 0.0
	a := &app.App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 4000, Runs: 10, Progress: func(stage string, share float64) {
		if share < last-1e-9 {
			t.Errorf("%s: progress falls from %g to %g", stage, last, share)
		}
		last = share
	}}
	o, err := a.Read("army.yaml", projectfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	o.Project.Calendar.Zone = "Europe/Vienna"
	for _, p := range points {
		o.Project.Calendar.Forecast = append(o.Project.Calendar.Forecast,
			facings.Forecast{At: p.At.Format(facings.ForecastTime), TemperatureC: p.TemperatureC, HumidityPercent: p.HumidityPercent})
	}
	if found := o.Project.Validate(); found.Faulty() {
		t.Fatal(found)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	if last != 1 {
		t.Errorf("progress ends at %g", last)
	}
	sprays := 0
	for _, pass := range plan.Order.Passes {
		if pass.Technique == facings.Spray {
			sprays++
			if r := pass.Start.Format(time.DateOnly); !strings.Contains("2027-01-12 2027-01-28 2027-02-04 2027-02-25", r) {
				t.Errorf("pass %d sprays on %s", pass.Number, r)
			}
		}
	}
	if sprays != len(given.Sprays) {
		t.Errorf("%d sprayings, %d where the forecast was handed over", sprays, len(given.Sprays))
	}
}

// Where no fit sitting is forecast the spraying stays, with a warning; beyond
// the forecast nothing is claimed.
func TestSprayingThatCannotBeMovedIsSaid(t *testing.T) {
	p := inWeather(t, weather(t))
	warned := 0
	for _, f := range p.Findings {
		if f.ID == "weather-unfit" && f.Hint != "" {
			warned++
		}
	}
	if warned != len(p.Sprays) || warned == 0 || p.Later != 0 {
		t.Errorf("%d warnings for %d sprayings, %.0f min later", warned, len(p.Sprays), float64(p.Later))
	}
	none := inWeather(t, []app.WeatherPoint{{At: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC), TemperatureC: 20, HumidityPercent: 95}})
	for _, s := range none.Sprays {
		if s.Verdict != "unknown" {
			t.Errorf("%+v", s)
		}
	}
}

func TestForecastsAreReadWithCare(t *testing.T) {
	for text, want := range map[string]string{
		"":                                      "no heading",
		"time,temp\n":                           "one for humidity",
		"time,temp,rh\n":                        "no forecast below",
		"time,temp,rh\nsoon,20,50\n":            "w.csv:2: \"soon\" is no time",
		"time,temp,rh\n2027-01-01 10:00,20\n":   "w.csv:2: 2 values",
		"time,temp,rh\n2027-01-01 10:00,x,50":   "\"x\" is no number",
		"time,temp,rh\n2027-01-01 10:00,20,500": "w.csv:2: ",
	} {
		_, err := app.ReadWeather("w.csv", strings.NewReader(text), facings.Calendar{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	w, err := app.ReadWeather("w.csv", strings.NewReader("\ufeffDate, Humidity %, Temperature\n2027-01-01T10:00:00+02:00, 50, 12.5\n"), facings.Calendar{})
	if err != nil || w[0].TemperatureC != 12.5 || w[0].HumidityPercent != 50 || w[0].At.UTC().Hour() != 8 {
		t.Errorf("%+v, %v", w, err)
	}
}
