package facings

// Kind is what sort of paint is in a pot; it decides cover, film and drying.
type Kind string

const (
	Opaque      Kind = "opaque"
	Translucent Kind = "translucent" // one-coat paint that shades itself
	Wash        Kind = "wash"
	OilWash     Kind = "oil wash"
	Ink         Kind = "ink"
	Metallic    Kind = "metallic"
	Primer      Kind = "primer" // from a can or airbrush; also brushed
	Varnish     Kind = "varnish"
	Glue        Kind = "glue"    // PVA and the like
	Texture     Kind = "texture" // sand, flock, grass: by the gram
)

// Kinds lists every kind in the order in which a screen shows them.
func Kinds() []Kind {
	return []Kind{Opaque, Translucent, Wash, OilWash, Ink, Metallic, Primer, Varnish, Glue, Texture}
}

// Paint is one pot on the rack. Its colour is given in one of four ways, best
// first: a starter paint's measured or remembered spectrum (Like), a swatch
// over black and over white, or one colour (Colour; a guess then).
type Paint struct {
	Name string `yaml:"name" json:"name"`
	Kind Kind   `yaml:"kind" json:"kind"`
	// Like names a paint of the built-in starter rack whose spectrum this pot has.
	Like string `yaml:"like,omitempty" json:"like,omitempty"`
	// OverBlack and OverWhite are the swatch, sRGB "#rrggbb".
	OverBlack string `yaml:"over_black,omitempty" json:"over_black,omitempty"`
	OverWhite string `yaml:"over_white,omitempty" json:"over_white,omitempty"`
	// Colour is one colour as painted solidly, sRGB "#rrggbb".
	Colour string `yaml:"colour,omitempty" json:"colour,omitempty"`

	PotML      Millilitres `yaml:"pot_ml,omitempty" json:"pot_ml,omitempty"`   // what a new pot or can holds
	LeftML     Millilitres `yaml:"left_ml,omitempty" json:"left_ml,omitempty"` // what is left of it, all pots together
	PotG       Grams       `yaml:"pot_g,omitempty" json:"pot_g,omitempty"`     // textures only
	LeftG      Grams       `yaml:"left_g,omitempty" json:"left_g,omitempty"`   // textures only
	DropsPerML float64     `yaml:"drops_per_ml,omitempty" json:"drops_per_ml,omitempty"`
	// Owned is false for a paint that is known but not on the shelf.
	Owned *bool  `yaml:"owned,omitempty" json:"owned,omitempty"`
	Can   bool   `yaml:"can,omitempty" json:"can,omitempty"` // an aerosol
	Note  string `yaml:"note,omitempty" json:"note,omitempty"`
}

// IsOwned reports whether the paint stands on the rack (the default).
func (p Paint) IsOwned() bool { return p.Owned == nil || *p.Owned }

// Mix is paints in whole parts, by volume.
type Mix struct {
	Name string `yaml:"name" json:"name"`
	// Parts gives the parts per paint name.
	Parts []Part `yaml:"parts" json:"parts"`
	Note  string `yaml:"note,omitempty" json:"note,omitempty"`
}

// Part is so many parts of one paint.
type Part struct {
	Paint string `yaml:"paint" json:"paint"`
	Parts int    `yaml:"parts" json:"parts"`
}

// Total is the sum of all parts.
func (m Mix) Total() int {
	n := 0
	for _, p := range m.Parts {
		n += p.Parts
	}
	return n
}

// Drying is how long a film of one kind needs at 20 °C and 50 % relative
// humidity. Common practice and memory, not a standard; every value is a
// default a project may change.
type Drying struct {
	Touch         Minutes `yaml:"touch_minutes" json:"touch_minutes"`
	Overcoat      Minutes `yaml:"overcoat_minutes" json:"overcoat_minutes"`
	WashOver      Minutes `yaml:"wash_over_minutes" json:"wash_over_minutes"`
	BeforeVarnish Minutes `yaml:"before_varnish_minutes" json:"before_varnish_minutes"`
}

