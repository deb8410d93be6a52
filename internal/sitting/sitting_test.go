package sitting

import (
	"math"
	"testing"
	"time"
	_ "time/tzdata"

	"facings"
)

func TestWindowsKeepTheWeekAndItsExceptions(t *testing.T) {
	p := facings.Painter{Name: "Ilse",
		Sittings: []facings.SittingRule{{Days: []string{"mon", "wed"}, From: "19:30", To: "22:00"}},
		Except: []facings.SittingDay{
			{Date: "2027-01-06", None: true},
			{Date: "2027-01-09", From: "10:00", To: "12:00"},
		}}
	start := time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) // a Monday
	ws, err := Windows(p, start, 0, 8)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"2027-01-04T19:30", "2027-01-09T10:00", "2027-01-11T19:30"}
	if len(ws) != len(want) {
		t.Fatalf("%d sittings, want %d: %v", len(ws), len(want), ws)
	}
	for i, w := range ws {
		if got := w.Start.Format("2006-01-02T15:04"); got != want[i] {
			t.Errorf("sitting %d starts %s, want %s", i, got, want[i])
		}
	}
}

// On 28 March 2027 clocks in central Europe go from 02:00 to 03:00 (IANA time
// zone database): a sitting from 01:30 to 03:30 is one hour long.
func TestWindowsAcrossAChangeOfClocks(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	p := facings.Painter{Name: "Owl", Sittings: []facings.SittingRule{{Days: []string{"sun"}, From: "01:30", To: "03:30"}}}
	ws, err := Windows(p, time.Date(2027, 3, 28, 0, 0, 0, 0, zone), 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(ws) != 1 || ws[0].End.Sub(ws[0].Start) != time.Hour {
		t.Errorf("got %v, want one sitting of one hour", ws)
	}
}

func TestWindowsJoinOverlaps(t *testing.T) {
	p := facings.Painter{Name: "x", Sittings: []facings.SittingRule{
		{Days: []string{"mon"}, From: "19:00", To: "21:00"}, {Days: []string{"mon"}, From: "20:00", To: "22:00"}}}
	ws, err := Windows(p, time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC), 0, 1)
	if err != nil || len(ws) != 1 || ws[0].End.Sub(ws[0].Start) != 3*time.Hour {
		t.Errorf("got %v, %v; want one sitting of three hours", ws, err)
	}
}

func TestNobodySits(t *testing.T) {
	if _, err := Windows(facings.Painter{Name: "x"}, time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC), 10, 1); err == nil {
		t.Error("a painter without sittings gave windows")
	}
}

// With one pass and no missed sittings the duration is lognormal: its median
// is the plan's, its 90 % point exp(1.2816 sigma) times that (the standard
// normal's 0.9 quantile, any table).
func TestForecastAgainstTheLognormal(t *testing.T) {
	zero := time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC)
	replay := func(f []float64, _ func(int) bool) (time.Time, bool) {
		return zero.Add(time.Duration(f[0] * 100 * float64(time.Hour))), true
	}
	d := Forecast(1, 4000, 1, Spread{Pass: 0.3}, time.Time{}, replay)
	p50, p90 := d.P50.Sub(zero).Hours(), d.P90.Sub(zero).Hours()
	if math.Abs(p50-100) > 3 || math.Abs(p90-100*math.Exp(1.2816*0.3)) > 5 {
		t.Errorf("p50 %.1f h, p90 %.1f h; want 100 and %.1f", p50, p90, 100*math.Exp(1.2816*0.3))
	}
	again := Forecast(1, 4000, 1, Spread{Pass: 0.3}, time.Time{}, replay)
	if !again.P90.Equal(d.P90) {
		t.Error("the same seed gave another date")
	}
}
