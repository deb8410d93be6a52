package demo

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"facings"
)

func TestArmyIsValidAtAnySize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed, size := rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 150).Draw(t, "figures")
		p := Army(seed, size)
		if found := p.Validate(); len(found) > 0 {
			t.Fatalf("faults:\n%v", found)
		}
		n := 0
		for i := range p.Units {
			n += p.Units[i].Size()
			if size := p.Units[i].Size(); len(p.Units) > 1 && (size < 8 || size > 36) {
				t.Fatalf("%s has %d figures", p.Units[i].Name, size)
			}
		}
		if n != size {
			t.Fatalf("%d figures, want %d", n, size)
		}
		if diff := cmp.Diff(p, Army(seed, size)); diff != "" {
			t.Fatalf("the same seed gave another army:\n%s", diff)
		}
	})
}

func TestArmyKeepsToTheLimits(t *testing.T) {
	for figures, want := range map[int]int{-5: 1, 0: 1, facings.MaxFigures: facings.MaxFigures, 1 << 40: facings.MaxFigures} {
		p := Army(1, figures)
		n := 0
		for i := range p.Units {
			n += p.Units[i].Size()
		}
		if n != want || len(p.Validate()) > 0 {
			t.Errorf("asked for %d: %d figures, %v", figures, n, p.Validate())
		}
	}
}

func TestArmiesDiffer(t *testing.T) {
	if cmp.Equal(Army(1, 100).Units, Army(2, 100).Units) {
		t.Error("two seeds gave the same army")
	}
	kinds := map[string]bool{}
	for _, u := range Army(1, facings.MaxFigures).Units {
		kinds[u.Body] = true
	}
	for _, b := range branches() {
		if !kinds[b.body] {
			t.Errorf("a large army has no %s", b.name)
		}
	}
}

func BenchmarkArmy(b *testing.B) {
	for b.Loop() {
		Army(1, facings.MaxFigures)
	}
}
