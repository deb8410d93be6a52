package pigment

import (
	"cmp"
	"math"
	"slices"
)

// cluster is some paints that are alike, down to single ones: first and the next
// in the search's order.
type cluster struct {
	limits
	first, count int
	halves       [2]int32 // clusters
}

// ratios is some ratios of three paints that are alike, down to single ones: the
// shares, and the parts they come from.
type ratios struct {
	shares [][3]float32
	parts  [][3]int
	least  [3]float32 // of each share
	most   [3]float32
	halves [2]int32 // ratios
}

// node is all mixes of a paint of each of three clusters in one of some ratios.
// Two clusters are the same or have no paint in common; of the same one each mix
// takes paints in their order, so that it comes once.
type node struct {
	paints [3]int32 // clusters
	ratios int32
}

// faint is how little absorption or scattering hardly matters: most of a mix is
// something else.
const faint = 0.6

// grow makes the clusters and what the bounds need of each paint.
func (s *search) grow() {
	thick := s.query.Setting.Thickness
	places := make([]place, len(s.rack))
	for i := range s.rack {
		places[i].paint = i
		for n := range lobeSums {
			var k, c, sum float64
			for b, w := range s.lobes[n].weight {
				w = math.Abs(w)
				k += w * math.Log(s.rack[i].K[b]*thick+faint)
				c += w * math.Log(s.rack[i].S[b]*thick+faint)
				sum += w
			}
			places[i].at = append(places[i].at, k/sum, c/sum)
		}
	}
	s.cluster(places)
	s.octets = make([]octet, (len(s.order)+abreast-1)/abreast+1)
	s.films = make([]spectrum, len(s.order)+1)
	for at, paint := range s.order {
		for b := range Bands {
			k, c := s.rack[paint].K[b]*thick, s.rack[paint].S[b]*thick
			s.films[at][0][b], s.films[at][1][b] = float32(k), float32(c)
			for n := range s.lobes {
				in := &s.octets[at/abreast][stretch(b)]
				in[0][n][at%abreast] += float32(s.lobes[n].weight[b] * k)
				in[1][n][at%abreast] += float32(s.lobes[n].weight[b] * c)
			}
		}
	}
	// No paint, for the third of mixes of two.
	s.none = int32(len(s.clusters))
	s.clusters = append(s.clusters, cluster{first: (len(s.octets) - 1) * abreast, count: 1})
}

// place sets a paint by its mean absorption and scattering in each lobe.
type place struct {
	paint int
	at    []float64
}

// cluster makes the cluster of some paints and all within it, and returns it.
func (s *search) cluster(p []place) int32 {
	id := int32(len(s.clusters))
	s.clusters = append(s.clusters, cluster{first: len(s.order), count: len(p)})
	if len(p) == 1 {
		s.order = append(s.order, p[0].paint)
		s.clusters[id].limits = s.limitsOf(p[0].paint)
		return id
	}
	by := widest(p)
	slices.SortFunc(p, func(a, b place) int { return cmp.Or(cmp.Compare(a.at[by], b.at[by]), cmp.Compare(a.paint, b.paint)) })
	half := (len(p) + 1) / 2
	if len(p) > abreast { // so that those of eight and less lie in one block
		half = (len(p)/2 + abreast - 1) / abreast * abreast
	}
	a, b := s.cluster(p[:half]), s.cluster(p[half:])
	c := &s.clusters[id]
	c.halves = [2]int32{a, b}
	c.limits = s.clusters[a].limits
	for i, v := range s.clusters[b].limits {
		for j := range v {
			if i%2 == 0 {
				c.limits[i][j] = min(c.limits[i][j], v[j])
			} else {
				c.limits[i][j] = max(c.limits[i][j], v[j])
			}
		}
	}
	return id
}

