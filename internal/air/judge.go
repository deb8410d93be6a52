package air

import (
	"errors"
	"fmt"
	"math"

	"facings"
)

// Limits of air that is fit to spray and paint in.
const (
	// SurfaceMargin is how far, °C, the surface must be above the dew point
	// (ISO 8502-4, which is written for steel; used here by analogy).
	SurfaceMargin = 3.0
	// GreenHumidity and AmberHumidity, %, end the windows in which spray is safe
	// and in which it may blush (common practice); above is red.
	GreenHumidity = 60.0
	AmberHumidity = 75.0
	// MostHumidity, %, is never to be passed by any paint (ISO 12944-7).
	MostHumidity = 85.0
	// CoolestSpray and WarmestSpray, °C, bound the air to spray in (common practice).
	CoolestSpray = 15.0
	WarmestSpray = 25.0
	// Warmest, °C, is the usual upper end on coatings' data sheets (common practice).
	Warmest = 35.0
)

// Verdict is what the air is good for.
type Verdict string

const (
	Fit      Verdict = "fit"
	Doubtful Verdict = "doubtful"
	Unfit    Verdict = "unfit"
)

// worse is the sterner of two verdicts.
func worse(a, b Verdict) Verdict {
	rank := map[Verdict]int{Fit: 0, Doubtful: 1, Unfit: 2}
	if rank[b] > rank[a] {
		return b
	}
	return a
}

// Question is what was measured.
type Question struct {
	TemperatureC    float64
	HumidityPercent float64
	// SurfaceC is the castings' own temperature; nil for that of the air.
	SurfaceC *float64
	// FromColdC is the temperature of castings still in a cold room; nil for none.
	FromColdC *float64
}

// Reason is one thing looked at, and what it says of spraying and of the brush.
type Reason struct {
	ID      string  `json:"id"` // humidity, temperature, surface, surface-cold
	Verdict Verdict `json:"verdict"`
	Brush   Verdict `json:"brush_verdict"`
	Message string  `json:"message"`
	Hint    string  `json:"hint,omitempty"`
}

// Wait is how long castings from a cold room should stand before they are painted.
type Wait struct {
	FromC float64 `json:"from_c"`
	// NeededC is SurfaceMargin above the dew point, and never below what acrylics need.
	NeededC float64 `json:"needed_c"`
	// EstimateMinutes is for one casting standing free; nil if it never gets there.
	EstimateMinutes *float64 `json:"estimate_minutes,omitempty"`
	PracticeMinutes float64  `json:"practice_minutes"`
	// WaitMinutes is what to do: the longer of both, 0 if warm enough already;
	// nil if waiting does not help.
	WaitMinutes *float64 `json:"wait_minutes,omitempty"`
	Message     string   `json:"message"`
}

// Report is the answer to a Question.
type Report struct {
	TemperatureC    float64 `json:"temperature_c"`
	HumidityPercent float64 `json:"humidity_percent"`
	HumidityWindow  string  `json:"humidity_window"` // green, amber, red
	DewPointC       float64 `json:"dew_point_c"`     // over water
	// FrostPointC is there when water would settle as frost, and then counts.
	FrostPointC     *float64 `json:"frost_point_c,omitempty"`
	SurfaceC        float64  `json:"surface_c"`
	SurfaceMeasured bool     `json:"surface_measured"`
	SurfaceMarginC  float64  `json:"surface_margin_c"` // above dew or frost point
	SurfaceNeededC  float64  `json:"surface_needed_c"`
	// Verdict is for spraying, Brush for painting with the brush.
	Verdict Verdict  `json:"verdict"`
	Brush   Verdict  `json:"brush_verdict"`
	Summary string   `json:"summary"`
	Reasons []Reason `json:"reasons"`
	// DryingFactor is facings.DryingFactor; nil where that is undefined.
	DryingFactor *float64 `json:"drying_factor,omitempty"`
	Warming      *Wait    `json:"warming,omitempty"`
	Cautions     []string `json:"cautions"`
}

// Judge says whether the air is fit to spray and paint in, and why. Points and
// margins are judged as shown, to a tenth of a degree: no thermometer at the
// bench knows more. A question out of range is an error that says the way out.
func Judge(q Question) (*Report, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	t, rh := q.TemperatureC, q.HumidityPercent
	point := tenth(CondensationPoint(t, rh))
	r := &Report{TemperatureC: t, HumidityPercent: rh, HumidityWindow: window(rh), DewPointC: tenth(DewPoint(t, rh)), SurfaceC: t,
		SurfaceNeededC: tenth(point + SurfaceMargin), Verdict: Fit, Brush: Fit, Cautions: []string{facings.CautionSpray}}
	if r.DewPointC < 0 {
		r.FrostPointC = &point
	}
	if q.SurfaceC != nil {
		r.SurfaceC, r.SurfaceMeasured = *q.SurfaceC, true
	}
	r.SurfaceMarginC = tenth(r.SurfaceC - point)
	r.Reasons = append(r.Reasons, humidity(t, rh), temperature(t, rh), r.surface())
	if cold, is := r.coldSurface(); is {
		r.Reasons = append(r.Reasons, cold)
	}
	for _, reason := range r.Reasons {
		r.Verdict, r.Brush = worse(r.Verdict, reason.Verdict), worse(r.Brush, reason.Brush)
	}
	if t >= facings.MinimumPaintingTemperature {
		f := math.Round(facings.DryingFactor(t, rh)*100) / 100
		r.DryingFactor = &f
	}
	if q.FromColdC != nil {
		r.Warming = r.wait(*q.FromColdC)
	}
	r.Summary = r.summary()
	return r, nil
}

