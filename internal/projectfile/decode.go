package projectfile

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"facings"
)

// reader turns YAML nodes into a project and collects what is wrong.
type reader struct {
	name  string
	doc   *Doc // nil until the text was YAML
	ds    facings.Diagnostics
	forms map[reflect.Type]*form
}

// spot is where a value stands. Canonical pointers are the ones the project
// itself reports (Project.Validate); written ones spell every key as the file
// does. They differ where a long form or a misspelt key stands between.
type spot struct {
	canonical, written string
	key                *yaml.Node // of the entry; nil in a list
	what               string     // the value in words: "left_ml", "entry 2 of lacks"
}

func (s spot) child(canonical, written string, key *yaml.Node) spot {
	return spot{s.canonical + facings.Pointer(canonical), s.written + facings.Pointer(written), key, written}
}

func (s spot) item(i int) spot {
	token := facings.Pointer(strconv.Itoa(i))
	return spot{s.canonical + token, s.written + token, nil, fmt.Sprintf("entry %d of %s", i+1, s.what)}
}

// project decodes the root map.
func (r *reader) project(root *yaml.Node) *facings.Project {
	r.forms = map[reflect.Type]*form{}
	p := &facings.Project{}
	at := spot{what: "a project"}
	r.doc.add(at, root)
	r.structure(root, at, reflect.ValueOf(p).Elem())
	return p
}

func (r *reader) form(t reflect.Type) *form {
	f, ok := r.forms[t]
	if !ok {
		f = formOf(t)
		r.forms[t] = f
	}
	return f
}

// value decodes one node into v by v's type.
func (r *reader) value(n *yaml.Node, at spot, v reflect.Value) {
	r.doc.add(at, n)
	if !r.plain(n, at) {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		target := reflect.New(v.Type().Elem())
		if v.Type() == reflect.TypeFor[*facings.SetUp]() {
			target.Elem().Set(reflect.ValueOf(facings.DefaultSetUp()))
		}
		r.value(n, at, target.Elem())
		v.Set(target)
	case reflect.Struct:
		r.whole(n, at, v)
	case reflect.Slice:
		if keyOf(v.Type().Elem()) != "" {
			r.keyed(n, at, v)
		} else {
			r.list(n, at, v)
		}
	case reflect.Map:
		r.dictionary(n, at, v)
	default:
		r.scalar(n, at, v)
	}
}

// plain refuses YAML's shorthands for repeating and typing.
func (r *reader) plain(n *yaml.Node, at spot) bool {
	switch {
	case n.Kind == yaml.AliasNode:
		r.fault(n, at, "anchor", "*"+n.Value, fmt.Sprintf("\"*%s\" repeats something written elsewhere, which a project does not do", n.Value),
			"write the value out, or give it a name (a finish, a mix, a trait) and use that; text that starts with * goes in quotes")
		return false
	case n.Anchor != "":
		r.fault(n, at, "anchor", "&"+n.Anchor, fmt.Sprintf("\"&%s\" marks something for repeating, which a project does not do", n.Anchor),
			"take the mark out; text that starts with & goes in quotes")
	case n.Style&yaml.TaggedStyle != 0:
		r.fault(n, at, "tag", n.Tag, fmt.Sprintf("\"%s\" gives the value a YAML type, which a project does not need", n.Tag),
			"take it out; text that starts with ! goes in quotes")
		return false
	}
	return true
}

// whole decodes a struct that may be written in its short form.
func (r *reader) whole(n *yaml.Node, at spot, v reflect.Value) {
	if v.Type() == reflect.TypeFor[facings.ExtraRule]() {
		r.extraRule(n, at, v.Addr().Interface().(*facings.ExtraRule))
		return
	}
	f := r.form(v.Type())
	short, ok := f.shortField()
	if !ok {
		r.structure(n, at, v)
		return
	}
	target := v.Field(short.index)
	isShort := false
	switch target.Kind() {
	case reflect.Slice:
		isShort = n.Kind != yaml.MappingNode
		if keyOf(target.Type().Elem()) != "" { // a mix: a map of parts, unless one called "parts" holds them
			isShort = n.Kind == yaml.MappingNode && !holdsMap(n, f.short)
		}
	default:
		isShort = n.Kind == yaml.ScalarNode || len(f.fields) == 1
	}
	if isShort {
		r.value(n, at, target)
		return
	}
	r.structure(n, at, v)
}

// holdsMap reports whether the map has a key whose value is a map.
func holdsMap(n *yaml.Node, key string) bool {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key && n.Content[i+1].Kind == yaml.MappingNode {
			return true
		}
	}
	return false
}

