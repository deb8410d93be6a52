package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const data = "../../internal/solve/sop/testdata/"

func tool(args ...string) (status int, stdout, stderr string) {
	var out, errs strings.Builder
	status = run(context.Background(), args, &out, &errs)
	return status, out.String(), errs.String()
}

// Optima as published; source: internal/solve/sop/testdata/SOURCE.txt.
func TestJSONListsEveryInstance(t *testing.T) {
	status, out, errs := tool("--limit", "5s", "--json", data+"ESC07.sop", data+"br17.10.sop")
	if status != 0 || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	var rows []map[string]any
	if err := json.Unmarshal([]byte(out), &rows); err != nil || len(rows) != 2 {
		t.Fatalf("%v in %s", err, out)
	}
	for i, want := range []struct {
		name string
		cost float64
	}{{"ESC07", 2125}, {"br17.10", 55}} {
		r := rows[i]
		if r["instance"] != want.name || r["status"] != "optimal" || r["cost"] != want.cost || r["lower_bound"] != want.cost {
			t.Errorf("got %v, want %v", r, want)
		}
		if s, ok := r["seconds"].(float64); !ok || s < 0 {
			t.Errorf("seconds %v", r["seconds"])
		}
	}
}

func TestTheTableHasTheSameColumns(t *testing.T) {
	status, out, _ := tool("-limit", "5s", data+"ESC07.sop")
	if status != 0 || !strings.Contains(out, "lower bound") || !strings.Contains(out, "2125") {
		t.Errorf("status %d, %s", status, out)
	}
}

func TestAnInfeasibleFileNamesItsCycle(t *testing.T) {
	file := filepath.Join(t.TempDir(), "loop.sop")
	text := "TYPE: SOP\nDIMENSION: 3\nEDGE_WEIGHT_SECTION\n3\n0 1 1\n-1 0 -1\n-1 -1 0\n"
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, _ := tool("-json", file)
	var rows []row
	if err := json.Unmarshal([]byte(out), &rows); err != nil {
		t.Fatal(err)
	}
	if status != 0 || rows[0].Status != "infeasible" || len(rows[0].Cycle) != 2 {
		t.Errorf("status %d, %s", status, out)
	}
}

func TestFaultsGoToStandardErrorWithAStatus(t *testing.T) {
	bad := filepath.Join(t.TempDir(), "bad.sop")
	if err := os.WriteFile(bad, []byte("TYPE: TSP\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{nil, 2, "usage"},
		{[]string{"-bogus", data + "ESC07.sop"}, 2, "bogus"},
		{[]string{"-limit", "-1s", data + "ESC07.sop"}, 2, "usage"},
		{[]string{"-json", bad}, 1, bad + ":1: TYPE"},
		{[]string{"-json", bad + ".missing"}, 1, "missing"},
	} {
		status, out, errs := tool(c.args...)
		if status != c.status || !strings.Contains(errs, c.want) {
			t.Errorf("%v: status %d, want %d; errors %q, want %q in them", c.args, status, c.status, errs, c.want)
		}
		if c.status == 1 && strings.TrimSpace(out) != "[]" {
			t.Errorf("%v: printed %q", c.args, out)
		}
	}
}
