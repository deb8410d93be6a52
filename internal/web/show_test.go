package web

import (
	"bytes"
	le "encoding/binary"
	"encoding/json"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"facings"
	"facings/internal/app"
)

func TestColoursAreTriedOut(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	var now, tried app.Colours
	h.want(200, &now, "GET", projectPath(head, "colours")+"?figure=0", nil)
	if len(now.Areas) == 0 || len(now.Areas[0].Ramp) != 16 {
		t.Fatalf("colours: %+v", now)
	}
	unit := head.Project.Units[0]
	area := "" // that the unit's scheme paints and the figure has: one may be of another role
	for _, a := range now.Areas {
		if f, ok := unit.Scheme[a.Area]; ok && f != facings.LeaveFinish {
			area = a.Area
			break
		}
	}
	finish := head.Project.Finishes[0].Name
	for _, f := range head.Project.Finishes {
		if f.Name != unit.Scheme[area] && len(f.Coats) > 0 {
			finish = f.Name
		}
	}
	patch := []map[string]any{{"op": "replace", "path": "/units/0/scheme/" + strings.ReplaceAll(area, "/", "~1"), "value": finish}}
	h.want(200, &tried, "POST", projectPath(head, "try")+"?figure=0", patch)
	find := func(c app.Colours) app.AreaColours {
		for _, a := range c.Areas {
			if a.Area == area {
				return a
			}
		}
		t.Fatalf("no area %s", area)
		return app.AreaColours{}
	}
	if find(tried).Finish != finish || find(now).Finish == finish {
		t.Errorf("tried %s on the %s: %s, before %s", finish, area, find(tried).Finish, find(now).Finish)
	}
	var after app.Head
	h.want(200, &after, "GET", projectPath(head, ""), nil)
	if after.Revision != 1 {
		t.Error("trying made a revision")
	}
	h.want(404, nil, "GET", projectPath(head, "colours")+"?figure=9999", nil)
	h.want(422, nil, "POST", projectPath(head, "try")+"?figure=0", `[{"op":"replace","path":"/units/0/scheme","value":{"face":"no such finish"}}]`)
}

func TestPicturesAndModels(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a fine casting")
	}
	h := newHost(t)
	head := h.starter()
	h.want(409, nil, "GET", projectPath(head, "pictures/figure.png")+"?passes=1", nil)
	plan := h.planned(head.Kept.ID)
	for _, query := range []string{"figure.png?figure=0&width=64&height=80", "figure.png?figure=0&width=64&height=80&passes=2&underway=3", "key.png?figure=0&width=200&height=240"} {
		res, data := h.call("GET", projectPath(head, "pictures/")+"/"+query, nil)
		if res.StatusCode != 200 {
			t.Fatalf("%s: %s %s", query, res.Status, data)
		}
		if _, err := png.Decode(bytes.NewReader(data)); err != nil {
			t.Errorf("%s: %v", query, err)
		}
	}
	h.want(400, nil, "GET", projectPath(head, "pictures/figure.png")+"?passes=some", nil)
	h.want(422, nil, "GET", projectPath(head, "pictures/figure.png")+"?width=9000", nil)
	var names keyBody
	h.want(200, &names, "GET", projectPath(head, "pictures/key.json")+"?figure=0", nil)
	res, glb := h.call("GET", projectPath(head, "figures/0/model.glb"), nil)
	if res.StatusCode != 200 || string(glb[:4]) != "glTF" {
		t.Fatalf("model: %s", res.Status)
	}
	doc := readGLB(t, glb)
	areas := map[string]bool{}
	for _, p := range doc.Meshes[0].Primitives {
		areas[doc.Materials[p.Material].Name] = true
		e, ok := p.Attributes["_EXPOSURE"]
		if !ok || doc.Accessors[e].Count != doc.Accessors[p.Attributes["POSITION"]].Count {
			t.Errorf("no exposure at every vertex: %+v", p)
		}
	}
	for _, n := range names.Names {
		if !areas[n] {
			t.Errorf("the model has no material called %q", n)
		}
	}
	if len(plan.Roster.Figures) == 0 {
		t.Error("no figures")
	}
}

