package app

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"facings"
	"facings/internal/air"
	"facings/internal/sitting"
	"facings/internal/solve"
)

// WeatherPoint is the air at the place of spraying at one time: as forecast,
// until the next point, and for no longer than weatherHolds.
type WeatherPoint struct {
	At              time.Time `json:"at"`
	TemperatureC    float64   `json:"temperature_c"`
	HumidityPercent float64   `json:"humidity_percent"`
}

// weatherHolds is how long a point of a forecast is taken to hold, and
// MostWeather how many points there may be.
const (
	weatherHolds = 6 * time.Hour
	MostWeather  = 20_000

	mostWeatherBytes = 4 << 20
)

// ReadWeather reads a forecast from CSV with a heading: time, temperature in °C
// and relative humidity in %, found by headings that begin with time (or date),
// temp and rh or hum. Times are RFC 3339, or "2027-01-05 19:00" in the
// calendar's zone. Errors name file and line.
func ReadWeather(name string, r io.Reader, c facings.Calendar) ([]WeatherPoint, error) {
	zone, err := sitting.Zone(c)
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(r, mostWeatherBytes+1))
	if err != nil {
		return nil, err
	}
	if len(text) > mostWeatherBytes { // half of a forecast is none
		return nil, fmt.Errorf("%s: more than %d MiB; cut it to the weeks of the plan", name, mostWeatherBytes>>20)
	}
	table := csv.NewReader(bytes.NewReader(text))
	table.TrimLeadingSpace, table.FieldsPerRecord = true, -1
	head, err := table.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: no heading: the first line should read time,temperature_c,humidity_percent", name)
	}
	column := func(starts ...string) int {
		return slices.IndexFunc(head, func(h string) bool {
			h = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\ufeff")))
			return slices.ContainsFunc(starts, func(s string) bool { return strings.HasPrefix(h, s) })
		})
	}
	at, warm, damp := column("time", "date"), column("temp"), column("rh", "hum", "relative")
	if at < 0 || warm < 0 || damp < 0 {
		return nil, fmt.Errorf("%s:1: headings %q: one for time, one for temperature (temp…) and one for humidity (rh or hum…) are needed", name, strings.Join(head, ","))
	}
	var out []WeatherPoint
	for {
		row, err := table.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := table.FieldPos(0)
		w, err := weatherPoint(row, at, warm, damp, zone)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
		if out = append(out, w); len(out) > MostWeather {
			return nil, fmt.Errorf("%s: more than %d lines of forecast", name, MostWeather)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: a heading, but no forecast below it", name)
	}
	slices.SortStableFunc(out, func(a, b WeatherPoint) int { return a.At.Compare(b.At) })
	return out, nil
}

func weatherPoint(row []string, at, warm, damp int, zone *time.Location) (WeatherPoint, error) {
	var w WeatherPoint
	if len(row) <= max(at, warm, damp) {
		return w, fmt.Errorf("%d values, fewer than the heading has", len(row))
	}
	said := strings.TrimSpace(row[at])
	var err error
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05"} {
		if w.At, err = time.ParseInLocation(layout, said, zone); err == nil {
			break
		}
	}
	if err != nil {
		return w, fmt.Errorf("%q is no time like 2027-01-05 19:00", said)
	}
	if w.At.Year() < 2000 || w.At.Year() > 2200 {
		return w, fmt.Errorf("%q cannot be the time of a forecast", said)
	}
	for _, x := range []struct {
		into *float64
		text string
	}{{&w.TemperatureC, row[warm]}, {&w.HumidityPercent, row[damp]}} {
		if *x.into, err = strconv.ParseFloat(strings.TrimSpace(x.text), 64); err != nil {
			return w, fmt.Errorf("%q is no number", x.text)
		}
	}
	if _, err := air.Judge(air.Question{TemperatureC: w.TemperatureC, HumidityPercent: w.HumidityPercent}); err != nil {
		return w, err
	}
	return w, nil
}

