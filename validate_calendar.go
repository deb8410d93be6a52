package facings

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // so that a zone's name means the same on every machine
)

// calendar checks dates, times and bench time.
func (c *checker) calendar() {
	cal := &c.p.Calendar
	path := Pointer("calendar")
	if cal.Start != "" {
		c.date(path+"/start", cal.Start)
	}
	if cal.ReadyBy != "" {
		c.readyBy(path+"/ready_by", cal.ReadyBy)
	}
	if cal.Zone != "" {
		// LoadLocation takes "Local" for the machine's own zone, which would be
		// another one elsewhere.
		if _, err := time.LoadLocation(cal.Zone); err != nil || cal.Zone == "Local" {
			c.fault("unknown-zone", path+"/zone", cal.Zone, fmt.Sprintf("%q is no time zone", cal.Zone), "write a name of the IANA list, as in Europe/Vienna or UTC")
		}
	}
	c.between("patience-range", path+"/patience_minutes", "patience_minutes", float64(cal.PatienceMinutes), 1, 24*60, "minutes")
	if m := cal.ClosingMinutes; m != nil && !(*m >= 0 && *m <= 120) {
		c.fault("closing-range", path+"/closing_minutes", number(float64(*m)), fmt.Sprintf("closing_minutes is %s", number(float64(*m))), "write a number from 0 to 120 minutes")
	}
	c.games(path+"/games", cal.Games)
	c.forecast(path+"/forecast", cal.Forecast)
	var names []string
	for i := range cal.Painters {
		names = append(names, cal.Painters[i].Name)
		c.painter(path+"/painters"+Pointer(cal.Painters[i].Name), &cal.Painters[i])
	}
	c.names(path+"/painters", "painter", names)
}

// games checks the dates on which units are wanted.
func (c *checker) games(path string, games []Game) {
	var units []string
	for i := range c.p.Units {
		units = append(units, c.p.Units[i].Name)
	}
	for i, g := range games {
		at := fmt.Sprintf("%s/%d", path, i)
		c.readyBy(at+"/date", g.Date)
		for k, name := range g.Units {
			if !slices.Contains(units, name) {
				hint := "write the name of a unit of this file"
				if near := Nearest(name, units); near != "" {
					hint = fmt.Sprintf("did you mean %q?", near)
				}
				c.fault("unknown-unit", fmt.Sprintf("%s/units/%d", at, k), name, fmt.Sprintf("no unit is called %q", name), hint)
			}
		}
	}
}

// forecast checks the weather to come.
func (c *checker) forecast(path string, lines []Forecast) {
	before := time.Time{}
	for i, f := range lines {
		line := fmt.Sprintf("%s/%d", path, i)
		at, err := time.Parse(ForecastTime, f.At)
		switch {
		case err != nil:
			c.fault("forecast-time", line+"/at", f.At, fmt.Sprintf("%q is no day and time", f.At), "write them as in \"2027-01-05 19:00\"")
		case !at.After(before) && i > 0:
			c.fault("forecast-order", line+"/at", f.At, fmt.Sprintf("%s is not after %s, the time before it", f.At, before.Format(ForecastTime)), "put the forecast in the order of time, each time once")
		default:
			before = at
		}
		if t := f.TemperatureC; !(t >= -40 && t <= 60) {
			c.fault("forecast-range", line+"/temp_c", number(t), fmt.Sprintf("temp_c is %s", number(t)), "write a number from -40 to 60 °C")
		}
		if h := f.HumidityPercent; !(h >= 1 && h <= 100) {
			c.fault("forecast-range", line+"/rh", number(h), fmt.Sprintf("rh is %s", number(h)), "write the relative humidity in %, from 1 to 100")
		}
	}
}

// readyBy checks a date by which work should be done.
func (c *checker) readyBy(path, s string) {
	day, ok := c.date(path, s)
	start, err := time.Parse(time.DateOnly, c.p.Calendar.Start)
	if ok && err == nil && day.Before(start) {
		c.fault("ready-before-start", path, s, fmt.Sprintf("the work should be ready by %s, but starts on %s", s, c.p.Calendar.Start), "move one of the two dates")
	}
}

func (c *checker) date(path, s string) (time.Time, bool) {
	day, err := time.Parse(time.DateOnly, s)
	if err != nil {
		c.fault("bad-date", path, s, fmt.Sprintf("%q is no date", s), "write year, month and day, as in 2027-02-14")
	}
	return day, err == nil
}

// clock reads "19:30" as minutes after midnight.
func clock(s string) (int, bool) {
	t, err := time.Parse("15:04", s)
	return t.Hour()*60 + t.Minute(), err == nil && len(s) == len("15:04")
}

