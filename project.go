package facings

import "slices"

// FormatVersion is the version of the project file this program writes.
const FormatVersion = 1

// Limits on what one project may hold; beyond them it is refused, not slow.
const (
	MaxUnits        = 200
	MaxFigures      = 2000
	MaxPaints       = 1000
	MaxFinishes     = 2000
	MaxCoats        = 20  // of one finish
	MaxTraitValues  = 40  // of one trait
	MaxPainters     = 3   // at one bench
	MaxParts        = 100 // of one paint in a mix
	MaxNameLength   = 120
	MaxFileBytes    = 4 << 20
	MaxBodyAreas    = 200
	MaxTraits       = 20
	MaxExtraRules   = 200
	MaxSittingRules = 60
	MaxExceptions   = 1000
	MaxGames        = 60
	MaxForecast     = 2000
	MaxWorth        = 100.0 // of one unit
)

// Project is everything a person decides: what is to be painted, how, with
// what, by whom and when. It is one YAML file.
type Project struct {
	Facings int    `yaml:"facings" json:"facings"` // format version, 1
	Name    string `yaml:"name" json:"name"`
	Note    string `yaml:"note,omitempty" json:"note,omitempty"`
	// SizeMM is the figures' size, 28 by default; areas grow with its square.
	SizeMM float64 `yaml:"size_mm,omitempty" json:"size_mm,omitempty"`
	// Scale is the ratio 1/Scale for printed flags, 56 by default for 28 mm.
	Scale float64 `yaml:"scale,omitempty" json:"scale,omitempty"`
	// Seed starts every draw; the same seed gives the same plan.
	Seed uint64 `yaml:"seed,omitempty" json:"seed,omitempty"`
	// ToleranceDeltaE: an area already this near to its wanted colour is left alone.
	ToleranceDeltaE *DeltaE `yaml:"tolerance_delta_e,omitempty" json:"tolerance_delta_e,omitempty"`
	// Palette is "wet" or "dry"; it decides how long a mix lives.
	Palette string  `yaml:"palette,omitempty" json:"palette,omitempty"`
	Air     Air     `yaml:"air,omitempty" json:"air,omitempty"`
	SetUp   *SetUp  `yaml:"set_up,omitempty" json:"set_up,omitempty"`
	Pace    float64 `yaml:"pace,omitempty" json:"pace,omitempty"` // 1 is the default pace, 1.2 slower by a fifth
	// Learned is what logged passes say of the painter's pace; it is worked out
	// from the log, never written in the file.
	Learned []PaceFactor `yaml:"-" json:"-"`
	// DryingTimes changes the default table, per kind.
	DryingTimes map[Kind]Drying `yaml:"drying,omitempty" json:"drying,omitempty"`

	Undercoat Undercoat    `yaml:"undercoat" json:"undercoat"`
	Ending    []EndingStep `yaml:"ending,omitempty" json:"ending,omitempty"`
	// Prepare is whether cleaning and mounting the castings is planned too (yes by default).
	Prepare *bool `yaml:"prepare,omitempty" json:"prepare,omitempty"`
	Rules   Rules `yaml:"rules,omitempty" json:"rules,omitempty"`

	Rack     []Paint   `yaml:"rack" json:"rack"`
	Mixes    []Mix     `yaml:"mixes,omitempty" json:"mixes,omitempty"`
	Finishes []Finish  `yaml:"finishes" json:"finishes"`
	Castings []Casting `yaml:"castings,omitempty" json:"castings,omitempty"`
	Traits   []Trait   `yaml:"traits,omitempty" json:"traits,omitempty"`
	Units    []Unit    `yaml:"units" json:"units"`
	Calendar Calendar  `yaml:"calendar,omitempty" json:"calendar,omitempty"`
}

// Air is the climate at the bench.
type Air struct {
	TemperatureC    float64 `yaml:"temperature_c,omitempty" json:"temperature_c"`
	HumidityPercent float64 `yaml:"humidity_percent,omitempty" json:"humidity_percent"`
}

// Undercoat is the dark undercoat from every side and, if wanted, the light one from above.
type Undercoat struct {
	Dark string `yaml:"dark" json:"dark"` // paint name
	// Light is the paint sprayed from above; empty for none.
	Light string `yaml:"light,omitempty" json:"light,omitempty"`
	// ElevationDeg is the height of the light from above over the horizon, 45 by default.
	ElevationDeg float64 `yaml:"elevation_deg,omitempty" json:"elevation_deg,omitempty"`
}

// EndingStep is one of the steps after painting, in the project's own order.
type EndingStep struct {
	Step EndingKind `yaml:"step" json:"step"`
	// Paint is the glue of a base or flag, or the varnish.
	Paint string `yaml:"paint" json:"paint"`
	// Materials go on the glue of a base: textures of the rack.
	Materials []string  `yaml:"materials,omitempty" json:"materials,omitempty"`
	Technique Technique `yaml:"technique,omitempty" json:"technique,omitempty"`
}

