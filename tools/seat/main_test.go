package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

const kept = "../../internal/solve/seat/testdata"

func TestGeneratedProblemsAreTheOnesKept(t *testing.T) {
	dir := t.TempDir()
	if err := generate(dir); err != nil {
		t.Fatal(err)
	}
	made, err := filepath.Glob(dir + "/*.json")
	if err != nil {
		t.Fatal(err)
	}
	have, err := filepath.Glob(kept + "/*.json")
	if err != nil || len(have) != len(made) {
		t.Fatalf("%d problems kept, %d generated: %v", len(have), len(made), err)
	}
	for _, file := range made {
		a, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(kept, filepath.Base(file)))
		if err != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs from the one kept: %v", filepath.Base(file), err)
		}
	}
}

func TestRunPrintsJSON(t *testing.T) {
	var out bytes.Buffer
	if err := run([]string{"run", "--work", "1000", "--json", kept + "/24-3x8-even.json", kept + "/24-3x8-impossible.json"}, &out); err != nil {
		t.Fatal(err)
	}
	var rows []row
	if err := json.Unmarshal(out.Bytes(), &rows); err != nil || len(rows) != 2 {
		t.Fatal(err, out.String())
	}
	if rows[0].Objective < 1 || rows[0].UpperBound < rows[0].Objective || rows[1].Status != "infeasible" || len(rows[1].Conflict) == 0 {
		t.Errorf("%+v", rows)
	}
	for _, bad := range [][]string{nil, {"gen"}, {"run", "--limit", "x"}, {"run", "no such file"}} {
		if err := run(bad, &out); err == nil {
			t.Errorf("no error for %v", bad)
		}
	}
}
