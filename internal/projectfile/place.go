package projectfile

import (
	"go.yaml.in/yaml/v4"

	"facings"
)

// Doc is the text of a project file with the place of every value in it.
type Doc struct {
	name string
	text []byte
	bom  bool // the text began with a byte order mark
	root *yaml.Node
	// flaws are the faults of the text as YAML that left a map to read.
	flaws facings.Diagnostics
	// places go by canonical pointer (see spot); canonical finds those by the
	// pointer as written.
	places    map[string]place
	canonical map[string]string
}

type place struct {
	written    string
	key, value *yaml.Node // key is nil for an entry of a list and for the root
	inner      string     // where a long form holds what the short form would be
}

func newDoc(name string, text []byte, bom bool, root *yaml.Node) *Doc {
	return &Doc{name: name, text: text, bom: bom, root: root, places: map[string]place{}, canonical: map[string]string{}}
}

func (d *Doc) add(at spot, n *yaml.Node) {
	if _, known := d.places[at.canonical]; known && n.Kind != yaml.ScalarNode && at.canonical != at.written {
		return // a long form's inner list stands for the whole, which is known already
	}
	d.places[at.canonical] = place{written: at.written, key: at.key, value: n}
	d.canonical[at.written] = at.canonical
}

// Place is where the value at an RFC 6901 pointer stands, from 1. For what is
// not in the file it is the place of the nearest thing around it.
func (d *Doc) Place(pointer string) (line, column int) {
	at := d.locate(facings.Diagnostic{Path: pointer})
	return at.Line, at.Column
}

// Locate gives findings that others made of the project their places in the
// text and puts them in file order.
func (d *Doc) Locate(found facings.Diagnostics) facings.Diagnostics {
	out := make(facings.Diagnostics, len(found))
	for i, x := range found {
		out[i] = d.locate(x)
	}
	out.Sort()
	return out
}

// locate fills in file, line, column and the path as written. A fault whose
// value is the entry's name is placed at the name, one of a value at the value,
// one of something missing or of a whole entry at the entry's name.
func (d *Doc) locate(diagnostic facings.Diagnostic) facings.Diagnostic {
	path := diagnostic.Path
	if c, ok := d.canonical[path]; ok {
		path = c
	}
	whole := path
	pl, ok := d.places[path]
	for !ok && path != "" {
		path = parent(path)
		pl, ok = d.places[path]
	}
	missing := whole[len(path):]
	n := pl.value
	isScalar := n.Kind == yaml.ScalarNode && !isNull(n)
	if pl.key != nil && (!isScalar || (missing == "" && diagnostic.Value == pl.key.Value && diagnostic.Value != n.Value)) {
		n = pl.key
	}
	if isScalar { // a short form: the value stands for all that could be said of it
		missing = ""
	}
	diagnostic.File, diagnostic.Path = d.name, pl.written+missing
	diagnostic.Line, diagnostic.Column = max(n.Line, 1), max(n.Column, 1)
	return diagnostic
}
