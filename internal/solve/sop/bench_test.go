package sop

import (
	"context"
	"testing"
)

// BenchmarkProof is the time to solve and prove a small instance.
func BenchmarkProof(b *testing.B) {
	for _, name := range []string{"br17.10", "ESC25", "ESC63"} {
		b.Run(name, func(b *testing.B) {
			p := load(b, name)
			for b.Loop() {
				if _, err := Solve(context.Background(), p, Settings{Work: 2_000_000_000}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkSearch is the time of a hundred million steps; the cost reached is
// reported beside it.
func BenchmarkSearch(b *testing.B) {
	for _, name := range []string{"ry48p.2", "p43.1", "ft53.4"} {
		b.Run(name, func(b *testing.B) {
			p := load(b, name)
			for b.Loop() {
				r, err := Solve(context.Background(), p, Settings{Work: 100_000_000})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(r.Cost), "cost")
				b.ReportMetric(float64(r.LowerBound), "bound")
			}
		})
	}
}
