package app

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"facings"
	"facings/internal/pigment"
)

// What is remembered of a paint is what would be worked out anew, also once
// another paint has taken its name.
func TestRememberedPaintsAreTheSame(t *testing.T) {
	p := NewPaints()
	rack := append(demoProject(t).Rack[:6:6],
		facings.Paint{Name: "coat", Kind: facings.Opaque, OverBlack: "#203050", OverWhite: "#243454"},
		facings.Paint{Name: "coat", Kind: facings.Opaque, OverBlack: "#602020", OverWhite: "#702424"},
		facings.Paint{Name: "coat", Kind: facings.Wash, Colour: "#602020"},
		facings.Paint{Name: "coat", Kind: facings.Opaque, Colour: "#602020"})
	for round := range 2 {
		for _, paint := range rack {
			if paint.Kind == facings.Texture || paint.Kind == facings.Glue {
				continue
			}
			want, err := pigment.Resolve(paint)
			if err != nil {
				t.Fatal(err)
			}
			got, err := p.resolve(paint)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("round %d, %s %s:\n%s", round, paint.Kind, paint.Name, diff)
			}
		}
	}
	for range 2 {
		if _, err := p.resolve(facings.Paint{Name: "bare", Kind: facings.Opaque}); err == nil {
			t.Error("a paint without a colour has one")
		}
	}
}
