package swatch

import (
	"bytes"
	"encoding/binary"
	"image/color"
	"image/png"
	"math"
	"math/bits"
	"slices"
	"testing"

	"facings/internal/sheet"
)

// Every two words differ in 7 squares or more, the distance of the BCH code
// (31,16) and so of its shortened form (Lin and Costello, Error Control Coding,
// table of primitive BCH codes).
func TestCodeDistance(t *testing.T) {
	book := newCodebook()
	if want := 8 * MostCells * 4; len(book) != want {
		t.Fatalf("%d different words, want %d", len(book), want)
	}
	for a := range book {
		for b := range book {
			if d := bits.OnesCount32(a ^ b); a != b && d < 7 {
				t.Fatalf("%025b and %025b differ in %d squares", a, b, d)
			}
		}
	}
}

// A turned mark must not be taken for another one upright, even with as many
// squares wrong as are put right.
func TestTurnedMarksDiffer(t *testing.T) {
	book := newCodebook()
	for word, m := range book {
		if m.version != Version {
			continue
		}
		turned := word
		for range 3 {
			turned = quarterTurned(turned)
			for other, n := range book {
				if d := bits.OnesCount32(turned ^ other); n.version == Version && d <= 2*mendable+1 {
					t.Errorf("corner %d of %d cells, turned, is %d squares from corner %d of %d", m.corner, m.cells, d, n.corner, n.cells)
				}
			}
		}
		if turned = quarterTurned(turned); turned != word {
			t.Fatal("four quarter turns are not none")
		}
	}
}

func TestDecodeMends(t *testing.T) {
	book := newCodebook()
	for corner := range 4 {
		word := codeWord(corner, Version, 12)
		for turns := range 4 {
			for i := range 25 {
				m, ok := book.decode(word ^ 1<<i)
				if want := (mark{corner, Version, 12, turns, 1}); !ok || m != want {
					t.Fatalf("corner %d turned %d with square %d wrong: %+v", corner, turns, i, m)
				}
			}
			word = quarterTurned(word)
		}
	}
}

// Everything is on the card, and the white that is measured is free of print.
func TestLayoutKeepsClear(t *testing.T) {
	long := slices.Repeat([]string{"a paint with a long name, quite dark (jpg)"}, MostCells)
	for cells := 1; cells <= MostCells; cells++ {
		l, err := NewLayout(cells)
		if err != nil {
			t.Fatal(err)
		}
		const perMM = 10
		card := sheet.Document{Pages: []sheet.Page{l.Draw(Print{Paper: sheet.Paper{WidthMM: cardW, HeightMM: cardH}, Names: long, Card: 1, Of: 2})}}
		img, err := card.Raster(0, perMM*25.4)
		if err != nil {
			t.Fatal(err)
		}
		white := color.RGBA{255, 255, 255, 255}
		clear := func(what string, b Box) {
			for y := int(b.Y * perMM); y < int((b.Y+b.H)*perMM); y++ {
				for x := int(b.X * perMM); x < int((b.X+b.W)*perMM); x++ {
					if img.RGBAAt(x, y) != white {
						t.Fatalf("%d cells: %s at %.1f, %.1f mm is printed on", cells, what, float64(x)/perMM, float64(y)/perMM)
					}
				}
			}
		}
		for i := range l.Cells {
			c := &l.Cells[i]
			for _, q := range ring(c.Field, ringAway) {
				clear("white around a cell", Box{q.X - 0.7, q.Y - 0.7, 1.4, 1.4})
			}
			clear("the white to be painted", c.window(c.White))
			for _, b := range c.bare(c.White) {
				clear("bare white", b)
			}
			if c.Whole.Y+c.Whole.H > gridTop+gridH+1e-9 || c.window(c.Black).W < 5 || c.window(c.Black).H < 3 || c.bare(c.Black)[0].H < 1 {
				t.Errorf("%d cells: cell %d has no room", cells, c.Number)
			}
		}
		for _, b := range l.Ramp {
			for _, q := range rampRing(b) {
				clear("white around the ramp", Box{q.X - 0.7, q.Y - 0.7, 1.4, 1.4})
			}
		}
		for i, b := range l.Marks {
			for _, side := range []Box{{b.X - 2, b.Y - 2, b.W + 4, 2}, {b.X - 2, b.Y + b.H, b.W + 4, 2}, {b.X - 2, b.Y, 2, b.H}, {b.X + b.W, b.Y, 2, b.H}} {
				if side.X >= 0 && side.Y >= 0 && side.X+side.W <= cardW && side.Y+side.H <= cardH {
					clear("white around the "+cornerNames[i]+" mark", side)
				}
			}
		}
	}
	for _, bad := range []int{-1, 0, MostCells + 1} {
		if _, err := NewLayout(bad); err == nil {
			t.Errorf("%d cells are accepted", bad)
		}
	}
}

// Paper sizes: A4 of ISO 216; Letter is 8½ × 11 in. The card leaves the margin
// of a quarter inch that printers need (common practice).
func TestCardFitsPapers(t *testing.T) {
	l, _ := NewLayout(12)
	for _, p := range []sheet.Paper{sheet.A4(), sheet.Letter()} {
		if o := l.Offset(p); o.X < 6.35 || o.Y < 6.35 {
			t.Errorf("%s: margins of %.1f and %.1f mm", p.Name, o.X, o.Y)
		}
	}
}

// The rule's ends are 50 mm apart in the PNG, by the size of a pixel that the
// file itself states (pHYs, PNG 3rd edition, 11.3.4.3).
func TestTrueToScale(t *testing.T) {
	l, _ := NewLayout(12)
	card := sheet.Document{Pages: []sheet.Page{l.Draw(Print{Paper: sheet.A4()})}}
	for _, dpi := range []float64{300, 600} {
		var b bytes.Buffer
		if err := card.WritePNG(&b, 0, dpi); err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(b.Bytes(), []byte("pHYs"))
		perMM := float64(binary.BigEndian.Uint32(b.Bytes()[at+4:])) / 1000
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		y := int((l.Offset(sheet.A4()).Y + 241 + 1.2) * perMM)
		first, last := 0, 0
		for x := int(28 * perMM); x < int(95*perMM); x++ {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				if first == 0 {
					first = x
				}
				last = x
			}
		}
		const stroke = 0.25
		if got := float64(last-first+1)/perMM - stroke; math.Abs(got-50) > 0.1 {
			t.Errorf("%g dpi: the rule measures %.2f mm", dpi, got)
		}
	}
}
