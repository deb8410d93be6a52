package demo

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

// owed reports whether the diagnostic that a flaw should raise was raised at
// the flaw's place or just below it.
func owed(found facings.Diagnostics, id, path string) bool {
	return slices.ContainsFunc(found, func(d facings.Diagnostic) bool {
		return d.ID == id && (d.Path == path || strings.HasPrefix(d.Path, path+"/"))
	})
}

func TestEveryFlawIsFound(t *testing.T) {
	for i, flaw := range Flaws() {
		for seed := range uint64(2) {
			p := Army(seed, 60)
			path := flaw.Break(p, rand.New(rand.NewPCG(seed, uint64(i))))
			if found := p.Validate(); !found.Faulty() || !owed(found, flaw.ID, path) {
				t.Errorf("%s at %s was not found; found only:\n%v", flaw.ID, path, found)
				break
			}
		}
	}
}

func TestBrokenArmiesAreFaulty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed, size := rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 120).Draw(t, "figures")
		p, id, path := Broken(seed, size)
		if found := p.Validate(); !owed(found, id, path) {
			t.Fatalf("%s at %s was not found; found only:\n%v", id, path, found)
		}
	})
}
