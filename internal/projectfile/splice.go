package projectfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

var errNotThere = errors.New("there is no such entry")

// tokensOf splits an RFC 6901 pointer.
func tokensOf(pointer string) ([]string, error) {
	if pointer == "" || pointer[0] != '/' {
		return nil, fmt.Errorf("%q does not point into a project: write /section/name", pointer)
	}
	tokens := strings.Split(pointer[1:], "/")
	for i, t := range tokens {
		if strings.Contains(strings.NewReplacer("~0", "", "~1", "").Replace(t), "~") {
			return nil, fmt.Errorf("%q: write ~0 for ~ and ~1 for /", pointer)
		}
		tokens[i] = strings.ReplaceAll(strings.ReplaceAll(t, "~1", "/"), "~0", "~")
	}
	return tokens, nil
}

// changed is a copy of a tree with one value set or, without a value, deleted.
func changed(n *yaml.Node, tokens []string, value *yaml.Node) (*yaml.Node, error) {
	if len(tokens) == 0 {
		return value, nil
	}
	if isNull(n) {
		if value == nil {
			return nil, errNotThere
		}
		return nest(tokens, value), nil
	}
	out := *n
	out.Content = slices.Clone(n.Content)
	at, step, err := find(n, tokens[0])
	switch {
	case err != nil:
		return nil, err
	case at == len(n.Content) && value == nil:
		return nil, errNotThere
	case at == len(n.Content):
		if step == 2 {
			out.Content = append(out.Content, textNode(tokens[0]))
		}
		out.Content = append(out.Content, nest(tokens[1:], value))
	case len(tokens) == 1 && value == nil:
		out.Content = slices.Delete(out.Content, at, at+step)
	default:
		child, err := changed(n.Content[at+step-1], tokens[1:], value)
		if err != nil {
			return nil, err
		}
		out.Content[at+step-1] = child
	}
	return &out, nil
}

// find is the index of an entry in a list's or map's content, or the content's
// length for a new one; step is how many nodes an entry has.
func find(n *yaml.Node, token string) (at, step int, err error) {
	switch n.Kind {
	case yaml.MappingNode:
		if at = entry(n, token); at < 0 {
			at = len(n.Content)
		}
		return at, 2, nil
	case yaml.SequenceNode:
		if token == "-" {
			return len(n.Content), 1, nil
		}
		if at, err = strconv.Atoi(token); err != nil || at < 0 || at > len(n.Content) {
			return 0, 1, fmt.Errorf("the list has no entry %q: %w", token, errNotThere)
		}
		return at, 1, nil
	}
	return 0, 0, fmt.Errorf("what stands there is %s and has no entry %q", describe(n), token)
}

// nest wraps a value into the maps and lists that the tokens name.
func nest(tokens []string, value *yaml.Node) *yaml.Node {
	for _, t := range slices.Backward(tokens) {
		if t == "-" || t == "0" {
			value = &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{value}}
		} else {
			value = &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{textNode(t), value}}
		}
	}
	return value
}

// nestIn is nest for an empty place, which may be a map or list already.
func nestIn(n *yaml.Node, tokens []string, value *yaml.Node) *yaml.Node {
	if n.Kind == yaml.MappingNode && len(tokens) > 0 {
		return &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{textNode(tokens[0]), nest(tokens[1:], value)}}
	}
	return nest(tokens, value)
}

func textNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }

// splice replaces a stretch of text.
type splice struct {
	start, end int
	text       string
}

// editor works out splices.
type editor struct {
	*layout
	newline string
	splices []splice
}

func (e *editor) splice(start, end int, text string) {
	if e.newline != "\n" {
		text = strings.ReplaceAll(text, "\n", e.newline)
	}
	e.splices = append(e.splices, splice{start, end, text})
}

// change finds the splice for one change below a list or map that is not
// empty (the root may be). indent is that of the block around it.
func (e *editor) change(n *yaml.Node, tokens []string, value *yaml.Node, indent int) {
	if isBlock(n) {
		indent = n.Column - 1
	}
	at, step, err := find(n, tokens[0])
	if err != nil {
		return
	}
	if at == len(n.Content) {
		e.add(n, tokens[0], nest(tokens[1:], value), indent)
		return
	}
	child := n.Content[at+step-1]
	switch {
	case len(tokens) == 1 && value == nil:
		e.remove(n, at, step, indent)
	case len(tokens) == 1 || isEmpty(child):
		e.replace(n, at, nestIn(child, tokens[1:], value), indent)
	default:
		e.change(child, tokens[1:], value, indent)
	}
}

