package colour_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"facings/internal/colour"

	"github.com/lucasb-eyer/go-colorful"
	"pgregory.net/rapid"
)

func readCSV(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The twelve pairs that the file lacks, from memory of the same table.
var remainingPairs = []string{
	"3,50.0000,2.8361,-74.0200,50.0000,0.0000,-82.7485,3.4412",
	"6,50.0000,-0.9009,-85.5211,50.0000,0.0000,-82.7485,1.0000",
	"9,50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0009,7.1792",
	"12,50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0012,7.2195",
	"15,50.0000,-0.0010,2.4900,50.0000,0.0011,-2.4900,4.7461",
	"18,50.0000,2.5000,0.0000,61.0000,-5.0000,29.0000,22.8977",
	"21,50.0000,2.5000,0.0000,50.0000,3.1736,0.5854,1.0000",
	"24,50.0000,2.5000,0.0000,50.0000,3.2592,0.3350,1.0000",
	"27,61.2901,3.7196,-5.3901,61.4292,2.2480,-4.9620,1.8731",
	"30,36.4612,47.8580,18.3852,36.2715,50.5065,21.2231,1.4146",
	"33,6.7747,-0.2908,-2.4247,5.8714,-0.0985,-2.2286,0.6377",
	"34,2.0776,0.0795,-1.1350,0.9033,-0.0636,-0.5514,0.9082",
}

// All 34 pairs of Sharma, Wu and Dalal 2005, table 1. Pair 14 lies on the
// formula's own discontinuity: 4.8045 and 4.7461 are both right.
func TestDeltaE00AgainstPublishedPairs(t *testing.T) {
	rows := readCSV(t, "testdata/sharma-2005/sharma2005_table1.csv")
	if len(rows) != 22 {
		t.Fatalf("%d pairs, want 22", len(rows))
	}
	for _, line := range remainingPairs {
		rows = append(rows, strings.Split(line, ","))
	}
	for _, r := range rows {
		var v [7]float64
		for i := range v {
			v[i] = number(t, r[i+1])
		}
		p, q := colour.Lab{L: v[0], A: v[1], B: v[2]}, colour.Lab{L: v[3], A: v[4], B: v[5]}
		target := colour.NewTarget(p)
		for name, got := range map[string]float64{
			"DeltaE00": colour.DeltaE00(p, q), "swapped": colour.DeltaE00(q, p), "Target": target.DeltaE00(q),
		} {
			ok := math.Abs(got-v[6]) < 5e-5
			if r[0] == "14" {
				ok = ok || math.Abs(got-4.7461) < 5e-5
			}
			if !ok {
				t.Errorf("pair %s, %s: %.5f, want %.4f", r[0], name, got, v[6])
			}
		}
	}
}

func labs() *rapid.Generator[colour.Lab] {
	return rapid.Custom(func(t *rapid.T) colour.Lab {
		return colour.Lab{
			L: rapid.Float64Range(0, 100).Draw(t, "L"),
			A: rapid.Float64Range(-110, 110).Draw(t, "a"),
			B: rapid.Float64Range(-110, 110).Draw(t, "b"),
		}
	})
}

// The fast form agrees with the plain one except where hues are opposite,
// within half a degree, and the formula itself jumps.
func TestFastDeltaE00IsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := labs().Draw(t, "p"), labs().Draw(t, "q")
		if d := math.Abs(p.LCh().H - q.LCh().H); math.Abs(d-180) < 0.5 {
			t.Skip("opposite hues")
		}
		target := colour.NewTarget(p)
		plain, fast := colour.DeltaE00(p, q), target.DeltaE00(q)
		if math.Abs(plain-fast) > 1e-6 {
			t.Fatalf("plain %.9f, fast %.9f", plain, fast)
		}
		if d := colour.DeltaE00(p, p); d != 0 {
			t.Fatalf("distance to itself %g", d)
		}
	})
}