// DefaultDrying is the drying table: the middle or the safe end of what
// painters count with (common practice).
func DefaultDrying(k Kind) Drying {
	const hour = 60
	switch k {
	case Opaque:
		return Drying{Touch: 10, Overcoat: 20, WashOver: 45, BeforeVarnish: 24 * hour}
	case Translucent:
		return Drying{Touch: 30, Overcoat: 60, WashOver: 120, BeforeVarnish: 24 * hour}
	case Wash:
		return Drying{Touch: 30, Overcoat: 60, WashOver: 60, BeforeVarnish: 24 * hour}
	case OilWash:
		return Drying{Touch: 12 * hour, Overcoat: 36 * hour, WashOver: 48 * hour, BeforeVarnish: 72 * hour}
	case Ink:
		return Drying{Touch: 15, Overcoat: 30, WashOver: 60, BeforeVarnish: 24 * hour}
	case Metallic:
		return Drying{Touch: 15, Overcoat: 30, WashOver: 60, BeforeVarnish: 24 * hour}
	case Primer:
		return Drying{Touch: 15, Overcoat: 60, WashOver: 24 * hour, BeforeVarnish: 24 * hour}
	case Varnish:
		return Drying{Touch: 25, Overcoat: 180, WashOver: 180, BeforeVarnish: 180}
	case Glue, Texture:
		return Drying{Touch: 120, Overcoat: 10 * hour, WashOver: 24 * hour, BeforeVarnish: 24 * hour}
	}
	return Drying{Touch: 15, Overcoat: 30, WashOver: 60, BeforeVarnish: 24 * hour}
}

// MinimumPaintingTemperature is the air temperature, °C, under which acrylic
// films may not form (the notion of a minimum film-forming temperature is ISO
// 2115's; the value is from memory).
const MinimumPaintingTemperature = 10.0

// DryingFactor scales drying times of waterborne paint with air temperature
// (°C) and relative humidity (%): 1 at 20 °C and 50 %. Warmth: 2 at 10 °C, 1 at
// 20 to 23 °C, 0.6 at 40 °C; damp: 1.5 at 70 %, 2.5 at 85 %, straight lines in
// between and level outside (estimates after one water-based coating data
// sheet). Undefined, and not to be painted in, below MinimumPaintingTemperature.
func DryingFactor(temperatureC, humidityPercent float64) float64 {
	warmth := interpolate(temperatureC, [][2]float64{{10, 2}, {20, 1}, {23, 1}, {40, 0.6}})
	damp := interpolate(humidityPercent, [][2]float64{{50, 1}, {70, 1.5}, {85, 2.5}, {100, 3}})
	return float64(warmth * damp)
}

// interpolate reads y at x off a table of rising x, level beyond both ends.
func interpolate(x float64, table [][2]float64) float64 {
	if x <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if x <= b[0] {
			return a[1] + float64((b[1]-a[1])*(x-a[0])/(b[0]-a[0]))
		}
	}
	return table[len(table)-1][1]
}

// StandardBase is the base by which base materials are told, 25 x 50 mm;
// BaseWaste is how much more of them is taken than stays on it (estimate).
const (
	StandardBase SquareMillimetres = 25 * 50
	BaseWaste                      = 1.3
)

// BaseGlue is the PVA that leaves the pot for a textured base: 0.25 g, about as
// many millilitres, for the standard one (estimate), others in proportion.
func BaseGlue(base SquareMillimetres) Millilitres {
	return Millilitres(0.25 * BaseWaste * float64(base/StandardBase))
}

// LossFactor is how much more paint leaves the pot than stays on the figure:
// brush, palette and overspray together (estimates; common practice).
func LossFactor(k Kind, mixed bool) float64 {
	switch k {
	case Primer, Varnish:
		return 1.3
	case Translucent, Wash, OilWash, Ink:
		if mixed {
			return 2
		}
		return 1.2
	case Metallic:
		return 2
	case Glue, Texture:
		return 1.3
	}
	if mixed {
		return 2
	}
	return 1.75
}

// MinimumDrops is the least paint put out in one sitting, in drops; less
// dries before it is used (estimate).
const MinimumDrops = 5