// EndingKind names a closing step.
type EndingKind string

const (
	EndBase    EndingKind = "base"    // texture on the base
	EndFlag    EndingKind = "flag"    // print, cut, fold, glue
	EndVarnish EndingKind = "varnish" // over everything but what comes after it
)

// EndingKinds lists the closing steps.
func EndingKinds() []EndingKind { return []EndingKind{EndBase, EndFlag, EndVarnish} }

// Rules switches the plan's house rules; nil means yes.
type Rules struct {
	InsideBeforeOutside *bool `yaml:"inside_before_outside,omitempty" json:"inside_before_outside,omitempty"`
	MessyBeforeNeat     *bool `yaml:"messy_before_neat,omitempty" json:"messy_before_neat,omitempty"`
	EyesLast            *bool `yaml:"eyes_last,omitempty" json:"eyes_last,omitempty"`
	// BatchFigures is how many figures are on the bench at once; units are
	// batched in file order. Zero takes the default (24 mounted, 30 foot).
	BatchFigures int `yaml:"batch_figures,omitempty" json:"batch_figures,omitempty"`
	// Also are the painter's own: "cross straps before jacket". They stand
	// above the default about the same two areas.
	Also []ExtraRule `yaml:"also,omitempty" json:"also,omitempty"`
}

// ExtraRule puts one area's last base coat before another's first.
type ExtraRule struct {
	First string `yaml:"first" json:"first"`
	Then  string `yaml:"then" json:"then"`
}

// Finish is the ordered coats of one area. Leave has no coats: the undercoat
// is the finish.
type Finish struct {
	Name  string `yaml:"name" json:"name"`
	Coats []Coat `yaml:"coats" json:"coats"`
	// Source and Uncertain are about the uniform, not the paint.
	Source    string `yaml:"source,omitempty" json:"source,omitempty"`
	Uncertain string `yaml:"uncertain,omitempty" json:"uncertain,omitempty"`
}

// LeaveFinish is the name of the finish without coats.
const LeaveFinish = "leave"

// Coat is one paint or mix laid with one technique.
type Coat struct {
	Paint     string    `yaml:"paint" json:"paint"` // a paint or mix by name
	Technique Technique `yaml:"technique,omitempty" json:"technique,omitempty"`
	Tool      string    `yaml:"tool,omitempty" json:"tool,omitempty"`
	// AfterVarnish marks a coat that goes on last of all (a gloss eye, a wet hoof).
	AfterVarnish bool `yaml:"after_varnish,omitempty" json:"after_varnish,omitempty"`
	// CoverPercent is how much of the area it covers, 100 by default (a drybrush 40).
	CoverPercent float64 `yaml:"cover_percent,omitempty" json:"cover_percent,omitempty"`
	// Always keeps the coat even where it would not show.
	Always bool   `yaml:"always,omitempty" json:"always,omitempty"`
	Note   string `yaml:"note,omitempty" json:"note,omitempty"`
}

// Casting is a maker's variation of a ready-made body.
type Casting struct {
	Name  string     `yaml:"name" json:"name"`
	Like  string     `yaml:"like" json:"like"` // foot, mounted, gun, or another casting
	Lacks []string   `yaml:"lacks,omitempty" json:"lacks,omitempty"`
	Adds  []AddsArea `yaml:"adds,omitempty" json:"adds,omitempty"`
	// Headgear and Cut give pictures their shape: see Headgears and Cuts.
	Headgear string `yaml:"headgear,omitempty" json:"headgear,omitempty"`
	Cut      string `yaml:"cut,omitempty" json:"cut,omitempty"`
	// Mesh is a file beside the project that measures this casting, once labelled.
	Mesh string `yaml:"mesh,omitempty" json:"mesh,omitempty"`
}

// Shape is the form of headgear and coat.
type Shape struct{ Headgear, Cut string }

// Headgears lists the shapes of headgear that pictures know.
func Headgears() []string {
	return []string{"cocked hat", "bicorne", "shako", "fur cap", "helmet", "round hat", "forage cap", "bare"}
}

// Cuts lists the cuts of coat that pictures know.
func Cuts() []string {
	return []string{"long coat", "short coat", "laced jacket", "plain jacket", "tail coat"}
}

// AddsArea adds an area to a casting: one of the catalogue by name alone, or
// a new one with its size.
type AddsArea struct {
	Area    string            `yaml:"area" json:"area"`
	AreaMM2 SquareMillimetres `yaml:"area_mm2,omitempty" json:"area_mm2,omitempty"`
	Fiddly  float64           `yaml:"fiddly,omitempty" json:"fiddly,omitempty"`
	Over    []string          `yaml:"over,omitempty" json:"over,omitempty"`
}

// Scheme says what each area gets: area name to finish, paint or mix name, or "leave".
type Scheme map[string]string