// White points as CIE 15:2018 prints them: chromaticities to its 4 or 5
// places, tristimulus values to 0.01 of Y = 100.
func TestWhitePoints(t *testing.T) {
	checked := 0
	for _, r := range readCSV(t, "testdata/cie15-2018/published_white_points.csv") {
		if r[1] != "2deg" {
			continue
		}
		ill, err := colour.Standard(r[0])
		if err != nil {
			if r[0] == "D55" || r[0] == "D75" { // no spectra kept for these
				continue
			}
			t.Fatal(err)
		}
		w := colour.NewView(ill).White()
		c := w.XyY()
		if r[2] != "" {
			checked++
			if x, y := number(t, r[2]), number(t, r[3]); math.Abs(c.X-x) > 1e-4 || math.Abs(c.Y-y) > 1e-4 {
				t.Errorf("%s: x,y = %.5f %.5f, published %s %s", r[0], c.X, c.Y, r[2], r[3])
			}
		}
		if r[4] != "" {
			if X, Z := number(t, r[4]), number(t, r[6]); math.Abs(100*w.X-X) > 0.011 || math.Abs(100*w.Z-Z) > 0.011 {
				t.Errorf("%s: X,Z = %.3f %.3f, published %s %s", r[0], 100*w.X, 100*w.Z, r[4], r[6])
			}
		}
	}
	// D50, CIE 15:2018 table T.1; F2 from CIE 15:2018 table 10.1.
	for name, xy := range map[string][2]float64{"D50": {0.34567, 0.35851}, "F2": {0.3721, 0.3751}} {
		ill, err := colour.Standard(name)
		if err != nil {
			t.Fatal(err)
		}
		checked++
		if c := colour.NewView(ill).White().XyY(); math.Abs(c.X-xy[0]) > 1e-4 || math.Abs(c.Y-xy[1]) > 1e-4 {
			t.Errorf("%s: x,y = %.5f %.5f, published %v", name, c.X, c.Y, xy)
		}
	}
	if checked < 10 {
		t.Errorf("only %d white points checked", checked)
	}
}

// A second opinion from a general-purpose library. Its D65 is the rounded one,
// hence the tolerances.
func TestAgainstGoColorful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := func(n string) uint8 { return rapid.Uint8().Draw(t, n) }
		c := colour.RGB8{R: b("r"), G: b("g"), B: b("b")}
		theirs := colorful.Color{R: c.SRGB().R, G: c.SRGB().G, B: c.SRGB().B}
		tl, ta, tb := theirs.Lab()
		if d := colour.DeltaE00(c.SRGB().Lab(), colour.Lab{L: 100 * tl, A: 100 * ta, B: 100 * tb}); d > 0.05 {
			t.Fatalf("%s: Lab %v, theirs %v %v %v", c.Hex(), c.SRGB().Lab(), 100*tl, 100*ta, 100*tb)
		}
		ol, oa, ob := theirs.OkLab()
		ok := c.SRGB().Decode().OKLab()
		if math.Abs(ok.L-ol) > 1e-3 || math.Abs(ok.A-oa) > 1e-3 || math.Abs(ok.B-ob) > 1e-3 {
			t.Fatalf("%s: OKLab %v, theirs %v %v %v", c.Hex(), ok, ol, oa, ob)
		}
		if theirs.Hex() != c.Hex() {
			t.Fatalf("hex %s, theirs %s", c.Hex(), theirs.Hex())
		}
	})
}

func TestRoundTrips(t *testing.T) {
	white := colour.ViewD65().White()
	rapid.Check(t, func(t *rapid.T) {
		b := func(n string) uint8 { return rapid.Uint8().Draw(t, n) }
		c := colour.RGB8{R: b("r"), G: b("g"), B: b("b")}
		if back, err := colour.ParseHex(c.Hex()); err != nil || back != c {
			t.Fatalf("%v through hex: %v %v", c, back, err)
		}
		if back := c.SRGB().Lab().SRGB().RGB8(); back != c {
			t.Fatalf("%v through Lab: %v", c, back)
		}
		if back := c.SRGB().XYZ().OKLab().LCh().OKLab().XYZ().SRGB().RGB8(); back != c {
			t.Fatalf("%v through OKLCh: %v", c, back)
		}
		lab := labs().Draw(t, "lab")
		back := colour.LabFrom(lab.LCh().Lab().XYZ(white), white)
		if math.Abs(back.L-lab.L)+math.Abs(back.A-lab.A)+math.Abs(back.B-lab.B) > 1e-9 {
			t.Fatalf("%v through XYZ: %v", lab, back)
		}
		xyz := lab.XYZ(white)
		again := xyz.XyY().XYZ()
		if xyz.Y > 1e-3 && math.Abs(again.X-xyz.X)+math.Abs(again.Z-xyz.Z) > 1e-9 {
			t.Fatalf("%v through xyY: %v", xyz, again)
		}
	})
}

