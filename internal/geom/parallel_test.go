package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// bumpy is a sphere of radius 10 with smooth lumps, 20·n² faces.
func bumpy(n int) *Mesh {
	m := NewSphere(10, n)
	for i, v := range m.V {
		r := 1 + 0.15*math.Sin(v.X)*math.Sin(v.Y*1.3)*math.Sin(v.Z*0.7+1)
		m.V[i] = v.Mul(r)
	}
	return m
}

func ringDirections(n int) []Vec3 {
	var out []Vec3
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, Vec3{c, s, 0.5 + float64(i%5)*0.4}.Unit())
	}
	return out
}

func randomSoup(r *rand.Rand, n int) *Mesh {
	m := &Mesh{}
	for range n {
		c := Vec3{r.Float64() * 10, r.Float64() * 10, r.Float64() * 10}
		k := int32(len(m.V))
		for range 3 {
			m.V = append(m.V, c.Add(Vec3{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}))
		}
		m.F = append(m.F, [3]int32{k, k + 1, k + 2})
	}
	return m
}

// mollerTrumbore is the textbook test, in space and not in the plane.
// Ref: moller1997.
func mollerTrumbore(o, d, a, b, c Vec3) (t float64, hit bool, margin float64) {
	e1, e2 := b.Sub(a), c.Sub(a)
	p := d.Cross(e2)
	det := e1.Dot(p)
	if det == 0 {
		return 0, false, 0
	}
	s := o.Sub(a)
	u := s.Dot(p) / det
	q := s.Cross(e1)
	v := d.Dot(q) / det
	t = e2.Dot(q) / det
	return t, u >= 0 && v >= 0 && u+v <= 1, min(math.Abs(u), math.Abs(v), math.Abs(1-u-v))
}

func TestParallelIsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	meshes := map[string]*Mesh{"bumpy": bumpy(5), "soup": randomSoup(r, 150), "box": NewBox(Vec3{}, Vec3{1, 2, 3}), "grid": NewGrid(Vec3{}, Vec3{9, 9, 0}, 12, 12)}
	meshes["grid"].Append(NewGrid(Vec3{2, 2, 1}, Vec3{5, 7, 1}, 3, 2))
	dirs := append(ringDirections(12), Vec3{Z: 1}, Vec3{X: 1}, Vec3{X: 1, Z: 1}.Unit())
	for name, m := range meshes {
		normals := m.VertexNormals()
		for _, far := range []float64{0, 2.5} {
			p := Parallel{Near: 1e-4, Far: far, Threads: 2}
			got := p.FromVertices(m, normals, dirs)
			hits, rays := 0, int64(0)
			for d, dir := range dirs {
				ux, uy := dir.Basis()
				for i := range m.V {
					if want := normals[i].Dot(dir) > 0; got.Cast(d, i) != want {
						t.Fatalf("%s: ray of vertex %d cast %v, want %v", name, i, !want, want)
					} else if !want {
						continue
					}
					rays++
					flat, space, unsure := slowRay(m, i, dir, ux, uy, p)
					if got.Hit(d, i) != flat {
						t.Fatalf("%s: vertex %d direction %d: blocked %v, every triangle says %v", name, i, d, got.Hit(d, i), flat)
					}
					if !unsure && flat != space {
						t.Fatalf("%s: vertex %d direction %d: blocked %v, Möller-Trumbore says %v", name, i, d, flat, space)
					}
					if flat {
						hits++
					}
				}
			}
			if rays != got.Rays {
				t.Errorf("%s: %d rays, counted %d", name, got.Rays, rays)
			}
			t.Logf("%s far %g: %d rays, %d blocked", name, far, rays, hits)
		}
	}
}