// structure decodes a map with known keys.
func (r *reader) structure(n *yaml.Node, at spot, v reflect.Value) {
	if isNull(n) {
		return
	}
	f := r.form(v.Type())
	if n.Kind != yaml.MappingNode {
		hint := "write its keys, as in {" + strings.Join(f.names()[:min(2, len(f.fields))], ": …, ") + ": …}"
		r.wrongType(n, at, "a map", hint)
		return
	}
	used := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		used[n.Content[i].Value] = true
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		written, ok := r.key(key, at, seen)
		if !ok {
			continue
		}
		name := written
		fld, known := f.field(written)
		if !known {
			name = r.unknownKey(key, at, f)
			if fld, known = f.field(name); !known || used[name] {
				continue
			}
			used[name] = true
		}
		child := at.child(name, written, key)
		if name == f.short && v.Field(fld.index).Kind() == reflect.Slice { // what is in the list is in the whole
			child.canonical = at.canonical
			if pl, ok := r.doc.places[at.canonical]; ok {
				pl.inner = child.written
				r.doc.places[at.canonical] = pl
			}
		}
		before := len(r.ds)
		r.value(value, child, v.Field(fld.index))
		r.zero(value, child, name, len(r.ds) > before)
	}
}

// unknownKey reports a key that is not known here and returns the one that was
// probably meant.
func (r *reader) unknownKey(key *yaml.Node, at spot, f *form) string {
	near := facings.Nearest(key.Value, f.names())
	hint := "known here: " + strings.Join(f.names(), ", ")
	if near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	} else if key.Value == f.key {
		hint = "the name is the key that this entry stands under"
	}
	r.fault(key, at.child(key.Value, key.Value, key), "unknown-key", key.Value,
		fmt.Sprintf("%q is not known in %s", clip(key.Value), at.what), hint)
	return near
}

// key checks that a map's key is text and new.
func (r *reader) key(key *yaml.Node, at spot, seen map[string]*yaml.Node) (string, bool) {
	child := at.child(key.Value, key.Value, key)
	if key.Kind != yaml.ScalarNode {
		if key.Kind == yaml.AliasNode || key.Anchor != "" {
			r.plain(key, child)
			return "", false
		}
		r.fault(key, at, "name-not-text", "", fmt.Sprintf("a key in %s is %s, but names are text", at.what, describe(key)), "write a name before the colon")
		return "", false
	}
	if !r.plain(key, child) {
		return "", false
	}
	if tag := key.ShortTag(); tag != "!!str" && tag != "!!timestamp" && tag != "!!merge" {
		r.fault(key, child, "name-not-text", key.Value, fmt.Sprintf("the name %s is %s to YAML, but names are text", orEmpty(key.Value), describe(key)),
			fmt.Sprintf("write it in quotes: %q", key.Value))
	}
	if first, double := seen[key.Value]; double {
		r.fault(key, child, "duplicate-key", key.Value, fmt.Sprintf("%q stands in %s twice, first on line %d", clip(key.Value), at.what, first.Line),
			"give one of the two another name, or join them")
		return "", false
	}
	seen[key.Value] = key
	return key.Value, true
}

// zero refuses a written 0 where 0 would silently mean the default.
func (r *reader) zero(n *yaml.Node, at spot, field string, faulty bool) {
	if faulty || n.Kind != yaml.ScalarNode || !zeroIsDefault(field) {
		return
	}
	if x, err := strconv.ParseFloat(n.Value, 64); err == nil && x == 0 {
		r.fault(n, at, "zero", n.Value, fmt.Sprintf("%s is 0, which cannot be meant", field), "give its value, or leave the line out for the default")
	}
}

// keyed decodes a map of named things into a list, in file order.
func (r *reader) keyed(n *yaml.Node, at spot, list reflect.Value) {
	if isNull(n) {
		return
	}
	if n.Kind != yaml.MappingNode {
		r.wrongType(n, at, "a map from names to their values", "write each as \"name: …\"")
		return
	}
	elem := list.Type().Elem()
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, ok := r.key(n.Content[i], at, seen)
		if !ok {
			continue
		}
		v := reflect.New(elem).Elem()
		child := at.child(name, name, n.Content[i])
		if single, isSingle := v.Addr().Interface().(*facings.Single); isSingle {
			if !r.singleName(n.Content[i], child, name, single) {
				continue
			}
		} else {
			v.Field(r.form(elem).keyIndex()).SetString(name)
		}
		r.value(n.Content[i+1], child, v)
		list.Set(reflect.Append(list, v))
	}
}

// singleName reads "trooper 3".
func (r *reader) singleName(key *yaml.Node, at spot, name string, s *facings.Single) bool {
	cut := strings.LastIndexByte(name, ' ')
	if cut > 0 {
		if number, err := strconv.Atoi(name[cut+1:]); err == nil && facings.SingleName(name[:cut], number) == name {
			s.Role, s.Number = name[:cut], number
			return true
		}
	}
	r.fault(key, at, "figure-name", name, fmt.Sprintf("%q does not say which figure is meant", clip(name)), "write role and number, as in \"trooper 3\"")
	return false
}

// extraRule reads "A before B".
func (r *reader) extraRule(n *yaml.Node, at spot, rule *facings.ExtraRule) {
	if n.Kind != yaml.ScalarNode {
		r.wrongType(n, at, "text", "write \"cross straps before jacket\"")
		return
	}
	first, then, ok := strings.Cut(n.Value, " before ")
	if !ok || strings.Contains(then, " before ") || strings.TrimSpace(first) == "" || strings.TrimSpace(then) == "" {
		r.fault(n, at, "rule-text", n.Value, fmt.Sprintf("the rule %q does not say what comes before what", clip(n.Value)), "write two areas: \"cross straps before jacket\"")
		return
	}
	rule.First, rule.Then = strings.TrimSpace(first), strings.TrimSpace(then)
}