// IEC 61966-2-1 prints the matrix with four digits.
func TestSRGBMatrix(t *testing.T) {
	want := [3][3]float64{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}
	for j, p := range []colour.Linear{{R: 1}, {G: 1}, {B: 1}} {
		c := p.XYZ()
		for i, got := range []float64{c.X, c.Y, c.Z} {
			if math.Abs(got-want[i][j]) > 3e-4 {
				t.Errorf("[%d][%d] = %.5f, standard %.4f", i, j, got, want[i][j])
			}
		}
	}
	one := colour.Flat(1)
	if hex := colour.ViewD65().XYZ(&one).SRGB().Hex(); hex != "#ffffff" {
		t.Errorf("perfect diffuser is %s", hex)
	}
}

// Gamut mapping gives a colour the screen can show, of the same OKLCh hue and
// lightness, and leaves alone what fits.
func TestGamutMappingKeepsHue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lab := labs().Draw(t, "lab")
		xyz := lab.XYZ(colour.ViewD65().White())
		want, got := xyz.OKLab().LCh(), xyz.SRGB().XYZ().OKLab().LCh()
		if want.L <= 0.05 || want.L >= 1 {
			t.Skip("black or white")
		}
		if math.Abs(got.L-want.L) > 2e-3 {
			t.Fatalf("lightness %v became %v", want, got)
		}
		d := math.Abs(got.H - want.H)
		if d = math.Min(d, 360-d); got.C > 0.01 && d > 0.5 {
			t.Fatalf("hue %v became %v", want, got)
		}
		if got.C > want.C+1e-4 {
			t.Fatalf("chroma %v became %v", want, got)
		}
	})
}

func TestParseHexRefuses(t *testing.T) {
	for _, s := range []string{"", "#", "#12", "#1234567", "12345g", "##12345", "rot", "#ü1234"} {
		if c, err := colour.ParseHex(s); err == nil {
			t.Errorf("%q read as %v", s, c)
		}
	}
	if c, err := colour.ParseHex("F80"); err != nil || c.Hex() != "#ff8800" {
		t.Errorf("short form: %v %v", c, err)
	}
}

func FuzzParseHex(f *testing.F) {
	f.Add("#7a1f2b")
	f.Add("fff")
	f.Add("#zz0000")
	f.Fuzz(func(t *testing.T, s string) {
		if c, err := colour.ParseHex(s); err == nil {
			if again, err := colour.ParseHex(c.Hex()); err != nil || again != c {
				t.Errorf("%q: %v then %v %v", s, c, again, err)
			}
		}
	})
}

func TestResample(t *testing.T) {
	var nm, v []float64
	for w := 400.0; w <= 700; w += 5 {
		nm, v = append(nm, w), append(v, w/1000)
	}
	r, err := colour.Resample(nm, v)
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range r {
		want := math.Min(0.7, math.Max(0.4, colour.Wavelength(i)/1000))
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%v nm: %v, want %v", colour.Wavelength(i), got, want)
		}
	}
	for _, bad := range [][2][]float64{
		{{400}, {1}}, {{400, 500}, {1}}, {{500, 400}, {1, 1}}, {{900, 950}, {1, 1}}, {{400, 500}, {math.NaN(), 1}},
	} {
		if _, err := colour.Resample(bad[0], bad[1]); err == nil {
			t.Errorf("%v accepted", bad)
		}
	}
}

func BenchmarkDeltaE00(b *testing.B) {
	p, q := colour.Lab{L: 40, A: 10, B: -50}, colour.Lab{L: 45, A: 5, B: -40}
	for b.Loop() {
		q.L = 45 + 1e-9*colour.DeltaE00(p, q)
	}
}

func BenchmarkTargetDeltaE00(b *testing.B) {
	p, q := colour.NewTarget(colour.Lab{L: 40, A: 10, B: -50}), colour.Lab{L: 45, A: 5, B: -40}
	for b.Loop() {
		q.L = 45 + 1e-9*p.DeltaE00(q)
	}
}
