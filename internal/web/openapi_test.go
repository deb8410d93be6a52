package web

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"facings/internal/app"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestOpenAPIIsCurrent holds docs/openapi.json, from which the pages' types are
// made, against the operations as they are.
func TestOpenAPIIsCurrent(t *testing.T) {
	const file = "../../docs/openapi.json"
	s := New(Config{Desk: &app.Desk{}, Version: "1"})
	got, err := s.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not current; write it anew: go test ./internal/web -run OpenAPI -update", file)
	}
}
