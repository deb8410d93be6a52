package pigment

import (
	"embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"facings"
	"facings/internal/colour"
)

//go:embed data/*.csv
var dataFiles embed.FS

// Basis tells how a paint's K and S are known.
type Basis string

const (
	Measured   Basis = "measured"    // fitted to measured films
	Swatch     Basis = "swatch"      // from the user's swatch over black and over white
	FromMemory Basis = "from memory" // colour and hiding as remembered for the pigment
	Guessed    Basis = "guess"       // one colour and the kind
)

// Paint is a paint whose colour can be computed.
type Paint struct {
	Name    string
	Index   string // Colour Index generic names, where known
	Kind    facings.Kind
	Basis   Basis
	KS      KS
	Surface Surface // what it dries to
	Note    string
}

// StarterRack returns the paints everyone starts with: plain pigments and
// mixed colours enough for horses, skin, leather, cloth, lace and metal. The
// slice is the caller's own.
//
// Ref: geldof2018.
func StarterRack() []Paint { return slices.Clone(starterRack()) }

// FindStarter returns a paint of the starter rack by name.
func FindStarter(name string) (Paint, bool) {
	for _, p := range starterRack() {
		if strings.EqualFold(p.Name, strings.TrimSpace(name)) {
			return p, true
		}
	}
	return Paint{}, false
}

// Resolve turns a paint of a project into one whose colour can be computed, by
// the best it tells: a starter paint it is like, its swatch, or one colour.
func Resolve(p facings.Paint) (Paint, error) {
	out := Paint{Name: p.Name, Kind: p.Kind, Surface: surfaceOf(p.Kind, p.Name), Note: p.Note}
	var err error
	switch {
	case p.Like != "":
		like, ok := FindStarter(p.Like)
		if !ok {
			return out, fmt.Errorf("paint %q: no starter paint is called %q", p.Name, p.Like)
		}
		out.Index, out.Basis, out.KS, out.Surface = like.Index, like.Basis, like.KS, like.Surface
		return out, nil
	case p.OverBlack != "" && p.OverWhite != "":
		out.Basis = Swatch
		var b, w colour.RGB8
		if b, err = colour.ParseHex(p.OverBlack); err != nil {
			break
		}
		if w, err = colour.ParseHex(p.OverWhite); err != nil {
			break
		}
		out.KS, err = FromSwatch(b.SRGB().XYZ(), w.SRGB().XYZ())
	case p.Colour != "":
		out.Basis = Guessed
		var c colour.RGB8
		if c, err = colour.ParseHex(p.Colour); err != nil {
			break
		}
		out.KS, err = Guess(c.SRGB().XYZ(), p.Kind)
	case p.Kind == facings.Varnish:
		out.Basis = Guessed // clear: no K, no S
	case p.OverBlack != "" || p.OverWhite != "":
		err = fmt.Errorf("a swatch needs both over_black and over_white")
	default:
		err = fmt.Errorf("no colour given; name a starter paint it is like, a swatch, or one colour")
	}
	if err != nil {
		return out, fmt.Errorf("paint %q: %w", p.Name, err)
	}
	return out, nil
}

// surfaceOf is what a kind dries to. A gloss varnish is told by its name.
func surfaceOf(k facings.Kind, name string) Surface {
	switch {
	case k != facings.Varnish:
		return Satin()
	case strings.Contains(strings.ToLower(name), "gloss"):
		return Gloss()
	case strings.Contains(strings.ToLower(name), "satin"):
		return Satin()
	}
	return Matt()
}

var starterRack = sync.OnceValue(makeStarterRack)

func makeStarterRack() []Paint {
	raw, err := dataFiles.ReadFile("data/rack.csv")
	must(err)
	rows, err := csv.NewReader(strings.NewReader(string(raw))).ReadAll()
	must(err)
	films := oilPaints()
	var out []Paint
	for _, row := range rows[1:] {
		p := Paint{
			Name: row[0], Index: row[1], Kind: facings.Kind(row[2]), Basis: Basis(row[3]),
			Surface: surfaceOf(facings.Kind(row[2]), row[0]), Note: row[8],
		}
		switch value := row[5]; row[4] {
		case "films":
			p.KS = films[p.Name]
		case "solid":
			hiding, err := strconv.ParseFloat(row[6], 64)
			must(err)
			r := remembered(value)
			p.KS = solidCoat(&r, hiding)
			if row[7] != "" {
				strength, err := strconv.ParseFloat(row[7], 64)
				must(err)
				p.KS.Scale(strength)
			}
		case "white":
			r := remembered(value)
			p.KS = clearCoat(&r)
		}
		out = append(out, p)
	}
	return out
}

// must stops on a fault in the embedded files, which are part of the program.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

func remembered(hex string) colour.Reflectance {
	c, err := colour.ParseHex(hex)
	must(err)
	r, err := colour.Smoothest(colour.ViewD65(), c.SRGB().XYZ())
	must(err)
	return r
}

// oilPaints reads the K and S fitted to measured oil paints: per paint a line
// of K and one of S, by band. TestOilPaints makes the file anew.
func oilPaints() map[string]KS {
	raw, err := dataFiles.ReadFile("data/oil_ks.csv")
	must(err)
	rows, err := csv.NewReader(strings.NewReader(string(raw))).ReadAll()
	must(err)
	out := make(map[string]KS)
	for _, row := range rows[1:] {
		ks := out[row[0]]
		to := &ks.K
		if row[1] == "S" {
			to = &ks.S
		}
		for i, cell := range row[2:] {
			to[i], err = strconv.ParseFloat(cell, 64)
			must(err)
		}
		out[row[0]] = ks
	}
	return out
}
