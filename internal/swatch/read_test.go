package swatch_test

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"math"
	"slices"
	"testing"

	"github.com/kovidgoyal/imaging"

	"facings"
	"facings/internal/colour"
	"facings/internal/pigment"
	"facings/internal/swatch"
	"facings/internal/swatch/synth"
)

func take(t testing.TB, seed uint64, o synth.Options) *synth.Shot {
	t.Helper()
	shot, err := synth.Take(seed, o)
	if err != nil {
		t.Fatal(err)
	}
	return shot
}

func read(t testing.TB, file []byte) (*swatch.Reading, error) {
	t.Helper()
	p, err := swatch.LoadPhoto(file)
	if err != nil {
		t.Fatal(err)
	}
	return swatch.Read(p)
}

func lab(c *swatch.Colour) colour.Lab { return colour.Lab{L: c.Lab[0], A: c.Lab[1], B: c.Lab[2]} }

// Photographs made of known paint films, with the card turned each way, are
// read within the 4 CIEDE2000 that a warning must not let pass; tools/swatches
// does the same over hundreds.
func TestReadsKnownPaints(t *testing.T) {
	for turn := range 4 {
		shot := take(t, uint64(40+turn), synth.Options{Long: 1200, Turn: turn, Cells: []int{6, 12, 15, 24}[turn]})
		r, err := read(t, shot.JPEG)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Cells) != len(shot.Truth) {
			t.Fatalf("%d cells read of %d", len(r.Cells), len(shot.Truth))
		}
		if d := math.Abs(math.Remainder(r.TurnDeg-90*float64(turn), 360)); d > 12 {
			t.Errorf("turned %d quarters, read %.1f°", turn, r.TurnDeg)
		}
		for i, truth := range shot.Truth {
			c := &r.Cells[i]
			if truth.Paint == "" {
				if c.State != swatch.Empty {
					t.Errorf("turn %d: bare cell %d is %s", turn, c.Number, c.State)
				}
				continue
			}
			if c.State != swatch.Good {
				continue
			}
			for side, pair := range map[string][2]colour.Lab{"black": {truth.OverBlack, lab(c.OverBlack)}, "white": {truth.OverWhite, lab(c.OverWhite)}} {
				if de := colour.DeltaE00(pair[0], pair[1]); de > 4 {
					t.Errorf("turn %d, cell %d, %s over %s: off by %.1f without a warning", turn, c.Number, truth.Paint, side, de)
				}
			}
		}
	}
}

// telling are the findings that name a defect of single cells.
var telling = map[synth.Defect][]string{
	synth.Glare:  {"cell-glare", "cell-clipped", "cell-uneven"},
	synth.Missed: {"cell-uncovered"},
}

// Every spoilt photograph is refused, or warned of where it is spoilt.
func TestSpoiltPhotographs(t *testing.T) {
	for _, defect := range synth.Defects() {
		shot := take(t, 7, synth.Options{Long: 1100, Turn: -1, Cells: 12, Defect: defect})
		r, err := read(t, shot.JPEG)
		if err != nil {
			var found facings.Diagnostics
			if !errors.As(err, &found) || !found.Faulty() || found[0].ID == "" || found[0].Hint == "" {
				t.Errorf("%s: the error %v is no diagnostic with a way out", defect, err)
			}
			if defect == synth.Glare || defect == synth.Missed || defect == synth.Shadow {
				t.Errorf("%s on a part of the card: the whole is refused: %v", defect, err)
			}
			continue
		}
		hurt, named := 0, false
		for i, truth := range shot.Truth {
			if !truth.Hurt {
				continue
			}
			hurt++
			for _, f := range r.Cells[i].Findings {
				named = named || slices.Contains(telling[defect], f.ID)
			}
			if len(r.Findings) == 0 && r.Cells[i].State == swatch.Good {
				t.Errorf("%s: spoilt cell %d (%s) is read without a warning", defect, i+1, truth.Paint)
			}
		}
		if hurt > 0 && !named {
			t.Errorf("%s: no spoilt cell is told why", defect)
		}
		if hurt == 0 {
			warned := len(r.Findings) > 0
			for i := range r.Cells {
				warned = warned || r.Cells[i].State == swatch.Doubtful
			}
			if !warned {
				t.Errorf("%s: nothing is refused or warned of", defect)
			}
		}
	}
}

// A photograph turned by its EXIF entry is read as if it lay that way, and the
// same photograph in another format, turned or not, gives the same colours.
func TestTurnedAndOtherFormats(t *testing.T) {
	shot := take(t, 3, synth.Options{Long: 1100, Turn: 0, Cells: 6})
	want, err := read(t, shot.JPEG)
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(shot.JPEG))
	if err != nil {
		t.Fatal(err)
	}
	var png bytes.Buffer
	if err := imaging.Encode(&png, imaging.Rotate90(img), imaging.PNG); err != nil {
		t.Fatal(err)
	}
	for name, file := range map[string][]byte{"png": png.Bytes(), "exif": withOrientation(shot.JPEG, 8)} {
		got, err := read(t, file)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d := math.Abs(math.Remainder(got.TurnDeg-want.TurnDeg+90, 360)); d > 1 {
			t.Errorf("%s: turned by %.1f°, not %.1f°", name, got.TurnDeg, want.TurnDeg-90)
		}
		for i := range want.Cells {
			a, b := &want.Cells[i], &got.Cells[i]
			if a.State != b.State {
				t.Errorf("%s: cell %d is %s, not %s", name, i+1, b.State, a.State)
			} else if a.OverWhite != nil && colour.DeltaE00(lab(a.OverWhite), lab(b.OverWhite)) > 0.5 {
				t.Errorf("%s: cell %d is %s, not %s", name, i+1, b.OverWhite.Hex, a.OverWhite.Hex)
			}
		}
	}
}

