package projectfile

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"facings"
)

// Text is the file as it stands after the edits so far.
func (d *Doc) Text() []byte {
	if d.bom {
		return append([]byte("\ufeff"), d.text...)
	}
	return bytes.Clone(d.text)
}

// Set puts a value at an RFC 6901 pointer: changes what is there, or adds an
// entry at the end of its map or list ("-" for a list's end), with the maps
// around it where they are missing. Everything else in the text stays as it
// is. The value is text, a number, a switch, a list, a map or any of the
// project's types. The new text is not checked for meaning: read it again.
//
// What is written in its short form (a role as a number) has no entries to
// set; set the whole, or use Update.
func (d *Doc) Set(pointer string, value any) error {
	if value == nil {
		return fmt.Errorf("%s: nothing to set; use Delete to take it out", pointer)
	}
	return d.apply([]change{{pointer, encode(reflect.ValueOf(value))}})
}

// Delete takes an entry out. A comment at its own lines' ends goes with it,
// one on a line of its own stays.
func (d *Doc) Delete(pointer string) error { return d.apply([]change{{pointer: pointer}}) }

// Update makes the file say what a project says, by the fewest edits that do:
// what did not change keeps its text, comments and order. Things that changed
// their order are written anew with the list they stand in.
func (d *Doc) Update(p *facings.Project) error {
	err := d.update(p)
	if err == nil {
		return nil
	}
	if _, unwritable := Marshal(p); unwritable != nil {
		return unwritable // no file can say it
	}
	return err
}

func (d *Doc) update(p *facings.Project) error {
	before, _, ds := d.reread()
	if ds.Faulty() {
		return fmt.Errorf("the file must be readable before it can be changed: %w", ds)
	}
	var changes []change
	wanted := encode(reflect.ValueOf(p).Elem())
	difference("", encode(reflect.ValueOf(before).Elem()), wanted, &changes)
	trial := *d
	if err := trial.apply(changes); err != nil {
		return err
	}
	after, _, ds := trial.reread()
	if ds.Faulty() || !identical(encode(reflect.ValueOf(after).Elem()), wanted) {
		return errors.New("the file cannot be changed in place to say this; write it anew")
	}
	*d = trial
	return nil
}

// reread decodes the document without checking its meaning.
func (d *Doc) reread() (*facings.Project, *Doc, facings.Diagnostics) {
	r := &reader{name: d.name, doc: newDoc(d.name, d.text, d.bom, d.root)}
	p := r.project(d.root)
	return p, r.doc, r.ds
}

// Read reads the document as it stands after the edits so far. It gives what
// the function Read would give for its text.
func (d *Doc) Read() (*facings.Project, *Doc, facings.Diagnostics) {
	p, doc, ds := d.reread()
	doc.flaws = d.flaws
	r := &reader{name: d.name, doc: doc, ds: slices.Concat(d.flaws, ds)}
	return p, doc, r.finish(p)
}

// identical compares two trees that encode made.
func identical(a, b *yaml.Node) bool {
	return a.Kind == b.Kind && a.Tag == b.Tag && a.Value == b.Value && a.Style == b.Style && slices.EqualFunc(a.Content, b.Content, identical)
}

// change is one edit; without a value it deletes.
type change struct {
	pointer string
	value   *yaml.Node
}

// difference lists the changes that turn one tree into another.
func difference(at string, from, to *yaml.Node, out *[]change) {
	switch {
	case equal(from, to):
	case from.Kind != to.Kind || from.Kind == yaml.ScalarNode || isEmpty(from) || isEmpty(to) ||
		reordered(from, to) || replaced(from, to) ||
		holdsMap(from, "parts") != holdsMap(to, "parts") || // a mix's short and long form
		ambiguous(from) || ambiguous(to):
		*out = append(*out, change{at, to})
	case from.Kind == yaml.MappingNode:
		for i := 0; i+1 < len(from.Content); i += 2 {
			key := from.Content[i].Value
			if j := entry(to, key); j >= 0 {
				difference(at+facings.Pointer(key), from.Content[i+1], to.Content[j+1], out)
			} else {
				*out = append(*out, change{at + facings.Pointer(key), nil})
			}
		}
		for j := 0; j+1 < len(to.Content); j += 2 {
			if key := to.Content[j].Value; entry(from, key) < 0 {
				*out = append(*out, change{at + facings.Pointer(key), to.Content[j+1]})
			}
		}
	default:
		for i := range to.Content {
			token := facings.Pointer(strconv.Itoa(i))
			if i < len(from.Content) {
				difference(at+token, from.Content[i], to.Content[i], out)
			} else {
				*out = append(*out, change{at + token, to.Content[i]})
			}
		}
		for i := len(from.Content) - 1; i >= len(to.Content); i-- {
			*out = append(*out, change{at + facings.Pointer(strconv.Itoa(i)), nil})
		}
	}
}

// ambiguous reports whether a mix has a part called as the list of its parts is:
// a pointer to one could mean the other.
func ambiguous(n *yaml.Node) bool {
	at := -1
	if n.Kind == yaml.MappingNode {
		at = entry(n, "parts")
	}
	return at >= 0 && n.Content[at+1].Kind == yaml.MappingNode && entry(n.Content[at+1], "parts") >= 0
}

