package pigment

import (
	"cmp"
	"slices"

	"facings/internal/colour"
)

// Match is how near one paint of a rack comes to a target over black and over
// white, as CIEDE2000.
type Match struct {
	Paint     int
	OverBlack float64
	OverWhite float64
	LabBlack  colour.Lab
	LabWhite  colour.Lab
}

// Worst is the larger of the two distances: a paint that is to stand in for
// another must do so over any ground.
func (m *Match) Worst() float64 { return max(m.OverBlack, m.OverWhite) }

// Nearest sorts a rack by how well its paints stand in, over the black and the
// white of the standard chart, for a paint that shows the two given colours
// there; the worse of both decides, then the sum, then the order of the rack.
// The setting's ground is not used.
//
// Ref: iso6504-3, iso11664-6.
func Nearest(rack []KS, set Setting, overBlack, overWhite colour.Lab) []Match {
	black, white := Chart()
	b, w := colour.NewTarget(overBlack), colour.NewTarget(overWhite)
	out := make([]Match, len(rack))
	for i := range rack {
		m := Match{Paint: i}
		set.Ground = black
		m.LabBlack = set.Lab(&rack[i])
		set.Ground = white
		m.LabWhite = set.Lab(&rack[i])
		m.OverBlack, m.OverWhite = quantise(b.DeltaE00(m.LabBlack)), quantise(w.DeltaE00(m.LabWhite))
		out[i] = m
	}
	slices.SortStableFunc(out, func(x, y Match) int {
		return cmp.Or(cmp.Compare(x.Worst(), y.Worst()), cmp.Compare(x.OverBlack+x.OverWhite, y.OverBlack+y.OverWhite))
	})
	return out
}

// Miscounted returns the greatest CIEDE2000 between what a mix shows and what
// it shows with one drop more or less of one of its paints, at so many drops
// of each (the parts, scaled to the quantity made). A paint is never left out
// wholly; undefined (0) for a single paint.
func Miscounted(rack []KS, set *Setting, paints, drops []int) float64 {
	if len(paints) < 2 {
		return 0
	}
	show := func(d []int) colour.Lab {
		var sum KS
		total := 0
		for i, p := range paints {
			sum.Add(&rack[p], float64(d[i]))
			total += d[i]
		}
		return set.LabOfSum(&sum, float64(total))
	}
	right := show(drops)
	worst := 0.0
	for i := range drops {
		for _, step := range []int{-1, 1} {
			d := slices.Clone(drops)
			if d[i] += step; d[i] > 0 {
				worst = max(worst, colour.DeltaE00(right, show(d)))
			}
		}
	}
	return worst
}
