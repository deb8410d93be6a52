package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"testing"
)

// Two photographs keep to the bar that two hundred must: a median under 2 and
// nineteen in twenty under 4 (docs/measurements/swatch.md); and kept outcomes,
// added in, count as much as those just made.
func TestJudge(t *testing.T) {
	kept := filepath.Join(t.TempDir(), "kept.json")
	judged := func(args ...string) (r report) {
		t.Helper()
		var out bytes.Buffer
		if err := run(append([]string{"--json"}, args...), &out); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(out.Bytes(), &r); err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := judged("--n", "2", "--seed", "5", "--save", kept)
	if r.N != 2 || r.Rejected != 0 || r.Colours == 0 || r.CleanColours == 0 {
		t.Errorf("%+v", r)
	}
	if r.Median > 2 || r.P95 > 4 || r.WrongWithoutWarning > 0 || r.WrongEmpty > 0 {
		t.Errorf("median %.2f, p95 %.2f, wrong %d, mistaken %d", r.Median, r.P95, r.WrongWithoutWarning, r.WrongEmpty)
	}
	again := judged("--n", "0", kept)
	if again.Colours != r.Colours || again.P95 != r.P95 {
		t.Errorf("added in, %d colours and p95 %.2f, not %d and %.2f", again.Colours, again.P95, r.Colours, r.P95)
	}
	var out bytes.Buffer
	if err := run([]string{"--defect", "rain"}, &out); err == nil {
		t.Error("an unknown defect is accepted")
	}
}
