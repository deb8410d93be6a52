package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"facings"
	"facings/internal/app"
)

// open opens a file to read; an error says what file is wanted.
func open(path, wanted string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w\n    %s", path, cause(err), wanted)
	}
	return f, nil
}

// cause is what went wrong with a file, without its name.
func cause(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// strangers warns of coats in a log that no figure of the project has: nothing
// is planned by them, which a slip of the pen must not hide.
func (p *Program) strangers(log string, roster *facings.Roster, entries []facings.Entry) {
	bodies := map[facings.FigureID]facings.Body{}
	for _, f := range roster.Figures {
		bodies[f.ID] = f.Body
	}
	coats, first := 0, ""
	for _, e := range entries {
		if e.Kind != facings.EntryDone && e.Kind != facings.EntrySkip {
			continue
		}
		for _, t := range e.Tasks {
			body, known := bodies[t.Figure]
			if _, has := body.Area(t.Area); known && (has || t.Area == facings.WholeFigure) {
				continue
			}
			if coats++; coats == 1 {
				first = fmt.Sprintf("%s of %s %s %d", t.Area, t.Figure.Unit, t.Figure.Role, t.Figure.Number)
			}
		}
	}
	if coats > 0 {
		fmt.Fprintf(p.Err, "%s: warning: %s of figures or areas that the project does not have, the first on the %s\n"+
			"    the order does without; --json --tasks shows how a log names them\n", log, count(coats, "coat is", "coats are"), first)
	}
}

// word is a path as one word of a command line, in quotes where a shell would
// read more into it.
func word(path string) string {
	if !strings.ContainsAny(path, " \t\"'`$&|;<>()[]{}*?!#~") {
		return path
	}
	if !strings.ContainsAny(path, "\"`$!") {
		return `"` + path + `"`
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}

// roomFor demands that the folder is there that a file is to be written to.
func roomFor(path string) error {
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return fmt.Errorf("the folder of %s is not there; make it first, or choose another", path)
	}
	return nil
}

// readEntries reads a log, a JSON list of entries; at most so many, and errors
// name the file and line.
func readEntries(path string) ([]facings.Entry, error) {
	f, err := open(path, "give log.json of a zip that the pages export, or a log of your own; docs/json.md shows one")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, app.MostLogBytes+1))
	if err != nil {
		return nil, err
	}
	log, err := app.ReadEntries(text, func(number int, e *facings.Entry) error {
		if (e.Kind == facings.EntryDone || e.Kind == facings.EntrySkip) && len(e.Tasks) == 0 {
			return fmt.Errorf("entry %d (%s) names no tasks", number, e.Kind)
		}
		if e.Kind == facings.EntryDone && e.At.IsZero() {
			return fmt.Errorf("entry %d (%s) has no time, \"at\": \"2027-01-04T20:15:00Z\"", number, e.Kind)
		}
		return nil
	})
	if fault := (*app.LogFault)(nil); errors.As(err, &fault) {
		return nil, fmt.Errorf("%s:%d: %w\n    a log is a JSON list of entries; docs/json.md shows one", path, fault.Line, fault.Err)
	}
	return log, err
}
