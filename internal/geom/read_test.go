package geom

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// testBody returns the "body" group of the MakeHuman base mesh (CC0, see
// testdata/makehuman/SOURCE.txt), in millimetres.
func testBody(t testing.TB) *Mesh {
	t.Helper()
	f, err := ReadFile("testdata/makehuman/makehuman_base.obj", ReadOptions{Unit: "dm"})
	if err != nil {
		t.Fatal(err)
	}
	body := f.Mesh.Part("body")
	if len(body.F) == 0 {
		t.Fatalf("no body group in labels %q", f.Mesh.Labels)
	}
	return body
}

// Source: Du Bois & Du Bois (1916) Arch. Intern. Med. 17:863, and the mesh's
// SOURCE.txt: 13378 quads, 1.614 m², 54.895 L, 1.666 m tall.
func TestHumanBodyAgainstDuBois(t *testing.T) {
	m := testBody(t)
	got := Measure(m)
	if len(m.F) != 2*13378 {
		t.Errorf("%d faces, want %d", len(m.F), 2*13378)
	}
	near(t, "area m²", got.Area/1e6, 1.614, 0.002)
	near(t, "volume L", got.Volume/1e6, 54.895, 0.05)
	near(t, "height m", got.Box.Size().Z/1e3, 1.666, 0.001)
	if !got.Watertight {
		t.Error("the body is said to have holes")
	}
	if v := Inspect(m); len(v) != 0 && !v[0].Note {
		t.Errorf("faults in a sound mesh: %+v", v)
	}
	for _, mass := range []float64{54.9, 55.4} { // kg at about 1 kg/L
		duBois := 0.007184 * math.Pow(mass, 0.425) * math.Pow(166.6, 0.725)
		near(t, "area against Du Bois", got.Area/1e6, duBois, 0.01*duBois)
	}
	m.Scale(1.0 / 56)
	near(t, "area at 1/56, mm²", Measure(m).Area, 514.6, 0.7)
	// Standing: the head is above the feet, the toes in front of the heels.
	if b := m.Bounds(); b.Max.Z < 12 || b.Max.Y < 1 {
		t.Errorf("the body does not stand along Z: %+v", b)
	}
}