// SprayTime is a spraying pass of a plan and the air forecast for it.
type SprayTime struct {
	Pass    int       `json:"pass"` // number
	Medium  string    `json:"medium"`
	Start   time.Time `json:"start"`
	End     time.Time `json:"end"`
	Verdict string    `json:"verdict"` // fit, doubtful, unfit, or unknown without a forecast
	Summary string    `json:"summary"`
	// Instead is when it would have been without the weather, zero if then too.
	Instead time.Time `json:"instead_of,omitzero"`
}

// WeatherPlan is a plan whose spraying keeps to fit air, as far as it can.
type WeatherPlan struct {
	*Plan
	Sprays []SprayTime
	// Later is by how much bench time the plan is longer than without weather.
	Later facings.Minutes
}

// mostRepairs is how often a plan is made again to get its spraying into fit air.
const mostRepairs = 8

// PlanInWeather plans so that spraying falls into sittings whose forecast is
// fit for it (see internal/air). The engine knows no sittings for one kind of
// work only: where a plan sprays in air that is not fit, the castings are held
// back until the next fit time, and the plan is made again, until it fits or no
// fit time is forecast. What comes out keeps every rule and is checked like any
// plan; its lower bound is that of the plan without weather, which is shorter.
// Spraying outside the forecast stays where it is, and is said.
func (a *App) PlanInWeather(ctx context.Context, o *Opened, forecast []WeatherPoint) (*WeatherPlan, error) {
	coats, err := a.Coats(ctx, o)
	if err != nil {
		return &WeatherPlan{Plan: coats}, err
	}
	return a.inWeather(ctx, o, coats, forecast)
}

// weatherOf is the forecast of a calendar that was found right.
func weatherOf(c facings.Calendar) ([]WeatherPoint, error) {
	zone, err := sitting.Zone(c)
	if err != nil {
		return nil, err
	}
	var out []WeatherPoint
	for _, f := range c.Forecast {
		at, err := time.ParseInLocation(facings.ForecastTime, f.At, zone)
		if err != nil {
			return nil, err
		}
		out = append(out, WeatherPoint{At: at, TemperatureC: f.TemperatureC, HumidityPercent: f.HumidityPercent})
	}
	return out, nil
}

// inWeather is PlanInWeather from the coats on.
func (a *App) inWeather(ctx context.Context, o *Opened, coats *Plan, forecast []WeatherPoint) (*WeatherPlan, error) {
	// The first plan takes most of the progress shown: often it is the only one.
	const firstShare = 0.6
	from, span := 0.0, firstShare
	part := *a
	part.Progress = func(stage string, share float64) { a.progress(stage, from+share*span) }
	again := func(lags []facings.Lag) (*Plan, error) {
		p := *coats
		c := *coats.Coats
		c.Lags = lags
		p.Coats, p.Findings = &c, slices.Clone(coats.Findings)
		return part.sequence(ctx, o, &p)
	}
	free, err := again(coats.Coats.Lags)
	from, span = firstShare, (1-firstShare)/mostRepairs
	if err != nil {
		return &WeatherPlan{Plan: free}, err
	}
	m := meteorologist{forecast: forecast, project: o.Project}
	if err := m.sittings(); err != nil {
		return nil, err
	}
	best, now, lags := free, free, coats.Coats.Lags
	for range mostRepairs {
		held := m.holdBack(now, coats.Coats.Lags)
		if m.badness(best) == 0 || m.unfit(free) == 0 || slices.Equal(held, lags) {
			break
		}
		lags = held
		now, err = again(lags)
		from += span
		if err != nil {
			return &WeatherPlan{Plan: now}, err
		}
		if m.badness(now) < m.badness(best) {
			best = now
		}
	}
	a.progress("spraying in fit air", 1)
	out := &WeatherPlan{Plan: best, Later: best.Order.Minutes - free.Order.Minutes}
	out.Order.LowerBoundMinutes = min(free.Order.LowerBoundMinutes, out.Order.Minutes)
	out.Order.ElapsedLowerBoundMinutes = min(free.Order.ElapsedLowerBoundMinutes, out.Order.ElapsedMinutes)
	if best != free {
		out.Order.Status = string(solve.Feasible)
		if rest := out.Order.Minutes - out.Order.WorkMinutes; rest > 0 {
			out.Order.Gap = float64((out.Order.Minutes - out.Order.LowerBoundMinutes) / rest)
		}
	}
	out.Sprays = m.sprays(best, free)
	return out, best.add(o, m.findings(out.Sprays))
}

