package air

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

func at(x float64) *float64 { return &x }

func judge(t *testing.T, q Question) *Report {
	t.Helper()
	r, err := Judge(q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestVerdict goes along every limit: humidity 60 and 75 % and temperature by
// common practice, 85 % by ISO 12944-7, 3 °C by ISO 8502-4.
func TestVerdict(t *testing.T) {
	for _, c := range []struct {
		temperature, humidity float64
		surface               *float64
		spray, brush          Verdict
		because               string // the ID of a reason that is not fit
	}{
		{20, 50, nil, Fit, Fit, ""},
		{20, 60, nil, Fit, Fit, ""},
		{20, 60.5, nil, Doubtful, Fit, "humidity"},
		{20, 75, nil, Doubtful, Fit, "humidity"},
		{20, 75.5, nil, Unfit, Doubtful, "humidity"},
		{20, 86, nil, Unfit, Unfit, "humidity"},
		{20, 86, at(30), Unfit, Unfit, "humidity"},
		{15, 50, nil, Fit, Fit, ""},
		{14.9, 50, nil, Doubtful, Fit, "temperature"},
		{10, 50, nil, Doubtful, Fit, "temperature"},
		{9.9, 50, nil, Unfit, Unfit, "temperature"},
		{-5, 50, nil, Unfit, Unfit, "temperature"},
		{25, 50, nil, Fit, Fit, ""},
		{25.1, 50, nil, Doubtful, Fit, "temperature"},
		{36, 30, nil, Unfit, Doubtful, "temperature"},
		{20, 50, at(12.3), Fit, Fit, ""}, // dew point 9.3
		{20, 50, at(12.2), Unfit, Unfit, "surface"},
		{20, 50, at(9.3), Unfit, Unfit, "surface"},
		{20, 20, at(9), Unfit, Unfit, "surface-cold"},
	} {
		r := judge(t, Question{TemperatureC: c.temperature, HumidityPercent: c.humidity, SurfaceC: c.surface})
		if r.Verdict != c.spray || r.Brush != c.brush {
			t.Errorf("%g °C, %g %%: %s and %s, expected %s and %s", c.temperature, c.humidity, r.Verdict, r.Brush, c.spray, c.brush)
		}
		if c.because != "" && !slices.ContainsFunc(r.Reasons, func(x Reason) bool { return x.ID == c.because && x.Verdict == c.spray && x.Hint != "" }) {
			t.Errorf("%g °C, %g %%: no reason %q with a way out in %v", c.temperature, c.humidity, c.because, r.Reasons)
		}
		if !slices.Contains(r.Cautions, facings.CautionSpray) {
			t.Error("the spraying caution is missing")
		}
	}
}

func TestReport(t *testing.T) {
	// 14.4 °C at 20 °C and 70 %: worked_examples.csv; drying 1.5 by the root's table.
	r := judge(t, Question{TemperatureC: 20, HumidityPercent: 70})
	if r.DewPointC != 14.4 || r.SurfaceMarginC != 5.6 || r.SurfaceNeededC != 17.4 || r.HumidityWindow != "amber" || r.FrostPointC != nil ||
		r.DryingFactor == nil || *r.DryingFactor != 1.5 {
		t.Errorf("unexpected %+v", *r)
	}
	if want := "at 20 °C and 70 % relative humidity it is doubtful to spray and fit to paint by brush"; r.Summary != want {
		t.Errorf("summary %q, expected %q", r.Summary, want)
	}
	// The way out: 70 % at 20 °C is 58 % at 23 °C by the saturation table (2339 and 2810 Pa, from memory).
	if hint := r.Reasons[0].Hint; !strings.Contains(hint, "warmed to 23 °C") || !strings.Contains(hint, "58 %") {
		t.Errorf("hint %q", hint)
	}
	// Frost, not dew, is what counts below zero; 2 °C and 50 %: -6.6 °C (dewpoint_table_celsius.csv).
	r = judge(t, Question{TemperatureC: 2, HumidityPercent: 50})
	if r.FrostPointC == nil || math.Abs(*r.FrostPointC+6.6) > 0.31 || !(r.DewPointC < *r.FrostPointC) || r.DryingFactor != nil {
		t.Errorf("unexpected %+v", *r)
	}
	if r.SurfaceMarginC != tenth(2-*r.FrostPointC) {
		t.Errorf("margin %g from frost point %g", r.SurfaceMarginC, *r.FrostPointC)
	}
}

func TestWait(t *testing.T) {
	for _, c := range []struct {
		temperature, humidity, from, needed float64
		wait                                *float64
		says                                string
	}{
		{20, 50, 5, 12.3, at(60), "dew settles"},       // dew point 9.3, table
		{20, 20, 5, 10, at(60), "until they have"},     // dry air: what acrylics need counts
		{20, 50, 12.3, 12.3, at(0), "no wait"},         // warm enough as it is
		{20, 84, 5, 20.2, nil, "never gives them"},     // within 3 °C of saturation
		{8, 40, 0, 10, nil, "never gives them"},        // the room itself too cold
		{20, 82.9, -18, 20, at(72), "dew settles"},     // to the very limit: 12 ln(380)
		{60, 86.8, -40, 60, at(83), "83 minutes"},      // longer than the hour: 12 ln(1000)
		{20, 50, 30, 12.3, at(0), "warm enough"},       // warmer than the room
		{-20, 30, -30, 10, nil, "warmer or drier"},     // nothing to be done
		{15, 60, 10, 10.3, at(60), "free should take"}, // dew point 7.3
	} {
		r := judge(t, Question{TemperatureC: c.temperature, HumidityPercent: c.humidity, FromColdC: at(c.from)})
		w := r.Warming
		if w == nil || math.Abs(w.NeededC-c.needed) > 0.1001 {
			t.Errorf("%v: %+v", c, w)
			continue
		}
		if (w.WaitMinutes == nil) != (c.wait == nil) || (c.wait != nil && *w.WaitMinutes != *c.wait) {
			t.Errorf("from %g °C to %g °C, %g %%: unexpected wait: %s", c.from, c.temperature, c.humidity, w.Message)
		}
		if !strings.Contains(w.Message, c.says) {
			t.Errorf("from %g °C to %g °C: %q does not say %q", c.from, c.temperature, w.Message, c.says)
		}
	}
	r := judge(t, Question{TemperatureC: 20, HumidityPercent: 50, FromColdC: at(5)})
	if !strings.HasSuffix(r.Summary, "once the castings have stood in the room for 60 minutes") {
		t.Errorf("summary %q", r.Summary)
	}
}

func TestJudgeRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		q    Question
		says string
	}{
		{Question{TemperatureC: nan, HumidityPercent: 50}, "air is NaN"},
		{Question{TemperatureC: inf, HumidityPercent: 50}, "air is +Inf"},
		{Question{TemperatureC: -40.5, HumidityPercent: 50}, "-40 to 60"},
		{Question{TemperatureC: 68, HumidityPercent: 50}, "68 °F would be 20 °C"},
		{Question{TemperatureC: 20, HumidityPercent: nan}, "humidity is NaN"},
		{Question{TemperatureC: 20}, "humidity is 0 %"},
		{Question{TemperatureC: 20, HumidityPercent: 0.65}, "0.65 as a share is 65 %"},
		{Question{TemperatureC: 20, HumidityPercent: 101}, "1 to 100"},
		{Question{TemperatureC: 20, HumidityPercent: 50, SurfaceC: &inf}, "the surface is +Inf"},
		{Question{TemperatureC: 20, HumidityPercent: 50, FromColdC: &nan}, "the cold room is NaN"},
		{Question{TemperatureC: 99, HumidityPercent: 500}, "humidity is 500"},
		{Question{TemperatureC: 99, HumidityPercent: 500}, "air is 99"},
	} {
		if _, err := Judge(c.q); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v does not say %q", c.q, err, c.says)
		}
	}
}