func (s *search) limitsOf(paint int) (out limits) {
	for i := range stretches {
		out[0][i], out[2][i] = math.MaxFloat32, math.MaxFloat32
	}
	thick := s.query.Setting.Thickness
	for b := range Bands {
		i := stretch(b)
		k, c := float32(s.rack[paint].K[b]*thick), float32(s.rack[paint].S[b]*thick)
		out[0][i], out[1][i] = min(out[0][i], k), max(out[1][i], k)
		out[2][i], out[3][i] = min(out[2][i], c), max(out[3][i], c)
	}
	return out
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

// allRatios returns parts of so many paints that sum to most or less and have no
// common divisor.
func allRatios(paints, most int) (out [][3]int) {
	for a := 1; a < most; a++ {
		for b := 1; a+b <= most; b++ {
			if paints == 2 {
				if gcd(a, b) == 1 {
					out = append(out, [3]int{a, b, 0})
				}
				continue
			}
			for c := 1; a+b+c <= most; c++ {
				if gcd(a, b, c) == 1 {
					out = append(out, [3]int{a, b, c})
				}
			}
		}
	}
	return out
}

// mixing makes the ratios of some parts and all within them, and returns them.
func (s *search) mixing(parts [][3]int) int32 {
	id := int32(len(s.ratios))
	r := ratios{parts: parts, least: [3]float32{1, 1, 1}}
	for _, p := range parts {
		total := float32(p[0] + p[1] + p[2])
		x := [3]float32{float32(p[0]) / total, float32(p[1]) / total, float32(p[2]) / total}
		r.shares = append(r.shares, x)
		for i := range x {
			r.least[i], r.most[i] = min(r.least[i], x[i]), max(r.most[i], x[i])
		}
	}
	s.ratios = append(s.ratios, r)
	if len(parts) == 1 {
		return id
	}
	by, most := 0, 0.0
	for i := range 3 {
		if w := math.Sqrt(float64(r.most[i])) - math.Sqrt(float64(r.least[i])); w > most {
			by, most = i, w
		}
	}
	share := func(p [3]int) float64 { return float64(p[by]) / float64(p[0]+p[1]+p[2]) }
	sorted := slices.Clone(parts)
	slices.SortStableFunc(sorted, func(a, b [3]int) int { return cmp.Compare(share(a), share(b)) })
	a, b := s.mixing(sorted[:len(sorted)/2]), s.mixing(sorted[len(sorted)/2:])
	s.ratios[id].halves = [2]int32{a, b}
	return id
}

// roots are the nodes of all mixes of more than one paint.
func (s *search) roots() (out []node) {
	for paints := 2; paints <= min(s.query.Paints, len(s.rack)); paints++ {
		parts := allRatios(paints, s.query.Parts)
		if len(parts) == 0 {
			continue
		}
		n := node{ratios: s.mixing(parts)}
		if paints == 2 {
			n.paints[2] = s.none
		}
		out = append(out, n)
	}
	return out
}

// split returns the nodes of the halves of a cluster, or of ratios (at 3), after
// those in to. Places with the same cluster are split together.
func (s *search) split(n node, at int, to []node) []node {
	if at == 3 {
		for _, r := range s.ratios[n.ratios].halves {
			to = append(to, node{n.paints, r})
		}
		return to
	}
	whole := n.paints[at]
	first, same := 0, 0
	for i := len(n.paints) - 1; i >= 0; i-- {
		if n.paints[i] == whole {
			first, same = i, same+1
		}
	}
	for later := range same + 1 {
		m := n
		for i := range same {
			m.paints[first+i] = s.clusters[whole].halves[0]
			if i >= same-later {
				m.paints[first+i] = s.clusters[whole].halves[1]
			}
		}
		if s.any(m) {
			to = append(to, m)
		}
	}
	return to
}

// any tells whether there are enough paints for a node.
func (s *search) any(n node) bool {
	for i, c := range n.paints {
		of := 0
		for _, d := range n.paints[:i+1] {
			if d == c {
				of++
			}
		}
		if of > s.clusters[c].count {
			return false
		}
	}
	return true
}
