package air

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

// rows are the lines of a published table (testdata/dew_point/SOURCE.txt) under its heading.
func rows(t *testing.T, name string, least int) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "dew_point", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all)-1 < least {
		t.Fatalf("%s holds %d rows, %d were expected", name, len(all)-1, least)
	}
	return all[1:]
}

func parse(t *testing.T, cell string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.TrimSuffix(cell, " C"), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestSaturationPressure holds both Magnus formulae against the ASHRAE Handbook
// Fundamentals 2017, chapter 1, table 3, within the ranges the WMO gives them.
//
// Ref: ashrae2017.
func TestSaturationPressure(t *testing.T) {
	checked := 0
	for _, row := range rows(t, "ashrae2017_saturation_pressure.csv", 8) {
		at, want := parse(t, row[0]), parse(t, row[1])
		if at > 60 {
			continue
		}
		got := SaturationOverWater(at)
		if at < 0 { // the table is over ice there
			got = SaturationOverIce(at)
		}
		if math.Abs(got/want-1) > 0.0031 {
			t.Errorf("at %g °C %.2f Pa, the table has %.2f", at, got, want)
		}
		checked++
	}
	if checked != 6 {
		t.Errorf("%d rows checked, 6 expected", checked)
	}
	if w, i := SaturationOverWater(0), SaturationOverIce(0); w != i {
		t.Errorf("over water and ice differ at 0 °C: %g and %g Pa", w, i)
	}
}

// TestSaturationHumidity goes by another table of the same handbook (table 2),
// with the WMO's factor for moist air, which at sea level is 1.0047.
func TestSaturationHumidity(t *testing.T) {
	checked := 0
	for _, row := range rows(t, "ashrae2017_other.csv", 13) {
		if row[0] != "saturation humidity ratio 101325 Pa" {
			continue
		}
		at, want := parse(t, row[1]), parse(t, row[2])
		e := SaturationOverWater(at)
		if at < 0 {
			e = SaturationOverIce(at)
		}
		e *= 1.0016 + 3.15e-6*1013.25 - 0.074/1013.25
		if got := 0.621945 * e / (101325 - e); math.Abs(got/want-1) > 0.005 {
			t.Errorf("at %g °C %.6f kg/kg, the table has %.6f", at, got, want)
		}
		checked++
	}
	if checked != 5 {
		t.Errorf("%d rows checked, 5 expected", checked)
	}
}

// TestDewPointTable holds the points against the German trade's table. Below
// zero that is the frost point; 30 °C and 65 % is a misprint for 22.7 there.
func TestDewPointTable(t *testing.T) {
	const tolerance = 0.3 + 1e-9
	off, worst, sum, frost := 0, 0.0, 0.0, 0
	all := rows(t, "dewpoint_table_celsius.csv", 147)
	for _, row := range all {
		at, rh, want := parse(t, row[0]), parse(t, row[1]), parse(t, row[2])
		if strings.HasPrefix(row[3], "misprint") {
			if got := CondensationPoint(at, rh); math.Abs(got-22.7) > tolerance || math.Abs(got-want) < 0.7 {
				t.Errorf("%g °C, %g %%: %.2f °C, expected 22.7 and not the misprint", at, rh, got)
			}
			continue
		}
		if strings.HasPrefix(row[3], "frost") {
			frost++
			if want > -2 {
				// Near zero dew and frost point hardly differ.
			} else if math.Abs(DewPoint(at, rh)-want) <= tolerance-0.1 {
				t.Errorf("%g °C, %g %%: the dew point over water fits too, so this cell tells nothing", at, rh)
			}
		}
		d := math.Abs(CondensationPoint(at, rh) - want)
		worst, sum = max(worst, d), sum+d
		if d > tolerance {
			off++
			t.Logf("%g °C, %g %%: %.2f °C, the table has %.1f", at, rh, CondensationPoint(at, rh), want)
		}
	}
	t.Logf("%d cells, %d of them frost points: %d off by more than 0.3 °C, worst %.2f, mean %.3f", len(all)-1, frost, off, worst, sum/float64(len(all)-1))
	// SOURCE.txt: all but one or two cells of the whole table.
	if off > 2 || worst > 0.5 {
		t.Errorf("%d cells are off by more than 0.3 °C, the worst by %.2f", off, worst)
	}
}

// TestDewPointChart goes by a rougher chart, in whole °F and up to 3 °F off.
func TestDewPointChart(t *testing.T) {
	for _, row := range rows(t, "dewpoint_chart_fahrenheit.csv", 143) {
		at, rh, want := (parse(t, row[0])-32)/1.8, parse(t, row[1]), parse(t, row[2])
		if got := DewPoint(at, rh)*1.8 + 32; math.Abs(got-want) > 3.5 {
			t.Errorf("%s °F, %s %%: %.1f °F, the chart has %g", row[0], row[1], got, want)
		}
	}
}

// psychrometer is the vapour pressure, Pa, from dry and wet bulb at sea level
// (WMO-No. 8, annex 4.B).
func psychrometer(dry, wet float64) float64 {
	return SaturationOverWater(wet) - 0.653e-3*(1+0.000944*wet)*101325*(dry-wet)
}

// TestWorkedExamples are single sums from handbook and trade pages, the source
// named in each row. Whole degrees and whole per cent allow half a degree.
func TestWorkedExamples(t *testing.T) {
	checked := 0
	for _, row := range rows(t, "worked_examples.csv", 10) {
		dry, want := parse(t, row[1]), parse(t, row[4])
		rh := 0.0
		if row[2] != "" {
			rh = parse(t, row[2])
		} else {
			rh = 100 * psychrometer(dry, parse(t, row[3])) / SaturationOverWater(dry)
		}
		tolerance := 0.15
		if want == math.Trunc(want) || strings.Contains(row[0], "Fahrenheit") {
			tolerance = 0.6
		}
		if got := DewPoint(dry, rh); math.Abs(got-want) > tolerance {
			t.Errorf("%s: %g °C, %.0f %%: dew point %.2f, expected %g", row[0], dry, rh, got, want)
		}
		q := Question{TemperatureC: dry, HumidityPercent: rh}
		if row[5] != "" {
			surface := parse(t, row[5])
			q.SurfaceC = &surface
		}
		r, err := Judge(q)
		if err != nil {
			t.Fatal(err)
		}
		switch verdict := row[6]; {
		case strings.HasPrefix(verdict, "acceptable"):
			if r.Reasons[2].Verdict != Fit {
				t.Errorf("%s: the surface is %s, expected fit: %s", row[0], r.Reasons[2].Verdict, r.Reasons[2].Message)
			}
			checked++
		case strings.HasPrefix(verdict, "not acceptable"):
			if r.Reasons[2].Verdict != Unfit {
				t.Errorf("%s: the surface is %s, expected unfit: %s", row[0], r.Reasons[2].Verdict, r.Reasons[2].Message)
			}
			checked++
		case strings.Contains(row[0], "Fahrenheit"): // the chart's rule is 5 °F
		case verdict != "":
			if want := parse(t, verdict); math.Abs(r.SurfaceNeededC-want) > 0.1 {
				t.Errorf("%s: the surface should have %.1f °C, expected %g", row[0], r.SurfaceNeededC, want)
			}
			checked++
		}
	}
	if checked != 4 {
		t.Errorf("%d verdicts checked, 4 expected", checked)
	}
}

func TestPointProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(-40, 60).Draw(t, "t")
		rh := rapid.Float64Range(1, 99).Draw(t, "rh")
		dew := DewPoint(at, rh)
		if dew > at {
			t.Fatalf("dew point %g above the air", dew)
		}
		if next := DewPoint(at, rh+1); !(next > dew) {
			t.Fatalf("dew point does not rise with humidity: %g, then %g", dew, next)
		}
		if next := DewPoint(at+1, rh); !(next > dew) {
			t.Fatalf("dew point does not rise with warmth: %g, then %g", dew, next)
		}
		if full := DewPoint(at, 100); math.Abs(full-at) > 1e-9 {
			t.Fatalf("saturated air has dew point %g", full)
		}
		if back := SaturationOverWater(dew); math.Abs(back/VapourPressure(at, rh)-1) > 1e-9 {
			t.Fatalf("at the dew point %g Pa saturate, the air holds %g", back, VapourPressure(at, rh))
		}
		if h := HumidityAt(at, rh, dew); math.Abs(h-100) > 1e-6 {
			t.Fatalf("cooled to its dew point the air has %g %%", h)
		}
		if frost := FrostPoint(at, rh); dew < -0.01 && frost <= dew {
			t.Fatalf("frost point %g is not above the dew point %g", frost, dew)
		}
	})
}

