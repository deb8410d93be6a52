package app

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"facings"
	"facings/internal/figure"
	"facings/internal/geom"
)

const withMesh = `
facings: 1
name: own mesh
undercoat: {dark: primer}
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  red: {kind: opaque, over_white: "#aa1111", over_black: "#a01010"}
finishes: {}
castings:
  own: {like: foot, adds: [{area: charm, area_mm2: 5}], mesh: own.stl}
units:
  First:
    body: own
    figures: {private: 2}
    scheme: {jacket: red, charm: red}
`

// A casting's own mesh, labelled, takes the place of the built-in sizes; what a
// new area lies over comes from its neighbours. The mesh is twice the built-in
// size, so that its areas are four times as large (geometry).
func TestOwnMeshMeasuresTheCasting(t *testing.T) {
	skipDrawing(t)
	folder := t.TempDir()
	file := filepath.Join(folder, "own.yaml")
	if err := os.WriteFile(file, []byte(withMesh), 0o666); err != nil {
		t.Fatal(err)
	}
	body, _ := facings.ReadyBody(facings.BodyFoot)
	m, err := figure.Build(figure.Like(body, facings.RoleTrooper, 1, figure.Hints{}))
	if err != nil {
		t.Fatal(err)
	}
	m = m.Clone()
	m.Scale(2)
	for i, label := range m.Labels {
		if label == "turnbacks" {
			m.Labels[i] = "charm"
		}
	}
	data, err := geom.WriteLabels(m)
	if err != nil {
		t.Fatal(err)
	}
	mesh := filepath.Join(folder, "own.stl")
	for path, content := range map[string][]byte{mesh: geom.WriteSTL(m), mesh + LabelsSuffix: data} {
		if err := os.WriteFile(path, content, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	a := &App{}
	o, err := a.Load(file)
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Roster(context.Background(), o)
	if err != nil {
		t.Fatal(err, plan.Findings)
	}
	jacket, _ := plan.Roster.Figures[0].Body.Area("jacket")
	built, _ := body.Area("jacket")
	if ratio := jacket.AreaMM2 / built.AreaMM2; ratio < 3.5 || ratio > 4.5 {
		t.Errorf("the jacket measures %.1f mm², %.2f times the built-in one; want about 4", float64(jacket.AreaMM2), float64(ratio))
	}
	charm, _ := plan.Roster.Figures[0].Body.Area("charm")
	if len(charm.Over) != 1 || charm.Over[0] != "jacket" {
		t.Errorf("the charm lies over %v, want the jacket", charm.Over)
	}

	// Without its labels the mesh is a warning, and the built-in sizes stand.
	if err := os.Remove(mesh + LabelsSuffix); err != nil {
		t.Fatal(err)
	}
	o, _ = a.Load(file)
	plan, err = a.Roster(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	warned := false
	for _, f := range plan.Findings {
		warned = warned || f.ID == "mesh-unlabelled" && f.Line > 0 && strings.Contains(f.Hint, "--like foot")
	}
	if !warned {
		t.Errorf("no warning about the missing labels: %v", plan.Findings)
	}
}
