package projectfile

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// layout knows where nodes begin and end in a text. YAML nodes carry only
// their beginning, so ends are found by reading the text again.
type layout struct {
	text  []byte
	lines []int // offset of each line's first byte
}

func newLayout(text []byte) *layout {
	l := &layout{text: text, lines: []int{0}}
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRune(text[i:])
		i += size
		// The line ends of YAML 1.1, as the parser counts them.
		if c == '\n' || c == '\u0085' || c == '\u2028' || c == '\u2029' || (c == '\r' && (i == len(text) || text[i] != '\n')) {
			l.lines = append(l.lines, i)
		}
	}
	return l
}

// start is the offset of a node's first byte.
func (l *layout) start(n *yaml.Node) int {
	if n.Line < 1 || n.Line > len(l.lines) {
		return len(l.text)
	}
	at := l.lines[n.Line-1]
	for range n.Column - 1 {
		if at >= len(l.text) {
			break
		}
		_, size := utf8.DecodeRune(l.text[at:])
		at += size
	}
	return at
}

// lineEnd is the offset of the line break at or after an offset, or of the
// text's end.
func (l *layout) lineEnd(at int) int {
	if i := bytes.IndexAny(l.text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(l.text)
}

// nextLine is the offset of the line after the one that an offset stands in.
func (l *layout) nextLine(at int) int {
	end := l.lineEnd(at)
	if end < len(l.text) && l.text[end] == '\r' {
		end++
	}
	if end < len(l.text) && l.text[end] == '\n' {
		end++
	}
	return end
}

// lineStart is the offset of the first byte of the line an offset stands in.
func (l *layout) lineStart(at int) int { return bytes.LastIndexAny(l.text[:at], "\r\n") + 1 }

// isAbsent reports whether a value is not there at all: nothing after a colon.
func isAbsent(n *yaml.Node) bool { return isNull(n) && n.Value == "" }

func isBlock(n *yaml.Node) bool {
	return (n.Kind == yaml.MappingNode || n.Kind == yaml.SequenceNode) && n.Style&yaml.FlowStyle == 0
}

// end is the offset after a node's last byte, without a closing line break.
// indent is that of the block the node stands in.
func (l *layout) end(n *yaml.Node, indent int) int {
	at := l.start(n)
	switch {
	case n.Kind == yaml.ScalarNode && n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return l.endOfBlockText(at, indent)
	case n.Kind == yaml.ScalarNode && n.Style&yaml.DoubleQuotedStyle != 0:
		for i := at + 1; i < len(l.text); i++ {
			if l.text[i] == '\\' {
				i++
			} else if l.text[i] == '"' {
				return i + 1
			}
		}
	case n.Kind == yaml.ScalarNode && n.Style&yaml.SingleQuotedStyle != 0:
		for i := at + 1; i < len(l.text); i++ {
			if l.text[i] == '\'' {
				if i+1 == len(l.text) || l.text[i+1] != '\'' {
					return i + 1
				}
				i++
			}
		}
	case n.Kind == yaml.ScalarNode:
		return l.endOfPlain(at, n.Value)
	case isBlock(n):
		return l.endOfChildren(n, n.Column-1)
	case len(n.Content) == 0:
		return l.skip(at+1, "") + 1
	default:
		return l.skip(l.endOfChildren(n, indent), ",") + 1
	}
	return len(l.text)
}

// endOfChildren is the end of a list's or map's last entry.
func (l *layout) endOfChildren(n *yaml.Node, indent int) int {
	last := n.Content[len(n.Content)-1]
	if n.Kind == yaml.MappingNode {
		return l.entryEnd(n.Content[len(n.Content)-2], last, indent)
	}
	if isAbsent(last) { // "-" alone
		return l.start(last)
	}
	return l.end(last, indent)
}

// entryEnd is the end of a map's entry.
func (l *layout) entryEnd(key, value *yaml.Node, indent int) int {
	if isAbsent(value) {
		return l.afterColon(key, indent)
	}
	return l.end(value, indent)
}

// afterColon is the offset after a key's colon, or after a key that has none
// (in braces).
func (l *layout) afterColon(key *yaml.Node, indent int) int {
	end := l.end(key, indent)
	if at := l.skip(end, ""); at < len(l.text) && l.text[at] == ':' {
		return at + 1
	}
	return end
}

// skip passes over space, line breaks, comments and the given bytes.
func (l *layout) skip(at int, also string) int {
	for at < len(l.text) {
		switch c := l.text[at]; {
		case strings.IndexByte(" \t\r\n"+also, c) >= 0:
			at++
		case c == '#':
			at = l.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// endOfPlain follows a scalar without quotes, which may be folded over lines.
func (l *layout) endOfPlain(at int, value string) int {
	end := at
	for _, c := range value {
		if unicode.IsSpace(c) {
			continue
		}
		for end < len(l.text) {
			r, size := utf8.DecodeRune(l.text[end:])
			end += size
			if r == c {
				break
			}
		}
	}
	return end
}

// endOfBlockText is the end of a text after "|" or ">": its last line that is
// indented deeper than the block around it.
func (l *layout) endOfBlockText(at, indent int) int {
	end := l.lineEnd(at)
	for next := l.nextLine(at); next < len(l.text); next = l.nextLine(next) {
		line := l.text[next:l.lineEnd(next)]
		body := bytes.TrimLeft(line, " ")
		if len(body) == 0 {
			continue // counts only when text follows
		}
		if len(line)-len(body) <= indent {
			break
		}
		end = next + len(line)
	}
	return end
}
