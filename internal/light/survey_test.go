package light

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"facings/internal/geom"
)

func TestSurveyOfCube(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cube.stl")
	cube := geom.NewBox(geom.Vec3{}, geom.Vec3{X: 20, Y: 20, Z: 20})
	if err := os.WriteFile(path, geom.WriteSTL(cube), 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := SurveyFile(path, geom.ReadOptions{}, DefaultSpray(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area", got.AreaMM2, 2400, 1e-9)
	near(t, "volume", *got.VolumeMM3, 8000, 1e-9)
	if got.Triangles != 12 || got.Shells != 1 || !got.Watertight || len(got.Faults) != 0 {
		t.Errorf("%+v", got)
	}
	js, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{`"area_mm2":2400`, `"faults":[]`, `"labels":[]`, `"unit":"mm"`, `"unit_from":"guessed"`, `"shells":1`} {
		if !strings.Contains(string(js), name) {
			t.Errorf("no %s in %s", name, js)
		}
	}
}

func TestSurveyOfBrokenFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cut.stl")
	data := geom.WriteSTL(geom.NewBox(geom.Vec3{}, geom.Vec3{X: 20, Y: 20, Z: 20}))
	if err := os.WriteFile(path, data[:200], 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := SurveyFile(path, geom.ReadOptions{}, DefaultSpray(), Options{})
	var re *geom.ReadError
	if !errors.As(err, &re) || re.Hint == "" || !strings.Contains(err.Error(), "cut.stl") {
		t.Errorf("error %v", err)
	}
}

func TestSummaryWeighsByArea(t *testing.T) {
	got := summary([]float64{1, 0, 0.5}, []float64{1, 2, 7})
	near(t, "mean", got.Mean, 0.45, 1e-12)
	near(t, "p10", got.P10, 0, 0)
	near(t, "p50", got.P50, 0.5, 0)
	near(t, "p90", got.P90, 0.5, 0)
	near(t, "dark", got.DarkShare, 0.2, 1e-12)
}

// Almost half of a thin plate's surface is its top, which gets what an open level
// facet gets; the other half gets nothing.
func TestSurveyIsRelativeToOpenTop(t *testing.T) {
	plate := geom.NewBox(geom.Vec3{}, geom.Vec3{X: 40, Y: 40, Z: 0.5})
	for range 5 {
		plate = geom.Subdivide(plate)
	}
	path := filepath.Join(t.TempDir(), "plate.stl")
	if err := os.WriteFile(path, geom.WriteSTL(plate), 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := SurveyFile(path, geom.ReadOptions{}, DefaultSpray(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "p90", got.Exposure.P90, 1, 1e-9)
	near(t, "p10", got.Exposure.P10, 0, 1e-9)
	near(t, "mean", got.Exposure.Mean, 0.5, 0.03)
}
