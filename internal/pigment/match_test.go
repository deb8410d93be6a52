package pigment

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"facings/internal/colour"
)

// A paint is its own nearest match, at no distance, over both grounds; and the
// list is sorted.
func TestNearest(t *testing.T) {
	rack := benchRack(30)
	set := Setting{View: colour.ViewD65(), Surface: Satin(), Thickness: 1}
	black, white := Chart()
	for i := range rack {
		b, w := set, set
		b.Ground, w.Ground = black, white
		got := Nearest(rack, set, b.Lab(&rack[i]), w.Lab(&rack[i]))
		if len(got) != len(rack) || got[0].Paint != i || got[0].Worst() != 0 {
			t.Errorf("paint %d: nearest is %+v", i, got[0])
		}
		for j := 1; j < len(got); j++ {
			if got[j].Worst() < got[j-1].Worst() {
				t.Errorf("paint %d: %d is out of order", i, j)
			}
		}
	}
}

// A drop too many matters less the more drops there are.
func TestMiscounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		rack := []KS{randomPaint(r), randomPaint(r)}
		_, white := Chart()
		set := Setting{View: colour.ViewD65(), Surface: Satin(), Ground: white, Thickness: 1}
		few := Miscounted(rack, &set, []int{0, 1}, []int{3, 1})
		many := Miscounted(rack, &set, []int{0, 1}, []int{300, 100})
		if few == 0 || many > few {
			t.Fatalf("4 drops: %v, 400 drops: %v", few, many)
		}
		if got := Miscounted(rack, &set, []int{0}, []int{5}); got != 0 {
			t.Fatalf("a single paint: %v", got)
		}
	})
}
