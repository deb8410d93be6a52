package app

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"facings"
)

// MostLogBytes bounds a log as JSON text.
const MostLogBytes = 128 << 20

// mostLogTasks bounds the tasks of all entries of a log together: a great army,
// painted ten times over.
const mostLogTasks = 2_000_000

// LogFault says on which line of its text a log cannot be read.
type LogFault struct {
	Line int
	Err  error
}

func (f *LogFault) Error() string { return fmt.Sprintf("line %d: %v", f.Line, f.Err) }
func (f *LogFault) Unwrap() error { return f.Err }

// ReadEntries reads a log and asks check about each entry. A log is a JSON list
// of entries, or an object that holds one as "entries", as an exported zip does.
// What it takes is bounded while it is read, as some bytes of "{}," would
// otherwise become gigabytes of entries. Faults are a *LogFault.
func ReadEntries(text []byte, check func(number int, e *facings.Entry) error) ([]facings.Entry, error) {
	at := func(offset int64, err error) error {
		return &LogFault{1 + bytes.Count(text[:min(max(offset, 0), int64(len(text)))], []byte("\n")), err}
	}
	if len(text) > MostLogBytes {
		return nil, at(0, fmt.Errorf("the log is larger than %d MiB; leave out what is older than the project", MostLogBytes>>20))
	}
	var whole json.RawMessage
	if err := json.Unmarshal(text, &whole); err != nil {
		offset := int64(len(text))
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) {
			offset = syntax.Offset
		}
		return nil, at(offset, err)
	}
	list := json.NewDecoder(bytes.NewReader(text))
	if !openList(list) {
		return nil, at(0, errors.New("this is no list of entries"))
	}
	var log []facings.Entry
	tasks := 0
	for list.More() {
		var one json.RawMessage
		if err := list.Decode(&one); err != nil {
			return nil, at(list.InputOffset(), err)
		}
		begin := list.InputOffset() - int64(len(one))
		if len(log) == facings.MaxEntries {
			return nil, at(begin, fmt.Errorf("more than %d entries", facings.MaxEntries))
		}
		if bytes.Count(one, []byte(",")) > 8*mostKeys { // a task has six of them
			return nil, at(begin, fmt.Errorf("entry %d names more than %d tasks", len(log)+1, mostKeys))
		}
		var e facings.Entry
		if err := json.Unmarshal(one, &e); err != nil {
			if kind := (*json.UnmarshalTypeError)(nil); errors.As(err, &kind) {
				begin += kind.Offset
			}
			return nil, at(begin, fmt.Errorf("entry %d: %w", len(log)+1, plainly(err)))
		}
		if tasks += len(e.Tasks); tasks > mostLogTasks {
			return nil, at(begin, fmt.Errorf("the entries name more than %d tasks together", mostLogTasks))
		}
		if err := check(len(log)+1, &e); err != nil {
			return nil, at(begin, err)
		}
		log = append(log, e)
	}
	return log, nil
}

// plainly says what is wrong with an entry without naming types of this program.
func plainly(err error) error {
	if kind := (*json.UnmarshalTypeError)(nil); errors.As(err, &kind) {
		what, _, _ := strings.Cut(kind.Value, " ") // "number 1.5"
		what = map[string]string{"string": "text", "bool": "true or false", "array": "a list", "object": "an object", "number": "this number"}[what]
		return fmt.Errorf("%q does not take %s", kind.Field, cmp.Or(what, kind.Value))
	}
	if when := (*time.ParseError)(nil); errors.As(err, &when) {
		return fmt.Errorf("%s is no time; write it like \"2027-01-04T20:15:00Z\"", when.Value)
	}
	return err
}

// openList reads on to the first entry of a log; false where there is no list.
func openList(d *json.Decoder) bool {
	begin, err := d.Token()
	if err == nil && begin == json.Delim('{') {
		for d.More() {
			key, err := d.Token()
			if err != nil {
				return false
			}
			if key == "entries" {
				begin, err := d.Token()
				return err == nil && begin == json.Delim('[')
			}
			var other json.RawMessage
			if d.Decode(&other) != nil {
				return false
			}
		}
		return false
	}
	return err == nil && begin == json.Delim('[')
}
