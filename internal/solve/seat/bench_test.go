package seat

import (
	"context"
	"os"
	"testing"
)

func load(t testing.TB, name string) Problem {
	f, err := os.Open("testdata/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := Read(f)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// BenchmarkExchanges measures one lane: an operation is one exchange tried.
func BenchmarkExchanges(b *testing.B) {
	for _, name := range []string{"24-3x8-mixed", "120-4x30-mixed", "500-10x50-mixed", "500-10x50-coats"} {
		b.Run(name, func(b *testing.B) {
			p := load(b, name)
			m, err := newModel(&p)
			if err != nil {
				b.Fatal(err)
			}
			parts, _, err := m.parts(nil)
			if err != nil {
				b.Fatal(err)
			}
			l := newLane(m, parts, 1, 0)
			l.run(b.N, surprise(), func() bool { return false })
		})
	}
}

// BenchmarkSolve measures a whole search of a fixed number of exchanges.
func BenchmarkSolve(b *testing.B) {
	for _, name := range []string{"24-3x8-even", "24-2x12-mixed", "120-4x30-mixed"} {
		b.Run(name, func(b *testing.B) {
			p := load(b, name)
			for b.Loop() {
				if _, err := Solve(context.Background(), p, Settings{Work: 300_000, Seed: 1}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
