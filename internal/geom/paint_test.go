package geom

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestGrowStopsAtCreases(t *testing.T) {
	m := Subdivide(Subdivide(NewBox(Vec3{}, Vec3{1, 2, 3})))
	s := NewSurface(m)
	for start := range m.F {
		want := m.FaceNormal(start)
		got := s.Grow(start, 0.5)
		if len(got) != len(m.F)/6 {
			t.Fatalf("from face %d: %d faces, a side has %d", start, len(got), len(m.F)/6)
		}
		for _, f := range got {
			if m.FaceNormal(int(f)).Dot(want) < 0.99 {
				t.Fatalf("from face %d the growth went around an edge", start)
			}
		}
	}
	if n := len(s.Grow(0, 2)); n != len(m.F) {
		t.Errorf("with 2 radians %d of %d faces", n, len(m.F))
	}
}

// The area of a disc on a plane; and no jump between two sheets close by.
func TestBrushIsADisc(t *testing.T) {
	m := NewGrid(Vec3{-10, -10, 0}, Vec3{10, 10, 0}, 80, 80)
	under := len(m.F)
	m.Append(NewGrid(Vec3{-10, -10, -0.1}, Vec3{10, 10, -0.1}, 80, 80))
	start := -1
	for i := range under {
		if c := m.FaceCenter(i); c.Sub(Vec3{0.1, 0.1, 0}).Len() < 0.2 {
			start = i
		}
	}
	area := 0.0
	for _, f := range NewSurface(m).Brush(start, m.FaceCenter(start), 6) {
		if int(f) >= under {
			t.Fatal("the brush jumped to the sheet below")
		}
		area += m.FaceArea(int(f))
	}
	if want := math.Pi * 36; area > want*1.01 || area < want*0.88 {
		t.Errorf("brushed %.1f mm², the disc has %.1f", area, want)
	}
}

func bands(m *Mesh) {
	b := m.Bounds()
	ids := []uint16{m.LabelID("boots"), m.LabelID("coat"), m.LabelID("hat")}
	for i := range m.F {
		h := (m.FaceCenter(i).Z - b.Min.Z) / b.Size().Z
		m.SetLabel(i, ids[min(2, int(h*3))])
	}
}

func agreement(m, want *Mesh) float64 {
	same, all := 0.0, 0.0
	for i := range m.F {
		a := m.FaceArea(i)
		all += a
		if m.Labels[m.FaceLabel(i)] == want.Labels[want.FaceLabel(i)] {
			same += a
		}
	}
	return same / all
}

func TestLabelsSurviveReexport(t *testing.T) {
	m := testBody(t)
	m.Scale(1.0 / 56)
	bands(m)
	data, err := WriteLabels(m)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 8))
	shuffled := m.Clone()
	shuffled.Label = nil
	order := r.Perm(len(m.F))
	for i, k := range order {
		f := m.F[k]
		shuffled.F[i] = [3]int32{f[1], f[2], f[0]}
	}
	got, err := ReadLabels(shuffled, data)
	if err != nil || !got.Exact {
		t.Fatalf("%+v, %v", got, err)
	}
	for i, k := range order {
		if shuffled.Label[i] != m.Label[k] {
			t.Fatalf("face %d got %d, was %d", k, shuffled.Label[i], m.Label[k])
		}
	}
	// Cut anew, moved, and in another size.
	again := Subdivide(m)
	again.Scale(1.7)
	again.Transform(Rigid{R: Identity().R, Scale: 1, T: Vec3{5, -3, 2}})
	want := again.Clone()
	again.Label, again.Labels = nil, nil
	got, err = ReadLabels(again, data)
	if err != nil || got.Exact {
		t.Fatalf("%+v, %v", got, err)
	}
	if share := agreement(again, want); share < 0.97 || got.Missed > len(again.F)/50 {
		t.Errorf("%.3f of the area agrees, %d of %d faces missed", share, got.Missed, len(again.F))
	}
}

func TestLabelFileFaults(t *testing.T) {
	m := NewBox(Vec3{}, Vec3{1, 1, 1})
	bands(m)
	good, _ := WriteLabels(m)
	for _, bad := range []string{"", "{}", `{"version":2}`, strings.Replace(string(good), `"faces":12`, `"faces":13`, 1),
		strings.Replace(string(good), `"labels":["",`, `"labels":[`, 1), string(good[:len(good)/2])} {
		if _, err := ReadLabels(m.Clone(), []byte(bad)); err == nil {
			t.Errorf("accepted: %.60s", bad)
		}
	}
}

// A similarity put on the points is found again.
func TestSolveSimilarity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(name string) float64 { return rapid.Float64Range(-3, 3).Draw(t, name) }
		axis := Vec3{x("ax"), x("ay"), x("az")}
		if axis.Len() < 0.1 {
			axis = Vec3{Z: 1}
		}
		half := x("angle") / 2
		want := Rigid{R: quaternionRows(math.Cos(half), axis.Unit().Mul(math.Sin(half))), T: Vec3{x("tx"), x("ty"), x("tz")}, Scale: 0.2 + math.Abs(x("s"))}
		from := []Vec3{{0, 0, 0}, {1, 0, 0}, {0, 2, 0}, {0, 0, 3}, {1, 1, 1}}
		var to []Vec3
		for _, p := range from {
			to = append(to, want.Point(p))
		}
		got := solveSimilarity(from, to)
		for i, p := range from {
			if d := got.Point(p).Sub(to[i]).Len(); d > 1e-9 {
				t.Fatalf("point %d is off by %g", i, d)
			}
		}
		for i, p := range from {
			if d := got.Inverse().Point(to[i]).Sub(p).Len(); d > 1e-9 {
				t.Fatalf("the inverse is off by %g", d)
			}
		}
	})
}

func TestAlignAndCopy(t *testing.T) {
	src := testBody(t)
	bands(src)
	dst := src.Clone()
	dst.Label, dst.Labels = nil, nil
	move := RotateZ(2.5).Then(Rigid{R: Identity().R, Scale: 1.0 / 56, T: Vec3{20, 3, 1}})
	dst.Transform(move)
	got := Align(src, dst)
	if got.RMS > 0.05 {
		t.Fatalf("RMS %.3f mm", got.RMS)
	}
	missed := CopyLabels(dst, src, got.Place, CopySettings{Reach: 1, MaxAngle: 1})
	if share := agreement(dst, src); share < 0.98 {
		t.Errorf("%.3f of the area agrees, %d faces missed", share, missed)
	}
}

func TestDihedralSigns(t *testing.T) {
	m := NewBox(Vec3{}, Vec3{1, 1, 1})
	raised := 0
	for _, e := range m.Edges() {
		if d := m.Dihedral(e); d != 0 {
			near(t, "dihedral of a cube", d, math.Pi/2, 1e-12)
			raised++
		}
	}
	if raised != 12 || len(m.Creases(1)) != 12 {
		t.Errorf("%d raised edges, %d creases, a cube has 12", raised, len(m.Creases(1)))
	}
	for i, f := range m.F {
		m.F[i] = [3]int32{f[0], f[2], f[1]}
	}
	for _, e := range m.Creases(1) {
		near(t, "dihedral of a room", m.Dihedral(e), -math.Pi/2, 1e-12)
	}
}