// meteorologist tells when spraying is allowed.
type meteorologist struct {
	forecast []WeatherPoint
	project  *facings.Project
	windows  []sitting.Window // of all painters, by their start
}

// sittings are all there are as far as the forecast goes.
func (m *meteorologist) sittings() error {
	if len(m.forecast) == 0 {
		return nil
	}
	first, last := m.forecast[0].At, m.forecast[len(m.forecast)-1].At.Add(weatherHolds)
	zone, err := sitting.Zone(m.project.Calendar)
	if err != nil {
		return err
	}
	y, month, d := first.In(zone).Date()
	for _, painter := range sitting.Painters(m.project.Calendar) {
		ws, err := sitting.Windows(painter, time.Date(y, month, d, 0, 0, 0, 0, zone), 0, 2+int(last.Sub(first).Hours()/24))
		if err != nil {
			return err
		}
		m.windows = append(m.windows, ws...)
	}
	slices.SortStableFunc(m.windows, func(a, b sitting.Window) int { return a.Start.Compare(b.Start) })
	return nil
}

// judge is the worst that is forecast between two times; nil where nothing is.
func (m *meteorologist) judge(start, end time.Time) *air.Report {
	var worst *air.Report
	rank := map[air.Verdict]int{air.Fit: 0, air.Doubtful: 1, air.Unfit: 2}
	for i, w := range m.forecast {
		until := w.At.Add(weatherHolds)
		if i+1 < len(m.forecast) && m.forecast[i+1].At.Before(until) {
			until = m.forecast[i+1].At
		}
		if !w.At.Before(end) && !w.At.Equal(start) || !until.After(start) {
			continue
		}
		if r, err := air.Judge(air.Question{TemperatureC: w.TemperatureC, HumidityPercent: w.HumidityPercent}); err == nil && (worst == nil || rank[r.Verdict] > rank[worst.Verdict]) {
			worst = r
		}
	}
	return worst
}

// nextFit is the first time from which spraying for so long is fit within one
// sitting; zero when none is forecast.
func (m *meteorologist) nextFit(from time.Time, long time.Duration) time.Time {
	const step = 15 * time.Minute
	for _, w := range m.windows {
		for at := w.Start; at.Before(w.End); at = at.Add(step) {
			if at.Before(from) {
				continue
			}
			end := at.Add(long)
			if end.After(w.End) {
				end = w.End
			}
			if r := m.judge(at, end); r != nil && r.Verdict == air.Fit {
				return at
			}
		}
	}
	return time.Time{}
}

// pieces are a plan's stretches of spraying, by pass.
func (m *meteorologist) pieces(plan *Plan) map[int][]facings.Piece {
	out := map[int][]facings.Piece{}
	for _, p := range plan.Order.Pieces {
		if plan.Coats.Tasks[p.Task].Technique == facings.Spray {
			out[p.Pass] = append(out[p.Pass], p)
		}
	}
	return out
}

func (m *meteorologist) forbidden(p facings.Piece) bool {
	r := m.judge(p.Start, p.End)
	return r != nil && r.Verdict != air.Fit
}

// count counts stretches of spraying in air that is not fit, and unknown those
// that nothing is forecast for.
func (m *meteorologist) count(plan *Plan) (unfit, unknown int) {
	for _, list := range m.pieces(plan) {
		for _, p := range list {
			switch r := m.judge(p.Start, p.End); {
			case r == nil:
				unknown++
			case r.Verdict != air.Fit:
				unfit++
			}
		}
	}
	return unfit, unknown
}

func (m *meteorologist) unfit(plan *Plan) int {
	n, _ := m.count(plan)
	return n
}