// span checks a stretch of time within one day.
func (c *checker) span(path, from, to string) (start, end int, ok bool) {
	ok = true
	for _, x := range []struct{ field, does, value string }{{"from", "starts", from}, {"to", "ends", to}} {
		if _, good := clock(x.value); !good {
			ok = false
			if x.value == "" {
				c.fault("bad-time", path+Pointer(x.field), "", fmt.Sprintf("the sitting does not say when it %s", x.does), "write from: \"19:30\" and to: \"22:00\"")
			} else {
				c.fault("bad-time", path+Pointer(x.field), x.value, fmt.Sprintf("%q is no time of day", x.value), "write hours and minutes, as in \"19:30\"")
			}
		}
	}
	if !ok {
		return 0, 0, false
	}
	start, _ = clock(from)
	end, _ = clock(to)
	if end <= start {
		c.fault("time-order", path+"/to", to, fmt.Sprintf("the sitting ends at %s, but starts at %s", to, from), "let it end later the same day; a sitting past midnight is two sittings")
		return 0, 0, false
	}
	return start, end, true
}

func (c *checker) painter(path string, x *Painter) {
	c.pace(path+"/pace", x.Pace)
	if len(x.Sittings) == 0 {
		c.fault("no-sittings", path+"/sittings", "", fmt.Sprintf("%s has no sittings", x.Name), "add sittings: [{days: [mon, thu], from: \"19:30\", to: \"22:00\"}]")
	}
	c.sittings(path+"/sittings", x.Sittings)
	c.exceptions(path+"/except", x.Except)
}

// stretch is minutes of one day that are taken.
type stretch struct{ start, end int }

// taken adds a stretch to a day and reports whether it overlaps another there.
func taken(days map[string][]stretch, day string, s stretch) bool {
	overlaps := slices.ContainsFunc(days[day], func(o stretch) bool { return s.start < o.end && o.start < s.end })
	days[day] = append(days[day], s)
	return overlaps
}

func (c *checker) sittings(path string, list []SittingRule) {
	week := map[string][]stretch{}
	for i, s := range list {
		at := path + Pointer(strconv.Itoa(i))
		start, end, ok := c.span(at, s.From, s.To)
		if len(s.Days) == 0 {
			c.fault("no-days", at+"/days", "", "the sitting does not say on which days", "add days: ["+strings.Join(Weekdays(), ", ")+"] or some of them")
		}
		c.doubles(at+"/days", "days", s.Days)
		for j, day := range s.Days {
			if !slices.Contains(Weekdays(), day) {
				c.unknown("unknown-day", at+"/days"+Pointer(strconv.Itoa(j)), day, fmt.Sprintf("%q is no day of the week", day), Weekdays(), "the days are")
			} else if slices.Index(s.Days, day) == j && ok && taken(week, day, stretch{start, end}) {
				c.fault("sittings-overlap", at, day, fmt.Sprintf("two sittings overlap on %s", day), "join them, or move one")
			}
		}
	}
}

// exceptions checks sittings that fall out, or are at another time, on a date.
func (c *checker) exceptions(path string, list []SittingDay) {
	dates := map[string][]stretch{}
	for i, s := range list {
		at := path + Pointer(strconv.Itoa(i))
		if s.Date == "" {
			c.fault("bad-date", at+"/date", "", "the exception does not say on which date", "add date: with year, month and day, as in 2027-01-20")
		} else if day, ok := c.date(at+"/date", s.Date); ok {
			if start, err := time.Parse(time.DateOnly, c.p.Calendar.Start); err == nil && day.Before(start) {
				c.warn("exception-early", at+"/date", s.Date, fmt.Sprintf("the exception on %s is before the work starts", s.Date), "check the year, or take it out")
			}
		}
		whole := stretch{0, 24 * 60}
		switch {
		case s.None && (s.From != "" || s.To != ""):
			c.fault("exception-both", at+"/none", "true", "the exception says that there is no sitting, and when it is", "write either none: true, or from and to")
		case !s.None && s.From == "" && s.To == "":
			c.fault("exception-empty", at, s.Date, "the exception does not say what is different that day", "write none: true, or from and to")
			continue
		case !s.None:
			start, end, ok := c.span(at, s.From, s.To)
			if !ok {
				continue
			}
			whole = stretch{start, end}
		}
		if s.Date != "" && taken(dates, s.Date, whole) {
			c.fault("sittings-overlap", at, s.Date, fmt.Sprintf("two exceptions contradict each other on %s", s.Date), "join them, or take one out")
		}
	}
}