// slowRay asks every triangle, with the test in the plane and with that in space.
// unsure is set when a verdict hangs on less than 1e-9.
func slowRay(m *Mesh, i int, dir, ux, uy Vec3, p Parallel) (flat, space, unsure bool) {
	far := p.Far
	if far == 0 {
		far = math.Inf(1)
	}
	proj := func(q Vec3) Vec3 { return Vec3{q.Dot(ux), q.Dot(uy), q.Dot(dir)} }
	o := m.V[i]
	po := proj(o)
	for k := range m.F {
		a, b, c := m.Tri(k)
		pa, pb, pc := proj(a), proj(b), proj(c)
		if covers(&pa, &pb, &pc, po.X, po.Y, po.Z, p.Near, far) {
			flat = true
		}
		t, hit, margin := mollerTrumbore(o, dir, a, b, c)
		incident := m.F[k][0] == int32(i) || m.F[k][1] == int32(i) || m.F[k][2] == int32(i)
		if margin < 1e-9 && !incident || math.Abs(t-p.Near) < 1e-9 || math.Abs(t-far) < 1e-9 || math.IsNaN(margin) {
			unsure = true
		}
		if hit && !incident && t > p.Near && t < far {
			space = true
		}
	}
	return flat, space, unsure
}

// Points exactly on the rim of a lone triangle, where a product can be -0: the
// quick test in the loop must say what covers says, whichever way it is wound.
func TestRimOfLoneTriangle(t *testing.T) {
	hits := 0
	for _, swap := range [][3]int32{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {2, 1, 0}, {1, 0, 2}} {
		for mirror := range 4 {
			sx, sy := float64(1-2*(mirror&1)), float64(1-mirror&2)
			m := &Mesh{F: [][3]int32{swap}}
			m.V = []Vec3{{0, 0, 1}, {4 * sx, 0, 1}, {0, 4 * sy, 1}, {0, 2 * sy, 0}, {sx, 0, 0},
				{2 * sx, 2 * sy, 0}, {0, 0, 0}, {4 * sx, 0, 0}, {sx, sy, 0}, {-sx, 0, 0}, {5 * sx, 0, 0}}
			normals := make([]Vec3, len(m.V))
			for i := 3; i < len(normals); i++ {
				normals[i] = Vec3{Z: 1}
			}
			got := Parallel{Near: 1e-3, Threads: 1}.FromVertices(m, normals, []Vec3{{Z: 1}})
			ux, uy := Vec3{Z: 1}.Basis()
			for i := 3; i < len(m.V); i++ {
				want, _, _ := slowRay(m, i, Vec3{Z: 1}, ux, uy, Parallel{Near: 1e-3})
				if got.Hit(0, i) != want {
					t.Errorf("order %v, mirror %d: %v blocked %v, want %v", swap, mirror, m.V[i], got.Hit(0, i), want)
				}
				if want {
					hits++
				}
			}
		}
	}
	if hits != 24*6 {
		t.Errorf("%d hits; six of the eight points lie under the triangle or its rim", hits)
	}
}

// solids are closed meshes of several pieces: inside each other, run through each
// other, turned inside out, nearly and exactly touching.
func solids() map[string]*Mesh {
	at := func(m *Mesh, x, y, z float64) *Mesh {
		m.Transform(Rigid{R: Identity().R, Scale: 1, T: Vec3{x, y, z}})
		return m
	}
	inward := func(m *Mesh) *Mesh {
		for i := range m.F {
			m.F[i][1], m.F[i][2] = m.F[i][2], m.F[i][1]
		}
		return m
	}
	join := func(parts ...*Mesh) *Mesh {
		m := &Mesh{}
		for _, p := range parts {
			m.Append(p)
		}
		return m
	}
	ball := func(r float64) *Mesh { return NewSphere(r, 3) }
	return map[string]*Mesh{
		"overlap":    join(ball(4), at(ball(4), 3, 1, 2), at(ball(2), 0, 0, 6)),
		"hollow":     join(ball(5), inward(ball(4)), ball(2)),
		"inside out": join(inward(ball(4)), at(ball(3), 0, 2, 7)),
		"inner":      join(ball(5), ball(3)),
		"near":       join(at(ball(4), 0, 0, 0), at(ball(4), 0, 0, 8.00005), at(ball(3), 0.00005, 0, 0)),
		"touching":   join(Subdivide(NewBox(Vec3{}, Vec3{4, 4, 4})), Subdivide(NewBox(Vec3{0, 0, 4}, Vec3{4, 4, 6})), Subdivide(NewBox(Vec3{4, 1, 1}, Vec3{6, 3, 9}))),
		"stairs":     join(NewBox(Vec3{}, Vec3{6, 6, 1}), NewBox(Vec3{1, 1, 1}, Vec3{5, 5, 2}), NewBox(Vec3{2, 2, 2.5}, Vec3{9, 4, 3})),
	}
}