// list decodes a list.
func (r *reader) list(n *yaml.Node, at spot, list reflect.Value) {
	if isNull(n) {
		return
	}
	if n.Kind != yaml.SequenceNode {
		hint := "write each entry on a line of its own after \"- \""
		if n.Kind == yaml.ScalarNode {
			hint = fmt.Sprintf("write [%s]", clip(n.Value))
		}
		r.wrongType(n, at, "a list", hint)
		return
	}
	for i, item := range n.Content {
		v := reflect.New(list.Type().Elem()).Elem()
		r.value(item, at.item(i), v)
		list.Set(reflect.Append(list, v))
	}
}

// dictionary decodes a map from names to values of one type.
func (r *reader) dictionary(n *yaml.Node, at spot, m reflect.Value) {
	if isNull(n) {
		return
	}
	if n.Kind != yaml.MappingNode {
		r.wrongType(n, at, "a map", "write \"name: value\", each on its own line or in braces")
		return
	}
	m.Set(reflect.MakeMap(m.Type()))
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, ok := r.key(n.Content[i], at, seen)
		if !ok {
			continue
		}
		v := reflect.New(m.Type().Elem()).Elem()
		if v.Type() == reflect.TypeFor[facings.Drying]() {
			v.Set(reflect.ValueOf(facings.DefaultDrying(facings.Kind(name))))
		}
		r.value(n.Content[i+1], at.child(name, name, n.Content[i]), v)
		m.SetMapIndex(reflect.ValueOf(name).Convert(m.Type().Key()), v)
	}
}

// notWhole says why a value is no whole number from 0, or from below it, to most.
func (r *reader) notWhole(n *yaml.Node, at spot, wanted string, most uint64) {
	digits, negative := strings.CutPrefix(n.Value, "-")
	whole := n.Kind == yaml.ScalarNode && n.Style == 0 && digits != "" && strings.Trim(digits, "0123456789") == ""
	switch {
	case whole && negative:
		r.fault(n, at, "whole-range", n.Value, fmt.Sprintf("%s is %s, which is too small", at.what, clip(n.Value)), "write 0 or more")
	case whole:
		r.fault(n, at, "whole-range", n.Value, fmt.Sprintf("%s is %s, which is too large", at.what, clip(n.Value)), fmt.Sprintf("write a whole number up to %d", most))
	case n.ShortTag() == "!!float" && strings.Contains(n.Value, "."):
		r.wrongType(n, at, wanted, "write it without a fraction, as in 12")
	default:
		r.wrongType(n, at, wanted, "write it in digits, as in 12")
	}
}

// scalar decodes text, numbers and switches.
func (r *reader) scalar(n *yaml.Node, at spot, v reflect.Value) {
	if isNull(n) {
		r.fault(n, at, "empty-value", "", at.what+" has no value", "give one, or take the line out")
		return
	}
	tag := n.ShortTag()
	if n.Kind != yaml.ScalarNode {
		tag = ""
	}
	switch v.Kind() {
	case reflect.String:
		if tag != "!!str" && tag != "!!timestamp" && tag != "!!merge" {
			hint := "write text here"
			if tag != "" {
				hint = fmt.Sprintf("write it in quotes if it is meant as text: %q", n.Value)
			}
			r.wrongType(n, at, "text", hint)
		}
		if tag != "" {
			v.SetString(n.Value)
		}
	case reflect.Bool:
		if tag != "!!bool" {
			r.wrongType(n, at, "true or false", "write true or false, without quotes")
			return
		}
		v.SetBool(strings.EqualFold(n.Value, "true"))
	case reflect.Int, reflect.Int64:
		x, err := strconv.ParseInt(n.Value, 10, 64)
		if tag != "!!int" || err != nil || x < math.MinInt32 || x > math.MaxInt32 {
			r.notWhole(n, at, "a whole number", math.MaxInt32)
			return
		}
		v.SetInt(x)
	case reflect.Uint64:
		x, err := strconv.ParseUint(n.Value, 10, 64)
		if tag != "!!int" || err != nil {
			r.notWhole(n, at, "a whole number that is not negative", math.MaxUint64)
			return
		}
		v.SetUint(x)
	case reflect.Float64:
		x, err := strconv.ParseFloat(n.Value, 64)
		if (tag != "!!int" && tag != "!!float") || err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			hint := "write it in digits with a point, as in 0.5"
			if fixed := strings.Replace(n.Value, ",", ".", 1); tag == "!!str" && fixed != n.Value {
				if _, err := strconv.ParseFloat(fixed, 64); err == nil {
					hint = "write " + fixed + ", with a point"
				}
			}
			r.wrongType(n, at, "a number", hint)
			return
		}
		v.SetFloat(x)
	}
}
