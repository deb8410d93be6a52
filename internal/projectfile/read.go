package projectfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"facings"
)

// Limits of the text itself. A project of facings.MaxFigures figures stays far
// under both; beyond them a file is refused before it costs memory.
const (
	maxDepth  = 30
	maxMarks  = 200_000 // line ends, commas, colons, dashes and brackets
	maxFaults = 200     // listed; the rest is counted
)

// Read reads a project. The diagnostics hold every fault and warning found,
// in file order, each with its place; name is what the file is called in them.
// The project is nil only when the text is no YAML map at all; with faults it
// is as much as could be understood. Doc finds places and makes edits; it is
// nil together with the project.
func Read(name string, data []byte) (*facings.Project, *Doc, facings.Diagnostics) {
	r := &reader{name: name}
	text, bom := bytes.CutPrefix(data, []byte("\ufeff"))
	root := r.parse(text)
	if root == nil {
		return nil, nil, r.finish(nil)
	}
	r.doc = newDoc(name, text, bom, root)
	r.doc.flaws = slices.Clone(r.ds)
	p := r.project(root)
	return p, r.doc, r.finish(p)
}

// Load reads a project from a file. A file that cannot be opened is a
// diagnostic too, at its first character.
func Load(path string) (*facings.Project, *Doc, facings.Diagnostics) {
	data, err := readFile(path)
	if err != nil {
		return nil, nil, facings.Diagnostics{{ID: "unreadable", Severity: facings.Fault, File: path, Line: 1, Column: 1,
			Message: "the file cannot be read: " + reason(err),
			Hint:    "give the path of a project file; \"facings new FILE\" writes one to start from"}}
	}
	return Read(path, data)
}

// readFile reads at most one byte more than a project may have.
func readFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, facings.MaxFileBytes+1))
}

// reason is an error without the path that the message gives anyway.
func reason(err error) string {
	if pathError, ok := errors.AsType[*os.PathError](err); ok {
		return pathError.Err.Error()
	}
	return err.Error()
}

// parse turns text into YAML nodes, or reports why it is none and returns nil.
func (r *reader) parse(text []byte) *yaml.Node {
	if !r.readable(text) {
		return nil
	}
	loader, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(maxDepth))))
	if err != nil {
		r.faultAt(1, 1, "syntax", "", "this is not YAML: "+err.Error(), "")
		return nil
	}
	var document yaml.Node
	if err := loader.Load(&document); err != nil {
		if !errors.Is(err, io.EOF) {
			r.syntax(text, err)
			return nil
		}
		r.faultAt(1, 1, "empty-file", "", "the file holds no project", "\"facings new FILE\" writes one to start from")
		return nil
	}
	var second yaml.Node
	switch err := loader.Load(&second); {
	case err == nil:
		r.faultAt(max(second.Line, 1), max(second.Column, 1), "several-documents", "---",
			"a second YAML document starts here, but a project is one", "take the line \"---\" out, or keep each project in a file of its own")
	case !errors.Is(err, io.EOF):
		r.syntax(text, err)
	}
	if len(document.Content) == 0 {
		r.faultAt(1, 1, "empty-file", "", "the file holds no project", "\"facings new FILE\" writes one to start from")
		return nil
	}
	root := document.Content[0]
	if root.Kind != yaml.MappingNode {
		r.faultAt(root.Line, root.Column, "wrong-type", clip(root.Value),
			"a project is a map of sections, but this is "+describe(root), "start with a line \"facings: 1\"")
		return nil
	}
	return root
}

// readable refuses what is too big or no text before YAML sees it.
func (r *reader) readable(text []byte) bool {
	if len(text) > facings.MaxFileBytes {
		r.faultAt(1, 1, "too-big", "", fmt.Sprintf("the file is larger than %d MB", facings.MaxFileBytes>>20),
			"keep several smaller projects, and meshes and pictures in files of their own beside them")
		return false
	}
	marks, line, column := 0, 1, 1
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRune(text[i:])
		if (c == utf8.RuneError && size == 1) || (c < ' ' && c != '\n' && c != '\r' && c != '\t') || c == 0x7f {
			r.faultAt(line, column, "not-text", fmt.Sprintf("%#02x", text[i]),
				fmt.Sprintf("the byte %#02x is not text", text[i]), "save the file as plain text in UTF-8")
			return false
		}
		switch c {
		case '\n', ',', ':', '-', '[', '{':
			marks++
		}
		if i += size; c == '\n' {
			line, column = line+1, 1
		} else {
			column++
		}
	}
	if marks > maxMarks {
		r.faultAt(1, 1, "too-big", "", "the file holds far more values than any project needs", "keep several smaller projects")
		return false
	}
	return true
}

