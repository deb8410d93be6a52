package projectfile

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"

	"go.yaml.in/yaml/v4"

	"facings"
)

// Marshal writes a project as a new file. What is written reads back as the
// same project; a project that cannot be written so (a number that is none,
// two things with one name) is an error. To change a file that a person wrote,
// use Doc.Set instead, which keeps its comments.
func Marshal(p *facings.Project) ([]byte, error) {
	text := encodeText(p)
	r := &reader{}
	root := r.parse(text)
	if root == nil {
		return nil, fmt.Errorf("the project cannot be written: %w", r.ds)
	}
	r.doc = newDoc("", text, false, root)
	again := r.project(root)
	if r.ds.Faulty() {
		return nil, fmt.Errorf("the project cannot be written: %w", r.ds)
	}
	if string(encodeText(again)) != string(text) {
		return nil, errors.New("the project cannot be written: it would not read back as the same")
	}
	return text, nil
}

func encodeText(p *facings.Project) []byte {
	w := &writer{}
	w.blockMap(encode(reflect.ValueOf(p).Elem()), 0)
	return w.b.Bytes()
}

// encoder remembers what it needs for every value of a kind.
type encoder struct {
	forms map[reflect.Type]*form
	areas map[string]int // the place of each area in the catalogue
}

// encode turns a value into nodes of the file's shape; it is decode's mirror.
func encode(v reflect.Value) *yaml.Node {
	areas := map[string]int{}
	for i, a := range facings.Catalogue() {
		areas[a.Name] = i
	}
	return (&encoder{map[reflect.Type]*form{}, areas}).value(v)
}

func (e *encoder) form(t reflect.Type) *form {
	f, ok := e.forms[t]
	if !ok {
		f = formOf(t)
		e.forms[t] = f
	}
	return f
}

func (e *encoder) value(v reflect.Value) *yaml.Node {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return e.value(v.Elem())
	case reflect.String:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: v.String()}
	case reflect.Bool:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!bool", Value: strconv.FormatBool(v.Bool())}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: strconv.FormatInt(v.Int(), 10)}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: strconv.FormatUint(v.Uint(), 10)}
	case reflect.Float32, reflect.Float64:
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!float", Value: formatFloat(v.Float())}
	case reflect.Map:
		return e.dictionary(v)
	case reflect.Slice:
		return e.list(v)
	case reflect.Struct:
		return e.whole(v)
	}
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null", Value: "null"}
}

func formatFloat(x float64) string {
	if a := math.Abs(x); a == 0 || (a >= 1e-4 && a < 1e15) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// dictionary writes schemes in the catalogue's order of areas, from face to base,
// and other maps by name.
func (e *encoder) dictionary(v reflect.Value) *yaml.Node {
	scheme := v.Type() == reflect.TypeFor[facings.Scheme]()
	place := func(k reflect.Value) int {
		at, ok := e.areas[k.String()]
		if !scheme || !ok {
			return len(e.areas) // after those in it
		}
		return at
	}
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a.String(), b.String()))
	})
	n := &yaml.Node{Kind: yaml.MappingNode}
	for _, k := range keys {
		n.Content = append(n.Content, e.value(k), e.value(v.MapIndex(k)))
	}
	return n
}

func (e *encoder) list(v reflect.Value) *yaml.Node {
	elem := v.Type().Elem()
	if keyOf(elem) == "" {
		n := &yaml.Node{Kind: yaml.SequenceNode}
		for i := range v.Len() {
			n.Content = append(n.Content, e.value(v.Index(i)))
		}
		return n
	}
	n := &yaml.Node{Kind: yaml.MappingNode}
	index := e.form(elem).keyIndex()
	for i := range v.Len() {
		x := v.Index(i)
		key := x.Field(index).String()
		if s, ok := x.Interface().(facings.Single); ok {
			key = facings.SingleName(s.Role, s.Number)
		}
		n.Content = append(n.Content, e.value(reflect.ValueOf(key)), e.value(x))
	}
	n.Style = keyedStyle
	if elem != reflect.TypeFor[facings.Part]() {
		n.Style |= blockStyle
	}
	return n
}

// Two marks on nodes to be written, in place of styles that mean nothing for a
// map: never in braces; a list of named things, whose order counts.
const (
	blockStyle = yaml.LiteralStyle
	keyedStyle = yaml.FoldedStyle
)

func (e *encoder) whole(v reflect.Value) *yaml.Node {
	if rule, ok := v.Interface().(facings.ExtraRule); ok {
		return e.value(reflect.ValueOf(rule.First + " before " + rule.Then))
	}
	f := e.form(v.Type())
	if short, ok := f.shortField(); ok && f.onlyShort(v) {
		return e.value(v.Field(short.index))
	}
	n := &yaml.Node{Kind: yaml.MappingNode}
	full := f.typ == reflect.TypeFor[facings.SetUp]() // what it leaves out is not zero, but the default
	for _, x := range f.fields {
		field := v.Field(x.index)
		container := field.Kind() == reflect.Slice || field.Kind() == reflect.Map
		empty := field.IsZero() || (container && field.Len() == 0)
		if empty && !full && x.name != f.short && (x.omitEmpty || (container && f.typ != reflect.TypeFor[facings.Project]())) {
			continue
		}
		child := e.value(field)
		if f.typ == reflect.TypeFor[facings.Unit]() && x.name == "scheme" {
			child.Style = blockStyle
		}
		n.Content = append(n.Content, e.value(reflect.ValueOf(x.name)), child)
	}
	switch f.typ {
	case reflect.TypeFor[facings.Project](), reflect.TypeFor[facings.Unit](), reflect.TypeFor[facings.Calendar](), reflect.TypeFor[facings.Painter]():
		n.Style = blockStyle
	}
	return n
}

// onlyShort reports whether nothing but the short field is set. A mix's parts
// are a map, so a paint called "parts" must not look like the long form; it
// cannot, its value is a number.
func (f *form) onlyShort(v reflect.Value) bool {
	return !slices.ContainsFunc(f.fields, func(x field) bool {
		field := v.Field(x.index)
		empty := field.IsZero() || ((field.Kind() == reflect.Slice || field.Kind() == reflect.Map) && field.Len() == 0)
		return x.name != f.short && !empty
	})
}
