package facings

// Calendar says when there is bench time and by when the work should be done.
// Dates are "2006-01-02", times "15:04", both local to Zone.
type Calendar struct {
	Start   string `yaml:"start,omitempty" json:"start,omitempty"`       // first day of work
	ReadyBy string `yaml:"ready_by,omitempty" json:"ready_by,omitempty"` // date the whole project should be ready
	Zone    string `yaml:"zone,omitempty" json:"zone,omitempty"`         // IANA name, UTC by default
	// Games are the dates on which units are wanted on the table: see Unit.Worth.
	Games []Game `yaml:"games,omitempty" json:"games,omitempty"`
	// Painters share the bench, one to three; none written means one painter
	// with the usual evenings.
	Painters []Painter `yaml:"painters,omitempty" json:"painters,omitempty"`
	// PatienceMinutes is the longest drying time anybody sits through at the
	// bench; where a coat takes longer the sitting ends instead.
	PatienceMinutes Minutes `yaml:"patience_minutes,omitempty" json:"patience_minutes,omitempty"`
	// ClosingMinutes is how long before the end of a sitting nothing else is put
	// out: a pass that the sitting can't finish any more opens the next one. 0:
	// work goes on to the end. DefaultClosing if nil.
	ClosingMinutes *Minutes `yaml:"closing_minutes,omitempty" json:"closing_minutes,omitempty"`
	// Forecast is the weather to come where spraying is done, in the order of
	// time: spraying is planned into sittings whose air is fit for it.
	Forecast []Forecast `yaml:"forecast,omitempty" json:"forecast,omitempty"`
}

// Forecast is the air from a time on, until the next one's, and for six hours at
// most.
type Forecast struct {
	At              string  `yaml:"at" json:"at"` // "2006-01-02 15:04"
	TemperatureC    float64 `yaml:"temp_c" json:"temp_c"`
	HumidityPercent float64 `yaml:"rh" json:"rh"` // relative humidity, %
}

// ForecastTime is how the times of a forecast are written.
const ForecastTime = "2006-01-02 15:04"

// Game is a date by which as much of the army as can be should be ready.
type Game struct {
	Date string `yaml:"date" json:"date"`
	Name string `yaml:"name,omitempty" json:"name,omitempty"`
	// Units are those wanted; all when none is named.
	Units []string `yaml:"units,omitempty" json:"units,omitempty"`
}

// Painter is one pair of hands and their bench time.
type Painter struct {
	Name string `yaml:"name" json:"name"`
	// Pace multiplies all times: 1 is the default pace. Of painters who share the
	// bench each works at their own.
	Pace     float64       `yaml:"pace,omitempty" json:"pace,omitempty"`
	Sittings []SittingRule `yaml:"sittings" json:"sittings"`
	Except   []SittingDay  `yaml:"except,omitempty" json:"except,omitempty"`
}

// SittingRule is a weekly sitting: days as "mon" … "sun".
type SittingRule struct {
	Days []string `yaml:"days" json:"days"`
	From string   `yaml:"from" json:"from"`
	To   string   `yaml:"to" json:"to"`
}

// SittingDay is an exception: no sitting on a date, or another one.
type SittingDay struct {
	Date string `yaml:"date" json:"date"`
	None bool   `yaml:"none,omitempty" json:"none,omitempty"`
	From string `yaml:"from,omitempty" json:"from,omitempty"`
	To   string `yaml:"to,omitempty" json:"to,omitempty"`
}

// Weekdays are the names of days in a sitting rule.
func Weekdays() []string { return []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} }
