package app

import (
	"time"

	"facings"
)

// The values that the pages' use cases give. Lists and maps in them are never
// null.

// Head is a project as it stands.
type Head struct {
	Kept     facings.Kept `json:"kept"`
	Revision int          `json:"revision"`
	// Project is as much of the file as could be read.
	Project  *facings.Project    `json:"project"`
	Findings facings.Diagnostics `json:"findings"`
	// Files are those beside the project: name to SHA-256 in hex.
	Files map[string]string `json:"files"`
}

// Line is one line of a comparison: Op is " " for both, "-" for the older, "+"
// for the newer text.
type Line struct {
	Op   string `json:"op" enum:" ,+,-"`
	Text string `json:"text"`
}

// Hunk is a stretch of differing lines with those around them. Starts count
// lines from 1.
type Hunk struct {
	AStart int    `json:"a_start"`
	BStart int    `json:"b_start"`
	Lines  []Line `json:"lines"`
}

// Comparison tells two revisions apart.
type Comparison struct {
	A     facings.Revision `json:"a"`
	B     facings.Revision `json:"b"`
	Hunks []Hunk           `json:"hunks"`
	// Files that differ: name to "added", "removed" or "changed".
	Files map[string]string `json:"files"`
}

// The states of a plan.
const (
	PlanReady      = "ready"
	PlanWorking    = "working"    // the first plan is being made
	PlanFaulty     = "faulty"     // the project has faults
	PlanFailed     = "failed"     // the program is at fault, or the calendar has no room
	PlanInfeasible = "infeasible" // rules contradict each other
)

// PlanState is the newest plan there is, and what is going on.
type PlanState struct {
	State string `json:"state" enum:"ready,working,faulty,failed,infeasible"`
	// Revision and Seq are what the plan takes account of.
	Revision int   `json:"revision"`
	Seq      int64 `json:"seq"`
	// Stale is true while a newer plan is being made; Stage and Share (0 to 1)
	// say how far it is.
	Stale   bool    `json:"stale"`
	Stage   string  `json:"stage"`
	Share   float64 `json:"share"`
	Message string  `json:"message,omitempty"` // of a failure
	// PlannedAt is when the search ended.
	PlannedAt time.Time           `json:"planned_at,omitzero"`
	Findings  facings.Diagnostics `json:"findings"`
	Order     *OrderResult        `json:"order,omitempty"`
	Roster    *facings.Roster     `json:"roster,omitempty"`
	Progress  ProgressSummary     `json:"progress"`
}

// ProgressSummary is how far the work is. Minutes are brush on figure; what is
// left counts the planned times.
type ProgressSummary struct {
	Tasks       int             `json:"tasks"`
	Done        int             `json:"done"`
	Skipped     int             `json:"skipped"`
	MinutesDone facings.Minutes `json:"minutes_done"` // as planned
	// MinutesMeasured is the bench time of what was timed.
	MinutesMeasured facings.Minutes `json:"minutes_measured"`
	MinutesLeft     facings.Minutes `json:"minutes_left"`
	// Pace is measured over planned time of what was timed, 0 where nothing was.
	Pace      float64 `json:"pace"`
	FinishP50 string  `json:"finish_p50"` // date
	FinishP90 string  `json:"finish_p90"`
}

// The states of a pass at the bench.
const (
	PassWaiting = "waiting" // for others, or for paint to dry
	PassNext    = "next"
	PassDone    = "done"
	PassSkipped = "skipped"
)

// Bench is the order as worked through: every pass with its tasks, done ones
// among them, in the order of work.
type Bench struct {
	Revision int       `json:"revision"`
	Seq      int64     `json:"seq"` // of the log's last entry taken account of
	Now      time.Time `json:"now"`
	Stale    bool      `json:"stale"` // a newer plan is being made
	Project  string    `json:"project"`
	// Next is the index in Passes of the one to take up, -1 when all is done.
	Next     int                   `json:"next"`
	Underway *Underway             `json:"underway,omitempty"`
	Passes   []BenchPass           `json:"passes"`
	Sittings []facings.Sitting     `json:"sittings"`
	Paints   map[string]BenchPaint `json:"paints"`
	Figures  []BenchFigure         `json:"figures"`
	Progress ProgressSummary       `json:"progress"`
}

// Underway is what was started and neither ended nor undone.
type Underway struct {
	Entry  string    `json:"entry"` // ID of the start
	Key    string    `json:"key"`   // of the pass, if it is one
	At     time.Time `json:"at"`
	Paused bool      `json:"paused"`
	// Seconds ran so far up to Since; if not paused the clock runs on from there.
	Seconds facings.Seconds `json:"seconds"`
	Since   time.Time       `json:"since"`
}

