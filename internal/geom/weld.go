package geom

import (
	"math"
)

// welder hands out one vertex number per distinct point. It is an open hash
// table over the points themselves, a third of the memory of a Go map.
type welder struct {
	v     []Vec3
	slots []int32 // vertex number + 1; 0 is free
	mask  uint64
}

func newWelder(expected int) *welder {
	size := 1024
	for size < expected*2 {
		size *= 2
	}
	return &welder{slots: make([]int32, size), mask: uint64(size - 1)}
}

// index returns the number of the vertex at exactly p, making one if needed.
func (w *welder) index(p Vec3) int32 {
	p = Vec3{p.X + 0, p.Y + 0, p.Z + 0} // -0 and +0 are the same place
	h := hashPoint(p) & w.mask
	for {
		s := w.slots[h]
		if s == 0 {
			break
		}
		if w.v[s-1] == p {
			return s - 1
		}
		h = (h + 1) & w.mask
	}
	w.v = append(w.v, p)
	w.slots[h] = int32(len(w.v))
	if len(w.v)*2 > len(w.slots) {
		w.grow()
	}
	return int32(len(w.v) - 1)
}

func (w *welder) grow() {
	w.slots = make([]int32, len(w.slots)*2)
	w.mask = uint64(len(w.slots) - 1)
	for i, p := range w.v {
		h := hashPoint(p) & w.mask
		for w.slots[h] != 0 {
			h = (h + 1) & w.mask
		}
		w.slots[h] = int32(i + 1)
	}
}

func hashPoint(p Vec3) uint64 {
	h := math.Float64bits(p.X)*0x9E3779B97F4A7C15 ^ 0x2545F4914F6CDD1D
	h = (h ^ h>>29 ^ math.Float64bits(p.Y)) * 0xBF58476D1CE4E5B9
	h = (h ^ h>>32 ^ math.Float64bits(p.Z)) * 0x94D049BB133111EB
	return h ^ h>>31
}

// Weld returns the mesh with vertices no further apart than tolerance (mm)
// joined, unused vertices dropped, and a map from old vertex to new (-1 where
// dropped). A tolerance of 0 joins equal points only. The first vertex of a
// group keeps its place, so nothing drifts. Faces that collapse are kept, as
// degenerate ones, so that face numbers stay; see Clean.
func Weld(m *Mesh, tolerance float64) (*Mesh, []int32) {
	used := make([]bool, len(m.V))
	for _, f := range m.F {
		used[f[0]], used[f[1]], used[f[2]] = true, true, true
	}
	to := make([]int32, len(m.V))
	var points []Vec3
	// Below some 2^-40 of the coordinates a tolerance cannot be told from 0.
	if b := m.Bounds(); tolerance < 1e-100 || tolerance <= 0x1p-40*max(-b.Min.X, -b.Min.Y, -b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z) {
		w := newWelder(len(m.V))
		for i, p := range m.V {
			to[i] = -1
			if used[i] {
				to[i] = w.index(p)
			}
		}
		points = w.v
	} else {
		points = weldNear(m.V, used, tolerance, to)
	}
	out := m.Clone()
	out.V = points
	for i, f := range m.F {
		out.F[i] = [3]int32{to[f[0]], to[f[1]], to[f[2]]}
	}
	return out, to
}

// weldNear fills to and returns the surviving points. Cells are much larger than
// the tolerance, so that most points look into their own cell only; cells that
// share a hash slot share a list, which costs time but changes nothing.
func weldNear(v []Vec3, used []bool, tolerance float64, to []int32) []Vec3 {
	size := uint64(1024)
	for size < uint64(2*len(v)) {
		size *= 2
	}
	head := make([]int32, size) // surviving vertex + 1
	var next []int32
	var points []Vec3
	scale := 1 / (16 * tolerance)
	slot := func(x, y, z float64) uint64 { return hashPoint(Vec3{x + 0, y + 0, z + 0}) & (size - 1) }
	near := func(p Vec3) int32 {
		lo, hi := cellAt(p, -tolerance, scale), cellAt(p, tolerance, scale)
		best := int32(-1)
		for x := lo.X; x <= hi.X; x++ {
			for y := lo.Y; y <= hi.Y; y++ {
				for z := lo.Z; z <= hi.Z; z++ {
					for k := head[slot(x, y, z)]; k > 0; k = next[k-1] {
						if points[k-1].Sub(p).Len2() <= tolerance*tolerance && (best < 0 || k-1 < best) {
							best = k - 1
						}
					}
				}
			}
		}
		return best
	}
	for i, p := range v {
		to[i] = -1
		if !used[i] {
			continue
		}
		if to[i] = near(p); to[i] < 0 {
			to[i] = int32(len(points))
			points = append(points, p)
			c := cellAt(p, 0, scale)
			s := slot(c.X, c.Y, c.Z)
			next = append(next, head[s])
			head[s] = to[i] + 1
		}
	}
	return points
}

func cellAt(p Vec3, shift, scale float64) Vec3 {
	return Vec3{math.Floor((p.X + shift) * scale), math.Floor((p.Y + shift) * scale), math.Floor((p.Z + shift) * scale)}
}

// Clean returns the mesh without degenerate faces (two corners the same, or no
// area at all) and without second copies of a face, and the kept faces' old
// numbers.
func Clean(m *Mesh) (*Mesh, []int32) {
	out := &Mesh{V: m.V, Labels: m.Labels}
	var kept []int32
	seen := newFaceSet(m)
	for i, f := range m.F {
		if degenerate(m, i) || seen.repeats(i) {
			continue
		}
		out.F = append(out.F, f)
		kept = append(kept, int32(i))
		if m.Label != nil {
			out.Label = append(out.Label, m.Label[i])
		}
	}
	return out, kept
}

// faceSet finds faces with the same three corners, in any order. It is an open
// hash table of face numbers, since a map of the corners takes too much memory.
type faceSet struct {
	m     *Mesh
	slots []int32 // face number + 1; 0 is free
}

func newFaceSet(m *Mesh) *faceSet {
	size := 1024
	for size < 2*len(m.F) {
		size *= 2
	}
	return &faceSet{m, make([]int32, size)}
}

// repeats reports whether a face like face i was asked about before.
func (s *faceSet) repeats(i int) bool {
	key := sortedFace(s.m.F[i])
	mask := uint64(len(s.slots) - 1)
	h := hashPoint(Vec3{float64(key[0]), float64(key[1]), float64(key[2])}) & mask
	for s.slots[h] != 0 {
		if sortedFace(s.m.F[s.slots[h]-1]) == key {
			return true
		}
		h = (h + 1) & mask
	}
	s.slots[h] = int32(i + 1)
	return false
}

func degenerate(m *Mesh, i int) bool {
	f := m.F[i]
	return f[0] == f[1] || f[1] == f[2] || f[2] == f[0] || m.FaceCross(i) == (Vec3{})
}

func sortedFace(f [3]int32) [3]int32 {
	if f[0] > f[1] {
		f[0], f[1] = f[1], f[0]
	}
	if f[1] > f[2] {
		f[1], f[2] = f[2], f[1]
	}
	if f[0] > f[1] {
		f[0], f[1] = f[1], f[0]
	}
	return f
}