// replace writes a new value in the place of an entry's old one: into the same
// line where it fits, else as lines of its own.
func (e *editor) replace(n *yaml.Node, at int, value *yaml.Node, indent int) {
	old, from, taken := n.Content[at], 0, 1
	if n.Kind == yaml.MappingNode {
		old, from = n.Content[at+1], e.afterColon(n.Content[at], indent)
		taken = from - e.start(n.Content[at])
	} else if from = e.dash(old) + 1; !isBlock(n) {
		from = e.start(old)
	}
	end := from
	if !isAbsent(old) {
		end = e.end(old, indent)
	}
	switch oneLine := flowText(value); {
	case !isBlock(n) && isAbsent(old): // {key} or {key: }
		if e.text[from-1] != ':' {
			oneLine = ": " + oneLine
		} else {
			oneLine = " " + oneLine
		}
		e.splice(from, from, oneLine)
	case !isBlock(n), !isBlock(old) && !isAbsent(old) && (value.Kind == yaml.ScalarNode || len(value.Content) == 0 || indent+taken+len(oneLine) < lineWidth):
		e.splice(e.start(old), end, oneLine)
	default:
		w := &writer{}
		w.after(value, indent, taken)
		e.splice(from, end, strings.TrimSuffix(w.b.String(), "\n"))
	}
}

// dash is the offset of the "-" before a list's entry.
func (e *editor) dash(item *yaml.Node) int {
	at := e.start(item) - 1
	for at > 0 && e.text[at] != '-' && strings.IndexByte(" \t\r\n", e.text[at]) >= 0 {
		at--
	}
	return max(at, 0)
}

// add appends an entry to a map or list.
func (e *editor) add(n *yaml.Node, key string, value *yaml.Node, indent int) {
	name, list := scalarText(textNode(key)), n.Kind == yaml.SequenceNode
	if !isBlock(n) {
		text := flowText(value)
		if !list {
			text = name + ": " + text
		}
		if len(n.Content) == 0 {
			e.splice(e.start(n)+1, e.start(n)+1, text)
			return
		}
		end := e.endOfChildren(n, indent)
		e.splice(end, end, ", "+text)
		return
	}
	w := &writer{}
	if list {
		w.b.WriteString(strings.Repeat(" ", indent) + "-")
		w.after(value, indent, 1)
	} else {
		w.b.WriteString(strings.Repeat(" ", indent) + name + ":")
		w.after(value, indent, len(name)+1)
	}
	text := w.b.String()
	at := e.nextLine(e.endOfChildren(n, indent))
	if at > 0 && e.text[at-1] != '\n' && e.text[at-1] != '\r' {
		text = "\n" + text
	}
	if indent == 0 && strings.Count(text, "\n") > 1 {
		text = "\n" + text
	}
	e.splice(at, at, text)
}

// remove takes an entry out of a map or list.
func (e *editor) remove(n *yaml.Node, at, step, indent int) {
	first, last := at == 0, at+step == len(n.Content)
	start := e.start(n.Content[at])
	endOf := func(i int) int {
		if step == 2 {
			return e.entryEnd(n.Content[i], n.Content[i+1], indent)
		}
		return e.end(n.Content[i], indent)
	}
	if !isBlock(n) {
		switch {
		case first && last:
			e.splice(e.start(n)+1, e.end(n, indent)-1, "")
		case last:
			e.splice(endOf(at-step), endOf(at), "")
		default:
			e.splice(start, e.start(n.Content[at+step]), "")
		}
		return
	}
	if step == 1 {
		start = e.dash(n.Content[at])
	}
	line := e.lineStart(start)
	switch {
	case strings.TrimSpace(string(e.text[line:start])) == "":
		e.splice(line, e.nextLine(endOf(at)), "")
	case last:
		e.splice(start, endOf(at), "{}")
	default:
		next := e.start(n.Content[at+step])
		if step == 1 {
			next = e.dash(n.Content[at+step])
		}
		e.splice(start, next, "")
	}
}
