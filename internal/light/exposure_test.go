package light

import (
	"math"
	"testing"

	"facings/internal/geom"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

func sources(t testing.TB, s Spray) []Source {
	t.Helper()
	out, err := s.Sources()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func ring(elevation float64, n int) Spray {
	return Spray{ElevationDeg: elevation, Directions: n}
}

// ringOnFacet is the mean cosine of a full ring at elevation e (radians) over a
// facet tilted by θ from the level, in closed form: the ring is cut where it
// sinks below the facet's plane, at cos φ = -tan e / tan θ.
func ringOnFacet(e, θ float64) float64 {
	a, b := math.Sin(e)*math.Cos(θ), math.Cos(e)*math.Sin(θ)
	if a >= b {
		return a
	}
	if a <= -b {
		return 0
	}
	φ := math.Acos(-a / b)
	return (a*φ + b*math.Sin(φ)) / math.Pi
}

func TestWeightsAddUp(t *testing.T) {
	for _, s := range []Spray{DefaultSpray(), ring(45, 64), {90, 0, 1, 5}, {30, 10, 0.01, 64}, {30, 45, 0.5, 1}} {
		sum, mean := 0.0, geom.Vec3{}
		for _, src := range sources(t, s) {
			sum += src.Weight
			mean = mean.Add(src.To.Mul(src.Weight))
			if math.Abs(src.To.Len()-1) > 1e-12 || src.To.Z < -1e-12 {
				t.Errorf("%+v: direction %v", s, src.To)
			}
		}
		near(t, "sum of weights", sum, 1, 1e-12)
		if s.Directions >= 32 {
			near(t, "mean x", mean.X, 0, 0.01)
			near(t, "mean y", mean.Y, 0, 0.01)
		}
	}
	for _, bad := range []Spray{{-1, 0, 0, 4}, {45, 90, 0, 4}, {45, 0, 2, 4}, {45, 0, 0, 0}, {math.NaN(), 0, 0, 4}, {45, 0, 0, 1 << 20}} {
		if _, err := bad.Sources(); err == nil {
			t.Errorf("%+v is accepted", bad)
		}
	}
}

// A level plane gets sin(elevation), whatever the number of directions.
func TestPlane(t *testing.T) {
	m := geom.NewGrid(geom.Vec3{}, geom.Vec3{X: 10, Y: 10}, 5, 5)
	for _, e := range []float64{10, 30, 45, 60, 90} {
		got := Expose(m, sources(t, ring(e, 16)), Options{})
		for i, v := range got.Vertex {
			near(t, "plane", v, math.Sin(e*math.Pi/180), 1e-12)
			near(t, "plane over up", v/got.Up, 1, 1e-12)
			_ = i
		}
	}
}

// On a sphere nothing blocks anything, so each vertex gets the closed form for
// its tilt.
func TestSphere(t *testing.T) {
	m := geom.NewSphere(10, 16)
	for _, e := range []float64{30, 45, 70} {
		got := Expose(m, sources(t, ring(e, 128)), Options{})
		for i, v := range m.V {
			θ := math.Acos(max(-1, min(1, v.Z/10)))
			// The mesh lies a little inside the sphere: rays that graze it can
			// be lost, which costs at most their small cosine.
			near(t, "sphere", got.Vertex[i], ringOnFacet(e*math.Pi/180, θ), 0.02)
		}
	}
}

// The floor under a round slab: the ring's shots reach a point unless they pass
// through the slab. Straight under the middle of a slab of radius r at height h,
// everything steeper than atan(h/r) is blocked and all else arrives.
func TestFloorUnderSlab(t *testing.T) {
	floor := geom.NewGrid(geom.Vec3{X: -20, Y: -20}, geom.Vec3{X: 20, Y: 20}, 20, 20)
	slab := geom.NewBox(geom.Vec3{X: -4, Y: -4, Z: 4}, geom.Vec3{X: 4, Y: 4, Z: 5})
	m := floor
	middle := -1
	for i, v := range m.V {
		if v == (geom.Vec3{}) {
			middle = i
		}
	}
	m.Append(slab)
	// Seen from the middle the square reaches from atan(4/5.66) = 35.3° to 45°.
	for _, c := range []struct{ elevation, want float64 }{{20, 1}, {34, 1}, {46, 0}, {80, 0}} {
		got := Expose(m, sources(t, ring(c.elevation, 64)), Options{})
		near(t, "under the slab", got.Vertex[middle]/got.Up, c.want, 1e-12)
	}
	// At 40° the slab covers the azimuths where its edge is nearer than
	// 4/tan 40° = 4.767: |φ| < acos(4/4.767) about each side stay open.
	open := 4 * 2 * math.Acos(4/(4/math.Tan(40*math.Pi/180))) / (2 * math.Pi)
	got := Expose(m, sources(t, ring(40, 1024)), Options{})
	near(t, "under the slab at 40°", got.Vertex[middle]/got.Up, open, 0.005)
}

// pit is a round hole of the given radius and depth in a level plane, and the
// number of the vertex in the middle of its floor.
func pit(radius, depth float64, n int) (*geom.Mesh, int) {
	m := &geom.Mesh{V: []geom.Vec3{{Z: -depth}}}
	for _, c := range [][2]float64{{radius, -depth}, {radius, 0}, {3 * radius, 0}} {
		for i := range n {
			s, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			m.V = append(m.V, geom.Vec3{X: c[0] * cos, Y: c[0] * s, Z: c[1]})
		}
	}
	at := func(ring, i int) int32 { return int32(1 + ring*n + i%n) }
	for i := range n {
		m.F = append(m.F, [3]int32{0, at(0, i), at(0, i+1)})
		for r := range 2 {
			m.F = append(m.F, [3]int32{at(r, i), at(r+1, i), at(r+1, i+1)}, [3]int32{at(r, i), at(r+1, i+1), at(r, i+1)})
		}
	}
	return m, 0
}

// In the middle of a pit's floor only what is steeper than atan(depth/radius)
// arrives; from an even sky the share is sin² of the opening's half angle, so
// the recess is cos² of it.
func TestPit(t *testing.T) {
	m, middle := pit(3, 4, 96)
	steep := math.Atan2(4, 3) * 180 / math.Pi // 53.13°
	for _, c := range []struct{ elevation, want float64 }{{steep - 1, 0}, {steep + 1, 1}} {
		got := Expose(m, sources(t, ring(c.elevation, 32)), Options{})
		near(t, "pit", got.Vertex[middle]/got.Up, c.want, 1e-12)
	}
	got := Recess(m, 100, 2048, Options{})
	near(t, "recess of the pit", got[middle], 1-9.0/25, 0.01)
	// Walls further than the radius do not count.
	near(t, "recess within 2 mm", Recess(m, 2, 512, Options{})[middle], 0, 1e-12)
}

// More light never lowers exposure, and an obstacle never raises it.
func TestExposureIsMonotone(t *testing.T) {
	m, _ := pit(3, 2, 24)
	src := sources(t, DefaultSpray())
	before := Expose(m, src, Options{})
	with := m.Clone()
	with.Append(geom.NewBox(geom.Vec3{X: -1, Y: -5, Z: 2}, geom.Vec3{X: 1, Y: 5, Z: 3}))
	after := Expose(with, src, Options{})
	for i := range m.V {
		if after.Vertex[i] > before.Vertex[i] {
			t.Fatalf("vertex %d gets more behind an obstacle: %g > %g", i, after.Vertex[i], before.Vertex[i])
		}
	}
	half := src[:len(src)/2]
	less := Expose(m, half, Options{})
	for i := range m.V {
		if less.Vertex[i] > before.Vertex[i]+1e-15 {
			t.Fatalf("vertex %d gets more from fewer sources", i)
		}
	}
}

func TestExposureDoesNotDependOnThreads(t *testing.T) {
	m, _ := pit(3, 4, 96)
	src := sources(t, DefaultSpray())
	one := Expose(m, src, Options{Threads: 1})
	for _, threads := range []int{2, 3, 7} {
		got := Expose(m, src, Options{Threads: threads})
		for i := range one.Vertex {
			if math.Float64bits(got.Vertex[i]) != math.Float64bits(one.Vertex[i]) {
				t.Fatalf("%d threads: vertex %d differs", threads, i)
			}
		}
	}
}

// body is the "body" group of the MakeHuman base mesh (CC0; SOURCE.txt beside
// it) at 28 mm size.
func body(t testing.TB) *geom.Mesh {
	t.Helper()
	f, err := geom.ReadFile("../geom/testdata/makehuman/makehuman_base.obj", geom.ReadOptions{Unit: "dm"})
	if err != nil {
		t.Fatal(err)
	}
	m := f.Mesh.Part("body")
	m.Scale(1.0 / 56)
	return m
}

// A standing man: the shoulders and crown are lit, the underside of the chin and
// the soles are dark, and the verdict on each ray is that of casting it alone
// through the hierarchy.
func TestStandingBody(t *testing.T) {
	m := body(t)
	src := sources(t, Spray{ElevationDeg: 45, SpreadDeg: 10, OverheadShare: 0.25, Directions: 24})
	got := Expose(m, src, Options{})
	normals := m.VertexNormals()
	tree := geom.NewBVH(m)
	up, down, nUp, nDown := 0.0, 0.0, 0, 0
	for i, n := range normals {
		for s := range src {
			if i%7 == 0 && got.Blocked.Cast(s, i) && got.Blocked.Hit(s, i) != tree.Any(geom.Ray{O: m.V[i], D: src[s].To, Near: got.Near}) {
				t.Fatalf("vertex %d, direction %d: two verdicts", i, s)
			}
		}
		if v := got.Vertex[i]; v < 0 || v > 1 {
			t.Fatalf("exposure %g", v)
		}
		switch {
		case n.Z > 0.9:
			up += got.Vertex[i] / got.Up
			nUp++
		case n.Z < -0.9:
			down += got.Vertex[i] / got.Up
			nDown++
		}
	}
	// Common practice: light from above leaves undersides dark.
	if up/float64(nUp) < 0.5 || down/float64(nDown) > 0.02 {
		t.Errorf("tops get %.3f, undersides %.3f of an open top", up/float64(nUp), down/float64(nDown))
	}
}
