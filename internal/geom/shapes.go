package geom

import "math"

// NewBox returns a closed box with the given corners, twelve faces.
func NewBox(lo, hi Vec3) *Mesh {
	m := &Mesh{}
	for i := range 8 {
		p := lo
		if i&1 != 0 {
			p.X = hi.X
		}
		if i&2 != 0 {
			p.Y = hi.Y
		}
		if i&4 != 0 {
			p.Z = hi.Z
		}
		m.V = append(m.V, p)
	}
	for _, q := range [6][4]int32{
		{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5},
	} {
		m.F = append(m.F, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// NewSphere returns a sphere about the origin: an icosahedron with each edge cut
// into n parts, 20·n² faces, corners on the sphere. n is at least 1.
func NewSphere(radius float64, n int) *Mesh {
	n = max(1, n)
	phi := (1 + math.Sqrt(5)) / 2
	corner := []Vec3{
		{-1, phi, 0}, {1, phi, 0}, {-1, -phi, 0}, {1, -phi, 0},
		{0, -1, phi}, {0, 1, phi}, {0, -1, -phi}, {0, 1, -phi},
		{phi, 0, -1}, {phi, 0, 1}, {-phi, 0, -1}, {-phi, 0, 1},
	}
	faces := [20][3]int32{
		{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11},
		{1, 5, 9}, {5, 11, 4}, {11, 10, 2}, {10, 7, 6}, {7, 1, 8},
		{3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8}, {3, 8, 9},
		{4, 9, 5}, {2, 4, 11}, {6, 2, 10}, {8, 6, 7}, {9, 8, 1},
	}
	m := &Mesh{}
	shared := map[[6]int32]int32{}
	for _, f := range faces {
		index := func(i, j int) int32 { // barycentric (n-i-j, i, j)
			key := gridKey(f, [3]int32{int32(n - i - j), int32(i), int32(j)})
			if k, ok := shared[key]; ok {
				return k
			}
			p := corner[f[0]].Mul(float64(n - i - j)).Add(corner[f[1]].Mul(float64(i))).Add(corner[f[2]].Mul(float64(j)))
			m.V = append(m.V, p.Unit().Mul(radius))
			shared[key] = int32(len(m.V) - 1)
			return int32(len(m.V) - 1)
		}
		for i := range n {
			for j := range n - i {
				m.F = append(m.F, [3]int32{index(i, j), index(i+1, j), index(i, j+1)})
				if i+j < n-1 {
					m.F = append(m.F, [3]int32{index(i+1, j), index(i+1, j+1), index(i, j+1)})
				}
			}
		}
	}
	return m
}

// gridKey names a point of a face by the corners it hangs on and their weights,
// so that points on a common edge get the same name from both faces.
func gridKey(f, w [3]int32) [6]int32 {
	key := [6]int32{-1, 0, -1, 0, -1, 0}
	order := sortedFace(f)
	n := 0
	for _, c := range order {
		for k := range 3 {
			if f[k] == c && w[k] > 0 {
				key[2*n], key[2*n+1] = c, w[k]
				n++
			}
		}
	}
	return key
}

// NewGrid returns a flat rectangle at height z, facing up, cut into nx × ny
// cells of two faces.
func NewGrid(lo, hi Vec3, nx, ny int) *Mesh {
	m := &Mesh{}
	for j := range ny + 1 {
		for i := range nx + 1 {
			m.V = append(m.V, Vec3{
				lo.X + (hi.X-lo.X)*float64(i)/float64(nx),
				lo.Y + (hi.Y-lo.Y)*float64(j)/float64(ny), lo.Z})
		}
	}
	w := int32(nx + 1)
	for j := range int32(ny) {
		for i := range int32(nx) {
			a := j*w + i
			m.F = append(m.F, [3]int32{a, a + 1, a + 1 + w}, [3]int32{a, a + 1 + w, a + w})
		}
	}
	return m
}

// Subdivide returns the mesh with each face cut in four at the middles of its
// edges; labels carry over. Vertices must be welded for the middles to be shared.
func Subdivide(m *Mesh) *Mesh {
	out := &Mesh{V: append([]Vec3(nil), m.V...), Labels: append([]string(nil), m.Labels...)}
	middle := make(map[[2]int32]int32, len(m.F)*3/2)
	mid := func(a, b int32) int32 {
		key := [2]int32{min(a, b), max(a, b)}
		if k, ok := middle[key]; ok {
			return k
		}
		out.V = append(out.V, m.V[key[0]].Lerp(m.V[key[1]], 0.5))
		middle[key] = int32(len(out.V) - 1)
		return middle[key]
	}
	for i, f := range m.F {
		ab, bc, ca := mid(f[0], f[1]), mid(f[1], f[2]), mid(f[2], f[0])
		out.F = append(out.F, [3]int32{f[0], ab, ca}, [3]int32{ab, f[1], bc}, [3]int32{ca, bc, f[2]}, [3]int32{ab, bc, ca})
		if m.Label != nil {
			l := m.Label[i]
			out.Label = append(out.Label, l, l, l, l)
		}
	}
	return out
}
