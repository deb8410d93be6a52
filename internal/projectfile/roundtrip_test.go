package projectfile

import (
	"reflect"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"facings"
)

// Whatever a project holds, with names as awkward as YAML knows them, it is
// the same after writing and reading.
func TestMarshalReadsBackTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := &facings.Project{}
		fill(t, reflect.ValueOf(want).Elem(), "")
		text, err := Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		r := &reader{}
		root := r.parse(text)
		if root == nil {
			t.Fatalf("%v\n%s", r.ds, text)
		}
		r.doc = newDoc("", text, false, root)
		got := r.project(root)
		if len(r.ds) > 0 {
			t.Fatalf("%v\n%s", r.ds, text)
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("%s\n%s", diff, text)
		}
	})
}

// Reading what Marshal wrote and writing it again changes no byte.
func TestMarshalSettles(t *testing.T) {
	p, _, _ := Read("starter.yaml", Starter())
	first, err := Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	again, _, found := Read("again.yaml", first)
	if len(found) > 0 {
		t.Fatalf("what was written has findings:\n%v", found)
	}
	second, err := Marshal(again)
	if err != nil || string(first) != string(second) {
		t.Errorf("written twice, not the same (%v):\n%s", err, cmp.Diff(string(first), string(second)))
	}
}

func TestMarshalRefusesWhatCannotBeRead(t *testing.T) {
	for what, p := range map[string]facings.Project{
		"two paints of one name":     {Rack: []facings.Paint{{Name: "red"}, {Name: "red"}}},
		"an area called by the rule": {Rules: facings.Rules{Also: []facings.ExtraRule{{First: "a before b", Then: "c"}}}},
		"a figure without a role":    {Units: []facings.Unit{{Name: "u", Single: []facings.Single{{Number: 3}}}}},
		"text that is no text":       {Name: "\xff"},
	} {
		if text, err := Marshal(&p); err == nil {
			t.Errorf("%s was written:\n%s", what, text)
		}
	}
}

// awkward are texts that YAML would take for something else, or break on.
var awkward = []string{"yes", "No", "null", "~", "12", "1e3", "0x1F", "1_000", "2027-02-14", "19:30", "=", "<<", "- x", "? y", ": z", "a: b",
	"a #b", "#f4d81c", "*star", "&and", "!bang", "%per", "@at", "`tick`", "'single", "\"double", "[list]", "{map}", "a, b", "back\\slash",
	"line\nbreak", "tab\there", "\u0085", "\u2028", "\ufeff", "🐎", "naïve", "parts", "coats", "-", "---", "...", "|", ">", ".inf", ".NaN", "true", "e", "note"}

// fill gives a value random content of the kinds that a file can hold.
func fill(t *rapid.T, v reflect.Value, name string) {
	if fillOwn(t, v) {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if rapid.Bool().Draw(t, name+" set") {
			v.Set(reflect.New(v.Type().Elem()))
			fill(t, v.Elem(), name)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ",")
			if tag != "-" { // never in a file
				fill(t, v.Field(i), tag)
			}
		}
	case reflect.Slice:
		fillList(t, v, name)
	case reflect.Map:
		n := rapid.IntRange(0, 2).Draw(t, name+" length")
		v.Set(reflect.MakeMap(v.Type()))
		for range n {
			x := reflect.New(v.Type().Elem()).Elem()
			fill(t, x, name)
			v.SetMapIndex(reflect.ValueOf(text(t)).Convert(v.Type().Key()), x)
		}
	case reflect.String:
		v.SetString(text(t))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, name))
	case reflect.Int:
		v.SetInt(int64(rapid.Int32().Draw(t, name)))
	case reflect.Uint64:
		v.SetUint(rapid.Uint64().Draw(t, name))
	case reflect.Float64:
		v.SetFloat(rapid.Float64().Draw(t, name))
	}
}

// fillOwn fills the types with a notation of their own.
func fillOwn(t *rapid.T, v reflect.Value) bool {
	switch x := v.Addr().Interface().(type) {
	case *facings.ExtraRule:
		x.First, x.Then = "a"+strings.TrimSpace(strings.ReplaceAll(text(t), "before", "")), "jacket"
		if strings.TrimSpace(x.First) != x.First {
			x.First = "hat"
		}
		return true
	case *facings.SetUp:
		*x = facings.DefaultSetUp()
		x.PaintMinutes = 0 // said, not left out
		return true
	}
	return false
}

func fillList(t *rapid.T, v reflect.Value, name string) {
	seen := map[string]bool{}
	for range rapid.IntRange(0, 2).Draw(t, name+" length") {
		x := reflect.New(v.Type().Elem()).Elem()
		fill(t, x, name)
		if s, ok := x.Addr().Interface().(*facings.Single); ok {
			if s.Role == "" {
				s.Role = "trooper"
			}
			if key := facings.SingleName(s.Role, s.Number); seen[key] {
				continue
			}
			seen[facings.SingleName(s.Role, s.Number)] = true
		} else if keyOf(v.Type().Elem()) != "" {
			key := x.Field(formOf(v.Type().Elem()).keyIndex()).String()
			if seen[key] {
				continue
			}
			seen[key] = true
		}
		v.Set(reflect.Append(v, x))
	}
}

func text(t *rapid.T) string {
	if rapid.Bool().Draw(t, "awkward") {
		return rapid.SampledFrom(awkward).Draw(t, "text")
	}
	s := rapid.StringN(0, 12, -1).Draw(t, "text")
	if strings.ContainsRune(s, unicode.ReplacementChar) {
		return "plain"
	}
	return s
}
