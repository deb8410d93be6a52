package web

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
)

// cube is a cube of 10 mm as ASCII STL (the format's usual description).
func cube() string {
	var b strings.Builder
	b.WriteString("solid cube\n")
	v := func(i int) [3]int { return [3]int{10 * (i & 1), 10 * (i >> 1 & 1), 10 * (i >> 2 & 1)} }
	for _, f := range [][3]int{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
		b.WriteString(" facet normal 0 0 0\n  outer loop\n")
		for _, k := range f {
			p := v(k)
			fmt.Fprintf(&b, "   vertex %d %d %d\n", p[0], p[1], p[2])
		}
		b.WriteString("  endloop\n endfacet\n")
	}
	b.WriteString("endsolid cube\n")
	return b.String()
}

func TestMeshesAreLabelled(t *testing.T) { both(t, worksMeshesAreLabelled) }

func worksMeshesAreLabelled(t *testing.T, h *host) {
	head := h.starter()
	for _, name := range []string{"../x.stl", "a/b.stl", ".hidden", "con.stl", "x\ny", "nul"} {
		h.want(422, nil, "POST", projectPath(head, "files")+"?name="+strings.NewReplacer("/", "%2F", "\n", "%0A").Replace(name), cube(), "If-Match", etag(head))
	}
	h.want(428, nil, "POST", projectPath(head, "files")+"?name=cube.stl", cube())
	var kept app.FileKept
	h.want(200, &kept, "POST", projectPath(head, "files")+"?name=cube.stl", cube(), "If-Match", etag(head))
	if kept.Head.Revision != 2 || kept.Head.Files["cube.stl"] != kept.Hash || kept.Size != int64(len(cube())) {
		t.Fatalf("kept: %+v", kept)
	}
	_, data := h.call("GET", projectPath(head, "files/cube.stl"), nil)
	if string(data) != cube() {
		t.Error("the file came back changed")
	}
	var labels app.MeshLabels
	h.want(200, &labels, "GET", projectPath(head, "meshes/cube.stl/labels"), nil)
	if labels.Faces != 12 || len(labels.Runs) != 1 {
		t.Fatalf("labels: %+v", labels)
	}
	// A flood fill from one face stops at the edges of its side of the cube.
	seed := 0
	h.want(200, &labels, "POST", projectPath(head, "meshes/cube.stl/label"), app.MeshLabel{Area: "coat", SeedFace: &seed, AngleDeg: 40}, "If-Match", `"r2"`)
	size := map[string]float64{}
	for _, a := range labels.Areas {
		size[a.Area] = a.AreaMM2
	}
	if size["coat"] < 99.9 || size["coat"] > 100.1 || labels.Head.Revision != 3 {
		t.Errorf("the side of a cube of 10 mm has %v mm², want 100", size["coat"])
	}
	h.want(200, &labels, "POST", projectPath(head, "meshes/cube.stl/label"), app.MeshLabel{Area: "hat", Faces: []int32{11}}, "If-Match", `"r3"`)
	h.want(422, nil, "POST", projectPath(head, "meshes/cube.stl/label"), app.MeshLabel{Area: "hat", Faces: []int32{12}}, "If-Match", `"r4"`)
	h.want(422, nil, "POST", projectPath(head, "meshes/cube.stl/label"), app.MeshLabel{Area: "hat"}, "If-Match", `"r4"`)
	labels = app.MeshLabels{}
	h.want(200, &labels, "GET", projectPath(head, "meshes/cube.stl/labels"), nil)
	if len(labels.Labels) != 3 {
		t.Errorf("labels as kept: %+v", labels)
	}
	var survey app.Survey
	h.want(200, &survey, "GET", projectPath(head, "meshes/cube.stl/survey"), nil)
	if survey.AreaMM2 < 599 || survey.AreaMM2 > 601 || !survey.Watertight {
		t.Errorf("a cube of 10 mm has %v mm², want 600", survey.AreaMM2)
	}
	for _, plain := range []string{"", "?plain=true"} {
		if _, glb := h.call("GET", projectPath(head, "meshes/cube.stl/model.glb")+plain, nil); len(glb) < 4 || string(glb[:4]) != "glTF" {
			t.Errorf("model%s: %.80s", plain, glb)
		}
	}
	h.want(400, nil, "POST", projectPath(head, "files")+"?name=empty.stl", []byte{}, "If-Match", `"r4"`)
	h.want(200, nil, "POST", projectPath(head, "files")+"?name=bad.stl", "no mesh", "If-Match", `"r4"`)
	h.want(422, nil, "GET", projectPath(head, "meshes/bad.stl/survey"), nil)
	h.want(404, nil, "GET", projectPath(head, "meshes/none.stl/survey"), nil)
	h.want(200, &head, "DELETE", projectPath(head, "files/bad.stl"), nil, "If-Match", `"r5"`)
	if _, there := head.Files["bad.stl"]; there {
		t.Error("the file is still there")
	}
}

