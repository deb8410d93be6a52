package geom

import (
	"math"
	"slices"
)

const (
	alignSamples = 400
	alignSteps   = 40
	alignKeep    = 0.8 // of the samples, the best fitting; the rest may be kit that only one has
)

// Alignment is how one mesh lies on another.
type Alignment struct {
	Place Rigid
	RMS   float64 // mm between the samples kept and the surface
}

// Align finds the scale, turn and shift that bring src onto dst, both standing
// on Z: heights are matched first, then from each of eight turns about Z points
// of dst are paired with the nearest of src and the best similarity is solved,
// over and over; the best end wins. Both meshes need area.
//
// Ref: besl1992, horn1987.
func Align(src, dst *Mesh) Alignment {
	samples := surfaceSamples(dst, alignSamples)
	tree := NewBVH(src)
	sb, db := src.Bounds(), dst.Bounds()
	scale := 1.0
	if h := sb.Size().Z; h > 0 && db.Size().Z > 0 {
		scale = db.Size().Z / h
	}
	best := Alignment{Place: Identity(), RMS: math.Inf(1)}
	for turn := range 8 {
		start := Rigid{R: Identity().R, Scale: scale, T: sb.Center().Mul(-scale)}
		start = start.Then(RotateZ(float64(turn) * math.Pi / 4))
		start.T = start.T.Add(db.Center())
		if a := refine(tree, samples, start); a.RMS < best.RMS*(1-1e-9) {
			best = a
		}
	}
	return best
}

// surfaceSamples returns n points spread over the surface by area, at equal
// steps through the running sum of the face areas.
func surfaceSamples(m *Mesh, n int) []Vec3 {
	total := 0.0
	for i := range m.F {
		total += m.FaceArea(i)
	}
	var out []Vec3
	sum, next := 0.0, 0.5
	for i := range m.F {
		sum += m.FaceArea(i)
		for len(out) < n && sum*float64(n) >= next*total && total > 0 {
			out = append(out, m.FaceCenter(i))
			next++
		}
	}
	return out
}

func refine(tree *BVH, samples []Vec3, place Rigid) Alignment {
	type pair struct {
		from, to Vec3
		distance float64
	}
	out := Alignment{Place: place, RMS: math.Inf(1)}
	pairs := make([]pair, len(samples))
	for range alignSteps {
		inverse := out.Place.Inverse()
		for i, p := range samples {
			_, q, _ := tree.Nearest(inverse.Point(p), math.Inf(1), nil)
			pairs[i] = pair{q, p, out.Place.Point(q).Sub(p).Len()}
		}
		slices.SortStableFunc(pairs, func(a, b pair) int {
			switch {
			case a.distance < b.distance:
				return -1
			case a.distance > b.distance:
				return 1
			}
			return 0
		})
		kept := pairs[:int(math.Ceil(alignKeep*float64(len(pairs))))]
		sum := 0.0
		from, to := make([]Vec3, len(kept)), make([]Vec3, len(kept))
		for i, p := range kept {
			sum += float64(p.distance * p.distance)
			from[i], to[i] = p.from, p.to
		}
		rms := math.Sqrt(sum / float64(max(1, len(kept))))
		if !(rms < out.RMS*(1-1e-6)) {
			break
		}
		out.RMS = rms
		next := solveSimilarity(from, to)
		if !(next.Scale > place.Scale/2 && next.Scale < place.Scale*2) {
			break // collapsing onto a point is no alignment
		}
		out.Place = next
	}
	return out
}

// solveSimilarity returns the scale, turn and shift that bring the points from
// nearest to the points to, in the sense of least squares. The turn is the unit
// quaternion of the largest eigenvalue of Horn's matrix.
//
// Ref: horn1987.
func solveSimilarity(from, to []Vec3) Rigid {
	if len(from) == 0 {
		return Identity()
	}
	var ca, cb Vec3
	for i := range from {
		ca, cb = ca.Add(from[i]), cb.Add(to[i])
	}
	ca, cb = ca.Mul(1/float64(len(from))), cb.Mul(1/float64(len(from)))
	var s [3][3]float64
	spreadA, spreadB := 0.0, 0.0
	for i := range from {
		a, b := from[i].Sub(ca), to[i].Sub(cb)
		spreadA += a.Len2()
		spreadB += b.Len2()
		for r := range 3 {
			for c := range 3 {
				s[r][c] += float64(along(a, r) * along(b, c))
			}
		}
	}
	n := [4][4]float64{
		{s[0][0] + s[1][1] + s[2][2], s[1][2] - s[2][1], s[2][0] - s[0][2], s[0][1] - s[1][0]},
		{0, s[0][0] - s[1][1] - s[2][2], s[0][1] + s[1][0], s[2][0] + s[0][2]},
		{0, 0, -s[0][0] + s[1][1] - s[2][2], s[1][2] + s[2][1]},
		{0, 0, 0, -s[0][0] - s[1][1] + s[2][2]},
	}
	q := largestEigenvector(n)
	out := Rigid{R: quaternionRows(q[0], Vec3{q[1], q[2], q[3]}), Scale: 1}
	if spreadA > 0 {
		out.Scale = math.Sqrt(spreadB / spreadA)
	}
	out.T = cb.Sub(out.Dir(ca).Mul(out.Scale))
	return out
}

// largestEigenvector turns the symmetric matrix, given by its upper triangle,
// until it is diagonal (Jacobi), and returns the unit vector of the largest entry.
func largestEigenvector(a [4][4]float64) [4]float64 {
	v := [4][4]float64{{1}, {0, 1}, {0, 0, 1}, {0, 0, 0, 1}}
	for i := range 4 {
		for j := range i {
			a[i][j] = a[j][i]
		}
	}
	for range 50 {
		for p := range 3 {
			for q := p + 1; q < 4; q++ {
				if a[p][q] == 0 {
					continue
				}
				θ := 0.5 * math.Atan2(2*a[p][q], a[q][q]-a[p][p])
				sin, cos := math.Sincos(θ)
				for k := range 4 {
					x, y := a[k][p], a[k][q]
					a[k][p], a[k][q] = float64(cos*x)-float64(sin*y), float64(sin*x)+float64(cos*y)
				}
				for k := range 4 {
					x, y := a[p][k], a[q][k]
					a[p][k], a[q][k] = float64(cos*x)-float64(sin*y), float64(sin*x)+float64(cos*y)
					x, y = v[k][p], v[k][q]
					v[k][p], v[k][q] = float64(cos*x)-float64(sin*y), float64(sin*x)+float64(cos*y)
				}
			}
		}
	}
	best := 0
	for i := range 4 {
		if a[i][i] > a[best][best] {
			best = i
		}
	}
	return [4]float64{v[0][best], v[1][best], v[2][best], v[3][best]}
}