func (q Question) check() error {
	return errors.Join(checkHumidity(q.HumidityPercent), checkTemperature("the air", &q.TemperatureC),
		checkTemperature("the surface", q.SurfaceC), checkTemperature("the cold room", q.FromColdC))
}

func checkHumidity(rh float64) error {
	if rh >= 1 && rh <= 100 {
		return nil
	}
	hint := "give per cent, 1 to 100, as a hygrometer shows it"
	if rh > 0 && rh < 1 {
		hint += fmt.Sprintf("; %s as a share is %s %%", number(rh), number(100*rh))
	}
	return fmt.Errorf("the relative humidity is %s %%\n    %s", number(rh), hint)
}

func checkTemperature(what string, t *float64) error {
	if t == nil || (*t >= -40 && *t <= 60) {
		return nil
	}
	hint := "give °C, -40 to 60"
	if *t > 60 && *t <= 120 {
		hint = fmt.Sprintf("give °C, -40 to 60; %s °F would be %s °C", number(*t), number(tenth((*t-32)/1.8)))
	}
	return fmt.Errorf("the temperature of %s is %s °C\n    %s", what, number(*t), hint)
}

func window(rh float64) string {
	switch {
	case rh <= GreenHumidity:
		return "green"
	case rh <= AmberHumidity:
		return "amber"
	}
	return "red"
}

func humidity(t, rh float64) Reason {
	r := Reason{ID: "humidity", Verdict: Fit, Brush: Fit}
	damp := number(rh) + " % humidity"
	switch {
	case rh <= GreenHumidity:
		r.Message = fmt.Sprintf("%s is in the green window, up to %.0f %%", damp, GreenHumidity)
		return r
	case rh <= AmberHumidity:
		r.Verdict = Doubtful
		r.Message = fmt.Sprintf("%s is in the amber window, %.0f to %.0f %%: varnish may turn milky, paint dries slowly", damp, GreenHumidity, AmberHumidity)
	case rh <= MostHumidity:
		r.Verdict, r.Brush = Unfit, Doubtful
		r.Message = fmt.Sprintf("%s is in the red window, over %.0f %%: spray blushes and turns milky, brushed paint dries very slowly", damp, AmberHumidity)
	default:
		r.Verdict, r.Brush = Unfit, Unfit
		r.Message = fmt.Sprintf("%s is over %.0f %%, at which no paint should be laid on (ISO 12944-7, written for steel, here by analogy)", damp, MostHumidity)
	}
	r.Hint = drier(t, rh)
	return r
}

// drier says which warmth would bring the air into the green window.
func drier(t, rh float64) string {
	for warm := max(CoolestSpray, math.Floor(t)+1); warm <= WarmestSpray; warm++ {
		if h := HumidityAt(t, rh, warm); h <= GreenHumidity {
			return fmt.Sprintf("warmed to %.0f °C, without a flame, the same air would have %.0f %% humidity; else wait for drier air", warm, h)
		}
	}
	return "wait for drier air, or dry the room's; warming it up to 25 °C does not help enough"
}

func temperature(t, rh float64) Reason {
	r := Reason{ID: "temperature", Verdict: Fit, Brush: Fit}
	at := number(t) + " °C"
	switch {
	case t < facings.MinimumPaintingTemperature:
		r.Verdict, r.Brush = Unfit, Unfit
		r.Message = fmt.Sprintf("at %s, below %.0f °C, acrylic paint may not form a film", at, facings.MinimumPaintingTemperature)
	case t < CoolestSpray:
		r.Verdict = Doubtful
		r.Message = fmt.Sprintf("%s is cooler than the %.0f to %.0f °C to spray in: cans spit, and paint runs before it dries", at, CoolestSpray, WarmestSpray)
	case t <= WarmestSpray:
		r.Message = fmt.Sprintf("%s is within the %.0f to %.0f °C to spray in", at, CoolestSpray, WarmestSpray)
		return r
	case t <= Warmest:
		r.Verdict = Doubtful
		r.Message = fmt.Sprintf("%s is warmer than the %.0f to %.0f °C to spray in: droplets dry on the way and leave dust", at, CoolestSpray, WarmestSpray)
	default:
		r.Verdict, r.Brush = Unfit, Doubtful
		r.Message = fmt.Sprintf("%s is over %.0f °C: spray dries on the way, and paint on the brush", at, Warmest)
	}
	if t > WarmestSpray {
		r.Hint = "wait for a cooler hour; keep cans out of the sun"
		return r
	}
	r.Hint = fmt.Sprintf("warm room, castings and can to %.0f °C (the same air would then have %.0f %% humidity); never heat a can, let it stand in the room",
		CoolestSpray, HumidityAt(t, rh, CoolestSpray))
	return r
}

