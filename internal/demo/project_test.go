package demo

import (
	"io/fs"
	"testing"

	"facings"
	"facings/internal/projectfile"
)

// read reads one of the demo's projects; any finding fails the test.
func read(t *testing.T, name string) *facings.Project {
	t.Helper()
	text, err := fs.ReadFile(Files(), name)
	if err != nil {
		t.Fatal(err)
	}
	p, doc, found := projectfile.Read(name, text)
	if p == nil {
		t.Fatalf("%s cannot be read:\n%v", name, found)
	}
	_ = doc
	found = append(found, p.Validate()...)
	if len(found) > 0 {
		t.Fatalf("%s:\n%v", name, found)
	}
	return p
}

func TestDemoIsWithoutFault(t *testing.T) {
	for _, name := range []string{"demo.yaml", "mounted24.yaml"} {
		read(t, name)
	}
}
