package colour_test

import (
	"math"
	"strings"
	"testing"

	"facings/internal/colour"

	"github.com/lucasb-eyer/go-colorful"
	"pgregory.net/rapid"
)

// The smoothest reflectance shows the colour it was made for and stays in 0..1.
func TestSmoothestShowsItsColour(t *testing.T) {
	view := colour.ViewD65()
	rapid.Check(t, func(t *rapid.T) {
		b := func(n string) uint8 { return rapid.Uint8().Draw(t, n) }
		c := colour.RGB8{R: b("r"), G: b("g"), B: b("b")}
		r, err := colour.Smoothest(view, c.SRGB().XYZ())
		if err != nil {
			t.Fatalf("%s: %v", c.Hex(), err)
		}
		if !r.Valid() {
			t.Fatalf("%s: outside 0..1: %v", c.Hex(), r)
		}
		if got := view.XYZ(&r).SRGB().RGB8(); got != c {
			t.Fatalf("%s became %s", c.Hex(), got.Hex())
		}
	})
}

func TestSmoothestOfGreyIsFlat(t *testing.T) {
	w := colour.ViewD65().White()
	for _, y := range []float64{0, 1e-9, 0.01, 0.2, 0.9, 1} {
		r, err := colour.Smoothest(colour.ViewD65(), colour.XYZ{X: w.X * y, Y: y, Z: w.Z * y})
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range r {
			if math.Abs(v-y) > 1e-6 {
				t.Errorf("grey %v: %v at %v nm", y, v, colour.Wavelength(i))
			}
		}
	}
}

func TestSmoothestRefuses(t *testing.T) {
	for _, c := range []colour.XYZ{{X: 0.1, Y: -0.1, Z: 0.1}, {X: 2, Y: 2, Z: 2}, {X: 0.9, Y: 0.1, Z: 0.01}, {X: math.NaN(), Y: 0.5, Z: 0.5}} {
		if r, err := colour.Smoothest(colour.ViewD65(), c); err == nil {
			t.Errorf("%v gave %v", c, r)
		}
	}
}

func TestAdapt(t *testing.T) {
	ill, err := colour.Standard("A")
	if err != nil {
		t.Fatal(err)
	}
	a, d := colour.NewView(ill).White(), colour.ViewD65().White()
	if got := colour.Adapt(a, a, d); math.Abs(got.X-d.X)+math.Abs(got.Y-d.Y)+math.Abs(got.Z-d.Z) > 1e-12 {
		t.Errorf("white of A became %v, want %v", got, d)
	}
	c := colour.XYZ{X: 0.3, Y: 0.2, Z: 0.1}
	back := colour.Adapt(colour.Adapt(c, a, d), d, a)
	if math.Abs(back.X-c.X)+math.Abs(back.Y-c.Y)+math.Abs(back.Z-c.Z) > 1e-12 {
		t.Errorf("there and back: %v", back)
	}
}

// A second opinion: the Bradford transform of a general-purpose library, which
// differs from CAT16 by little between daylights and for moderate colours (both were fitted to the same
// corresponding colours).
func TestAdaptAgainstBradford(t *testing.T) {
	d50, err := colour.Standard("D50")
	if err != nil {
		t.Fatal(err)
	}
	from, to := colour.NewView(d50).White(), colour.ViewD65().White()
	rapid.Check(t, func(t *rapid.T) {
		c := colour.Lab{
			L: rapid.Float64Range(20, 95).Draw(t, "L"),
			A: rapid.Float64Range(-40, 40).Draw(t, "a"),
			B: rapid.Float64Range(-40, 40).Draw(t, "b"),
		}.XYZ(from)
		x, y, z := colorful.D50ToD65(c.X, c.Y, c.Z)
		got, want := colour.LabFrom(colour.Adapt(c, from, to), to), colour.LabFrom(colour.XYZ{X: x, Y: y, Z: z}, to)
		if d := colour.DeltaE00(got, want); d > 2.5 {
			t.Fatalf("%v: %v, Bradford %v, %.2f apart", c, got, want, d)
		}
	})
}