// model is what is looked at of a model.
type model struct {
	Materials []struct{ Name string }
	Meshes    []struct {
		Primitives []struct {
			Attributes map[string]int
			Indices    int
			Material   int
		}
	}
	Accessors []struct {
		BufferView int
		Count      int
		Min, Max   []float64
	}
	BufferViews []struct{ ByteOffset, ByteLength int }
	bin         []byte
}

// readGLB reads a model. Ref: glTF 2.0, "GLB file format": a header of 12 bytes,
// then the JSON chunk, then the binary one.
func readGLB(t *testing.T, glb []byte) *model {
	t.Helper()
	m := &model{}
	end := 20 + le.LittleEndian.Uint32(glb[12:])
	if err := json.Unmarshal(glb[20:end], m); err != nil {
		t.Fatal(err)
	}
	m.bin = glb[end+8:]
	return m
}

// floats are an accessor's numbers.
func (m *model) floats(accessor int) []float32 {
	view := m.BufferViews[m.Accessors[accessor].BufferView]
	var out []float32
	for b := m.bin[view.ByteOffset : view.ByteOffset+view.ByteLength]; len(b) >= 4; b = b[4:] {
		out = append(out, math.Float32frombits(le.LittleEndian.Uint32(b)))
	}
	return out
}

const ownCasting = `facings: 1
name: own casting
undercoat: {dark: primer}
prepare: false
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  red: {kind: opaque, over_white: "#aa1111", over_black: "#a01010"}
finishes: {}
castings:
  block: {like: foot, mesh: cube.stl}
units:
  First:
    body: block
    figures: {private: 2}
    scheme: {jacket: red}
calendar: {start: 2027-03-01}
`

// Whose casting has a mesh of its own is shown as that mesh once it has areas:
// in the model, in pictures and in the key.
func TestOwnMeshIsShown(t *testing.T) {
	h := newHost(t)
	var head app.Head
	h.want(201, &head, "POST", "/api/projects", app.NewProject{From: "text", Text: ownCasting})
	var kept app.FileKept
	h.want(200, &kept, "POST", projectPath(head, "files")+"?name=cube.stl", cube(), "If-Match", etag(head))
	shown := func() (*model, []byte) {
		t.Helper()
		res, glb := h.call("GET", projectPath(head, "figures/0/model.glb"), nil)
		if res.StatusCode != 200 {
			t.Fatalf("model: %s %s", res.Status, glb)
		}
		_, picture := h.call("GET", projectPath(head, "pictures/figure.png")+"?figure=0&width=40&height=40", nil)
		return readGLB(t, glb), picture
	}
	var before []byte
	if !testing.Short() { // the built-in casting takes long
		m, picture := shown()
		if before = picture; len(m.Materials) < 8 {
			t.Errorf("without labels %d areas are shown, want the built-in casting's", len(m.Materials))
		}
	}
	seed := 0
	var labels app.MeshLabels
	h.want(200, &labels, "POST", projectPath(head, "meshes/cube.stl/label"), app.MeshLabel{Area: "jacket", SeedFace: &seed, AngleDeg: 40}, "If-Match", `"r2"`)
	m, picture := shown()
	var names []string
	for _, material := range m.Materials {
		names = append(names, material.Name)
	}
	box := m.Accessors[m.Meshes[0].Primitives[0].Attributes["POSITION"]]
	if size := box.Max[1] - box.Min[1]; !slices.Contains(names, "jacket") || len(names) != 2 || size < 0.00999 || size > 0.01001 {
		t.Errorf("the model has areas %q and is %v m high, want the cube of 10 mm with its jacket", names, size)
	}
	if bytes.Equal(picture, before) {
		t.Error("the picture is the built-in casting's")
	}
	var key keyBody
	h.want(200, &key, "GET", projectPath(head, "pictures/key.json")+"?figure=0", nil)
	if !slices.Equal(key.Names, []string{"jacket"}) {
		t.Errorf("the key names %q", key.Names)
	}
}

