package projectfile

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/invopop/jsonschema"
	validator "github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"facings"
)

var update = flag.Bool("update", false, "write the schema and the expected messages anew")

const schemaFile = "../../docs/project.schema.json"

// The committed schema is what the types give today; -update writes it.
func TestSchemaIsCurrent(t *testing.T) {
	want := schema(t)
	if *update {
		if err := Write(schemaFile, want); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(schemaFile)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s is out of date (%v): go test ./internal/projectfile -run TestSchemaIsCurrent -update", schemaFile, err)
	}
}

// schema is the JSON Schema of a project file: that of the Go types, changed
// where the file's shape differs (see shape.go).
func schema(t *testing.T) []byte {
	t.Helper()
	r := &jsonschema.Reflector{FieldNameTag: "yaml", Mapper: words}
	for _, file := range []string{"project.go", "paint.go", "technique.go", "calendar.go"} {
		// The base is a folder from which "../.." is the package's path.
		if err := r.AddGoComments("facings/internal/projectfile", filepath.Join("../..", file), jsonschema.WithFullComment()); err != nil {
			t.Fatal(err)
		}
	}
	for name, comment := range r.CommentMap {
		r.CommentMap[name] = strings.Join(strings.Fields(comment), " ")
	}
	data, err := json.Marshal(r.Reflect(&facings.Project{}))
	if err != nil {
		t.Fatal(err)
	}
	var root map[string]any
	if err := json.Unmarshal(data, &root); err != nil {
		t.Fatal(err)
	}
	root["title"] = "Facings project file"
	delete(root, "$id")
	definitions := root["$defs"].(map[string]any)
	for _, x := range structs(reflect.TypeFor[facings.Project](), map[reflect.Type]bool{}) {
		definition := definitions[x.Name()].(map[string]any)
		reshape(definition, x)
		if short := shortOf(x); short != "" {
			definitions[x.Name()] = withShort(definition, x, short)
		}
	}
	definitions["ExtraRule"] = map[string]any{"type": "string", "pattern": "^.+ before .+$", "description": "One area's last base coat before another's first: \"cross straps before jacket\"."}
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(out, '\n')
}

// words gives the types that allow only certain words.
func words(t reflect.Type) *jsonschema.Schema {
	enum := func(list []string) *jsonschema.Schema {
		s := &jsonschema.Schema{Type: "string"}
		for _, x := range list {
			s.Enum = append(s.Enum, x)
		}
		return s
	}
	switch t {
	case reflect.TypeFor[facings.Kind]():
		var list []string
		for _, k := range facings.Kinds() {
			list = append(list, string(k))
		}
		return enum(list)
	case reflect.TypeFor[facings.Technique]():
		var list []string
		for _, h := range facings.Techniques() {
			if h.Technique != facings.Prepare {
				list = append(list, string(h.Technique))
			}
		}
		return enum(list)
	case reflect.TypeFor[facings.EndingKind]():
		var list []string
		for _, k := range facings.EndingKinds() {
			list = append(list, string(k))
		}
		return enum(list)
	}
	return nil
}

// structs lists the struct types that a type is made of.
func structs(t reflect.Type, seen map[reflect.Type]bool) []reflect.Type {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		return structs(t.Elem(), seen)
	case reflect.Struct:
		if seen[t] || t == reflect.TypeFor[facings.ExtraRule]() {
			return nil
		}
		seen[t] = true
		out := []reflect.Type{t}
		for i := range t.NumField() {
			if t.Field(i).Tag.Get("yaml") == "-" {
				continue
			}
			out = append(out, structs(t.Field(i).Type, seen)...)
		}
		return out
	}
	return nil
}

// reshape changes a struct's schema to the file's shape: no key field, lists of
// named things as maps, empty values for empty lists and maps, patterns.
func reshape(definition map[string]any, t reflect.Type) {
	f := formOf(t)
	properties := definition["properties"].(map[string]any)
	for name := range properties {
		if _, known := f.field(name); !known {
			delete(properties, name)
		}
	}
	required, _ := definition["required"].([]any)
	required = slices.DeleteFunc(required, func(x any) bool {
		_, known := f.field(x.(string))
		optional := x == "finishes" || x == "scheme" || t == reflect.TypeFor[facings.SetUp]() || t == reflect.TypeFor[facings.Drying]()
		return !known || optional
	})
	definition["required"] = required
	if len(required) == 0 {
		delete(definition, "required")
	}
	if t != reflect.TypeFor[facings.Project]() {
		definition["type"] = []string{"object", "null"}
	}
	for _, x := range f.fields {
		reshapeField(properties, x.name, t.Field(x.index).Type)
	}
	if t == reflect.TypeFor[facings.Project]() {
		properties["facings"].(map[string]any)["const"] = facings.FormatVersion
	}
	for name, list := range only(t) {
		properties[name].(map[string]any)["enum"] = list
	}
}

