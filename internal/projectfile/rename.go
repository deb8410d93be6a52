package projectfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"facings"
)

// Rename gives a named thing (a paint, mix, finish, casting, trait, value of a
// trait, unit, role or painter) another name, there and wherever the file
// speaks of it.
func (d *Doc) Rename(pointer, name string) error {
	if c, ok := d.canonical[pointer]; ok {
		pointer = c
	}
	thing, err := tokensOf(pointer)
	if err != nil {
		return err
	}
	pl, ok := d.places[pointer]
	if !ok || pl.key == nil || !hasName(thing) {
		return fmt.Errorf("%s: there is nothing of that name to rename", pointer)
	}
	if _, taken := d.places[parent(pointer)+facings.Pointer(name)]; taken || strings.TrimSpace(name) == "" {
		return fmt.Errorf("%s: the name %q is taken or empty", pointer, name)
	}
	renamed := map[*yaml.Node]string{pl.key: name}
	for path, p := range d.places {
		tokens, err := tokensOf(path)
		if err != nil { // the root
			continue
		}
		if p.key != nil && namesAsKey(tokens, thing) {
			renamed[p.key] = name
		}
		if number, ok := figureOf(tokens, thing); ok {
			renamed[p.key] = facings.SingleName(name, number)
		}
		if p.value.Kind == yaml.ScalarNode && p.value.Value == thing[len(thing)-1] && d.namesAsValue(tokens, thing) {
			renamed[p.value] = name
		}
	}
	e := editor{layout: newLayout(d.text), newline: "\n"}
	for n, to := range renamed {
		e.splice(e.start(n), e.end(n, 0), scalarText(textNode(to)))
	}
	if !d.accept(e.splices, withNames(d.root, renamed)) {
		return fmt.Errorf("%s cannot be renamed in place; change it by hand", pointer)
	}
	return nil
}

// matches compares a pointer's tokens with a pattern, in which "*" is any.
func matches(tokens []string, pattern ...string) bool {
	if len(tokens) != len(pattern) {
		return false
	}
	for i, p := range pattern {
		if p != "*" && p != tokens[i] {
			return false
		}
	}
	return true
}

// hasName reports whether a pointer is that of a named thing.
func hasName(t []string) bool {
	return (len(t) == 2 && slices.Contains([]string{"rack", "mixes", "finishes", "castings", "traits", "units"}, t[0])) ||
		matches(t, "traits", "*", "values", "*") || matches(t, "units", "*", "figures", "*") || matches(t, "calendar", "painters", "*")
}

// namesAsKey reports whether the key at a pointer is a thing's name.
func namesAsKey(t, thing []string) bool {
	name := thing[len(thing)-1]
	switch {
	case matches(thing, "rack", "*"):
		return matches(t, "mixes", "*", name)
	case matches(thing, "traits", "*"):
		return matches(t, "units", "*", "shares", name) || matches(t, "units", "*", "*", "*", "traits", name)
	case matches(thing, "traits", "*", "values", "*"):
		return matches(t, "units", "*", "shares", thing[1], name)
	}
	return false
}

// figureOf is the number of a single figure of a role, by its key.
func figureOf(t, role []string) (number int, ok bool) {
	if !matches(role, "units", "*", "figures", "*") || !matches(t, "units", role[1], "single", "*") {
		return 0, false
	}
	digits, ok := strings.CutPrefix(t[3], role[3]+" ")
	if !ok {
		return 0, false
	}
	number, err := strconv.Atoi(digits)
	return number, err == nil
}

// namesAsValue reports whether the text at a pointer, being a thing's name,
// means the thing.
func (d *Doc) namesAsValue(t, thing []string) bool {
	scheme := len(t) >= 4 && t[len(t)-2] == "scheme" && (t[0] == "units" || t[0] == "traits")
	coat := (matches(t, "finishes", "*", "*") && !isLongField("/"+t[2])) || matches(t, "finishes", "*", "*", "paint")
	flag := matches(t, "units", "*", "flag", "parts", "*", "colours", "*")
	switch {
	case matches(thing, "rack", "*"):
		return coat || (flag && !d.has("finishes", thing[1])) || (scheme && !d.has("finishes", thing[1])) || matches(t, "undercoat", "dark") || matches(t, "undercoat", "light") || matches(t, "ending", "*", "paint") || matches(t, "ending", "*", "materials", "*")
	case matches(thing, "mixes", "*"):
		return coat || (flag && !d.has("finishes", thing[1])) || (scheme && !d.has("finishes", thing[1]))
	case matches(thing, "finishes", "*"):
		return scheme || flag
	case matches(thing, "castings", "*"):
		return matches(t, "castings", "*", "like") || matches(t, "units", "*", "body") || matches(t, "units", "*", "figures", "*", "body")
	case matches(thing, "traits", "*"):
		return matches(t, "units", "*", "traits", "*") || matches(t, "traits", "*", "*", "*", "trait")
	case matches(thing, "traits", "*", "values", "*"):
		other := facings.Pointer(t[:len(t)-1]...) + "/trait"
		return matches(t, "units", "*", "*", "*", "traits", thing[1]) || matches(t, "traits", thing[1], "*", "*", "value") ||
			(matches(t, "traits", "*", "*", "*", "with") && d.places[other].value != nil && d.places[other].value.Value == thing[1])
	case matches(thing, "units", "*"):
		return matches(t, "calendar", "games", "*", "units", "*")
	case matches(thing, "units", "*", "figures", "*"):
		return matches(t, "units", thing[1], "flag", "role")
	}
	return false
}

func (d *Doc) has(names ...string) bool {
	_, ok := d.places[facings.Pointer(names...)]
	return ok
}

// withNames is a copy of a tree in which some scalars say something else.
func withNames(n *yaml.Node, names map[*yaml.Node]string) *yaml.Node {
	out := *n
	if name, ok := names[n]; ok {
		out = *textNode(name)
	}
	out.Content = nil
	for _, c := range n.Content {
		out.Content = append(out.Content, withNames(c, names))
	}
	return &out
}