// BenchPass is a pass at the bench. Number is 0 for one that the plan in force
// no longer holds, having been done before it was made.
type BenchPass struct {
	facings.Pass
	// Key is the same for the same tasks, whatever the plan.
	Key      string      `json:"key"`
	Title    string      `json:"title"`
	Who      string      `json:"figures_words"` // "officer 1, troopers 2–5"
	State    string      `json:"state" enum:"waiting,next,done,skipped"`
	Tasks    []BenchTask `json:"tasks"`
	Done     int         `json:"done"` // tasks of it that are painted or skipped
	Seconds  int         `json:"seconds"`
	DryUntil *time.Time  `json:"dry_until,omitempty"` // until when what it goes on is drying
	WaitsFor string      `json:"waits_for,omitempty"` // in words
	// DryMinutes is how long its own coat dries before another, MixLifeMinutes
	// how long a mix lives on the palette, 0 for a plain paint.
	DryMinutes     facings.Minutes `json:"dry_minutes"`
	MixLifeMinutes facings.Minutes `json:"mix_life_minutes"`
	// Picture is the address of a figure with these areas outlined; the
	// desk gives its query alone.
	Picture string `json:"picture"`
	// Shown is the index of the figure that the picture shows.
	Shown int `json:"shown"`
}

// BenchTask is one figure's area in a pass.
type BenchTask struct {
	facings.TaskKey
	Index   int             `json:"index"` // of the figure in Bench.Figures
	Look    facings.Look    `json:"look"`
	Seconds facings.Seconds `json:"seconds"`
	State   string          `json:"state" enum:"open,done,skipped"`
	DoneAt  *time.Time      `json:"done_at,omitempty"`
}

// BenchPaint is how to put a paint or mix out.
type BenchPaint struct {
	Look       facings.Look   `json:"look"`
	Kind       facings.Kind   `json:"kind"`
	DropsPerML float64        `json:"drops_per_ml"`
	Mix        []facings.Part `json:"mix"`
	LeftML     float64        `json:"left_ml"`
}

// BenchFigure is one figure by name and what it was dealt.
type BenchFigure struct {
	facings.FigureID
	Name   string            `json:"name"`
	Traits map[string]string `json:"traits"`
	Batch  int               `json:"batch"`
}

// LogAnswer is a stretch of the log. Seq is that of the last entry kept.
type LogAnswer struct {
	Entries []facings.Entry `json:"entries"`
	Seq     int64           `json:"seq"`
}

// Colours is what every area of one figure will show.
type Colours struct {
	Revision int              `json:"revision"`
	Figure   facings.FigureID `json:"figure"`
	Body     string           `json:"body"`
	Areas    []AreaColours    `json:"areas"`
}

// AreaColours is one area: its finish, where that was said, and the colour it
// ends in.
type AreaColours struct {
	Area   string `json:"area"`
	Finish string `json:"finish"`
	// From is the rule that chose the finish: figure, role, trait or unit; empty
	// for none. Path is its place in the file (JSON Pointer by names).
	From     string                    `json:"from"`
	Path     string                    `json:"path"`
	AreaMM2  facings.SquareMillimetres `json:"area_mm2"`
	Exposure float64                   `json:"exposure"`
	// Ramp is sixteen colours "#rrggbb", from no light undercoat to a full one.
	Ramp  []string     `json:"ramp"`
	Look  facings.Look `json:"look"` // at the area's own exposure
	Metal bool         `json:"metal"`
	Coats []CoatColour `json:"coats"` // that are laid
	Left  []LeftOff    `json:"left_out"`
	Cover *CoverDoubt  `json:"cover,omitempty"` // nil where the finish covers as it should
}

// CoverDoubt says that a finish does not hide, or does not glow over, what lies
// beneath it: an opaque paint shows the undercoat through ("shows-through": the
// colours over the dark and over the light undercoat), or a translucent one comes
// out darker than over the light undercoat ("over-dark": the colour as it will be,
// and the one over the light undercoat).
type CoverDoubt struct {
	Kind   string         `json:"kind" enum:"shows-through,over-dark"`
	Paint  string         `json:"paint"` // the last coat's
	Dark   string         `json:"dark"`  // "#rrggbb"
	Light  string         `json:"light"`
	DeltaE facings.DeltaE `json:"delta_e00"` // between the two
}

// CoatColour is one coat laid and what shows after it.
type CoatColour struct {
	Medium    string            `json:"medium"`
	Technique facings.Technique `json:"technique"`
	Tool      string            `json:"tool"`
	Look      facings.Look      `json:"look"`
}

// LeftOff is a coat that need not be laid.
type LeftOff struct {
	Medium string         `json:"medium"`
	Reason string         `json:"reason"`
	DeltaE facings.DeltaE `json:"delta_e00"`
}

