package facings

import (
	"fmt"
	"time"
)

// FigureID names one figure: unit, role and number within the role from 1.
type FigureID struct {
	Unit   string `json:"unit"`
	Role   string `json:"role"`
	Number int    `json:"number"`
}

// String is the figure's name on sheets: "Lancers of Vey, trooper 3".
func (f FigureID) String() string { return fmt.Sprintf("%s, %s %d", f.Unit, f.Role, f.Number) }

// Figure is one casting with everything settled: its body, the finish of each
// area, and the traits it was dealt.
type Figure struct {
	ID    FigureID `json:"id"`
	Body  Body     `json:"-"`
	Rank  int      `json:"rank"` // from 1, the front
	File  int      `json:"file"` // from 1, the left seen from behind
	Index int      `json:"index"`
	// Traits gives the value dealt per trait.
	Traits map[string]string `json:"traits"`
	Batch  int               `json:"batch"`
}

// Roster is who stands where and what differs from man to man.
type Roster struct {
	Seed    uint64       `json:"seed"`
	Units   []UnitRoster `json:"units"`
	Figures []Figure     `json:"figures"`
}

// UnitRoster is the outcome for one unit: the shares wanted and got, how the
// search ended, and neighbours that had to be alike.
type UnitRoster struct {
	Unit   string `json:"unit"`
	Ranks  int    `json:"ranks"`
	Files  int    `json:"files"`
	Status string `json:"status"`
	// Distance is the sum over neighbours of how much they differ. Objective is
	// the engine's whole aim (see solve/seat), Bound the proved most it could be.
	Distance  int          `json:"distance"`
	Objective int          `json:"objective"`
	Bound     int          `json:"bound"`
	Alike     int          `json:"alike"` // neighbouring pairs alike in everything
	Shares    []TraitShare `json:"shares"`
}

// TraitShare is one trait value's wanted share against the number dealt.
type TraitShare struct {
	Trait  string  `json:"trait"`
	Value  string  `json:"value"`
	Wanted float64 `json:"wanted"` // share of the unit, 0 to 1
	Count  int     `json:"count"`
	// Follows is true for a trait whose shares nobody set: it goes with another.
	Follows bool `json:"follows,omitempty"`
}

// Look is what a surface will show: sRGB "#rrggbb", CIE L*a*b* under D65, a
// name in words. Guess is true where it rests on one colour or memory.
type Look struct {
	Hex   string     `json:"hex"`
	Lab   [3]float64 `json:"lab"`
	Name  string     `json:"name"`
	Guess bool       `json:"guess,omitempty"`
}

// Task is one coat on one area of one figure: the smallest thing to be done.
type Task struct {
	Figure int    `json:"figure"` // index in the roster
	Area   string `json:"area"`
	// Coat counts within the area's finish from 0; the undercoat's and ending's
	// tasks count within their own area (WholeFigure, base, flag).
	Coat      int       `json:"coat"`
	Stage     Stage     `json:"stage"`
	Medium    string    `json:"medium"` // paint or mix name
	Kind      Kind      `json:"kind"`   // of the medium; of a mix, its weightiest part
	Technique Technique `json:"technique"`
	Tool      string    `json:"tool"`
	Seconds   Seconds   `json:"seconds"`
	AreaMM2   float64   `json:"area_mm2"`
	Look      Look      `json:"look"` // after this coat
	// Base is true for a coat that gives the area its colour, false for washes
	// and drybrushing over it.
	Base bool `json:"base"`
}

// Stage is the part of the work a task belongs to.
type Stage string

const (
	StagePrepare      Stage = "prepare"
	StageUndercoat    Stage = "undercoat"
	StagePaint        Stage = "paint"
	StageBase         Stage = "base"
	StageMakeFlag     Stage = "make flag" // print, cut and fold: it needs no figure, and fills drying time
	StageFlag         Stage = "flag"      // glue it on
	StageVarnish      Stage = "varnish"
	StageAfterVarnish Stage = "after varnish"
)

