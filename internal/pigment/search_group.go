package pigment

import (
	"cmp"
	"math"
	"slices"
)

// division parts the paints into groups of few that are alike, mostly in what one
// lobe looks at: halved by absorption or scattering in one of the lobes, whichever
// spreads most, until they are few enough.
type division struct {
	groups []group
	boxes  [][]box // per lobe, of each group
	packs  []pack  // of the division's own lobe, eight groups by eight
}

// group is a group of paints.
type group struct {
	paints []int
	last   int       // the greatest index of them
	films  [][]film8 // of the paints, per lobe, band by band
}

// groupSize is how many paints a group has at most.
const groupSize = abreast

// aside is how much the spread in other lobes than the division's own counts.
const aside = 0.6

// faint is how little absorption or scattering hardly matters: most of a mix is
// the base.
const faint = 0.6

func newDivision(lobes []*lobe, own int, rows [][Bands]film1) *division {
	places := make([]place, len(rows))
	for i, row := range rows {
		places[i].paint = i
		for n, l := range lobes {
			var k, s, sum float64
			for j, w := range l.weight {
				a, b := math.Abs(float64(w)), l.bands[j]
				k += a * math.Log(float64(row[b].k)+faint)
				s += a * math.Log(float64(row[b].s)+faint)
				sum += a
			}
			share := 1.0
			if n != own {
				share = aside
			}
			places[i].at = append(places[i].at, k/sum*share, s/sum*share)
		}
	}
	d := &division{boxes: make([][]box, len(lobes))}
	d.grow(lobes, places)
	for n := range d.groups {
		if n%abreast == 0 {
			d.packs = append(d.packs, pack{})
		}
		d.packs[n/abreast].put(n%abreast, &d.boxes[own][n])
	}
	return d
}

// place sets a paint by its mean absorption and scattering in each lobe.
type place struct {
	paint int
	at    []float64
}

func (d *division) grow(lobes []*lobe, p []place) {
	if len(p) > groupSize {
		for _, half := range halves(p) {
			d.grow(lobes, half)
		}
		return
	}
	var g group
	for _, x := range p {
		g.paints = append(g.paints, x.paint)
		g.last = max(g.last, x.paint)
	}
	for n, l := range lobes {
		b := nothing()
		for _, k := range g.paints {
			b.join(&l.boxes[k])
		}
		d.boxes[n] = append(d.boxes[n], b)
		films := make([]film8, len(l.order))
		for x := range films {
			for i := range abreast {
				f := l.films[g.paints[min(i, len(p)-1)]][x]
				films[x].k[i], films[x].s[i] = f.k, f.s
			}
		}
		g.films = append(g.films, films)
	}
	d.groups = append(d.groups, g)
}

// halves parts paints where they spread most.
func halves(p []place) [2][]place {
	by := widest(p)
	slices.SortFunc(p, func(a, b place) int { return cmp.Or(cmp.Compare(a.at[by], b.at[by]), cmp.Compare(a.paint, b.paint)) })
	half := (len(p)/2 + groupSize - 1) / groupSize * groupSize // so that groups are full
	return [2][]place{p[:half], p[half:]}
}

// widest returns in what the places spread most.
func widest(p []place) int {
	by, most := 0, 0.0
	for i := range p[0].at {
		low, high := p[0].at[i], p[0].at[i]
		for _, x := range p {
			low, high = min(low, x.at[i]), max(high, x.at[i])
		}
		if high-low > most {
			by, most = i, high-low
		}
	}
	return by
}