// TestJudgeProperties: the verdict is the worst of its reasons, damper air and
// colder surfaces are never better, the brush is never worse off than the spray.
func TestJudgeProperties(t *testing.T) {
	rank := map[Verdict]int{Fit: 0, Doubtful: 1, Unfit: 2}
	rapid.Check(t, func(t *rapid.T) {
		q := Question{TemperatureC: rapid.Float64Range(-40, 60).Draw(t, "t"), HumidityPercent: rapid.Float64Range(1, 99).Draw(t, "rh"),
			SurfaceC: at(rapid.Float64Range(-40, 60).Draw(t, "surface")), FromColdC: at(rapid.Float64Range(-40, 60).Draw(t, "from"))}
		r, err := Judge(q)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0
		for _, reason := range r.Reasons {
			worst = max(worst, rank[reason.Verdict])
			if rank[reason.Brush] > rank[reason.Verdict] {
				t.Fatalf("brush worse than spray: %+v", reason)
			}
			if (reason.Verdict == Fit) != (reason.Hint == "") || reason.Message == "" {
				t.Fatalf("a way out where none is needed, or none where one is: %+v", reason)
			}
		}
		if worst != rank[r.Verdict] {
			t.Fatalf("%s with %v", r.Verdict, r.Reasons)
		}
		damper, colder := q, q
		damper.HumidityPercent++
		colder.SurfaceC = at(max(-40, *q.SurfaceC-1))
		for _, harder := range []Question{damper, colder} {
			h, err := Judge(harder)
			if err != nil {
				t.Fatal(err)
			}
			if rank[h.Verdict] < rank[r.Verdict] || rank[h.Brush] < rank[r.Brush] {
				t.Fatalf("%+v is %s and %s, but %+v is %s and %s", q, r.Verdict, r.Brush, harder, h.Verdict, h.Brush)
			}
		}
		if w := r.Warming; (w.WaitMinutes == nil) != (w.EstimateMinutes == nil) {
			t.Fatalf("wait without estimate: %+v", *w)
		}
	})
}