// WhatIf is a question put to a plan without keeping anything.
type WhatIf struct {
	// Patch is a JSON Patch (RFC 6902) on the project.
	Patch []PatchOp `json:"patch,omitempty"`
	// Evenings is how many sittings a week there would be, 1 to 7.
	Evenings int `json:"evenings,omitempty" minimum:"0" maximum:"7"`
	Painters int `json:"painters,omitempty" minimum:"0" maximum:"3"`
	// Pin puts one pass before another, by their numbers.
	Pin *Pin `json:"pin,omitempty"`
	// Order asks for the whole order in the answer.
	Order bool `json:"order,omitempty"`
}

// Pin says that Pass shall come before Before.
type Pin struct {
	Pass   int `json:"pass" minimum:"1"`
	Before int `json:"before" minimum:"1"`
}

// PatchOp is one operation of a JSON Patch.
type PatchOp struct {
	Op    string `json:"op" enum:"add,remove,replace,move,copy,test"`
	Path  string `json:"path"`
	From  string `json:"from,omitempty"`
	Value any    `json:"value,omitempty"`
}

// WhatIfNumbers are what an order costs.
type WhatIfNumbers struct {
	Status       string          `json:"status"`
	Minutes      facings.Minutes `json:"minutes"`
	SetUpMinutes facings.Minutes `json:"setup_minutes"`
	WaitMinutes  facings.Minutes `json:"wait_minutes"`
	FinishP50    string          `json:"finish_p50"`
	FinishP90    string          `json:"finish_p90"`
	Gap          float64         `json:"gap"`
}

// WhatIfAnswer compares the question's order with the one in force.
type WhatIfAnswer struct {
	WhatIfNumbers
	InForce  *WhatIfNumbers      `json:"in_force,omitempty"`
	Findings facings.Diagnostics `json:"findings"`
	Order    *OrderResult        `json:"order,omitempty"`
}

// FileKept is a file as kept beside a project.
type FileKept struct {
	Name string `json:"name"`
	Hash string `json:"hash"`
	Size int64  `json:"size"`
	Head *Head  `json:"head"`
}

// MeshLabel asks for labels on the faces of a mesh: all after a built-in body
// (Like), or an area on some faces: those given, those that a flood fill from
// one face reaches, or those within a radius of a point.
type MeshLabel struct {
	Like     string      `json:"like,omitempty" enum:"foot,mounted,gun"`
	Area     string      `json:"area,omitempty"`
	Faces    []int32     `json:"faces,omitempty"`
	SeedFace *int        `json:"seed_face,omitempty"`
	AngleDeg float64     `json:"angle_deg,omitempty" minimum:"0" maximum:"180"`
	AtMM     *[3]float64 `json:"at_mm,omitempty"`
	RadiusMM float64     `json:"radius_mm,omitempty" minimum:"0" maximum:"1000"`
}

// MeshLabels are the labels of a mesh's faces in file order: Runs lists index
// into Labels and how many faces in a row have it.
type MeshLabels struct {
	Name   string         `json:"name"`
	Faces  int            `json:"faces"`
	Labels []string       `json:"labels"` // the first is "", not labelled yet
	Runs   [][2]int       `json:"runs"`
	Areas  []AreaLabelled `json:"areas"`
	Notes  []string       `json:"notes"`
	Head   *Head          `json:"head,omitempty"` // after a change
}

// AreaLabelled is how much of a mesh an area has.
type AreaLabelled struct {
	Area    string  `json:"area"`
	Faces   int     `json:"faces"`
	AreaMM2 float64 `json:"area_mm2"`
}

// SheetKind is a kind of sheet that can be had, and how.
type SheetKind struct {
	Kind    string        `json:"kind"`
	Title   string        `json:"title"`
	Formats []string      `json:"formats"` // the first is the usual one
	Paper   bool          `json:"paper"`   // whether it is printed on a paper
	Options []SheetOption `json:"options"`
	// Ready is false where the plan does not stand yet.
	Ready bool `json:"ready"`
}

// SheetOption is one query parameter of a sheet.
type SheetOption struct {
	Name    string   `json:"name"`
	Words   string   `json:"words"`
	Type    string   `json:"type" enum:"number,switch,choice"`
	Choices []string `json:"choices"`
	Default string   `json:"default"`
}

// StarterPaint is one paint of the starter rack.
type StarterPaint struct {
	Name      string       `json:"name"`
	Kind      facings.Kind `json:"kind"`
	Basis     string       `json:"basis"` // how its colour is known
	OverBlack facings.Look `json:"over_black"`
	OverWhite facings.Look `json:"over_white"`
}

// Event is something that changed: Kind is head, log or plan.
type Event struct {
	Kind     string  `json:"-"`
	Revision int     `json:"revision,omitempty"`
	Seq      int64   `json:"seq,omitempty"`
	State    string  `json:"state,omitempty"`
	Stale    bool    `json:"stale,omitempty"`
	Stage    string  `json:"stage,omitempty"`
	Share    float64 `json:"share,omitempty"`
}
