package projectfile

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"facings"
)

// Each file under testdata/bad holds one mistake, named by its ID and perhaps
// a variant, or many; beside it stands what the user reads.
func badFiles(t testing.TB) map[string][]byte {
	t.Helper()
	paths, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatal("no bad files", err)
	}
	files := map[string][]byte{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files[filepath.Base(path)] = text
	}
	return files
}

func TestBadFilesSayWhatIsWrong(t *testing.T) {
	for name, text := range badFiles(t) {
		_, _, found := Read(name, text)
		golden := filepath.Join("testdata/bad", strings.TrimSuffix(name, ".yaml")+".txt")
		got := found.Error() + "\n"
		if *update {
			if err := Write(golden, []byte(got)); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil || got != string(want) {
			t.Errorf("%s (%v):\n%swant:\n%s", name, err, got, want)
		}
		for _, d := range found {
			if d.Line < 1 || d.Column < 1 || d.File != name || d.Message == "" || d.Hint == "" {
				t.Errorf("%s: a finding without its place, message or way out: %+v", name, d)
			}
		}
		if strings.HasPrefix(name, "many-") {
			continue
		}
		if len(found) != 1 && !strings.HasPrefix(name, "too-many-faults") {
			t.Errorf("%s holds one mistake, but there are %d findings:\n%s", name, len(found), got)
		}
		if last := found[len(found)-1]; !strings.HasPrefix(name, last.ID) {
			t.Errorf("%s: the ID is %q", name, last.ID)
		}
	}
}

// notInFiles are the kinds of mistakes that no file of reasonable size can
// hold, with the test that holds them.
var notInFiles = map[string]string{
	"duplicate-name": "TestValidateFindsDoubleNames (root): the file's form refuses a key that stands twice",
	"unreadable":     "TestUnreadableFile",
	"too-big":        "TestHugeFilesAreRefused",
}

// No kind of mistake is dead: each ID in the code occurs in a bad file.
func TestEveryKindOfMistakeIsShown(t *testing.T) {
	shown := map[string]bool{}
	for name, text := range badFiles(t) {
		_, _, found := Read(name, text)
		for _, d := range found {
			shown[d.ID] = true
		}
	}
	ids := idsInCode(t)
	if len(ids) < 100 {
		t.Fatalf("only %d kinds of mistakes found in the code; has the way they are written changed?", len(ids))
	}
	for id, where := range ids {
		if _, elsewhere := notInFiles[id]; !shown[id] && !elsewhere {
			t.Errorf("%s: no bad file shows %q", where, id)
		}
	}
	for id := range shown {
		if _, known := ids[id]; !known {
			t.Errorf("%q is reported, but was not found in the code", id)
		}
	}
}

// idsInCode lists the IDs that the checks may report: the first string given
// to one of the reporting functions, or assigned to an "id".
func idsInCode(t *testing.T) map[string]token.Position {
	t.Helper()
	ids := map[string]token.Position{}
	var paths []string
	for _, pattern := range []string{"*.go", "../../validate*.go"} {
		list, _ := filepath.Glob(pattern)
		paths = append(paths, list...)
	}
	files := token.NewFileSet()
	add := func(x ast.Expr) bool {
		if literal, ok := x.(*ast.BasicLit); ok && literal.Kind == token.STRING {
			if id, _ := strconv.Unquote(literal.Value); id != "" {
				ids[id] = files.Position(literal.Pos())
			}
			return true
		}
		return false
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if s, ok := n.Fun.(*ast.SelectorExpr); ok {
					switch s.Sel.Name {
					case "fault", "faultAt", "warn", "unknown", "between":
						for _, arg := range n.Args {
							if add(arg) {
								break
							}
						}
					}
				}
			case *ast.AssignStmt:
				for i, left := range n.Lhs {
					if name, ok := left.(*ast.Ident); ok && name.Name == "id" && i < len(n.Rhs) {
						add(n.Rhs[i])
					}
				}
			case *ast.KeyValueExpr:
				if name, ok := n.Key.(*ast.Ident); ok && name.Name == "ID" {
					add(n.Value)
				}
			}
			return true
		})
	}
	return ids
}

func TestUnreadableFile(t *testing.T) {
	for _, path := range []string{filepath.Join(t.TempDir(), "none.yaml"), t.TempDir()} {
		p, doc, found := Load(path)
		if p != nil || doc != nil || len(found) != 1 || found[0].ID != "unreadable" || found[0].Line != 1 {
			t.Errorf("%s: %v", path, found)
		}
	}
}

func TestHugeFilesAreRefused(t *testing.T) {
	for what, text := range map[string]string{
		"bytes":  strings.Repeat("#", facings.MaxFileBytes+1),
		"values": strings.Repeat("a: [,,,]\n", maxMarks/5),
	} {
		_, _, found := Read("huge.yaml", []byte(text))
		if len(found) != 1 || found[0].ID != "too-big" || found[0].Line != 1 {
			t.Errorf("too many %s: %v", what, found)
		}
	}
}
