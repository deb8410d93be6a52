package projectfile

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// lineWidth is where a list or map in brackets is broken into lines.
const lineWidth = 120

// writer writes nodes as YAML: small things in brackets on one line, large
// ones indented by two.
type writer struct{ b bytes.Buffer }

// blockMap writes a map's entries, each on its own line at an indent. Sections
// of the whole file are set apart by an empty line where they are long.
func (w *writer) blockMap(n *yaml.Node, indent int) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		before := w.b.Len()
		w.b.WriteString(strings.Repeat(" ", indent) + scalarText(n.Content[i]) + ":")
		w.after(n.Content[i+1], indent, len(scalarText(n.Content[i]))+1)
		if indent == 0 && i > 0 && bytes.Count(w.b.Bytes()[before:], []byte("\n")) > 1 {
			section := bytes.Clone(w.b.Bytes()[before:])
			w.b.Truncate(before)
			w.b.WriteByte('\n')
			w.b.Write(section)
		}
	}
}

// after writes the value that follows "key:" or "-" and ends the line. taken
// is how many letters the line already has beside the indent.
func (w *writer) after(n *yaml.Node, indent, taken int) {
	if oneLine := flowText(n); n.Kind == yaml.ScalarNode || len(n.Content) == 0 ||
		(n.Style&blockStyle == 0 && indent+taken+1+utf8.RuneCountInString(oneLine) <= lineWidth) {
		w.b.WriteString(" " + oneLine + "\n")
		return
	}
	if inner := (&writer{}); taken == 1 && n.Kind == yaml.MappingNode { // after a dash the first entry shares its line
		inner.block(n, indent+2)
		w.b.Write(inner.b.Bytes()[indent+1:])
		return
	}
	w.b.WriteByte('\n')
	w.block(n, indent+2)
}

func (w *writer) block(n *yaml.Node, indent int) {
	if n.Kind == yaml.MappingNode {
		w.blockMap(n, indent)
		return
	}
	for _, item := range n.Content {
		w.b.WriteString(strings.Repeat(" ", indent) + "-")
		w.after(item, indent, 1)
	}
}

// flowText is a node on one line.
func flowText(n *yaml.Node) string {
	var parts []string
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			parts = append(parts, scalarText(n.Content[i])+": "+flowText(n.Content[i+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		for _, item := range n.Content {
			parts = append(parts, flowText(item))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return scalarText(n)
}

var (
	// plainWord is text that needs no quotes anywhere; a date is another.
	plainWord = regexp.MustCompile(`^\pL[\pL\pN_./()'+-]*( [\pL\pN_./()'+-]+)*$`)
	plainDate = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
	// notText is what YAML, of this version or an older one, reads as a switch or nothing.
	notText = regexp.MustCompile(`(?i)^(true|false|yes|no|on|off|y|n|null)$`)
)

// scalarText is a scalar as it is written: text in quotes where it could be
// taken for something else.
func scalarText(n *yaml.Node) string {
	s := n.Value
	if n.ShortTag() != "!!str" && n.ShortTag() != "!!timestamp" {
		return s
	}
	if (plainWord.MatchString(s) && !notText.MatchString(s)) || plainDate.MatchString(s) {
		return s
	}
	return strconv.Quote(s) // Go's escapes are all YAML's too
}