// Source: trimesh's tests/data/mass_properties.json, made by a CAD program:
// area, centre of mass, mass and density of angle_block.STL (tolerance 0.01 there).
func TestAngleBlockAgainstCAD(t *testing.T) {
	f, err := ReadFile("testdata/trimesh/trimesh_angle_block.STL", ReadOptions{Unit: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	got := Measure(f.Mesh)
	near(t, "area", got.Area, 9.388587, 0.01)
	near(t, "volume", got.Volume, 0.041358/0.036127, 0.001)
	near(t, "centre x", got.Centroid.X, 0, 0.001)
	near(t, "centre y", got.Centroid.Y, 0.436105, 0.001)
	near(t, "centre z", got.Centroid.Z, -0.599006, 0.001)
	if !got.Watertight || got.Shells != 1 {
		t.Errorf("watertight %v, %d shells", got.Watertight, got.Shells)
	}
}

func TestUnitShapes(t *testing.T) {
	for _, c := range []struct {
		file         string
		area, volume float64
		tolerance    float64
	}{
		{"trimesh_unit_cube.STL", 6, 1, 1e-6},
		// A polyhedron of 1280 faces inside the sphere of radius 1.
		{"trimesh_unit_sphere.STL", 4 * math.Pi, 4 * math.Pi / 3, 0.07},
	} {
		f, err := ReadFile("testdata/trimesh/"+c.file, ReadOptions{Unit: "mm"})
		if err != nil {
			t.Fatal(err)
		}
		got := Measure(f.Mesh)
		near(t, c.file+" area", got.Area, c.area, c.tolerance)
		near(t, c.file+" volume", got.Volume, c.volume, c.tolerance)
		if !got.Watertight {
			t.Errorf("%s is not watertight", c.file)
		}
	}
}

// labelled is a box whose top is one label and whose rest is another.
func labelled() *Mesh {
	m := NewBox(Vec3{-5, -3, 0}, Vec3{5, 3, 20})
	top, rest := m.LabelID("hat"), m.LabelID("coat")
	for i := range m.F {
		m.SetLabel(i, rest)
		if m.FaceNormal(i).Z > 0.5 {
			m.SetLabel(i, top)
		}
	}
	return m
}

func areasByName(m *Mesh) map[string]float64 {
	out := map[string]float64{}
	for i, a := range m.LabelAreas() {
		if a > 0 {
			out[m.Labels[i]] = a
		}
	}
	return out
}

func checkLabelled(t *testing.T, m *Mesh) {
	t.Helper()
	got := areasByName(m)
	near(t, "hat", got["hat"], 60, 1e-3)
	near(t, "coat", got["coat"], 60+20*32, 1e-3)
	b := m.Borders()
	if len(b) != 1 {
		t.Fatalf("borders: %+v", b)
	}
	near(t, "border", b[0].Length, 32, 1e-4)
	v := Measure(m)
	near(t, "volume", v.Volume, 1200, 1e-2)
	near(t, "top", v.Box.Max.Z, 20, 1e-5)
}

func TestGLBRoundTrip(t *testing.T) {
	data, err := WriteGLB(labelled(), map[string]Material{"hat": {Color: [3]float64{1, 0, 0}}})
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read("x.glb", data, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	checkLabelled(t, f.Mesh)
	if f.Units.Name != "m" || f.Units.From != "file" {
		t.Errorf("units %+v", f.Units)
	}
}

func TestSTLRoundTrip(t *testing.T) {
	body := testBody(t)
	body.Scale(1.0 / 56)
	f, err := Read("x.stl", WriteSTL(body), ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := Measure(body), Measure(f.Mesh)
	near(t, "area", b.Area, a.Area, 1e-3*a.Area)
	if len(f.Mesh.V) != len(body.V) || !b.Watertight {
		t.Errorf("%d vertices, want %d; watertight %v", len(f.Mesh.V), len(body.V), b.Watertight)
	}
	if f.Units.Name != "mm" || f.Units.From != "guessed" {
		t.Errorf("units %+v", f.Units)
	}
}

const textSTL = `solid pyramid
facet normal 0 0 -1
 outer loop
  vertex 0 0 0
  vertex 0 10 0
  vertex 10 0 0
 endloop
endfacet
facet normal 0 -1 0
 outer loop
  vertex 0 0 0
  vertex 10 0 0
  vertex 0 0 10
 endloop
endfacet
facet normal -1 0 0
 outer loop
  vertex 0 0 0
  vertex 0 0 10
  vertex 0 10 0
 endloop
endfacet
facet normal 1 1 1
 outer loop
  vertex 10 0 0
  vertex 0 10 0
  vertex 0 0 10
 endloop
endfacet
endsolid pyramid
`

func TestTextSTL(t *testing.T) {
	f, err := Read("x.stl", []byte(textSTL), ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	got := Measure(f.Mesh)
	near(t, "volume", got.Volume, 1000.0/6, 1e-9)
	near(t, "area", got.Area, 150+math.Sqrt(3)/4*200, 1e-9)
	if !got.Watertight {
		t.Error("not watertight")
	}
}

// An L of one six-cornered polygon, whose fan from the first corner would leave it.
const objL = `# an L-shaped prism in inches
mtllib x.mtl
v 0 0 0
v 2 0 0
v 2 0 -1
v 1 0 -1
v 1 0 -2
v 0 0 -2
usemtl plate
f 2 3 4 5 6 1
g other
v 0 1 0
v 2 1 0
v 2 1 -1
usemtl cap
f -3//1 -2//1 -1//1
`

func TestOBJPolygonsAndLabels(t *testing.T) {
	f, err := Read("x.obj", []byte(objL), ReadOptions{Unit: "in"})
	if err != nil {
		t.Fatal(err)
	}
	got := areasByName(f.Mesh)
	near(t, "plate", got["plate"], 3*25.4*25.4, 1e-6)
	near(t, "cap", got["cap"], 25.4*25.4, 1e-6)
}

func zip3MF(t testing.TB, model string) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	w, err := z.Create("3D/3dmodel.model")
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte(model))
	z.Close()
	return buf.Bytes()
}

func model3MF() string {
	m := labelled()
	var b strings.Builder
	b.WriteString(`<?xml version="1.0"?><model unit="centimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources>` +
		`<basematerials id="5"><base name="hat" displaycolor="#FF0000"/><base name="coat" displaycolor="#0000FF"/></basematerials>` +
		`<object id="1" type="model" pid="5" pindex="1"><mesh><vertices>`)
	for _, v := range m.V {
		fmt.Fprintf(&b, `<vertex x="%g" y="%g" z="%g"/>`, v.X, v.Y, v.Z)
	}
	b.WriteString("</vertices><triangles>")
	for i, f := range m.F {
		fmt.Fprintf(&b, `<triangle v1="%d" v2="%d" v3="%d"`, f[0], f[1], f[2])
		if m.Labels[m.Label[i]] == "hat" {
			b.WriteString(` pid="5" p1="0"`)
		}
		b.WriteString("/>")
	}
	b.WriteString(`</triangles></mesh></object><object id="2"><components><component objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 0 0"/></components></object>` +
		`</resources><build><item objectid="2" transform="0 0.1 0 -0.1 0 0 0 0 0.1 0 0 0"/></build></model>`)
	return b.String()
}

func Test3MF(t *testing.T) {
	f, err := Read("x.3mf", zip3MF(t, model3MF()), ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	checkLabelled(t, f.Mesh)
	// The component is turned by a quarter and pushed 10 along X, the item turned
	// by another quarter, which brings the push to +Y (3MF core, section 3.3: row
	// vectors, from the inside out).
	b := f.Mesh.Bounds()
	near(t, "x", b.Size().X, 10, 1e-9)
	near(t, "y", b.Size().Y, 6, 1e-9)
	near(t, "middle in x", b.Center().X, 0, 1e-9)
	near(t, "middle in y", b.Center().Y, 10, 1e-9)
}

func TestBrokenFilesAreExplained(t *testing.T) {
	stl := WriteSTL(labelled())
	glb, _ := WriteGLB(labelled(), nil)
	nan := bytes.Clone(stl)
	copy(nan[stlHeader+12:], []byte{0, 0, 0xc0, 0x7f})
	stride := bytes.Replace(glb, []byte(`"byteLength":96,"byteOffset":0`), []byte(`"byteStride":-9,"byteOffset":0`), 1)
	loop := `<model><resources><object id="1"><components><component objectid="1"/></components></object></resources><build><item objectid="1"/></build></model>`
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty.stl", nil, "empty"},
		{"short.stl", stl[:60], "at least"},
		{"cut.stl", stl[:len(stl)-1], "promises 12 triangles"},
		{"nan.stl", nan, "no number"},
		{"none.stl", stl[:80+4], "promises"},
		{"cut.glb", glb[:len(glb)-8], "promises"},
		{"stride.glb", stride, "reaches outside"},
		{"words.obj", []byte("v 1 2\n"), ":1: cannot read the vertex"},
		{"far.obj", []byte("v 1 2 3\nf 1 2 3\n"), ":2: a face names vertex 2"},
		{"huge.obj", []byte("v 1e300 2 3\nv 1 1 1\nv 2 2 0\nf 1 2 3\n"), "lies at"},
		{"facet.stl", []byte("solid x\nfacet\nvertex 1 2 3\nendfacet\n"), ":4: a facet with 1 corners"},
		{"loop.3mf", zip3MF(t, loop), "nested"},
		{"bad.3mf", zip3MF(t, "<model><resources"), "damaged"},
		{"deep.3mf", zip3MF(t, "<model "+strings.Repeat(" ", maxLineBytes*3)), "damaged"},
		{"photo.png", []byte("\x89PNG\r\n"), "no mesh file"},
		{"pair.gltf", []byte("{}"), "several files"},
	} {
		_, err := Read(c.name, c.data, ReadOptions{})
		var re *ReadError
		if !errors.As(err, &re) {
			t.Errorf("%s: error %v is no *ReadError", c.name, err)
			continue
		}
		if !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), c.name) {
			t.Errorf("%s: %q does not say %q", c.name, err, c.want)
		}
		if re.Hint == "" {
			t.Errorf("%s: no way out named", c.name)
		}
	}
}

// Corners so close to 0 that the welding tolerance has no inverse.
func TestTinyCoordinatesEnd(t *testing.T) {
	for _, x := range []string{"1e-310", "4e-38", "1e-200", "0"} {
		src := strings.ReplaceAll("v 0 0 0\nv X 0 0\nv 0 X 0\nv 0 0 1e-320\nf 1 2 3\nf 1 2 4\n", "X", x)
		Read("x.obj", []byte(src), ReadOptions{Unit: "um"})
	}
}
