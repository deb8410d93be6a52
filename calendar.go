package facings

// Calendar says when there is bench time and by when the work should be done.
// Dates are "2006-01-02", times "15:04", both local to Zone.
type Calendar struct {
	Start   string `yaml:"start,omitempty" json:"start,omitempty"`       // first day of work
	ReadyBy string `yaml:"ready_by,omitempty" json:"ready_by,omitempty"` // date the whole project should be ready
	Zone    string `yaml:"zone,omitempty" json:"zone,omitempty"`         // IANA name, UTC by default
	// Painters share the bench, one to three; none written means one painter
	// with the usual evenings.
	Painters []Painter `yaml:"painters,omitempty" json:"painters,omitempty"`
	// PatienceMinutes is the longest drying time anybody sits through at the
	// bench; where a coat takes longer the sitting ends instead.
	PatienceMinutes Minutes `yaml:"patience_minutes,omitempty" json:"patience_minutes,omitempty"`
}

// Painter is one pair of hands and their bench time.
type Painter struct {
	Name string `yaml:"name" json:"name"`
	// Pace multiplies all times: 1 is the default pace. Where painters share the
	// bench the mean of theirs counts (see Project.WorkPace).
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
