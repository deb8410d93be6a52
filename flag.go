package facings

import "slices"

// MaxFlagParts is how many parts one flag may have.
const MaxFlagParts = 60

// Flag is a unit's flag: its real size, what is on it, and who carries it.
type Flag struct {
	FlyMM   float64 `yaml:"fly_mm" json:"fly_mm"` // real millimetres, not scaled
	HoistMM float64 `yaml:"hoist_mm" json:"hoist_mm"`
	PoleMM  float64 `yaml:"pole_mm,omitempty" json:"pole_mm,omitempty"` // the model's pole, 1 by default
	Role    string  `yaml:"role,omitempty" json:"role,omitempty"`       // standard-bearer by default
	Shape   string  `yaml:"shape,omitempty" json:"shape,omitempty"`     // see FlagShapes, "rectangle" by default
	Design  string  `yaml:"design,omitempty" json:"design,omitempty"`   // in words
	// Parts are what is printed, from the field upwards.
	Parts []FlagPart `yaml:"parts,omitempty" json:"parts,omitempty"`
	// Picture is a file beside the project (SVG, PNG or JPEG) to print in place of
	// parts; PictureReverse the other face, the same mirrored by default.
	Picture        string `yaml:"picture,omitempty" json:"picture,omitempty"`
	PictureReverse string `yaml:"picture_reverse,omitempty" json:"picture_reverse,omitempty"`
	Source         string `yaml:"source,omitempty" json:"source,omitempty"`
}

// FlagPart is one part of a flag's design. Places and sizes are in percent:
// X of the fly from the pole, Y of the hoist from the top, Size of the hoist.
type FlagPart struct {
	Part     string `yaml:"part" json:"part"`                             // see FlagParts
	Division string `yaml:"division,omitempty" json:"division,omitempty"` // of a field, see Divisions
	// Colours are finishes, mixes, paints, tinctures or "#rrggbb".
	Colours []string `yaml:"colours,omitempty" json:"colours,omitempty"`
	X       *float64 `yaml:"x,omitempty" json:"x,omitempty"` // 50 by default
	Y       *float64 `yaml:"y,omitempty" json:"y,omitempty"` // 50 by default
	Size    float64  `yaml:"size,omitempty" json:"size,omitempty"`
	TurnDeg float64  `yaml:"turn_deg,omitempty" json:"turn_deg,omitempty"` // clockwise
	Pieces  int      `yaml:"pieces,omitempty" json:"pieces,omitempty"`     // of a field paly, barry … ; points of a star; rays
	Text    string   `yaml:"text,omitempty" json:"text,omitempty"`         // of lettering, a ribbon or a monogram
}

// FlagPartSpec says what a kind of part takes.
type FlagPartSpec struct {
	Part string
	// Colours is how many colours may be given, at least one.
	Colours int
	Size    float64 // by default, percent of the hoist; 0 where there is none
	Placed  bool    // has a place
	Pieces  int     // by default; 0 where there are none
	Text    bool    // must have a text
}

// FlagParts lists the parts of a design: a field, the ordinaries in heraldry's
// terms, and devices. Widths follow what looks right on small flags (common
// practice); heraldry leaves them to the artist.
func FlagParts() []FlagPartSpec {
	return []FlagPartSpec{
		{Part: "field", Colours: 6, Pieces: 6},
		{Part: "chief", Colours: 1, Size: 30}, {Part: "fess", Colours: 1, Size: 30}, {Part: "pale", Colours: 1, Size: 30},
		{Part: "bend", Colours: 1, Size: 22}, {Part: "bend sinister", Colours: 1, Size: 22}, {Part: "chevron", Colours: 1, Size: 20},
		{Part: "cross", Colours: 2, Size: 20}, {Part: "saltire", Colours: 2, Size: 18},
		{Part: "canton", Colours: 1, Size: 45}, {Part: "bordure", Colours: 1, Size: 8}, {Part: "fringe", Colours: 2, Size: 7},
		{Part: "roundel", Colours: 1, Size: 40, Placed: true}, {Part: "annulet", Colours: 1, Size: 40, Placed: true},
		{Part: "star", Colours: 1, Size: 30, Placed: true, Pieces: 5}, {Part: "rays", Colours: 1, Size: 80, Placed: true, Pieces: 16},
		{Part: "crescent", Colours: 1, Size: 35, Placed: true}, {Part: "wreath", Colours: 2, Size: 70, Placed: true},
		{Part: "crown", Colours: 2, Size: 22, Placed: true}, {Part: "bell", Colours: 2, Size: 50, Placed: true},
		{Part: "oar", Colours: 1, Size: 75, Placed: true}, {Part: "lance", Colours: 2, Size: 80, Placed: true},
		{Part: "sword", Colours: 2, Size: 70, Placed: true}, {Part: "anchor", Colours: 1, Size: 50, Placed: true},
		{Part: "ferry", Colours: 2, Size: 45, Placed: true}, {Part: "monogram", Colours: 1, Size: 40, Placed: true, Text: true},
		{Part: "ribbon", Colours: 2, Size: 75, Placed: true, Text: true}, {Part: "lettering", Colours: 1, Size: 12, Placed: true, Text: true},
	}
}

// FlagPartNamed finds a kind of part.
func FlagPartNamed(name string) (FlagPartSpec, bool) {
	list := FlagParts()
	if i := slices.IndexFunc(list, func(s FlagPartSpec) bool { return s.Part == name }); i >= 0 {
		return list[i], true
	}
	return FlagPartSpec{}, false
}

// Division is a way to divide a field, with the fewest and most colours.
type Division struct {
	Name         string
	Fewest, Most int
}

// Divisions lists the divisions of a field in heraldry's terms.
func Divisions() []Division {
	return []Division{
		{"plain", 1, 1}, {"per pale", 2, 3}, {"per fess", 2, 3}, {"quarterly", 2, 4},
		{"per saltire", 2, 4}, {"per bend", 2, 2}, {"per bend sinister", 2, 2},
		{"paly", 2, 6}, {"barry", 2, 6}, {"bendy", 2, 6}, {"chequy", 2, 2}, {"gyronny", 2, 4},
	}
}

// FlagShapes lists the outlines of a flag: a guidon is a swallow-tail with
// round ends.
func FlagShapes() []string { return []string{"rectangle", "swallow-tail", "guidon", "pennon"} }

// Tincture is one of heraldry's colours as it is usually shown (common practice).
type Tincture struct{ Name, Hex string }

// Tinctures lists metals first.
func Tinctures() []Tincture {
	return []Tincture{{"or", "#e8b923"}, {"argent", "#f4f4f0"}, {"gules", "#b5121b"}, {"azure", "#1f4e9c"},
		{"vert", "#1f7a3d"}, {"sable", "#1a1a1a"}, {"purpure", "#7a2a7d"}}
}

// FlagScale is the ratio that flags are printed at: the project's own, or the
// one that goes with the figures' size, 1/56 with 28 mm (a convention, not a
// standard) and others in proportion.
func (p *Project) FlagScale() float64 {
	if p.Scale > 0 {
		return p.Scale
	}
	return 56 * NominalSize / p.Size()
}