// syntax reports where the YAML ends to be YAML, in the words of someone who
// may not know YAML.
func (r *reader) syntax(text []byte, err error) {
	le, ok := errors.AsType[*yaml.LoadError](err)
	if !ok {
		r.faultAt(1, 1, "syntax", "", "this is not YAML: "+err.Error(), "")
		return
	}
	line, column := max(le.Mark.Line, 1), max(le.Mark.Column, 1)
	lines := strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")
	for i := line - 1; i <= line && i < len(lines); i++ {
		indent := lines[i][:len(lines[i])-len(strings.TrimLeft(lines[i], " \t"))]
		if at := strings.IndexByte(indent, '\t'); at >= 0 && le.Stage == yaml.ScannerStage {
			r.faultAt(i+1, at+1, "tab", "", "a tab cannot indent YAML", "indent with spaces, two a step")
			return
		}
	}
	// The end of the text is past its last line; point at what was left open.
	if le.ContextMsg != "" && le.ContextMark.Line > 0 && le.Mark.Line > le.ContextMark.Line {
		line, column = le.ContextMark.Line, max(le.ContextMark.Column, 1)
	}
	message, hint, id := "this is not YAML: "+le.Message, "compare it with the lines around it", "syntax"
	switch {
	case strings.Contains(le.Message, "depth"):
		id, message, hint = "too-deep", fmt.Sprintf("lists and maps stand inside each other more than %d deep", maxDepth), "no project needs that; take the inner ones out"
	case strings.Contains(le.Message, "mapping values are not allowed"):
		message, hint = "a colon stands where no new entry can start", "put text with a colon in quotes, and each key on a line of its own"
	case strings.Contains(le.Message, "block sequence entries are not allowed"):
		message, hint = "a list cannot start here", "start it on the next line, or write [first, second]"
	case strings.Contains(le.ContextMsg, "flow sequence"):
		column, message, hint = unclosed(lines, le, line, column, "list", "]", "write [first, second]")
	case strings.Contains(le.ContextMsg, "flow mapping"):
		column, message, hint = unclosed(lines, le, line, column, "map", "}", "write {key: value, other: value}")
	case strings.Contains(le.Message, "node content"):
		message, hint = "a list or map in brackets stops before its next value", "give the value, or close the bracket"
		for i := min(line, len(lines)) - 1; i >= 0; i-- {
			if at := hexComment.FindStringSubmatchIndex(lines[i]); at != nil {
				line, column = i+1, utf8.RuneCountInString(lines[i][:at[2]])+1
				message, hint = "a comment starts with this #, so no value follows", fmt.Sprintf("put the colour in quotes: %q", lines[i][at[2]:at[3]])
			}
			if text := strings.TrimRight(lines[i], " \t\r"); text != "" {
				if line > i+1 { // what is missing is missing at the end of this line
					line, column = i+1, utf8.RuneCountInString(text)
				}
				break
			}
		}
	case strings.Contains(le.ContextMsg, "quoted scalar"):
		message, hint = "the quote that opens here is not closed, or holds a backslash that means nothing", "close it, and write a backslash twice"
	case strings.Contains(le.Message, "could not find expected ':'"):
		message, hint = "this line has no colon", "write \"key: value\""
	case strings.Contains(le.Message, "did not find expected key"), strings.Contains(le.Message, "did not find expected '-'"):
		line, column = max(le.Mark.Line, 1), max(le.Mark.Column, 1)
		message, hint = "this line is indented unlike its neighbours", "start all entries of one map in the same column"
	case strings.Contains(le.Message, "unknown anchor"):
		message, hint, id = "the text after \"*\" is taken for a repetition of something marked with \"&\"", "put text that starts with * in quotes", "anchor"
	case strings.Contains(le.Message, "cannot start any token"):
		message, hint = "no text can start with this character", "put the text in quotes"
	}
	r.faultAt(line, column, id, "", message, hint)
}

// hexComment is a colour that was meant and is read as a comment.
var hexComment = regexp.MustCompile(`\s(#[0-9a-fA-F]{3,8})\b`)

// unclosed says what is the matter with a list or map in brackets: where the
// text goes wrong within its line, else where that starts which is left open.
func unclosed(lines []string, le *yaml.LoadError, line, column int, what, bracket, hint string) (int, string, string) {
	var rest []rune
	if line <= len(lines) {
		rest = []rune(lines[line-1])
		rest = rest[min(column-1, len(rest)):]
	}
	if le.Mark.Line == le.ContextMark.Line && len(rest) > 0 {
		if rest[0] == ':' && what == "map" {
			return column, "this colon starts no new entry: a comma is missing before it, or the text around it wants quotes", hint
		}
		return column, fmt.Sprintf("the %s neither ends here with %q nor goes on after a comma", what, bracket), hint
	}
	if at := hexComment.FindStringSubmatchIndex(string(rest)); at != nil {
		colour := string(rest)[at[2]:at[3]]
		return column + utf8.RuneCountInString(string(rest)[:at[2]]), fmt.Sprintf("a comment starts with this #, so the %s is not closed with %q", what, bracket),
			fmt.Sprintf("put the colour in quotes: %q", colour)
	}
	return column, fmt.Sprintf("the %s that starts here is not closed with %q, or a comma is missing in it", what, bracket), hint
}