// LeftOut is a coat that need not be laid, and why.
type LeftOut struct {
	Figure  int      `json:"figure"`
	ID      FigureID `json:"id"`
	Area    string   `json:"area"`
	Coat    int      `json:"coat"`
	Medium  string   `json:"medium"`
	Reason  string   `json:"reason"`
	DeltaE  DeltaE   `json:"delta_e00"`
	Wanted  Look     `json:"wanted"`
	Already Look     `json:"already"`
	// By names the area whose paint goes over this one too; empty when the
	// undercoat or an earlier coat does.
	By string `json:"by,omitempty"`
}

// Lag says that task To may start only Seconds after task From has ended. Both
// are on the same figure. Why names the rule in the user's words.
type Lag struct {
	From    int     `json:"from"` // index in Coats.Tasks
	To      int     `json:"to"`
	Seconds Seconds `json:"seconds"`
	Rule    RuleID  `json:"rule"`
	Why     string  `json:"why"`
}

// RuleID names a rule of the plan.
type RuleID string

const (
	RuleUndercoat RuleID = "undercoat first"
	RuleCoats     RuleID = "coats in order, each dry enough"
	RuleInside    RuleID = "inside before outside"
	RuleMessy     RuleID = "messy before neat"
	RuleEyes      RuleID = "eyes last"
	RuleEnding    RuleID = "ending in the project's order"
	RuleVarnish   RuleID = "varnish over dry paint"
	RuleAfter     RuleID = "after varnish"
	RuleOwn       RuleID = "the project's own rule"
	RuleBatch     RuleID = "one batch after the other"
	RulePrepare   RuleID = "prepared first"
)

// Coats is every task of the project, what was left out, and what must come
// before what.
type Coats struct {
	Tasks   []Task    `json:"tasks"`
	LeftOut []LeftOut `json:"left_out"`
	Lags    []Lag     `json:"lags"`
	// Bare lists areas with the finish "leave", per figure index: keep clean.
	Bare map[int][]string `json:"bare,omitempty"`
}

// Pass is one paint, one tool, one technique over a stretch of figures.
type Pass struct {
	Number    int       `json:"number"` // from 1
	Medium    string    `json:"medium"`
	Mix       []Part    `json:"mix,omitempty"` // when the medium is a mix
	Kind      Kind      `json:"kind"`
	Tool      string    `json:"tool"`
	Technique Technique `json:"technique"`
	Stage     Stage     `json:"stage"`
	Batch     int       `json:"batch"`
	Areas     []string  `json:"areas"`
	Figures   []int     `json:"figures"` // roster indexes, in painting order
	Units     []string  `json:"units"`
	Tasks     []int     `json:"-"`
	Painter   int       `json:"painter"`
	Minutes   Minutes   `json:"minutes"` // brush on figure
	SetUp     Minutes   `json:"setup_minutes"`
	Wait      Minutes   `json:"wait_minutes"`
	// Start and End are wall-clock; a pass may be cut by the end of a sitting.
	Start   time.Time `json:"start"`
	End     time.Time `json:"end"`
	Sitting int       `json:"sitting"` // number of the sitting it starts in
	Drops   float64   `json:"drops"`
	// KeepOff names bare and finished areas within reach; AlsoCover names areas
	// that this pass is to go over as well, since its colour is theirs too.
	KeepOff   []string `json:"keep_off,omitempty"`
	AlsoCover []string `json:"also_cover,omitempty"`
	Why       []string `json:"why,omitempty"` // what it waits for or makes way for
	Caution   string   `json:"caution,omitempty"`
	Look      Look     `json:"look"` // what it will mostly show
	Again     bool     `json:"again,omitempty"`
	// Makes is how many times its mix is made: 0 where that of an earlier pass is
	// still fresh, 2 or more where it dries on the palette before the pass ends.
	Makes int `json:"makes,omitempty"`
}

// Piece is a stretch of one task inside one sitting.
type Piece struct {
	Task  int       `json:"task"`
	Pass  int       `json:"pass"` // index into Order.Passes
	Start time.Time `json:"start"`
	End   time.Time `json:"end"`
}

