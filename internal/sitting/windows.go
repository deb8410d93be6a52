package sitting

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"facings"
)

// Window is one sitting's room: bench time from Start to End.
type Window struct{ Start, End time.Time }

// Usual are the evenings of a project that names no painters: three a week, as
// many paint (common practice).
func Usual() facings.Painter {
	return facings.Painter{Name: "you", Sittings: []facings.SittingRule{
		{Days: []string{"mon", "wed", "fri"}, From: "19:30", To: "22:00"},
	}}
}

// Painters are the project's painters, or the usual one.
func Painters(c facings.Calendar) []facings.Painter {
	if len(c.Painters) > 0 {
		return c.Painters
	}
	return []facings.Painter{Usual()}
}

// Zone loads the calendar's zone, UTC when none is named.
func Zone(c facings.Calendar) (*time.Location, error) {
	if c.Zone == "" {
		return time.UTC, nil
	}
	loc, err := time.LoadLocation(c.Zone)
	if err != nil {
		return nil, fmt.Errorf("calendar zone %q: %w", c.Zone, err)
	}
	return loc, nil
}

// Start is midnight at the beginning of the calendar's first day; today when
// it names none.
func Start(c facings.Calendar, today time.Time) (time.Time, error) {
	zone, err := Zone(c)
	if err != nil {
		return time.Time{}, err
	}
	if c.Start == "" {
		y, m, d := today.In(zone).Date()
		return time.Date(y, m, d, 0, 0, 0, 0, zone), nil
	}
	t, err := time.ParseInLocation(time.DateOnly, c.Start, zone)
	if err != nil {
		return time.Time{}, fmt.Errorf("calendar start %q is not a date like 2027-01-31", c.Start)
	}
	return t, nil
}

// Horizon is how many days ahead calendars reach at most.
const Horizon = 3653

// Windows lists one painter's sittings from the day of start on until they
// hold at least so many bench minutes and reach at least so many days; never
// more than ten years. Sittings of one day that overlap are joined.
func Windows(p facings.Painter, start time.Time, bench facings.Minutes, days int) ([]Window, error) {
	var out []Window
	var sum facings.Minutes
	for day := 0; day < Horizon && (sum < bench || day < days); day++ {
		date := time.Date(start.Year(), start.Month(), start.Day()+day, 0, 0, 0, 0, start.Location())
		today, err := daySittings(p, date)
		if err != nil {
			return nil, err
		}
		for _, w := range today {
			sum += facings.Minutes(w.End.Sub(w.Start).Minutes())
		}
		out = append(out, today...)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("painter %q never sits down: add a sitting to the calendar", p.Name)
	}
	return out, nil
}

// After cuts off what of the windows lies before an instant.
func After(ws []Window, at time.Time) []Window {
	var out []Window
	for _, w := range ws {
		if w.Start.Before(at) {
			w.Start = at
		}
		if w.Start.Before(w.End) {
			out = append(out, w)
		}
	}
	return out
}

// daySittings are a painter's sittings of one date: the exceptions of that
// date, if there are any, else the weekly rules.
func daySittings(p facings.Painter, date time.Time) ([]Window, error) {
	var out []Window
	add := func(from, to string) error {
		a, err := clock(date, from)
		if err != nil {
			return err
		}
		b, err := clock(date, to)
		if err != nil {
			return err
		}
		if b.After(a) {
			out = append(out, Window{a, b})
		}
		return nil
	}
	name, excepted := date.Format(time.DateOnly), false
	for _, e := range p.Except {
		if e.Date != name {
			continue
		}
		excepted = true
		if e.None {
			continue
		}
		if err := add(e.From, e.To); err != nil {
			return nil, err
		}
	}
	weekday := strings.ToLower(date.Weekday().String()[:3])
	for _, r := range p.Sittings {
		if !excepted && slices.Contains(r.Days, weekday) {
			if err := add(r.From, r.To); err != nil {
				return nil, err
			}
		}
	}
	return join(out), nil
}

// clock is a time of day on a date; one that the change of clocks skips moves
// on by the hour that is skipped, as time.Date has it.
func clock(date time.Time, hhmm string) (time.Time, error) {
	t, err := time.Parse("15:04", hhmm)
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is not a time of day like 19:30", hhmm)
	}
	return time.Date(date.Year(), date.Month(), date.Day(), t.Hour(), t.Minute(), 0, 0, date.Location()), nil
}

// join sorts windows and joins those that touch or overlap.
func join(ws []Window) []Window {
	slices.SortFunc(ws, func(a, b Window) int { return a.Start.Compare(b.Start) })
	var out []Window
	for _, w := range ws {
		if n := len(out); n > 0 && !w.Start.After(out[n-1].End) {
			if w.End.After(out[n-1].End) {
				out[n-1].End = w.End
			}
			continue
		}
		out = append(out, w)
	}
	return out
}