// pointWords names the dew or frost point that counts.
func (r *Report) pointWords() string {
	if r.FrostPointC != nil {
		return fmt.Sprintf("the frost point, %.1f °C", *r.FrostPointC)
	}
	return fmt.Sprintf("the dew point, %.1f °C", r.DewPointC)
}

func (r *Report) surface() Reason {
	reason := Reason{ID: "surface", Verdict: Fit, Brush: Fit}
	what := fmt.Sprintf("the surface, taken to be as warm as the air at %s °C,", number(r.SurfaceC))
	if r.SurfaceMeasured {
		what = fmt.Sprintf("the surface, measured at %s °C,", number(r.SurfaceC))
	}
	enough := fmt.Sprintf("at least %.0f °C are wanted (ISO 8502-4, written for steel, here by analogy)", SurfaceMargin)
	switch {
	case r.SurfaceMarginC >= SurfaceMargin:
		reason.Message = fmt.Sprintf("%s is %.1f °C above %s; %s", what, r.SurfaceMarginC, r.pointWords(), enough)
		return reason
	case r.SurfaceMarginC > 0:
		reason.Message = fmt.Sprintf("%s is only %.1f °C above %s; %s", what, r.SurfaceMarginC, r.pointWords(), enough)
	default:
		reason.Message = fmt.Sprintf("%s is not above %s: water settles on it", what, r.pointWords())
	}
	reason.Verdict, reason.Brush = Unfit, Unfit
	reason.Hint = "wait for drier air"
	if r.TemperatureC >= r.SurfaceNeededC {
		reason.Hint = fmt.Sprintf("let the castings stand in the room until they have %.1f °C and no dew is left on them (see --from-cold)", r.SurfaceNeededC)
	}
	return reason
}

// coldSurface is about castings that are dry but too cold for acrylics.
func (r *Report) coldSurface() (Reason, bool) {
	least := facings.MinimumPaintingTemperature
	return Reason{ID: "surface-cold", Verdict: Unfit, Brush: Unfit,
		Message: fmt.Sprintf("the surface, measured at %s °C, is below %.0f °C, where acrylic paint may not form a film", number(r.SurfaceC), least),
		Hint:    "let the castings warm up first (see --from-cold)"}, r.SurfaceMeasured && r.SurfaceC < least
}

// wait is how long castings of from °C should stand in the room.
func (r *Report) wait(from float64) *Wait {
	w := &Wait{FromC: from, NeededC: max(r.SurfaceNeededC, facings.MinimumPaintingTemperature), PracticeMinutes: PracticeWait}
	minutes, ok := Warming(from, r.TemperatureC, w.NeededC)
	if !ok {
		w.Message = fmt.Sprintf("castings would need %.1f °C, which this air, at %s °C, never gives them: make it warmer or drier", w.NeededC, number(r.TemperatureC))
		return w
	}
	minutes = math.Ceil(minutes)
	w.EstimateMinutes = &minutes
	if minutes == 0 {
		w.WaitMinutes = &minutes
		w.Message = fmt.Sprintf("castings of %s °C are warm enough (%.1f °C are wanted): no wait", number(from), w.NeededC)
		return w
	}
	wait := max(minutes, PracticeWait)
	w.WaitMinutes = &wait
	w.Message = fmt.Sprintf("let castings of %s °C stand in the room for %.0f minutes (an hour is common practice), until they have %.1f °C; "+
		"one standing free should take about %.0f (estimate)", number(from), wait, w.NeededC, minutes)
	if tenth(from) <= r.condensation() {
		w.Message += "; dew settles on them meanwhile, so let it dry off too"
	}
	return w
}

func (r *Report) condensation() float64 {
	if r.FrostPointC != nil {
		return *r.FrostPointC
	}
	return r.DewPointC
}

func (r *Report) summary() string {
	words := fmt.Sprintf("%s to spray and %s to paint by brush", r.Verdict, r.Brush)
	if r.Verdict == r.Brush {
		words = fmt.Sprintf("%s to spray and to paint by brush", r.Verdict)
	}
	words = fmt.Sprintf("at %s °C and %s %% relative humidity it is %s", number(r.TemperatureC), number(r.HumidityPercent), words)
	if w := r.Warming; w != nil && w.WaitMinutes != nil && *w.WaitMinutes > 0 && r.Brush != Unfit {
		words += fmt.Sprintf(", once the castings have stood in the room for %.0f minutes", *w.WaitMinutes)
	}
	return words
}

// tenth rounds to a tenth, with no negative zero.
func tenth(x float64) float64 { return math.Round(x*10)/10 + 0 }

func number(x float64) string { return fmt.Sprintf("%.6g", x) }
