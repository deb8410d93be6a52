package app

import (
	"context"
	"io/fs"
	"testing"
	"time"

	"facings/internal/demo"
)

// demoPlan plans the demo; a short search does for pictures.
func demoPlan(t testing.TB) *Plan {
	t.Helper()
	text, err := fs.ReadFile(demo.Files(), "demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	a := &App{Now: func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }, Steps: 200_000, Runs: 1}
	o, err := a.Read("demo.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := a.Plan(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// BenchmarkGuide is the whole guide of the demo but its plan.
func BenchmarkGuide(b *testing.B) {
	plan := demoPlan(b)
	a := &App{}
	for b.Loop() {
		files, err := a.GuideOf(context.Background(), plan, GuideOptions{SheetOptions: SheetOptions{Out: "guide.pdf"}})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(files[0].Data))/1e6, "MB")
	}
}