// withOrientation puts an EXIF segment with that orientation behind the first
// two bytes of a JPEG (Exif 2.32, 4.5.4 and 4.6.4).
func withOrientation(file []byte, orientation byte) []byte {
	exif := append([]byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"), orientation, 0, 0, 0, 0, 0, 0)
	out := append([]byte{}, file[:2]...)
	out = append(out, 0xff, 0xe1, 0, byte(len(exif)+2))
	out = append(out, exif...)
	return append(out, file[2:]...)
}

// The K and S of a cell show, on the card's own grounds, what was read there,
// and the rack's two colours lead back to the same paint.
func TestReadingFeedsTheRack(t *testing.T) {
	shot := take(t, 42, synth.Options{Long: 1100, Turn: 0, Cells: 15})
	r, err := read(t, shot.JPEG)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for i := range r.Cells {
		c := &r.Cells[i]
		if c.State != swatch.Good {
			continue
		}
		tried++
		ks, err := c.KS()
		if err != nil {
			t.Fatal(err)
		}
		black, err := colour.ParseHex(c.Rack.OverBlack)
		if err != nil {
			t.Fatal(err)
		}
		white, err := colour.ParseHex(c.Rack.OverWhite)
		if err != nil {
			t.Fatal(err)
		}
		rack, err := pigment.FromSwatch(black.SRGB().XYZ(), white.SRGB().XYZ())
		if err != nil {
			t.Fatal(err)
		}
		for ground, seen := range map[float64]*swatch.Colour{c.GroundBlack: c.OverBlack, c.GroundWhite: c.OverWhite} {
			bare := colour.Flat(ground)
			inner := pigment.Satin().FromInside(&bare)
			if de := colour.DeltaE00(pigment.Show(&ks, pigment.Satin(), &inner, 1).Lab, lab(seen)); de > 2 {
				t.Errorf("cell %d: its film shows the ground of %.2f %.1f off", c.Number, ground, de)
			}
			if de := colour.DeltaE00(pigment.Show(&rack, pigment.Satin(), &inner, 1).Lab, lab(seen)); de > 2.5 {
				t.Errorf("cell %d: by way of the rack it shows the ground of %.2f %.1f off", c.Number, ground, de)
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d cells were tried", tried)
	}
}

// A plate of uniform patches under a tint is read at points. The colours are
// sRGB's own, of IEC 61966-2-1.
func TestSpots(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 800, 600))
	patch := colour.Linear{R: 0.4, G: 0.1, B: 0.05}
	tint := [3]float64{0.9, 0.8, 0.6}
	for i := range 800 * 600 {
		v := colour.Linear{R: 0.9 * tint[0], G: 0.9 * tint[1], B: 0.9 * tint[2]}
		if i%800 >= 400 {
			v = colour.Linear{R: patch.R * tint[0], G: patch.G * tint[1], B: patch.B * tint[2]}
		}
		e := v.Encode().RGB8()
		copy(img.Pix[4*i:], []byte{e.R, e.G, e.B, 255})
	}
	var b bytes.Buffer
	if err := imaging.Encode(&b, img, imaging.PNG); err != nil {
		t.Fatal(err)
	}
	p, err := swatch.LoadPhoto(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	white, err := swatch.ParseSpot("20%,50%")
	if err != nil {
		t.Fatal(err)
	}
	a, err := swatch.ParseSpot("600,300,20")
	if err != nil {
		t.Fatal(err)
	}
	edge, err := swatch.ParseSpot("50%,50%,5%")
	if err != nil {
		t.Fatal(err)
	}
	got, err := swatch.ReadSpots(p, []swatch.Spot{a, edge}, &white)
	if err != nil {
		t.Fatal(err)
	}
	k := swatch.PaperWhite / 0.9
	want := colour.LabFrom(colour.Linear{R: k * patch.R, G: k * patch.G, B: k * patch.B}.XYZ(), colour.ViewD65().White())
	if de := colour.DeltaE00(lab(&got[0].Colour), want); de > 0.5 || len(got[0].Findings) > 0 {
		t.Errorf("read %v, want %v: %.2f; findings %v", got[0].Lab, want, de, got[0].Findings)
	}
	if len(got[1].Findings) == 0 {
		t.Error("a spot over two colours is read without a warning")
	}
	for _, bad := range []string{"", "5", "a,b", "-1,3", "NaN,3", "1,2,3,4", "1e300,3"} {
		if _, err := swatch.ParseSpot(bad); err == nil {
			t.Errorf("the place %q is accepted", bad)
		}
	}
	outside, err := swatch.ParseSpot("900,10")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := swatch.ReadSpots(p, []swatch.Spot{outside}, nil); err == nil {
		t.Error("a place outside the picture is read")
	}
}
