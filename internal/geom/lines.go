package geom

import (
	"bytes"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// lines walks over the lines of a text file without copying them.
type lines struct {
	rest []byte
	text []byte
	line int
	err  error
}

func newLines(data []byte) *lines { return &lines{rest: data} }

func (l *lines) next() bool {
	if len(l.rest) == 0 || l.err != nil {
		return false
	}
	l.line++
	i := bytes.IndexByte(l.rest, '\n')
	if i < 0 {
		i = len(l.rest) - 1
		l.text = l.rest
	} else {
		l.text = l.rest[:i]
	}
	l.rest = l.rest[i+1:]
	if len(l.text) > maxLineBytes {
		l.err = failAt(l.line, "the file is damaged", "a line of %d bytes", len(l.text))
		return false
	}
	l.text = bytes.TrimSpace(l.text)
	return true
}

// cutWord returns the first word of s and what follows it.
func cutWord(s []byte) (word, rest []byte) {
	for i, c := range s {
		if c == ' ' || c == '\t' {
			return s[:i], bytes.TrimLeft(s[i:], " \t")
		}
	}
	return s, nil
}

// parsePoint reads three finite numbers; anything after them is ignored, since
// exporters add colours there.
func parsePoint(s []byte) (Vec3, bool) {
	var x [3]float64
	for k := range x {
		var word []byte
		word, s = cutWord(s)
		v, err := strconv.ParseFloat(string(word), 64)
		if err != nil {
			return Vec3{}, false
		}
		x[k] = v
	}
	p := Vec3{x[0], x[1], x[2]}
	return p, p.Finite()
}

func clip(s []byte) string {
	if len(s) > 40 {
		return string(s[:40]) + "…"
	}
	return string(s)
}

// labelName makes a name from a file fit to be shown: printable, valid UTF-8, at
// most 64 characters.
func labelName(s []byte) string {
	name := strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.TrimSpace(string(s)))
	if r := []rune(name); len(r) > 64 {
		name = string(r[:64])
	}
	return name
}
