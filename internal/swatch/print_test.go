package swatch_test

import (
	"bytes"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"facings/internal/colour"
	"facings/internal/sheet"
	"facings/internal/swatch"
	"facings/internal/swatch/synth"
)

// A card with names in its cells, printed from the PDF by poppler or from the
// PNG, painted and photographed, is read as well as any: each stripe within the
// 4 CIEDE2000 that a warning must not let pass. The truth is the paint films'
// own (package synth).
func TestReadsPrintedCards(t *testing.T) {
	names := []string{"carbon black", "a grey with a very long name indeed", "Ölgrün", "jpqy"}
	for kind, print := range map[string]func(sheet.Page) (image.Image, error){"PDF": byPoppler(t), "PNG": fromPNG} {
		if print == nil {
			t.Log("pdftoppm is not installed: the PDF was not read")
			continue
		}
		for i, cells := range []int{6, 12, 24} {
			shot := take(t, uint64(70+i), synth.Options{Long: 1600, Cells: cells, Names: names, Print: print})
			r, err := read(t, shot.JPEG)
			if err != nil {
				t.Fatalf("%s, %d cells: %v", kind, cells, err)
			}
			good := 0
			for i, truth := range shot.Truth {
				c := &r.Cells[i]
				if c.State != swatch.Good || truth.Paint == "" {
					continue
				}
				good++
				if a, b := colour.DeltaE00(truth.OverBlack, lab(c.OverBlack)), colour.DeltaE00(truth.OverWhite, lab(c.OverWhite)); max(a, b) > 4 {
					t.Errorf("%s, %d cells, cell %d, %s: off by %.1f and %.1f without a warning", kind, cells, c.Number, truth.Paint, a, b)
				}
			}
			if good < cells/2 {
				t.Errorf("%s, %d cells: only %d are read without a doubt", kind, cells, good)
			}
		}
	}
}

// byPoppler prints a page to PDF and draws that; nil without pdftoppm.
func byPoppler(t *testing.T) func(sheet.Page) (image.Image, error) {
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		return nil
	}
	return func(page sheet.Page) (image.Image, error) {
		dir := t.TempDir()
		var b bytes.Buffer
		d := sheet.Document{Pages: []sheet.Page{page}}
		if err := d.WritePDF(&b); err != nil {
			return nil, err
		}
		in := filepath.Join(dir, "card.pdf")
		if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
			return nil, err
		}
		if err := exec.Command(tool, "-png", "-r", strconv.FormatFloat(synth.DPI, 'f', 2, 64), "-singlefile", in, filepath.Join(dir, "card")).Run(); err != nil {
			return nil, err
		}
		f, err := os.Open(filepath.Join(dir, "card.png"))
		if err != nil {
			return nil, err
		}
		defer f.Close()
		img, _, err := image.Decode(f)
		return img, err
	}
}

// fromPNG writes a page as PNG and reads that.
func fromPNG(page sheet.Page) (image.Image, error) {
	var b bytes.Buffer
	d := sheet.Document{Pages: []sheet.Page{page}}
	if err := d.WritePNG(&b, 0, synth.DPI); err != nil {
		return nil, err
	}
	img, _, err := image.Decode(&b)
	return img, err
}
