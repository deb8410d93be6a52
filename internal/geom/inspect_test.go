package geom

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func counts(faults []Fault) map[string]int {
	out := map[string]int{}
	for _, f := range faults {
		out[f.ID] = f.Count
	}
	return out
}

func TestFaultsAreFound(t *testing.T) {
	cube := func() *Mesh { return NewBox(Vec3{}, Vec3{1, 1, 1}) }
	turn := func(m *Mesh, i int) { m.F[i][1], m.F[i][2] = m.F[i][2], m.F[i][1] }
	for _, c := range []struct {
		name string
		make func() *Mesh
		want map[string]int
	}{
		{"sound", cube, map[string]int{}},
		{"a face missing", func() *Mesh {
			m := cube()
			m.F = m.F[1:]
			return m
		}, map[string]int{"mesh-open": 3}},
		{"a face turned", func() *Mesh {
			m := cube()
			turn(m, 4)
			return m
		}, map[string]int{"mesh-flipped": 3}},
		{"inside out", func() *Mesh {
			m := cube()
			for i := range m.F {
				turn(m, i)
			}
			return m
		}, map[string]int{"mesh-inside-out": 1}},
		{"a face twice", func() *Mesh {
			m := cube()
			m.F = append(m.F, [3]int32{m.F[0][2], m.F[0][0], m.F[0][1]})
			return m
		}, map[string]int{"mesh-duplicate-faces": 1, "mesh-non-manifold": 3}},
		{"a face without area", func() *Mesh {
			m := cube()
			m.F = append(m.F, [3]int32{3, 3, 1})
			return m
		}, map[string]int{"mesh-degenerate": 1}},
		{"two pieces", func() *Mesh {
			m := cube()
			m.Append(NewBox(Vec3{2, 2, 2}, Vec3{3, 3, 3}))
			return m
		}, map[string]int{"mesh-shells": 2}},
		{"nothing", func() *Mesh { return &Mesh{} }, map[string]int{"mesh-empty": 1}},
	} {
		got := Inspect(c.make())
		if d := cmp.Diff(c.want, counts(got)); d != "" {
			t.Errorf("%s:\n%s", c.name, d)
		}
		for _, f := range got {
			if f.Message == "" || f.Hint == "" || f.ID != "mesh-empty" && len(f.At) == 0 {
				t.Errorf("%s: %+v", c.name, f)
			}
		}
	}
}

// A reader leaves out what counts double, and says so.
func TestReaderDropsCopies(t *testing.T) {
	m := NewBox(Vec3{}, Vec3{10, 10, 10})
	m.F = append(m.F, m.F[3])
	f, err := Read("x.stl", WriteSTL(m), ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if counts(f.Faults)["mesh-duplicate-faces"] != 1 || len(f.Mesh.F) != 12 {
		t.Errorf("%d faces, faults %v", len(f.Mesh.F), counts(f.Faults))
	}
	near(t, "area", Measure(f.Mesh).Area, 600, 1e-9)
}

func TestUnitsAreGuessedAndSaid(t *testing.T) {
	for _, c := range []struct {
		height float64
		unit   string
		odd    bool
	}{{28, "mm", false}, {1.1, "in", false}, {0.028, "m", false}, {1700, "mm", true}, {0.0001, "mm", true}} {
		f, err := Read("x.stl", WriteSTL(NewBox(Vec3{}, Vec3{c.height / 3, c.height / 3, c.height})), ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if f.Units.Name != c.unit || f.Units.From != "guessed" || f.Units.Note == "" {
			t.Errorf("%g: %+v", c.height, f.Units)
		}
		if odd := counts(f.Faults)["mesh-units"] == 1; odd != c.odd {
			t.Errorf("%g: fault %v, want %v", c.height, odd, c.odd)
		}
	}
}
