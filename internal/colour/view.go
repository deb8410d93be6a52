package colour

import (
	"embed"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"sync"
)

//go:embed data/*.csv
var dataFiles embed.FS

// Illuminants and the observer are kept at 5 nm from 380 to 780 nm, the range
// that CIE's white points are summed over.
const (
	fineFirst = 380
	fineStep  = 5
	fineCount = (780-fineFirst)/fineStep + 1
)

// Illuminant is the relative power of a light at 380, 385 … 780 nm. Its scale
// has no meaning; a View divides it out.
type Illuminant struct {
	Name  string
	power [fineCount]float64
}

// View is an illuminant seen by the CIE 1931 2° observer: the three weights
// each band of a Reflectance gets, and the white they add up to.
type View struct {
	name    string
	x, y, z [Bands]float64
	white   XYZ
}

// NewView returns the weights for reflectances seen under the illuminant.
//
// Illuminant and observer are multiplied at 5 nm. Each product then belongs to
// the 10 nm bands from which the reflectance at that wavelength would be
// interpolated: by the cubic through the four nearest bands (the parabola
// through three at the ends), as ASTM E2022 builds the tables of ASTM E308. A
// plain sum over every second wavelength would lose what the narrow lines of
// lamps do between the bands. Above 730 nm the reflectance is taken as the last
// band's, so those products go there and the weights add up to the
// illuminant's full white point.
//
// Ref: astm-e308, astm-e2022.
func NewView(l Illuminant) *View {
	obs := observer()
	v := &View{name: l.Name}
	for i := range fineCount {
		nm := fineFirst + i*fineStep
		spread(&v.x, nm, l.power[i]*obs.x[i])
		spread(&v.y, nm, l.power[i]*obs.y[i])
		spread(&v.z, nm, l.power[i]*obs.z[i])
	}
	var sum float64
	for _, w := range v.y {
		sum += w
	}
	for i := range Bands {
		v.x[i] /= sum
		v.y[i] /= sum
		v.z[i] /= sum
	}
	one := Flat(1)
	v.white = v.XYZ(&one)
	return v
}

// spread adds the weight w at nm to the bands that the reflectance at nm is
// interpolated from.
func spread(to *[Bands]float64, nm int, w float64) {
	switch pos := nm - FirstBand; {
	case pos >= (Bands-1)*BandStep:
		to[Bands-1] += w
	case pos%BandStep == 0:
		to[pos/BandStep] += w
	case pos < BandStep:
		addThree(to, 0, 1, w)
	case pos > (Bands-2)*BandStep:
		addThree(to, Bands-1, -1, w)
	default:
		i := pos / BandStep
		to[i-1] -= w / 16
		to[i] += w * 9 / 16
		to[i+1] += w * 9 / 16
		to[i+2] -= w / 16
	}
}

// addThree shares w, half-way between bands i and i+step, by the parabola
// through i and the two bands after it.
func addThree(to *[Bands]float64, i, step int, w float64) {
	to[i] += w * 3 / 8
	to[i+step] += w * 6 / 8
	to[i+2*step] -= w / 8
}

// Name returns the illuminant's name.
func (v *View) Name() string { return v.name }

// White returns the XYZ of the perfect diffuser, with Y = 1.
func (v *View) White() XYZ { return v.white }

// XYZ returns the tristimulus values of the reflectance, Y in 0..1.
func (v *View) XYZ(r *Reflectance) XYZ {
	var x, y, z float64
	for i, s := range r {
		x += s * v.x[i]
		y += s * v.y[i]
		z += s * v.z[i]
	}
	return XYZ{x, y, z}
}

// Lab returns the CIELAB colour of the reflectance against this view's white.
func (v *View) Lab(r *Reflectance) Lab { return LabFrom(v.XYZ(r), v.white) }

// LightDifference is how far apart two colours are under one light.
type LightDifference struct {
	Light    string
	DeltaE00 float64
}

// UnderLights compares two reflectances under each light, against that light's
// own white: a mix can match its target under one light and miss it under
// another (metamerism).
func UnderLights(a, b *Reflectance, lights []Illuminant) []LightDifference {
	out := make([]LightDifference, len(lights))
	for i, l := range lights {
		v := NewView(l)
		out[i] = LightDifference{l.Name, DeltaE00(v.Lab(a), v.Lab(b))}
	}
	return out
}

// D65 returns average daylight, 6504 K: the light everything is computed for
// unless another is asked for.
func D65() Illuminant { return mustStandard("D65") }

// ViewD65 returns the view under D65. All calls share one value, which nobody
// can change.
func ViewD65() *View { return viewD65() }

var viewD65 = sync.OnceValue(func() *View { return NewView(D65()) })

// StandardNames lists the illuminants Standard knows, sorted.
func StandardNames() []string {
	var names []string
	for name := range illuminants() {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// Standard returns a CIE illuminant by name: A, C, D50, D65, F2, F11, LED-B1 …
// LED-B5, LED-BH1, LED-RGB1, LED-V1, LED-V2 (letters of either size).
//
// Ref: cie15-2018.
func Standard(name string) (Illuminant, error) {
	if l, ok := illuminants()[canonical(name)]; ok {
		return l, nil
	}
	return Illuminant{}, fmt.Errorf("unknown illuminant %q; known are %s",
		name, strings.Join(StandardNames(), ", "))
}

func mustStandard(name string) Illuminant {
	l, err := Standard(name)
	if err != nil {
		panic(err)
	}
	return l
}

// canonical gives the fluorescent lamps their short names: CIE tables call
// them FL2 and FL11, everybody else F2 and F11.
func canonical(name string) string {
	n := strings.ToUpper(strings.TrimSpace(name))
	if rest, ok := strings.CutPrefix(n, "FL"); ok {
		return "F" + rest
	}
	return n
}

type matching struct{ x, y, z [fineCount]float64 }

var observer = sync.OnceValue(func() *matching {
	m := &matching{}
	_, rows := readTable("data/cie1931_2deg_5nm.csv")
	for i, r := range rows {
		m.x[i], m.y[i], m.z[i] = r[1], r[2], r[3]
	}
	return m
})

var illuminants = sync.OnceValue(func() map[string]Illuminant {
	head, rows := readTable("data/illuminants_5nm.csv")
	out := make(map[string]Illuminant)
	for col := 1; col < len(head); col++ {
		l := Illuminant{Name: canonical(head[col])}
		for i, row := range rows {
			l.power[i] = row[col]
		}
		out[l.Name] = l
	}
	return out
})

// readTable reads an embedded table of numbers with one line of headings. The
// files are part of the program, so a fault in them is a fault in the program.
func readTable(name string) (head []string, rows [][]float64) {
	raw, err := dataFiles.ReadFile(name)
	if err != nil {
		panic(err)
	}
	lines := strings.Fields(string(raw))
	head = strings.Split(lines[0], ",")
	for _, line := range lines[1:] {
		var row []float64
		for cell := range strings.SplitSeq(line, ",") {
			f, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				panic(name + ": " + err.Error())
			}
			row = append(row, f)
		}
		rows = append(rows, row)
	}
	if len(rows) != fineCount || rows[0][0] != fineFirst {
		panic(name + ": not the expected wavelengths")
	}
	return head, rows
}
