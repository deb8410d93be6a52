package swatch

import (
	"fmt"
	"math"
	"slices"

	"facings"
	"facings/internal/colour"
)

// State says what to make of a cell.
type State string

// States. A doubtful cell has findings that say why; its colours are the best
// that could be read, and may be missing.
const (
	Good     State = "read"
	Doubtful State = "doubtful"
	Empty    State = "empty"
)

// Colour is a colour as read, under D65.
type Colour struct {
	Hex  string     `json:"hex"`
	Lab  [3]float64 `json:"lab"`
	Name string     `json:"name"`
	// Uncertainty is how far off the colour may be, CIEDE2000, in about nineteen
	// cases of twenty.
	Uncertainty float64 `json:"uncertainty_delta_e00"`

	linear rgb
}

// CellReading is what was read of one cell.
type CellReading struct {
	Number    int     `json:"cell"`
	State     State   `json:"state"`
	OverBlack *Colour `json:"over_black,omitempty"`
	OverWhite *Colour `json:"over_white,omitempty"`
	// GroundBlack and GroundWhite are the luminance factors of the bare grounds.
	GroundBlack float64             `json:"ground_black"`
	GroundWhite float64             `json:"ground_white"`
	Rack        *RackColours        `json:"rack,omitempty"`
	Findings    facings.Diagnostics `json:"findings"`
}

// Reading is what was read of a card.
type Reading struct {
	Layout      int     `json:"layout"`
	PixelsPerMM float64 `json:"pixels_per_mm"`
	TurnDeg     float64 `json:"turn_deg"`
	BlurMM      float64 `json:"blur_mm"`
	MisfitMM    float64 `json:"misfit_mm"`
	// Exposure is the photograph's linear light on the card's white, 1 for full.
	Exposure float64 `json:"exposure"`
	// Cast is the ratio of the strongest to the weakest channel on white.
	Cast      float64             `json:"cast"`
	ToneGamma float64             `json:"tone_gamma"`
	Cells     []CellReading       `json:"cells"`
	Findings  facings.Diagnostics `json:"findings"`
}

// Limits of light.
const (
	leastExposure = 0.05 // linear light on white
	warnExposure  = 0.14
	warnCast      = 1.8
	mostCast      = 5.0
	warnGamma     = 0.22 // of its logarithm
	warnRamp      = 0.10 // misfit of the logarithms
	warnTint      = 0.10
	paleBlack     = 0.11 // of white
	mostFull      = 0.02 // share of what is measured with a full channel
)

// Read reads a photographed card. An error, always a facings.Diagnostics, says
// why nothing can be told; findings say what is doubtful.
func Read(p *Photo) (*Reading, error) {
	l, err := locate(p)
	if err != nil {
		return nil, err
	}
	r := &Reading{Layout: Version, PixelsPerMM: l.scale * float64(p.Factor), TurnDeg: round(l.turn, 1), BlurMM: round(l.blur, 2), MisfitMM: round(l.misfit, 2), Findings: facings.Diagnostics{}}
	r.PixelsPerMM = round(r.PixelsPerMM, 2)
	t, ok := l.readRamp(p)
	if !ok {
		return nil, fault("card-white", "the white around the grey ramp cannot be read", "keep shadows and things off the card")
	}
	var fields []field
	var white []rgb
	full := 0
	for i := range l.layout.Cells {
		c := &l.layout.Cells[i]
		f, ok := l.whiteField(p, c.Field.Centre(), ring(c.Field, ringAway))
		if !ok {
			f.kept = 0
		} else {
			white = append(white, f.at(c.Field.Centre()))
		}
		if f.full > 0.2 {
			full++
		}
		fields = append(fields, f)
	}
	if err := r.judgeLight(l, &t, white, full); err != nil {
		return nil, err
	}
	black := l.commonBlack(p, &t, fields)
	for i := range l.layout.Cells {
		cr := cellReader{p: p, l: l, tone: &t, cell: &l.layout.Cells[i], field: &fields[i], common: black}
		r.Cells = append(r.Cells, cr.read())
	}
	return r, nil
}