// Plain geometry: one arcminute at these distances, to 0.01 mm.
func TestSmallestStroke(t *testing.T) {
	for mm, want := range map[float64]float64{450: 0.13, 700: 0.20, 914: 0.27, 1500: 0.44} {
		if got := colour.SmallestStroke(mm, 1); math.Abs(got-want) > 0.005 {
			t.Errorf("%v mm: %.3f, want %.2f", mm, got, want)
		}
	}
}

// A true 12 mm lace at 1/56 is lost at three feet unless it is painted wider;
// bright on dark shows longer than dull on like.
func TestStroke(t *testing.T) {
	xyz := func(hex string) colour.XYZ {
		c, err := colour.ParseHex(hex)
		if err != nil {
			t.Fatal(err)
		}
		return c.SRGB().XYZ()
	}
	yellow, blue, white, cream := xyz("#e8c040"), xyz("#20284a"), xyz("#ffffff"), xyz("#f4f2ec")
	if v := colour.Stroke(yellow, blue, 0.5, 914, 1); !v.Visible || v.Widen != 0 || v.Hint(0.5, 914) != "" {
		t.Errorf("wide yellow lace on blue is lost: %+v", v)
	}
	if v := colour.Stroke(yellow, blue, 0.1, 914, 1); v.Visible || v.Widen <= 0.1 || v.Widen > v.Smallest ||
		!strings.Contains(v.Hint(0.1, 914), "0.10 mm is lost at 0.9 m") {
		t.Errorf("a tenth of a millimetre shows at three feet: %+v", v)
	}
	if v := colour.Stroke(white, white, 1, 914, 1); v.Visible || v.Widen != 0 || !strings.Contains(v.Hint(1, 914), "too like") {
		t.Errorf("white on white shows: %+v", v)
	}
	near, far := colour.Stroke(white, cream, 0.4, 300, 1), colour.Stroke(white, cream, 0.4, 3000, 1)
	if far.DeltaE00 >= near.DeltaE00 || far.Michelson >= near.Michelson {
		t.Errorf("contrast grows with distance: %+v, %+v", near, far)
	}
	if colour.Weber(white, blue) <= 0 || colour.Weber(blue, white) >= 0 {
		t.Error("Weber contrast has the wrong sign")
	}
}

// Two greys that match in daylight, one flat and one with a step in the red
// that lamplight is full of, part company under lamplight.
func TestUnderLights(t *testing.T) {
	var lights []colour.Illuminant
	for _, n := range []string{"D65", "A", "F11", "LED-B3"} {
		l, err := colour.Standard(n)
		if err != nil {
			t.Fatal(err)
		}
		lights = append(lights, l)
	}
	smooth := colour.Flat(0.4)
	for i := range smooth {
		smooth[i] += 0.1 * math.Sin(float64(i)/3)
	}
	twin, err := colour.Smoothest(colour.ViewD65(), colour.ViewD65().XYZ(&smooth))
	if err != nil {
		t.Fatal(err)
	}
	d := colour.UnderLights(&smooth, &twin, lights)
	if len(d) != 4 || d[0].Light != "D65" || d[0].DeltaE00 > 0.01 {
		t.Errorf("the twins differ in daylight: %+v", d)
	}
	if d[1].DeltaE00 < 0.3 {
		t.Errorf("the twins match under lamplight too: %+v", d)
	}
	for _, x := range colour.UnderLights(&smooth, &smooth, lights) {
		if x.DeltaE00 != 0 {
			t.Errorf("a colour differs from itself: %+v", x)
		}
	}
}

func BenchmarkSmoothest(b *testing.B) {
	c := colour.RGB8{R: 120, G: 40, B: 50}.SRGB().XYZ()
	for b.Loop() {
		if _, err := colour.Smoothest(colour.ViewD65(), c); err != nil {
			b.Fatal(err)
		}
	}
}