const ensign = `facings: 1
name: ensign
undercoat: {dark: primer}
prepare: false
ending: [{step: flag, paint: glue}]
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  glue: {kind: glue}
finishes: {}
units:
  First:
    body: foot
    figures: {standard-bearer: {count: 1, lacks: [musket stock, musket metal], adds: [flag pole, finial]}}
    scheme: {}
    flag:
      fly_mm: 1960
      hoist_mm: 1680
      parts: [{part: field, division: per pale, colours: ["#d01818", "#1830d0"]}]
calendar: {start: 2027-03-01}
`

// The model bears the flag as it is printed.
func TestTheModelBearsItsFlag(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a fine casting")
	}
	h := newHost(t)
	var head app.Head
	h.want(201, &head, "POST", "/api/projects", app.NewProject{From: "text", Text: ensign})
	res, glb := h.call("GET", projectPath(head, "figures/0/model.glb"), nil)
	if res.StatusCode != 200 {
		t.Fatalf("model: %s %s", res.Status, glb)
	}
	m := readGLB(t, glb)
	red, blue, white := 0, 0, 0
	colours := m.floats(m.Meshes[0].Primitives[0].Attributes["COLOR_0"])
	for ; len(colours) >= 3; colours = colours[3:] {
		switch r, g, b := colours[0], colours[1], colours[2]; {
		case r == 1 && g == 1 && b == 1:
			white++
		case r > 0.5 && b < 0.05: // sRGB #d0 is 0.63 in linear light (IEC 61966-2-1)
			red++
		case b > 0.5 && r < 0.05:
			blue++
		}
	}
	if red < 1000 || blue < 1000 || white < 1000 {
		t.Errorf("%d red and %d blue vertices of the flag, %d white ones elsewhere", red, blue, white)
	}
}

func TestSheetsAreMade(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	h.planned(head.Kept.ID)
	var list sheetsBody
	h.want(200, &list, "GET", projectPath(head, "sheets"), nil)
	if len(list.Sheets) < 8 {
		t.Errorf("sheets: %+v", list)
	}
	for _, kind := range list.Sheets {
		if !kind.Ready {
			t.Errorf("%s is not ready", kind.Kind)
		}
		if kind.Kind == "guide" && testing.Short() {
			continue // it draws every pass
		}
		for _, format := range kind.Formats {
			if format == "png" {
				continue // slow, and the same path as svg
			}
			res, data := h.call("GET", projectPath(head, "sheets/"+kind.Kind)+"?format="+format, nil)
			if kind.Kind == "flags" && res.StatusCode == 422 {
				continue // the starter has no flag
			}
			if res.StatusCode != 200 || len(data) == 0 || !strings.Contains(res.Header.Get("Content-Disposition"), "attachment") {
				t.Errorf("%s as %s: %s, %d bytes: %.200s", kind.Kind, format, res.Status, len(data), data)
			}
		}
	}
	h.want(404, nil, "GET", projectPath(head, "sheets/none"), nil)
	h.want(422, nil, "GET", projectPath(head, "sheets/cards")+"?colour=red", nil)
	h.want(422, nil, "GET", projectPath(head, "sheets/cards")+"?format=doc", nil)
	h.want(422, nil, "GET", projectPath(head, "sheets/cards")+"?dpi=1e9&format=png", nil)
}

func TestPhotographsThatAreNone(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	var p Problem
	h.want(422, &p, "POST", projectPath(head, "swatches/read"), "no photograph", "Content-Type", "image/png")
	if p.Detail == "" {
		t.Errorf("no reason given: %+v", p)
	}
	h.want(422, nil, "POST", projectPath(head, "spots")+"?at=1,1", "no photograph", "Content-Type", "image/png")
	h.want(422, nil, "POST", projectPath(head, "spots")+"?at=here", "no photograph", "Content-Type", "image/png")
}