// Trait is one thing that differs from man to man.
type Trait struct {
	Name string `yaml:"name" json:"name"`
	// ReadyMade takes shares and pairs from a built-in table: see ReadyMade.
	ReadyMade string       `yaml:"ready_made,omitempty" json:"ready_made,omitempty"`
	Values    []TraitValue `yaml:"values" json:"values"`
	// Forbid and Prefer are about a value of this trait together with another's.
	Forbid []Pair `yaml:"forbid,omitempty" json:"forbid,omitempty"`
	Prefer []Pair `yaml:"prefer,omitempty" json:"prefer,omitempty"`
	// Weight is how much a difference in this trait shows, 1 to 10; 3 by default.
	Weight int `yaml:"weight,omitempty" json:"weight,omitempty"`
}

// TraitValue is one way for a trait to be.
type TraitValue struct {
	Name string `yaml:"name" json:"name"`
	// Share is relative to the other values' (percent or parts, as you like).
	Share  *float64 `yaml:"share,omitempty" json:"share,omitempty"`
	Scheme Scheme   `yaml:"scheme" json:"scheme"`
}

// Pair is a value of the trait it stands under and a value of another.
type Pair struct {
	Value string `yaml:"value" json:"value"`
	Trait string `yaml:"trait" json:"trait"`
	With  string `yaml:"with" json:"with"`
}

// Unit is a regiment or troop, or a gun with its crew.
type Unit struct {
	Name string `yaml:"name" json:"name"`
	// Body is a ready-made body or a casting.
	Body  string `yaml:"body" json:"body"`
	Batch string `yaml:"batch,omitempty" json:"batch,omitempty"` // units of one batch are painted together
	Roles []Role `yaml:"figures" json:"figures"`
	// Ranks is how many ranks the unit stands in, 2 by default.
	Ranks  int      `yaml:"ranks,omitempty" json:"ranks,omitempty"`
	Base   BaseSize `yaml:"base,omitempty" json:"base,omitempty"`
	Scheme Scheme   `yaml:"scheme" json:"scheme"`
	// Traits lists the project's traits that this unit's figures differ in.
	Traits []string `yaml:"traits,omitempty" json:"traits,omitempty"`
	// Shares changes a trait's shares for this unit: trait, value, share.
	Shares map[string]map[string]float64 `yaml:"shares,omitempty" json:"shares,omitempty"`
	// Single makes one figure differ: "trooper 3".
	Single    []Single `yaml:"single,omitempty" json:"single,omitempty"`
	Flag      *Flag    `yaml:"flag,omitempty" json:"flag,omitempty"`
	Source    string   `yaml:"source,omitempty" json:"source,omitempty"`
	Uncertain string   `yaml:"uncertain,omitempty" json:"uncertain,omitempty"`
	ReadyBy   string   `yaml:"ready_by,omitempty" json:"ready_by,omitempty"` // date, if other than the project's
	// Worth is how much it matters that the unit is ready for a game, against
	// the others': 1 by default.
	Worth float64 `yaml:"worth,omitempty" json:"worth,omitempty"`
}

// Role is a kind of figure in a unit and how many there are.
type Role struct {
	Name   string            `yaml:"role" json:"role"`
	Count  int               `yaml:"count" json:"count"`
	Body   string            `yaml:"body,omitempty" json:"body,omitempty"` // if other than the unit's
	Scheme Scheme            `yaml:"scheme,omitempty" json:"scheme,omitempty"`
	Traits map[string]string `yaml:"traits,omitempty" json:"traits,omitempty"` // fixed: trait to value
	Lacks  []string          `yaml:"lacks,omitempty" json:"lacks,omitempty"`
	Adds   []AddsArea        `yaml:"adds,omitempty" json:"adds,omitempty"`
}

// Single is what makes one figure of a role differ; Number counts from 1.
type Single struct {
	Role   string            `yaml:"role" json:"role"`
	Number int               `yaml:"number" json:"number"`
	Scheme Scheme            `yaml:"scheme,omitempty" json:"scheme,omitempty"`
	Traits map[string]string `yaml:"traits,omitempty" json:"traits,omitempty"`
	Lacks  []string          `yaml:"lacks,omitempty" json:"lacks,omitempty"`
	Adds   []AddsArea        `yaml:"adds,omitempty" json:"adds,omitempty"`
}

// Roles a ready-made unit has; any other name may be used too.
const (
	RoleOfficer        = "officer"
	RoleStandardBearer = "standard-bearer"
	RoleMusician       = "musician"
	RoleSergeant       = "sergeant"
	RoleTrooper        = "trooper"
)

// IsCommand reports whether figures of a role stand front and centre.
func IsCommand(role string) bool {
	return slices.Contains([]string{RoleOfficer, RoleStandardBearer, RoleMusician}, role)
}

// BaseSize is a figure's base in mm.
type BaseSize struct {
	WidthMM float64 `yaml:"width_mm,omitempty" json:"width_mm"`
	DepthMM float64 `yaml:"depth_mm,omitempty" json:"depth_mm"`
}
