package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func randomUnit(r *rand.Rand) Vec3 {
	return Vec3{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}.Unit()
}

func TestBVHIsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	same := &Mesh{}
	for range 100 { // many faces with one and the same middle
		same.Append(NewBox(Vec3{1, 1, 1}, Vec3{2, 2, 2}))
	}
	for name, m := range map[string]*Mesh{"bumpy": bumpy(8), "soup": randomSoup(r, 500), "same": same, "grid": NewGrid(Vec3{}, Vec3{10, 10, 0}, 9, 9)} {
		b := NewBVH(m)
		for range 800 {
			o := Vec3{r.Float64()*14 - 2, r.Float64()*14 - 2, r.Float64()*14 - 2}
			d := randomUnit(r)
			if r.IntN(4) == 0 { // along an axis, through lattice points
				d = [3]Vec3{{X: 1}, {Y: -1}, {Z: -1}}[r.IntN(3)]
				o = Vec3{math.Floor(o.X), math.Floor(o.Y), math.Floor(o.Z)}
			}
			ray := Ray{O: o, D: d, Near: 1e-6, Far: float64(r.IntN(2)) * 5}
			checkRay(t, name, m, b, ray)
			checkNearest(t, name, m, b, o)
		}
	}
}

func checkRay(t *testing.T, name string, m *Mesh, b *BVH, ray Ray) {
	t.Helper()
	p := newProbe(ray)
	want := Hit{Face: -1, T: p.far}
	unsure := false
	space := math.Inf(1)
	for i := range m.F {
		p.closer(b, int32(i), &want)
		v0, v1, v2 := m.Tri(i)
		at, hit, margin := mollerTrumbore(ray.O, ray.D, v0, v1, v2)
		if margin < 1e-9 || math.IsNaN(margin) || math.Abs(at-ray.Near) < 1e-9 || math.Abs(at-p.far) < 1e-9 {
			unsure = true
		}
		if hit && at > ray.Near && at < p.far {
			space = min(space, at)
		}
	}
	got, ok := b.Closest(ray)
	if ok != (want.Face >= 0) || got != want {
		t.Fatalf("%s: %+v: %+v, every triangle gives %+v", name, ray, got, want)
	}
	if any := b.Any(ray); any != ok {
		t.Fatalf("%s: %+v: any %v, closest %v", name, ray, any, ok)
	}
	if !unsure && (ok != !math.IsInf(space, 1) || ok && math.Abs(space-got.T) > 1e-9) {
		t.Fatalf("%s: %+v: %+v, Möller-Trumbore gives %g", name, ray, got, space)
	}
}

func checkNearest(t *testing.T, name string, m *Mesh, b *BVH, p Vec3) {
	t.Helper()
	_, _, got := b.Nearest(p, 1e9, nil)
	want := math.Inf(1)
	for i := range m.F {
		v0, v1, v2 := m.Tri(i)
		want = min(want, closestOnTriangle(p, v0, v1, v2).Sub(p).Len())
	}
	if math.Abs(got-want) > 1e-12 {
		t.Fatalf("%s: nearest to %v at %g, want %g", name, p, got, want)
	}
}

// The closest point is no further than any of many points of the triangle.
func TestClosestOnTriangle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		m := randomSoup(r, 1)
		a, b, c := m.Tri(0)
		p := Vec3{r.Float64() * 12, r.Float64() * 12, r.Float64() * 12}
		got := closestOnTriangle(p, a, b, c).Sub(p).Len()
		for range 200 {
			u, v := r.Float64(), r.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			q := a.Add(b.Sub(a).Mul(u)).Add(c.Sub(a).Mul(v))
			if q.Sub(p).Len() < got-1e-9 {
				t.Fatalf("a point at %g beats the closest at %g", q.Sub(p).Len(), got)
			}
		}
	}
}

// The two ways to cast rays agree on every ray.
func TestBVHAgreesWithParallel(t *testing.T) {
	m := bumpy(16)
	n := m.VertexNormals()
	dirs := ringDirections(8)
	got := Parallel{Near: 1e-4, Threads: 2}.FromVertices(m, n, dirs)
	b := NewBVH(m)
	for d, dir := range dirs {
		for i, v := range m.V {
			if got.Cast(d, i) && got.Hit(d, i) != b.Any(Ray{O: v, D: dir, Near: 1e-4}) {
				t.Fatalf("vertex %d, direction %d: %v and not", i, d, got.Hit(d, i))
			}
		}
	}
}

func BenchmarkBVHBuild200k(b *testing.B) {
	m := bumpy(100)
	for b.Loop() {
		NewBVH(m)
	}
}

func BenchmarkBVHAny(b *testing.B) {
	m := bumpy(100)
	n := m.VertexNormals()
	tree := NewBVH(m)
	d := Vec3{1, 1, 1}.Unit()
	i := 0
	for b.Loop() {
		for n[i].Dot(d) <= 0 {
			i = (i + 1) % len(m.V)
		}
		tree.Any(Ray{O: m.V[i], D: d, Near: 1e-4})
		i = (i + 1) % len(m.V)
	}
}