// Shapes whose faces line up with the rays and with each other.
func TestParallelIsBruteForceOnSolids(t *testing.T) {
	dirs := append(ringDirections(7), Vec3{Z: 1}, Vec3{X: 1}, Vec3{Y: 1, Z: 1}.Unit())
	for name, m := range solids() {
		m, _ = Weld(m, 0)
		normals := m.VertexNormals()
		p := Parallel{Near: 1e-4, Threads: 2}
		got := p.FromVertices(m, normals, dirs)
		for d, dir := range dirs {
			ux, uy := dir.Basis()
			for i := range m.V {
				if !got.Cast(d, i) {
					continue
				}
				if want, _, _ := slowRay(m, i, dir, ux, uy, p); got.Hit(d, i) != want {
					t.Fatalf("%s: vertex %d direction %d: blocked %v, every triangle says %v", name, i, d, got.Hit(d, i), want)
				}
			}
		}
	}
}

func TestSolid(t *testing.T) {
	want := map[string]bool{"inside out": false, "hollow": false}
	for name, m := range solids() {
		m, _ = Weld(m, 0)
		if ok, named := want[name]; m.Solid() != (ok || !named) && name != "touching" && name != "stairs" {
			t.Errorf("%s: solid is %v", name, m.Solid())
		}
	}
	if NewGrid(Vec3{}, Vec3{1, 1, 0}, 3, 3).Solid() || (&Mesh{}).Solid() {
		t.Error("what has a rim, or nothing, is a solid")
	}
	hole := bumpy(4)
	hole.F = hole.F[1:]
	if hole.Solid() || !bumpy(4).Solid() {
		t.Error("a face more or less does not matter")
	}
}

// A stray face far away changes no verdict, and does not put all points into one
// cell either, which would make this test take minutes.
func TestStrayFaceFarAway(t *testing.T) {
	m := bumpy(60)
	alone := Parallel{Near: 1e-4, Threads: 2}.FromVertices(m, m.VertexNormals(), ringDirections(8))
	n := len(m.V)
	m.Append(&Mesh{V: []Vec3{{1e6, 1e6, 0}, {1e6 + 1, 1e6, 0}, {1e6, 1e6 + 1, 5}}, F: [][3]int32{{0, 1, 2}}})
	got := Parallel{Near: 1e-4, Threads: 2}.FromVertices(m, m.VertexNormals(), ringDirections(8))
	for d := range 8 {
		for i := range n {
			if got.Hit(d, i) != alone.Hit(d, i) {
				t.Fatalf("vertex %d direction %d differs", i, d)
			}
		}
	}
}

func TestParallelDoesNotDependOnThreads(t *testing.T) {
	m := bumpy(20)
	n := m.VertexNormals()
	dirs := ringDirections(16)
	one := Parallel{Near: 1e-4, Threads: 1}.FromVertices(m, n, dirs)
	for _, threads := range []int{2, 5} {
		more := Parallel{Near: 1e-4, Threads: threads}.FromVertices(m, n, dirs)
		for d := range dirs {
			for i := range m.V {
				if one.Hit(d, i) != more.Hit(d, i) {
					t.Fatalf("%d threads differ at vertex %d, direction %d", threads, i, d)
				}
			}
		}
	}
}

func BenchmarkParallel64(b *testing.B) {
	m := bumpy(100)
	n := m.VertexNormals()
	dirs := ringDirections(64)
	for _, threads := range []int{1, 2} {
		b.Run(map[int]string{1: "one thread", 2: "two threads"}[threads], func(b *testing.B) {
			var rays int64
			for b.Loop() {
				rays = Parallel{Near: 1e-4, Threads: threads}.FromVertices(m, n, dirs).Rays
			}
			b.ReportMetric(float64(rays)*float64(b.N)/b.Elapsed().Seconds(), "rays/s")
		})
	}
}
