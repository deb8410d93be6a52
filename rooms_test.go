package facings_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// TestRooms holds the imports of every package against the table in
// docs/ARCHITECTURE.md.
func TestRooms(t *testing.T) {
	allowed := roomTable(t)
	used := map[string]bool{}
	err := filepath.WalkDir(".", func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && (name == "testdata" || name == "node_modules" || (name != "." && strings.HasPrefix(name, ".")) || name == "dist") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		room := roomOf(path.Join("facings", filepath.ToSlash(filepath.Dir(file))))
		used[room] = true
		may, ok := allowed[room]
		if !ok {
			t.Errorf("%s: room %q is not in the table", file, room)
			return nil
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range parsed.Imports {
			to, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if to != "facings" && !strings.HasPrefix(to, "facings/") {
				continue
			}
			if other := roomOf(to); other != room && !slices.Contains(may, other) {
				t.Errorf("%s: room %q imports room %q, which the table does not allow", file, room, other)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(used) < 5 {
		t.Errorf("only %d rooms were seen; the walk is broken", len(used))
	}
}

// roomOf is the room of an import path: the root, one under internal, tools or cmd/facings.
func roomOf(importPath string) string {
	rest := strings.TrimPrefix(importPath, "facings")
	rest = strings.TrimPrefix(rest, "/")
	switch {
	case rest == "":
		return "facings"
	case strings.HasPrefix(rest, "internal/"):
		room, _, _ := strings.Cut(strings.TrimPrefix(rest, "internal/"), "/")
		return room
	case strings.HasPrefix(rest, "tools"):
		return "tools"
	}
	return rest
}

// roomTable reads the table: room to the rooms it may import.
func roomTable(t *testing.T) map[string][]string {
	text, err := os.ReadFile("docs/ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, ok := strings.Cut(string(text), "## Rooms, and who may know whom")
	if !ok {
		t.Fatal("docs/ARCHITECTURE.md has no table of rooms")
	}
	out := map[string][]string{}
	for _, line := range strings.Split(section, "\n") {
		if strings.HasPrefix(line, "## ") {
			break
		}
		cells := strings.Split(line, "|")
		if len(cells) != 5 || strings.TrimSpace(cells[1]) == "Room" || strings.HasPrefix(cells[1], "---") {
			continue
		}
		room := strings.TrimSpace(cells[1])
		out[room] = []string{}
		for _, other := range strings.Split(cells[3], ",") {
			if other = strings.TrimSpace(other); other != "–" && other != "" {
				out[room] = append(out[room], other)
			}
		}
	}
	return out
}