// reordered reports whether the named things of a list, whose order counts,
// cannot be reached by deleting some and adding others at the end.
func reordered(from, to *yaml.Node) bool {
	if from.Kind != yaml.MappingNode || from.Style&keyedStyle == 0 {
		return false
	}
	var kept, wanted []string
	for i := 0; i+1 < len(from.Content); i += 2 {
		if entry(to, from.Content[i].Value) >= 0 {
			kept = append(kept, from.Content[i].Value)
		}
	}
	for i := 0; i+1 < len(to.Content); i += 2 {
		wanted = append(wanted, to.Content[i].Value)
	}
	return !slices.Equal(kept, wanted[:min(len(kept), len(wanted))])
}

// replaced reports whether two maps have no key in common.
func replaced(from, to *yaml.Node) bool {
	if from.Kind != yaml.MappingNode {
		return false
	}
	for i := 0; i+1 < len(from.Content); i += 2 {
		if entry(to, from.Content[i].Value) >= 0 {
			return false
		}
	}
	return true
}

// entry is the index of a key in a map's content, or -1.
func entry(n *yaml.Node, key string) int {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return i
		}
	}
	return -1
}

// equal compares two trees by content; nothing, {} and [] are one.
func equal(a, b *yaml.Node) bool {
	emptyA, emptyB := isEmpty(a), isEmpty(b)
	if emptyA || emptyB {
		return emptyA == emptyB
	}
	if a.Kind != b.Kind || len(a.Content) != len(b.Content) {
		return false
	}
	if a.Kind == yaml.ScalarNode {
		return a.Value == b.Value && isText(a) == isText(b)
	}
	for i := range a.Content {
		if !equal(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

func isEmpty(n *yaml.Node) bool {
	return isNull(n) || (n.Kind != yaml.ScalarNode && len(n.Content) == 0)
}

func isText(n *yaml.Node) bool { return n.ShortTag() == "!!str" || n.ShortTag() == "!!timestamp" }

// apply makes changes: works out the splices of text, and lets them stand only
// if the new text reads as exactly the old tree with the changes made. Changes
// that get in each other's way are made in two goes.
func (d *Doc) apply(changes []change) error {
	e := editor{layout: newLayout(d.text), newline: "\n"}
	if bytes.Contains(d.text, []byte("\r\n")) {
		e.newline = "\r\n"
	}
	wanted := d.root
	for _, c := range changes {
		tokens, err := tokensOf(d.writtenAs(c.pointer))
		if err == nil {
			var next *yaml.Node
			if next, err = changed(wanted, tokens, c.value); err == nil {
				wanted = next
				e.change(d.root, tokens, c.value, 0)
			}
		}
		// Among several, what is to go may be a default that the file left out.
		if err != nil && (len(changes) == 1 || c.value != nil || !errors.Is(err, errNotThere)) {
			return fmt.Errorf("%s: %w", c.pointer, err)
		}
	}
	if d.accept(e.splices, wanted) {
		return nil
	}
	if len(changes) == 1 {
		return fmt.Errorf("%s cannot be changed without touching what stands around it; change it by hand", changes[0].pointer)
	}
	half := len(changes) / 2
	if err := d.apply(changes[:half]); err != nil {
		return err
	}
	return d.apply(changes[half:])
}

// accept splices the text and keeps the result if it reads as wanted.
func (d *Doc) accept(splices []splice, wanted *yaml.Node) bool {
	slices.SortStableFunc(splices, func(a, b splice) int { return a.start - b.start })
	var text []byte
	done := 0
	for _, s := range splices {
		if s.start < done {
			return false // two changes overlap
		}
		text = append(append(text, d.text[done:s.start]...), s.text...)
		done = s.end
	}
	text = append(text, d.text[done:]...)
	r := &reader{name: d.name}
	root := r.parse(text)
	if root == nil || len(r.ds) > 0 || !equal(root, wanted) {
		return false
	}
	r.doc = newDoc(d.name, text, d.bom, root)
	r.project(root)
	*d = *r.doc
	return true
}

// writtenAs turns a pointer as the project reports it into one as the file
// spells it; one that the file already spells stays.
func (d *Doc) writtenAs(pointer string) string {
	rest := ""
	for at := pointer; at != ""; at = parent(at) {
		rest = pointer[len(at):]
		if pl, ok := d.places[at]; ok {
			if pl.inner != "" && rest != "" && !isLongField(rest) {
				return pl.inner + rest
			}
			return pl.written + rest
		}
		if canonical, ok := d.canonical[at]; ok {
			return d.places[canonical].written + rest
		}
	}
	return pointer
}

// isLongField reports whether a pointer below a finish or mix speaks of a
// field of the long form, not of a coat or part.
func isLongField(rest string) bool {
	switch rest {
	case "/coats", "/parts", "/source", "/uncertain", "/note":
		return true
	}
	return strings.HasPrefix(rest, "/coats/") || strings.HasPrefix(rest, "/parts/")
}
