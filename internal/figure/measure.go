package figure

import (
	"cmp"
	"math"
	"slices"

	"facings/internal/geom"
)

// AreaMeasure is what the shape of one area means to a brush.
type AreaMeasure struct {
	Area      string
	MM2       float64 // mm²
	Patches   int     // separate pieces
	BorderMM  float64 // length of its borders with other areas, mm
	WidthMM   float64 // usual distance across, mm
	Curvature float64 // mean bend of the surface, 1/mm; folds and edges count
	// Fiddly runs from 0 (a barn door) towards 1 (lace): see fiddly.
	Fiddly     float64
	Neighbours []Neighbour // longest border first
}

// Neighbour is an area that shares a border.
type Neighbour struct {
	Area     string
	BorderMM float64
}

// Measure sizes up every area of a labelled mesh, in the order of AreaNames,
// other labels after them by name. Faces without a label are left out. The
// mesh should be closed; edges with one face count as no border.
//
// Areas grow with the square of a mesh's size, borders and widths with the
// size itself, curvature falls with it.
func Measure(m *geom.Mesh) []AreaMeasure {
	n := len(m.Labels)
	size := make([]float64, n)
	bend := make([]float64, n)
	border := make([][]float64, n)
	for i := range border {
		border[i] = make([]float64, n)
	}
	for i := range m.F {
		size[m.FaceLabel(i)] += m.FaceArea(i)
	}
	next := neighbours(m)
	for i, f := range m.F {
		a := m.FaceLabel(i)
		for k, o := range next[i] {
			if o < 0 {
				continue
			}
			l := m.V[f[k]].Sub(m.V[f[(k+1)%3]]).Len()
			if b := m.FaceLabel(int(o)); a != b {
				border[a][b] += l
			} else if int32(i) < o {
				bend[a] += l * m.FaceNormal(i).Angle(m.FaceNormal(int(o)))
			}
		}
	}
	patches := countPatches(m, next)
	var out []AreaMeasure
	for i, name := range m.Labels {
		if name == "" || size[i] == 0 {
			continue
		}
		a := AreaMeasure{Area: name, MM2: size[i], Patches: patches[i], Curvature: bend[i] / (2 * size[i])}
		for j, l := range border[i] {
			a.BorderMM += l
			if l > 0 && m.Labels[j] != "" {
				a.Neighbours = append(a.Neighbours, Neighbour{m.Labels[j], l})
			}
		}
		slices.SortFunc(a.Neighbours, func(x, y Neighbour) int {
			return cmp.Or(cmp.Compare(y.BorderMM, x.BorderMM), cmp.Compare(x.Area, y.Area))
		})
		a.WidthMM = width(a.MM2/float64(a.Patches), a.BorderMM/float64(a.Patches))
		a.Fiddly = fiddly(a.WidthMM, a.Curvature)
		out = append(out, a)
	}
	names := AreaNames()
	rank := func(s string) int {
		if i := slices.Index(names, s); i >= 0 {
			return i
		}
		return len(names)
	}
	slices.SortFunc(out, func(x, y AreaMeasure) int {
		return cmp.Or(cmp.Compare(rank(x.Area), rank(y.Area)), cmp.Compare(x.Area, y.Area))
	})
	return out
}

// width is the breadth of the rectangle with the given area and border, mm: of
// a long strip, how wide it is. It is the root of the area where the border is
// too short for a rectangle, as on a ball with one small hole.
func width(mm2, border float64) float64 {
	d := border*border/16 - mm2
	if d <= 0 {
		return math.Sqrt(mm2)
	}
	return border/4 - math.Sqrt(d)
}

// fiddly joins narrowness and folds to a number from 0 to 1: a half where an
// area is about a millimetre wide and nearly flat. An estimate, to be replaced
// by the painter's own pace. width in mm, curvature in 1/mm.
func fiddly(width, curvature float64) float64 {
	x := 0.8/width + 0.25*curvature
	return x / (1 + x)
}

// countPatches returns for each label into how many connected pieces it falls.
func countPatches(m *geom.Mesh, next [][3]int32) []int {
	out := make([]int, len(m.Labels))
	seen := make([]bool, len(m.F))
	var stack []int32
	for i := range m.F {
		if seen[i] {
			continue
		}
		l := m.FaceLabel(i)
		out[l]++
		seen[i] = true
		stack = append(stack[:0], int32(i))
		for len(stack) > 0 {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for _, o := range next[f] {
				if o >= 0 && !seen[o] && m.FaceLabel(int(o)) == l {
					seen[o] = true
					stack = append(stack, o)
				}
			}
		}
	}
	return out
}

// Layer tells that one area lies on another: paint the lower one first.
type Layer struct {
	Upper, Lower string
	// Share is how much of the upper area has the lower one close beneath, 0..1.
	Share float64
}

// layerShare is how much of an area must lie on another to count as upper.
const layerShare = 0.22

// Layers tells which areas of the casting m, built from spec, lie on which. It
// asks the solids themselves: a strap's outside is everywhere a strap's
// thickness above the coat.
func Layers(spec Spec, m *geom.Mesh) ([]Layer, error) {
	s, err := assemble(spec)
	if err != nil {
		return nil, err
	}
	solids := map[string][]node{}
	for _, p := range s.parts {
		solids[p.area] = append(solids[p.area], p.n)
	}
	share := make(map[[2]string]float64)
	names := AreaNames()
	per := make([][]float64, len(names))
	each(len(names), func(i int) { per[i] = beneath(m, names[i], names, solids) })
	for i, a := range names {
		for j, b := range names {
			if per[i] != nil && per[i][j] > 0 {
				share[[2]string{a, b}] = per[i][j]
			}
		}
	}
	var out []Layer
	for _, a := range names {
		for _, b := range names {
			up, down := share[[2]string{a, b}], share[[2]string{b, a}]
			if a != b && up >= layerShare && up > 1.5*down {
				out = append(out, Layer{a, b, up})
			}
		}
	}
	return out, nil
}

// beneath returns the share of area's surface that has each of names beneath.
func beneath(m *geom.Mesh, area string, names []string, solids map[string][]node) []float64 {
	id := slices.Index(m.Labels, area)
	if id < 0 {
		return nil
	}
	var faces []int
	for i := range m.F {
		if int(m.FaceLabel(i)) == id {
			faces = append(faces, i)
		}
	}
	const samples = 240
	step := max(1, len(faces)/samples)
	hits := make([]float64, len(names))
	total := 0.0
	for i := 0; i < len(faces); i += step {
		p, n, w := m.FaceCenter(faces[i]), m.FaceNormal(faces[i]), m.FaceArea(faces[i])
		total += w
		// Look into the casting, a cloth's thickness or two.
		in := [3]vec{p.Sub(n.Mul(0.25)), p.Sub(n.Mul(0.5)), p.Sub(n.Mul(0.8))}
		for j, b := range names {
			if b == area {
				continue
			}
			if anyInside(solids[b], in) {
				hits[j] += w
			}
		}
	}
	for j := range hits {
		hits[j] /= total
	}
	return hits
}

func anyInside(solids []node, pts [3]vec) bool {
	for _, n := range solids {
		if n.dist(pts[1]) > 1 {
			continue
		}
		for _, p := range pts {
			if n.dist(p) < 0 {
				return true
			}
		}
	}
	return false
}