// Order is the passes in sequence with their times, and how good that is
// proved to be. Minutes is bench time: work, set-up and waiting together.
type Order struct {
	Status       string  `json:"status"`
	Seed         uint64  `json:"seed"`
	Minutes      Minutes `json:"minutes"`
	WorkMinutes  Minutes `json:"work_minutes"`
	SetUpMinutes Minutes `json:"setup_minutes"`
	WaitMinutes  Minutes `json:"wait_minutes"`
	// DoneTasks and DoneMinutes are what is painted already; everything else
	// here is of what is left.
	DoneTasks         int     `json:"done_tasks,omitempty"`
	DoneMinutes       Minutes `json:"done_minutes,omitempty"`
	LowerBoundMinutes Minutes `json:"lower_bound_minutes"`
	// ElapsedMinutes is the busiest painter's bench time, with its own bound;
	// with one painter the same as Minutes.
	ElapsedMinutes           Minutes `json:"elapsed_minutes"`
	ElapsedLowerBoundMinutes Minutes `json:"elapsed_lower_bound_minutes"`
	// Gap is (minutes − lower bound) ÷ (minutes − work): the part of set-up and
	// waiting that is not proved necessary; 0 when there is none of either.
	Gap       float64    `json:"gap"`
	Passes    []Pass     `json:"passes"`
	Pieces    []Piece    `json:"-"`
	LeftOut   []LeftOut  `json:"left_out"`
	Sittings  []Sitting  `json:"sittings"`
	FinishP50 string     `json:"finish_p50"` // date
	FinishP90 string     `json:"finish_p90"`
	ReadyBy   string     `json:"ready_by,omitempty"`
	OnTime    *float64   `json:"on_time_probability,omitempty"`
	Conflicts []Conflict `json:"conflicts,omitempty"`
}

// Conflict is a smallest set of rules that cannot all hold.
type Conflict struct {
	Message string   `json:"message"`
	Rules   []string `json:"rules"`
	Hint    string   `json:"hint"`
	Own     bool     `json:"own"` // one of the project's own rules is among them
}

// Sitting is one stretch of bench time with what happens in it.
type Sitting struct {
	Number       int       `json:"number"`
	Painter      string    `json:"painter"`
	Start        time.Time `json:"start"`
	Begins       time.Time `json:"begins"` // when the painter sits down, which may be later than Start
	End          time.Time `json:"end"`    // when the work ends, not when the evening does
	Until        time.Time `json:"until"`
	WorkMinutes  Minutes   `json:"work_minutes"`
	SetUpMinutes Minutes   `json:"setup_minutes"`
	WaitMinutes  Minutes   `json:"wait_minutes"`
	Passes       []int     `json:"passes"` // pass numbers
}

// Shopping is what the project needs against what the rack holds.
type Shopping struct {
	Paints    []Need `json:"paints"`
	Materials []Need `json:"materials"`
}

// Need is one line of the shopping list. Volumes in millilitres, or grams for
// textures; drops by the pot's own count.
type Need struct {
	Paint   string   `json:"paint"`
	Kind    Kind     `json:"kind"`
	AreaMM2 float64  `json:"area_mm2"`
	NeedML  float64  `json:"need_ml,omitempty"`
	Drops   int      `json:"drops,omitempty"`
	Parts   int      `json:"parts,omitempty"` // parts in mixes, all mixes together
	InMixes []string `json:"in_mixes,omitempty"`
	LeftML  float64  `json:"left_ml,omitempty"`
	NeedG   float64  `json:"need_g,omitempty"`
	LeftG   float64  `json:"left_g,omitempty"`
	Short   float64  `json:"short"`          // millilitres, or grams
	Buy     int      `json:"buy"`            // whole pots, cans or bags
	Cans    float64  `json:"cans,omitempty"` // of a spray can, how much of one
	Owned   bool     `json:"owned"`
	UsedOn  []string `json:"used_on,omitempty"`
	// Instead is what could be mixed in its place when it is to be bought.
	Instead string `json:"instead,omitempty"`
	Note    string `json:"note,omitempty"`
}