func TestAProjectTravelsAsZip(t *testing.T) { both(t, worksAProjectTravelsAsZip) }

func worksAProjectTravelsAsZip(t *testing.T, h *host) {
	head := h.starter()
	h.want(200, nil, "POST", projectPath(head, "files")+"?name=cube.stl", cube(), "If-Match", etag(head))
	note := facings.Entry{ID: "n", Kind: facings.EntryNote, At: h.now, Note: "the blue was thin"}
	h.want(200, nil, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{note}})
	res, data := h.call("GET", projectPath(head, "export.zip"), nil)
	if res.StatusCode != 200 {
		t.Fatalf("export: %s", res.Status)
	}
	var other app.Head
	h.want(201, &other, "POST", "/api/import?name=Another", data)
	if other.Kept.ID == head.Kept.ID || other.Project.Name != "Another" || len(other.Files) != 1 {
		t.Errorf("imported: %+v", other.Kept)
	}
	var log app.LogAnswer
	h.want(200, &log, "GET", projectPath(other, "log"), nil)
	if len(log.Entries) != 1 || log.Entries[0].Note != note.Note {
		t.Errorf("log: %+v", log)
	}
	_, mesh := h.call("GET", projectPath(other, "files/cube.stl"), nil)
	if string(mesh) != cube() {
		t.Error("the mesh came out changed")
	}
	_, text := h.call("GET", projectPath(head, "text"), nil)
	h.want(201, nil, "POST", "/api/import", text, "Content-Type", "application/yaml")
}

func zipOf(t *testing.T, members map[string][]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, data := range members {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		w.Write(data)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestBadZipsAreRefused(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	_, text := h.call("GET", projectPath(head, "text"), nil)
	for what, data := range map[string][]byte{
		"a bomb":             zipOf(t, map[string][]byte{"project.yaml": make([]byte, facings.MaxFileBytes+1)}),
		"a bomb beside":      zipOf(t, map[string][]byte{"project.yaml": text, "files/big.stl": make([]byte, facings.MaxOneFile+1)}),
		"no project":         zipOf(t, map[string][]byte{"log.json": []byte(`{"entries":[]}`)}),
		"a way out":          zipOf(t, map[string][]byte{"project.yaml": text, "files/../../etc/passwd": []byte("x")}),
		"something else":     zipOf(t, map[string][]byte{"project.yaml": text, "setup.exe": []byte("x")}),
		"a log that is none": zipOf(t, map[string][]byte{"project.yaml": text, "log.json": []byte("x")}),
		"a bad entry":        zipOf(t, map[string][]byte{"project.yaml": text, "log.json": []byte(`{"entries":[{"id":"a","kind":"painted","at":"2027-01-01T00:00:00Z"}]}`)}),
		"half a zip":         zipOf(t, map[string][]byte{"project.yaml": text})[:40],
		"nothing":            {},
	} {
		res, body := h.call("POST", "/api/import", data)
		if res.StatusCode != 422 && res.StatusCode != 400 {
			t.Errorf("%s: %s %s", what, res.Status, body)
		}
	}
	var list projectsBody
	h.want(200, &list, "GET", "/api/projects", nil)
	if len(list.Projects) != 1 {
		t.Errorf("%d projects are kept after refused imports, want the one of before", len(list.Projects))
	}
}

// A photograph kept beside a project changes no plan; a mesh that a casting names
// does.
func TestAPhotographPlansNothingAnew(t *testing.T) {
	h := newHost(t)
	var head app.Head
	h.want(201, &head, "POST", "/api/projects", app.NewProject{From: "text", Text: ownCasting})
	first := h.planned(head.Kept.ID)
	keep := func(name, data string) app.PlanState {
		t.Helper()
		h.later(time.Minute)
		var kept app.FileKept
		h.want(200, &kept, "POST", projectPath(head, "files")+"?name="+name, data, "If-Match", etag(head))
		head = *kept.Head
		p := h.planned(head.Kept.ID)
		if p.Revision != head.Revision {
			t.Errorf("the plan is of revision %d, want %d", p.Revision, head.Revision)
		}
		return p
	}
	if p := keep("bench.png", "\x89PNG"); !p.PlannedAt.Equal(first.PlannedAt) {
		t.Error("planned anew for a photograph")
	}
	if p := keep("cube.stl", cube()); p.PlannedAt.Equal(first.PlannedAt) {
		t.Error("not planned anew for a casting's mesh")
	}
}
