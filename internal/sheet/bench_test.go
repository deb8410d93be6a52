package sheet

import (
	"io"
	"testing"

	"facings"
)

// manyFlags is every part and division, ten copies of each.
func manyFlags(b *testing.B) *Document {
	b.Helper()
	p := &facings.Project{Name: "bench", Scale: 56}
	for _, f := range everyPart(true) {
		p.Units = append(p.Units, facings.Unit{Name: "Unit", Flag: &f})
	}
	s, err := Flags(p, FlagOptions{Paper: A4(), Copies: 10, BleedMM: 1})
	if err != nil {
		b.Fatal(err)
	}
	return s.Document
}

func BenchmarkFlags(b *testing.B) {
	for b.Loop() {
		b.ReportMetric(float64(len(manyFlags(b).Pages)), "pages")
	}
}

func BenchmarkPDFPage(b *testing.B) {
	d := manyFlags(b)
	d.Pages = d.Pages[:1]
	for b.Loop() {
		if err := d.WritePDF(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPNGPage600(b *testing.B) {
	d := manyFlags(b)
	for b.Loop() {
		if err := d.WritePNG(io.Discard, 0, 600); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCards(b *testing.B) {
	plan := bench(b, 200)
	for b.Loop() {
		if err := Cards(plan, A4()).WritePDF(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
