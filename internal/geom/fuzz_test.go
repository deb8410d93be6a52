package geom

import (
	"testing"
)

// FuzzRead feeds arbitrary bytes to the readers under each ending: whatever comes
// out must hold together, and nothing may panic.
func FuzzRead(f *testing.F) {
	glb, err := WriteGLB(labelled(), nil)
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range [][]byte{
		[]byte(textSTL), []byte(objL), glb, WriteSTL(NewBox(Vec3{}, Vec3{1, 2, 3})), zip3MF(f, model3MF()),
		[]byte("v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\nf -1/2/3 -2// -3\n"), []byte("solid"), []byte("glTF\x02\x00\x00\x00"),
	} {
		for kind := range byte(4) {
			f.Add(kind, seed)
		}
	}
	f.Fuzz(func(t *testing.T, kind byte, data []byte) {
		name := [...]string{"x.stl", "x.obj", "x.3mf", "x.glb"}[kind%4]
		got, err := Read(name, data, ReadOptions{})
		if err != nil {
			return
		}
		if err := got.Mesh.Validate(); err != nil {
			t.Fatal(err)
		}
		if len(got.Mesh.F) == 0 {
			t.Fatal("a mesh without faces came through")
		}
		Measure(got.Mesh)
	})
}

// FuzzReadLabels does the same for label files.
func FuzzReadLabels(f *testing.F) {
	m := NewBox(Vec3{}, Vec3{1, 2, 3})
	bands(m)
	seed, err := WriteLabels(m)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(seed)
	f.Add([]byte(`{"version":1,"labels":[""],"runs":[],"samples":[[1,2,3,0,0,100,0]]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		again := Subdivide(NewBox(Vec3{}, Vec3{1, 2, 3}))
		if _, err := ReadLabels(again, data); err == nil {
			if err := again.Validate(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
