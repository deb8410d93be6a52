package projectfile

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"facings"
)

func TestStarterIsWithoutFinding(t *testing.T) {
	p, _, found := Read("starter.yaml", Starter())
	if p == nil || len(found) > 0 {
		t.Fatalf("the starter has findings:\n%v", found)
	}
}

// The file that shows every key must: none may be forgotten by the reader, the
// schema or the tests that use the file.
func TestEveryKeyIsInAGoodFile(t *testing.T) {
	text, err := os.ReadFile("testdata/good/everything.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, _, found := Read("everything.yaml", text)
	if len(found) > 0 {
		t.Fatal(found)
	}
	set := map[string]bool{}
	var walk func(reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(v.MapIndex(k))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Type().Field(i).Tag.Get("yaml") == "-" {
					continue
				}
				name := v.Type().Name() + "." + v.Type().Field(i).Name
				set[name] = set[name] || !v.Field(i).IsZero()
				walk(v.Field(i))
			}
		}
	}
	walk(reflect.ValueOf(*p))
	for name, ok := range set {
		if !ok {
			t.Errorf("%s is nowhere in the file", name)
		}
	}
	if len(set) < 100 {
		t.Errorf("only %d fields seen", len(set))
	}
}

// Places are those of the words a person would look at.
func TestPlaces(t *testing.T) {
	const text = `facings: 1
finishes:
  plain: [red, {paint: blue}]
  long:
    coats:
      - red
    source: a book
units:
  Battery:
    figures: {gun: 4}
    scheme:
      barrel: red
`
	d := document(t, text)
	lines := strings.Split(text, "\n")
	for pointer, want := range map[string]string{
		"":                                 "facings: 1",
		"/finishes/plain":                  "plain: [red",
		"/finishes/plain/0":                "red, {paint",
		"/finishes/plain/0/paint":          "red, {paint",  // the short form
		"/finishes/plain/1/paint":          "blue}]",       // the long form
		"/finishes/plain/1/technique":      "{paint: blue", // not there: the coat
		"/finishes/long/0":                 "red",          // as the project counts
		"/finishes/long/coats/0":           "red",          // as the file is written
		"/finishes/long/uncertain":         "long:",
		"/units/Battery/figures/gun/count": "4}",
		"/units/Battery/scheme/barrel":     "red",
		"/units/Battery/scheme/hat":        "scheme:",
		"/units/Other/scheme/hat":          "units:",
		"/nothing/of/the/kind":             "facings: 1",
	} {
		line, column := d.Place(pointer)
		if got := lines[line-1][column-1:]; !strings.HasPrefix(got, want) {
			t.Errorf("%s stands at %d:%d, %q, want %q", pointer, line, column, got, want)
		}
	}
	// The path is the file's own: a short form has nothing inside it.
	for pointer, want := range map[string]string{"/finishes/plain/0/paint": "/finishes/plain/0", "/units/Battery/figures/gun/count": "/units/Battery/figures/gun",
		"/finishes/plain/1/technique": "/finishes/plain/1/technique", "/finishes/long/0/paint": "/finishes/long/coats/0"} {
		if got := d.locate(facings.Diagnostic{Path: pointer}).Path; got != want {
			t.Errorf("%s is written %s, want %s", pointer, got, want)
		}
	}
	// A fault about a name points at the name; findings of others come in file order.
	found := d.Locate(facings.Diagnostics{{Path: "/units/Battery/scheme/barrel", Value: "barrel"}, {Path: "/finishes/long/0"}})
	if len(found) != 2 || found[1].Line != 12 || found[1].Column != 7 || found[0].Line != 6 || found[0].Path != "/finishes/long/coats/0" || found[0].File != "sample.yaml" {
		t.Errorf("located: %+v", found)
	}
}
