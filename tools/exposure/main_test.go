package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func exec(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	c := command(&out)
	c.SetArgs(args)
	err := c.Execute()
	return out.String(), err
}

// From generating a mesh to the file of exposures, with every ray cast twice.
func TestMeasuringAGeneratedMesh(t *testing.T) {
	dir := t.TempDir()
	mesh, out := filepath.Join(dir, "m.stl"), filepath.Join(dir, "e.csv")
	if _, err := exec(t, "gen", mesh, "--triangles", "2000"); err != nil {
		t.Fatal(err)
	}
	got, err := exec(t, mesh, "--directions", "16", "--threads", "2", "--json", "--verify", "--out", out)
	if err != nil {
		t.Fatal(err)
	}
	var r result
	if err := json.Unmarshal([]byte(got), &r); err != nil {
		t.Fatal(err)
	}
	if r.Triangles != 2000 || r.Directions != 16 || r.Threads != 2 || r.Unit != "mm" || !(r.RaysPerSecond > 0) {
		t.Errorf("%+v", r)
	}
	if r.RaysBlocked == 0 || *r.Verified != r.Rays || *r.Differ != 0 {
		t.Errorf("%d rays, %d blocked, %d verified, %d differ", r.Rays, r.RaysBlocked, *r.Verified, *r.Differ)
	}
	f, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != r.Vertices+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
}

func TestFaultsLeaveNoFile(t *testing.T) {
	dir := t.TempDir()
	bad, out := filepath.Join(dir, "bad.stl"), filepath.Join(dir, "e.csv")
	if err := os.WriteFile(bad, []byte("solid nothing\nfacet\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{bad, "--out", out}, {filepath.Join(dir, "none.stl"), "--out", out}, {"gen", out, "--triangles", "3"},
		{bad, "--threads", "0", "--out", out},
	} {
		if _, err := exec(t, args...); err == nil {
			t.Errorf("%v succeeds", args)
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("files left: %v, %v", left, err)
	}
	if _, err := exec(t, bad); err == nil || !strings.Contains(err.Error(), "no triangles") {
		t.Errorf("error %v", err)
	}
}
