package projectfile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"facings"
)

// fault records what is wrong with the node at a spot.
func (r *reader) fault(n *yaml.Node, at spot, id, value, message, hint string) {
	r.ds = append(r.ds, facings.Diagnostic{ID: id, Severity: facings.Fault, Path: at.written, File: r.name,
		Line: max(n.Line, 1), Column: max(n.Column, 1), Value: clip(value), Message: message, Hint: hint})
}

// faultAt records what is wrong with the text at a place.
func (r *reader) faultAt(line, column int, id, value, message, hint string) {
	r.ds = append(r.ds, facings.Diagnostic{ID: id, Severity: facings.Fault, File: r.name,
		Line: line, Column: column, Value: value, Message: message, Hint: hint})
}

func (r *reader) wrongType(n *yaml.Node, at spot, wanted, hint string) {
	r.fault(n, at, "wrong-type", n.Value, fmt.Sprintf("%s must be %s, but this is %s", at.what, wanted, describe(n)), hint)
}

// finish adds the faults of meaning to those of shape and puts all in file
// order. A fault of meaning that only follows from one of shape is left out.
func (r *reader) finish(p *facings.Project) facings.Diagnostics {
	if p != nil {
		broken := map[string]bool{}
		for _, d := range r.ds {
			broken[d.Path] = true
		}
		for _, d := range p.Validate() {
			d = r.doc.locate(d)
			if !r.follows(d, broken) {
				r.ds = append(r.ds, d)
			}
		}
	}
	r.ds.Sort()
	if extra := len(r.ds) - maxFaults; extra > 0 {
		last := r.ds[maxFaults-1]
		r.ds = append(r.ds[:maxFaults], facings.Diagnostic{ID: "too-many-faults", Severity: facings.Fault, Path: last.Path, File: r.name,
			Line: last.Line, Column: last.Column, Message: fmt.Sprintf("and %d more after this one", extra), Hint: "mend these first, then check again"})
	}
	return r.ds
}

// follows reports whether a fault of meaning stands at, above or below a fault
// of shape, or speaks of names that a broken section would have defined.
func (r *reader) follows(d facings.Diagnostic, broken map[string]bool) bool {
	for path := d.Path; path != ""; path = parent(path) {
		if broken[path] {
			return true
		}
	}
	sections := map[string][]string{
		"unknown-paint": {"/rack", "/mixes"}, "unknown-finish": {"/rack", "/mixes", "/finishes"},
		"unknown-body": {"/castings"}, "unknown-area": {"/castings"}, "unknown-trait": {"/traits"}, "unknown-value": {"/traits"},
		"no-paints": {"/rack"}, "no-units": {"/units"},
	}
	for _, s := range sections[d.ID] {
		if broken[s] {
			return true
		}
	}
	// What a unit leaves unsaid rests on all that is said of it.
	if d.ID == "unspoken-areas" || d.ID == "area-missing" {
		unit := parent(d.Path)
		for path := range broken {
			if strings.HasPrefix(path, unit+"/") || strings.HasPrefix(path, "/traits") || strings.HasPrefix(path, "/castings") {
				return true
			}
		}
	}
	return false
}

// parent is the pointer without its last token.
func parent(path string) string { return path[:max(strings.LastIndexByte(path, '/'), 0)] }

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// describe says what a node is, for "but this is …".
func describe(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a map"
	case yaml.SequenceNode:
		return "a list"
	}
	switch n.ShortTag() {
	case "!!null":
		return "nothing"
	case "!!bool":
		return "the switch " + clip(n.Value)
	case "!!int", "!!float":
		return "the number " + clip(n.Value)
	}
	return fmt.Sprintf("the text %q", clip(n.Value))
}

func orEmpty(s string) string {
	if s == "" {
		return "before the colon"
	}
	return clip(s)
}

// clip shortens a value so that a message stays readable.
func clip(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