// badness is 0 for a plan that sprays in fit air only; unknown air is better
// than any that is not fit.
func (m *meteorologist) badness(plan *Plan) int {
	unfit, unknown := m.count(plan)
	return unfit*len(plan.Coats.Tasks) + unknown
}

// holdBack lengthens the lags before spraying so that it cannot begin before
// the first fit time from when the castings are ready for it, or where it is
// planned in unfit air, from then on.
func (m *meteorologist) holdBack(plan *Plan, lags []facings.Lag) []facings.Lag {
	out := slices.Clone(lags)
	ends := map[int]time.Time{}
	for _, p := range plan.Order.Pieces {
		if p.End.After(ends[p.Task]) {
			ends[p.Task] = p.End
		}
	}
	into := map[int][]int{}
	for i, l := range lags {
		into[l.To] = append(into[l.To], i)
	}
	for _, list := range m.pieces(plan) {
		for _, p := range list {
			last, ready := -1, time.Time{}
			for _, i := range into[p.Task] {
				if at := ends[lags[i].From].Add(time.Duration(lags[i].Seconds) * time.Second); at.After(ready) {
					last, ready = i, at
				}
			}
			if last < 0 {
				continue // nothing to hold it by
			}
			if m.forbidden(p) {
				ready = p.Start
			}
			if fit := m.nextFit(ready, p.End.Sub(p.Start)); !fit.IsZero() {
				wait := facings.Seconds(math.Ceil(fit.Sub(ends[lags[last].From]).Seconds()))
				out[last].Seconds = max(out[last].Seconds, wait)
			}
		}
	}
	return out
}

// sprays lists the spraying passes of a plan, with their air, and when they
// were to be in the plan without weather.
func (m *meteorologist) sprays(plan, free *Plan) []SprayTime {
	was := map[string]time.Time{}
	name := func(p *Plan, pieces []facings.Piece) string {
		t := p.Coats.Tasks[pieces[0].Task]
		return fmt.Sprintf("%s|%s|%d|%d", t.Stage, t.Medium, t.Coat, t.Figure)
	}
	for _, pieces := range m.pieces(free) {
		was[name(free, pieces)] = pieces[0].Start
	}
	out := []SprayTime{}
	for pass, pieces := range m.pieces(plan) {
		s := SprayTime{Pass: plan.Order.Passes[pass].Number, Medium: plan.Order.Passes[pass].Medium,
			Start: pieces[0].Start, End: pieces[len(pieces)-1].End, Verdict: "unknown", Summary: "no forecast for that time"}
		rank := map[string]int{"unknown": -1, string(air.Fit): 0, string(air.Doubtful): 1, string(air.Unfit): 2}
		for _, p := range pieces {
			if r := m.judge(p.Start, p.End); r != nil && rank[string(r.Verdict)] > rank[s.Verdict] {
				s.Verdict, s.Summary = string(r.Verdict), r.Summary
			}
		}
		if before, ok := was[name(plan, pieces)]; ok && !before.Equal(s.Start) {
			s.Instead = before
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b SprayTime) int { return cmp.Compare(a.Pass, b.Pass) })
	return out
}

// findings warn of spraying that stays in air that is not fit.
func (m *meteorologist) findings(sprays []SprayTime) facings.Diagnostics {
	var out facings.Diagnostics
	for _, s := range sprays {
		if s.Verdict == string(air.Fit) || s.Verdict == "unknown" {
			continue
		}
		out = append(out, facings.Diagnostic{ID: "weather-" + s.Verdict, Severity: facings.Warning, Path: facings.Pointer("calendar"), Value: s.Start.Format("2006-01-02 15:04"),
			Message: fmt.Sprintf("pass %d sprays %s on %s in air that is %s for it: %s", s.Pass, s.Medium, s.Start.Format("Mon 2 Jan 2006, 15:04"), s.Verdict, s.Summary),
			Hint:    "no fitter sitting is forecast that it could be moved to: add a sitting in fit hours, or brush the primer and varnish on"})
	}
	return out
}