func TestWarming(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room := rapid.Float64Range(-10, 40).Draw(t, "room")
		from := rapid.Float64Range(-40, 40).Draw(t, "from")
		wanted := rapid.Float64Range(-30, 45).Draw(t, "wanted")
		minutes, ok := Warming(from, room, wanted)
		if want := from >= wanted || room >= wanted; ok != want {
			t.Fatalf("ok is %v", ok)
		}
		if minutes < 0 || math.IsNaN(minutes) || math.IsInf(minutes, 0) {
			t.Fatalf("%g minutes", minutes)
		}
		if !ok || minutes == 0 {
			return
		}
		// The other way round: after that time the casting has what was wanted.
		got := room - (room-from)*math.Exp(-minutes/TimeConstant)
		if math.Abs(got-min(wanted, room-0.1)) > 1e-6 {
			t.Fatalf("after %g minutes it has %g °C", minutes, got)
		}
	})
	// By definition 1 - 1/e of the gap is made up in one time constant.
	if got, ok := Warming(0, 20, 20*(1-1/math.E)); !ok || math.Abs(got-TimeConstant) > 1e-9 {
		t.Errorf("one time constant takes %g minutes", got)
	}
}

// TestTimeConstant works out the time constant of castings by Churchill's
// correlation for a sphere in still air, without radiation (bare metal gives
// off little), and finds TimeConstant on the slow side, but not by far. Masses,
// specific heats and the air's properties at 285 K are from memory.
//
// Ref: churchill1983.
func TestTimeConstant(t *testing.T) {
	const conductivity, diffusivity, viscosity, prandtl = 0.025, 2.0e-5, 1.42e-5, 0.71
	for _, c := range []struct {
		name, body string
		kg, heat   float64 // J/kgK
	}{
		{"foot, white metal", "foot", 0.012, 227}, {"foot, resin", "foot", 0.002, 1500},
		{"mounted, white metal", "mounted", 0.045, 227}, {"mounted, resin", "mounted", 0.0075, 1500},
	} {
		body, ok := facings.ReadyBody(c.body)
		if !ok {
			t.Fatalf("no body %q", c.body)
		}
		area := float64(body.Surface()) * 1e-6
		d := math.Sqrt(area / math.Pi) // of the sphere with that surface
		for _, gap := range []float64{5, 20} {
			rayleigh := 9.81 / 285 * gap * d * d * d / (viscosity * diffusivity)
			nusselt := 2 + 0.589*math.Pow(rayleigh, 0.25)/math.Pow(1+math.Pow(0.469/prandtl, 9.0/16), 4.0/9)
			h := nusselt * conductivity / d
			minutes := c.kg * c.heat / (h * area) / 60
			t.Logf("%s, %g °C colder: %.0f mm², h %.1f W/m²K, %.1f minutes", c.name, gap, area*1e6, h, minutes)
			if minutes > TimeConstant || minutes < TimeConstant/5 {
				t.Errorf("%s, %g °C colder than the room: %.1f minutes, TimeConstant is %g", c.name, gap, minutes, TimeConstant)
			}
		}
	}
}