// judgeLight refuses or warns of a photograph whose light is wrong as a whole.
func (r *Reading) judgeLight(l *located, t *tone, white []rgb, full int) error {
	if len(white) == 0 {
		return fault("card-white", "the white around the cells cannot be read", "keep shadows and things off the card")
	}
	if 2*full > len(l.layout.Cells) {
		return fault("photo-overexposed", "the card's white is overexposed", "photograph it again with less exposure, or in softer light")
	}
	mid := rgb{median(white, 0), median(white, 1), median(white, 2)}
	r.Exposure, r.ToneGamma = round(mid.luminance(), 3), round(t.Gamma, 3)
	r.Cast = round(max(mid[0], mid[1], mid[2])/max(1e-4, min(mid[0], mid[1], mid[2])), 2)
	if r.Exposure < leastExposure {
		return fault("photo-dark", "the photograph is underexposed", "photograph the card again in more light")
	}
	if r.Cast > mostCast {
		return fault("photo-cast", fmt.Sprintf("the light is so coloured that one channel is %.1f times another on the card's white", r.Cast), "photograph the card in daylight")
	}
	warn := func(bad bool, id, message, hint string) {
		if bad {
			r.Findings = append(r.Findings, facings.Diagnostic{ID: id, Severity: facings.Warning, Message: message, Hint: hint})
		}
	}
	warn(r.Exposure < warnExposure, "photo-dark", "the photograph is dark: dark colours are uncertain", "photograph the card again in more light")
	warn(r.Cast > warnCast, "photo-cast", fmt.Sprintf("the light is strongly coloured: one channel is %.1f times another on the card's white", r.Cast), "photograph the card in daylight")
	warn(l.blur > warnBlur, "photo-blurred", fmt.Sprintf("the photograph is a little blurred: edges spread over %.1f mm", 2.56*l.blur), "let the camera focus on the card")
	warn(l.misfit > warnMisfit, "card-bent", fmt.Sprintf("the marks lie %.1f mm from where they should", l.misfit), "lay the card flat and photograph it square on")
	warn(math.Abs(math.Log(t.Gamma)) > warnGamma || t.misfit > warnRamp, "ramp-off", "the grey ramp does not read as printed: the camera alters contrast, or the printer does", "switch the camera's effects off; print without photo enhancement")
	warn(t.tint > warnTint, "ramp-tinted", "the printed greys are tinted", "print with black ink only, if the printer can")
	warn(t.black > paleBlack, "black-pale", "the printed black is pale, or light strays into the lens", "print at full quality; keep bright things out of the picture")
	warn(t.full > 0.2, "photo-overexposed", "the white around the grey ramp is overexposed", "photograph it again with less exposure")
	return nil
}

// commonBlack is the middle of what the bare black of all cells shows: one with
// shine on it stands out.
func (l *located) commonBlack(p *Photo, t *tone, fields []field) rgb {
	var all []rgb
	for i := range l.layout.Cells {
		c := &l.layout.Cells[i]
		if fields[i].kept == 0 {
			continue
		}
		for _, b := range c.bare(c.Black) {
			s := l.sample(p, b)
			if len(s.light) > 0 {
				all = append(all, t.undo(divide(middleLight(s.light), fields[i].at(b.Centre()))))
			}
		}
	}
	if len(all) == 0 {
		return t.undo(rgb{t.black, t.black, t.black})
	}
	return rgb{median(all, 0), median(all, 1), median(all, 2)}
}

func median(all []rgb, channel int) float64 {
	v := make([]float64, len(all))
	for i := range all {
		v[i] = all[i][channel]
	}
	slices.Sort(v)
	return v[len(v)/2]
}

func labOf(c rgb) colour.Lab {
	return colour.LabFrom(colour.Linear{R: c[0], G: c[1], B: c[2]}.XYZ(), colour.ViewD65().White())
}

func newColour(c rgb, uncertainty float64) *Colour {
	lab := labOf(c)
	xyz := colour.Linear{R: c[0], G: c[1], B: c[2]}.XYZ()
	return &Colour{
		Hex: xyz.SRGB().Hex(), Lab: [3]float64{round(lab.L, 2), round(lab.A, 2), round(lab.B, 2)},
		Name: colour.Name(lab), Uncertainty: round(uncertainty, 1), linear: c,
	}
}

func round(v float64, digits int) float64 {
	k := math.Pow(10, float64(digits))
	return math.Round(v*k) / k
}