// only gives the texts of a struct that allow only certain words.
func only(t reflect.Type) map[string][]string {
	var parts, divisions, tables []string
	for _, x := range facings.FlagParts() {
		parts = append(parts, x.Part)
	}
	for _, x := range facings.Divisions() {
		divisions = append(divisions, x.Name)
	}
	for _, x := range facings.ReadyTraits() {
		tables = append(tables, x.Name)
	}
	return map[reflect.Type]map[string][]string{
		reflect.TypeFor[facings.Project]():  {"palette": {"wet", "dry"}},
		reflect.TypeFor[facings.Casting]():  {"headgear": facings.Headgears(), "cut": facings.Cuts()},
		reflect.TypeFor[facings.Trait]():    {"ready_made": tables},
		reflect.TypeFor[facings.Flag]():     {"shape": facings.FlagShapes()},
		reflect.TypeFor[facings.FlagPart](): {"part": parts, "division": divisions},
	}[t]
}

func reshapeField(properties map[string]any, name string, t reflect.Type) {
	p := properties[name].(map[string]any)
	switch {
	case t.Kind() == reflect.Slice && keyOf(t.Elem()) != "":
		p["type"] = []string{"object", "null"}
		p["additionalProperties"] = p["items"]
		delete(p, "items")
		names := map[string]any{"minLength": 1, "maxLength": facings.MaxNameLength}
		if t.Elem() == reflect.TypeFor[facings.Single]() {
			names["pattern"] = "^.+ [0-9]+$"
		}
		p["propertyNames"] = names
	case t.Kind() == reflect.Slice:
		p["type"] = []string{"array", "null"}
	case t.Kind() == reflect.Map:
		// Schemes are defined once; what their values are is in one place there.
		if _, isRef := p["$ref"]; !isRef {
			p["type"] = []string{"object", "null"}
		}
	}
	switch name {
	case "over_black", "over_white", "colour":
		p["pattern"] = "^#[0-9a-fA-F]{6}$"
	case "start", "ready_by", "date":
		p["pattern"] = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
	case "from", "to":
		p["pattern"] = "^[0-9]{2}:[0-9]{2}$"
	case "days":
		p["items"] = map[string]any{"type": "string", "enum": facings.Weekdays()}
	}
	if zeroIsDefault(name) {
		p["not"] = map[string]any{"const": 0}
	}
}

// withShort allows a thing's short form beside the long one.
func withShort(definition map[string]any, t reflect.Type, short string) map[string]any {
	properties := definition["properties"].(map[string]any)
	alone := map[string]any{}
	for k, v := range properties[short].(map[string]any) {
		if k != "description" {
			alone[k] = v
		}
	}
	description := definition["description"]
	delete(definition, "description")
	out := map[string]any{"description": description, "anyOf": []any{alone, definition}}
	if t == reflect.TypeFor[facings.Part]() {
		out = map[string]any{"description": description, "type": "integer"}
	}
	return out
}

func compiled(t *testing.T) *validator.Schema {
	t.Helper()
	text, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	document, err := validator.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := validator.NewCompiler()
	if err := c.AddResource("project.schema.json", document); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("project.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asJSON turns YAML into what a JSON Schema judges, by YAML's core schema (in
// which a date is text).
func asJSON(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = asJSON(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, x := range n.Content {
			list = append(list, asJSON(x))
		}
		return list
	}
	switch n.ShortTag() {
	case "!!null":
		return nil
	case "!!bool":
		return strings.EqualFold(n.Value, "true")
	case "!!int", "!!float":
		if x, err := strconv.ParseFloat(n.Value, 64); err == nil {
			return x
		}
	}
	return n.Value
}

func goodFiles(t *testing.T) map[string][]byte {
	t.Helper()
	files := map[string][]byte{"starter.yaml": Starter()}
	paths, _ := filepath.Glob("testdata/good/*.yaml")
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files[path] = text
	}
	return files
}

func TestSchemaAcceptsGoodFiles(t *testing.T) {
	s := compiled(t)
	for name, text := range goodFiles(t) {
		if _, _, found := Read(name, text); len(found) > 0 {
			t.Errorf("%s:\n%v", name, found)
		}
		root := (&reader{}).parse(text)
		if err := s.Validate(asJSON(root)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSchemaRejectsBadShapes(t *testing.T) {
	s := compiled(t)
	rejected := 0
	for name, text := range badFiles(t) {
		for _, id := range []string{"wrong-type", "unknown-key", "zero", "figure-name", "rule-text", "empty-value", "bad-date-", "unknown-technique", "unknown-step", "no-kind"} {
			if strings.HasPrefix(name, id) {
				root := (&reader{}).parse(text)
				if root == nil { // a list at the root
					continue
				}
				rejected++
				if err := s.Validate(asJSON(root)); err == nil {
					t.Errorf("the schema accepts %s", name)
				}
			}
		}
	}
	if rejected < 20 {
		t.Errorf("only %d files of bad shape were tried", rejected)
	}
}
