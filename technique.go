package facings

// Technique is how paint is laid on.
type Technique string

const (
	Brush    Technique = "brush"
	WashOn   Technique = "wash"
	Drybrush Technique = "drybrush"
	Dot      Technique = "dot"
	Line     Technique = "line" // lace, piping, edges: a thin stroke
	Glaze    Technique = "glaze"
	Spray    Technique = "spray"
	GlueOn   Technique = "glue"
	Prepare  Technique = "prepare" // file, cut, wash and mount castings
	Fit      Technique = "fit"     // print, cut and fold a flag
)

// Handling describes a technique: what the planner must know of it. Times are
// estimates fitted to the trade's minutes per figure (docs/defaults.md) and are
// corrected by the user's own pace; films are wet and estimates too.
type Handling struct {
	Technique Technique
	// Messy techniques stray onto what lies over or beside the area.
	Messy bool
	// SecondsPerSquareMM at fiddliness 1, and SecondsPerArea for finding the
	// spot, loading the brush and turning the figure.
	SecondsPerSquareMM float64
	SecondsPerArea     float64
	Film               Micrometres
	Caution            string
}

// Techniques lists every technique in the order a screen shows them.
func Techniques() []Handling {
	return []Handling{
		{Technique: Brush, SecondsPerSquareMM: 0.3, SecondsPerArea: 40, Film: 50},
		{Technique: WashOn, Messy: true, SecondsPerSquareMM: 0.12, SecondsPerArea: 22, Film: 80},
		{Technique: Drybrush, Messy: true, SecondsPerSquareMM: 0.12, SecondsPerArea: 25, Film: 10},
		{Technique: Dot, SecondsPerSquareMM: 1, SecondsPerArea: 48, Film: 60},
		{Technique: Line, SecondsPerSquareMM: 0.9, SecondsPerArea: 35, Film: 50},
		{Technique: Glaze, SecondsPerSquareMM: 0.28, SecondsPerArea: 40, Film: 40},
		{Technique: Spray, Messy: true, SecondsPerSquareMM: 0.015, SecondsPerArea: 25, Film: 30, Caution: CautionSpray},
		{Technique: GlueOn, Messy: true, SecondsPerSquareMM: 0.09, SecondsPerArea: 30, Film: 250},
		{Technique: Prepare, SecondsPerSquareMM: 0.12, SecondsPerArea: 120, Caution: CautionCasting + " " + CautionBlade},
		{Technique: Fit, SecondsPerSquareMM: 0.36, SecondsPerArea: 510, Caution: CautionBlade},
	}
}

// HandlingOf returns the description of a technique; false when there is none.
func HandlingOf(t Technique) (Handling, bool) {
	for _, h := range Techniques() {
		if h.Technique == t {
			return h, true
		}
	}
	return Handling{}, false
}

// Cautions shown at the step where they belong (common practice; they defer to
// labels, local rules and licensed advice).
const (
	CautionSpray   = "Spray outdoors or with extraction, away from flames and pilot lights, with a respirator for organic vapour and particles (EN 14387 A2P2 or NIOSH OV/P100). Follow the can's label and local rules."
	CautionCasting = "Castings may hold lead: file them wet, keep food away, wash your hands, and keep them from children and anyone pregnant. Uncured resin: gloves; sand it wet with a P2/N95 mask. Painted castings are not toys."
	CautionBlade   = "Cut away from yourself, with a sharp blade."
	CautionCyano   = "Cyanoacrylate bonds skin: never pull it apart, use warm soapy water; in an eye, see a doctor."
	CautionOil     = "Rags with oil or solvent can catch fire by themselves: dry them flat outdoors or keep them under water in a metal tin. Air the room."
	CautionHeavy   = "Never spray or sand paint with cadmium or cobalt pigments, and never lick the brush."
)

// DefaultTechnique is how a kind of paint is usually laid on.
func DefaultTechnique(k Kind) Technique {
	switch k {
	case Wash, OilWash:
		return WashOn
	case Primer:
		return Spray
	case Glue, Texture:
		return GlueOn
	}
	return Brush
}

// The tools of the bench, by what they are for (common practice).
const (
	ToolFine      = "brush 0"   // eyes, buttons
	ToolLine      = "brush 1"   // lace, straps
	ToolCloth     = "brush 2"   // cloth, tack
	ToolLarge     = "brush 5"   // horses, washes, translucent paint
	ToolFlat      = "flat 6"    // bases, varnish
	ToolOld       = "old brush" // glue only
	ToolDry       = "soft round"
	ToolToothpick = "toothpick"
	ToolCan       = "spray can"
	ToolFile      = "file and knife"
	ToolScissors  = "scissors"
)

// DefaultTool chooses the tool for a coat from technique, kind and the area's
// size in mm² and fiddliness (common practice).
func DefaultTool(t Technique, k Kind, area AreaSpec) string {
	switch t {
	case Dot:
		return ToolToothpick
	case Drybrush:
		return ToolDry
	case Spray:
		return ToolCan
	case GlueOn:
		return ToolOld
	case Prepare:
		return ToolFile
	case Fit:
		return ToolScissors
	case WashOn:
		if area.AreaMM2 < 60 {
			return ToolCloth
		}
		return ToolLarge
	}
	switch {
	case k == Varnish || area.Part == PartBase:
		return ToolFlat
	case t == Line || area.AreaMM2 < 9:
		if area.AreaMM2 < 4 {
			return ToolFine
		}
		return ToolLine
	case area.AreaMM2 >= 400:
		return ToolLarge
	case area.AreaMM2 < 25 && area.Fiddly >= 1.5:
		return ToolLine
	}
	return ToolCloth
}

// SetUp is what changing between passes costs (estimates; common practice).
type SetUp struct {
	PaintMinutes      Minutes `yaml:"paint_minutes,omitempty" json:"paint_minutes"`             // rinse, shake, put out
	MixMinutes        Minutes `yaml:"mix_minutes,omitempty" json:"mix_minutes"`                 // count parts, stir
	ToolMinutes       Minutes `yaml:"tool_minutes,omitempty" json:"tool_minutes"`               // another brush
	WaterMinutes      Minutes `yaml:"water_minutes,omitempty" json:"water_minutes"`             // fresh water after a metallic
	LightAfterDark    Minutes `yaml:"light_after_dark_minutes" json:"light_after_dark_minutes"` // wash the brush before white or yellow
	MixLifeDryMinutes Minutes `yaml:"mix_life_dry_minutes" json:"mix_life_dry_minutes"`         // on a dry palette
	MixLifeWetMinutes Minutes `yaml:"mix_life_wet_minutes" json:"mix_life_wet_minutes"`         // on a wet palette
}

// DefaultSetUp is the trade's estimate of changes.
func DefaultSetUp() SetUp {
	return SetUp{PaintMinutes: 1.5, MixMinutes: 3.5, ToolMinutes: 0.5, WaterMinutes: 1.5, LightAfterDark: 1, MixLifeDryMinutes: 30, MixLifeWetMinutes: 2 * 24 * 60}
}
