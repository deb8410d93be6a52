package projectfile

import (
	"reflect"
	"strings"

	"facings"
)

// The file's shape follows the Go types' yaml tags with three differences,
// and these are all of them:
//
//   - a list of named things is a map from name to the rest (keyOf);
//   - a thing may be written as its most important field alone (shortOf);
//   - a few have a notation of their own (facings.Single's key, facings.ExtraRule).

// keyOf is the field that becomes the key when a list of t is written as a
// map; empty for types whose lists are lists.
func keyOf(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[facings.Paint](), reflect.TypeFor[facings.Mix](), reflect.TypeFor[facings.Finish](),
		reflect.TypeFor[facings.Casting](), reflect.TypeFor[facings.Trait](), reflect.TypeFor[facings.TraitValue](),
		reflect.TypeFor[facings.Unit](), reflect.TypeFor[facings.Painter]():
		return "name"
	case reflect.TypeFor[facings.Role](), reflect.TypeFor[facings.Single]():
		return "role"
	case reflect.TypeFor[facings.Part]():
		return "paint"
	}
	return ""
}

// shortOf is the field that may stand for the whole of a t: a coat may be its
// paint, a finish its list of coats.
func shortOf(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[facings.Coat]():
		return "paint"
	case reflect.TypeFor[facings.AddsArea]():
		return "area"
	case reflect.TypeFor[facings.Role]():
		return "count"
	case reflect.TypeFor[facings.Part](), reflect.TypeFor[facings.Mix]():
		return "parts"
	case reflect.TypeFor[facings.Finish]():
		return "coats"
	}
	return ""
}

// zeroIsDefault lists the fields in which zero means "not said": a zero
// written there would silently be something else, so it is refused.
func zeroIsDefault(field string) bool {
	switch field {
	case "temperature_c", "humidity_percent", "size_mm", "scale", "pace", "elevation_deg", "ranks", "batch_figures",
		"cover_percent", "weight", "patience_minutes", "drops_per_ml", "area_mm2", "fiddly", "pole_mm", "width_mm", "depth_mm",
		"pot_ml", "pot_g", "size", "pieces", "worth":
		return true
	}
	return false
}

// form is one struct type as the file shows it.
type form struct {
	typ    reflect.Type
	fields []field
	key    string // field that is the entry's key, or empty
	short  string // field that may stand for the whole, or empty
}

type field struct {
	name      string // in the file
	index     int    // in the struct
	omitEmpty bool
}

// formOf reads the yaml tags of a struct type. The key field is left out of
// the fields; so is Single's number, which is part of its key.
func formOf(t reflect.Type) *form {
	f := &form{typ: t, key: keyOf(t), short: shortOf(t)}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "" || name == "-" || name == f.key || (t == reflect.TypeFor[facings.Single]() && name == "number") {
			continue
		}
		f.fields = append(f.fields, field{name: name, index: i, omitEmpty: strings.Contains(options, "omitempty")})
	}
	return f
}

func (f *form) field(name string) (field, bool) {
	for _, x := range f.fields {
		if x.name == name {
			return x, true
		}
	}
	return field{}, false
}

// names lists the keys that a map of this form may have.
func (f *form) names() []string {
	var out []string
	for _, x := range f.fields {
		out = append(out, x.name)
	}
	return out
}

// keyIndex is the struct field that holds the entry's key.
func (f *form) keyIndex() int {
	for i := range f.typ.NumField() {
		if name, _, _ := strings.Cut(f.typ.Field(i).Tag.Get("yaml"), ","); name == f.key {
			return i
		}
	}
	return -1
}

func (f *form) shortField() (field, bool) { return f.field(f.short) }
