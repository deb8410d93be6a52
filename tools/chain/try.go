package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"facings"
	"facings/internal/app"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

const mostFigures = 24

// kind is what is done to a project before it is sent through.
type kind int

const (
	whole kind = iota
	broken
	scratched
)

func kindOf(number int) kind {
	switch number % 10 {
	case 6, 7:
		return broken
	case 8, 9:
		return scratched
	}
	return whole
}

// trial is one project on its way.
type trial struct {
	kind   kind
	random *rand.Rand
	text   []byte
	flawID string // of a broken one: the finding that is owed
	flawAt string
	report *report
	app    *app.App
}

// try sends one project through and says what is wrong, if anything is.
func try(number int, paints *app.Paints, r *report) (bad string) {
	defer func() {
		if p := recover(); p != nil {
			bad = fmt.Sprintf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	begin := func() time.Time { return time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC) }
	t := &trial{kind: kindOf(number), random: rand.New(rand.NewPCG(uint64(number), 99)), report: r,
		app: &app.App{Now: begin, Steps: 2_000, Dealing: 20_000, Runs: 5, Paints: paints}}
	if bad := t.write(uint64(number)); bad != "" || t.text == nil {
		return bad
	}
	return t.send()
}

// write makes the project's text; none if what is wrong cannot even be written.
func (t *trial) write(seed uint64) string {
	size := 1 + t.random.IntN(mostFigures)
	p := demo.Army(seed, size)
	if t.kind == broken {
		p, t.flawID, t.flawAt = demo.Broken(seed, size)
	}
	text, err := projectfile.Marshal(p)
	if err != nil {
		if t.kind == broken {
			t.report.Faulty++
			return ""
		}
		return "not written: " + err.Error()
	}
	if t.kind == scratched {
		text = scratch(t.random, text)
	}
	t.text = text
	return ""
}

// send goes from text to an order.
func (t *trial) send() string {
	o, err := t.app.Read("project.yaml", t.text)
	if why := places(o.Findings, t.text); why != "" {
		return why
	}
	if t.kind == broken && !owed(o.Findings, t.flawID, t.flawAt) {
		return fmt.Sprintf("broken, and nobody says %s at %s", t.flawID, t.flawAt)
	}
	if err != nil {
		t.report.Faulty++
		t.report.Findings += len(o.Findings)
		switch {
		case !o.Findings.Faulty():
			return "refused without a fault: " + err.Error()
		case t.kind == whole:
			return "a whole project has faults: " + o.Findings[0].Message
		}
		return ""
	}
	plan, err := t.app.Plan(context.Background(), o)
	t.report.Findings += len(plan.Findings) // those of reading among them
	if why := places(plan.Findings, t.text); why != "" {
		return why
	}
	switch {
	case errors.Is(err, app.ErrFaulty) && !plan.Findings.Faulty():
		return "refused on the way without a fault"
	case errors.Is(err, app.ErrFaulty) && plan.Order != nil && len(plan.Order.Conflicts) > 0:
		t.report.Infeasible++
		return ""
	case errors.Is(err, app.ErrFaulty):
		t.report.Refused++
		return ""
	case err != nil:
		return "not planned: " + err.Error()
	}
	t.report.Planned++
	return t.again(o, plan)
}

// again takes a part of the order as painted and plans the rest.
func (t *trial) again(o *app.Opened, plan *app.Plan) string {
	passes := plan.Order.Passes
	if len(passes) < 2 {
		return ""
	}
	progress := facings.Progress{Done: map[facings.TaskKey]time.Time{}, Skipped: map[facings.TaskKey]bool{}}
	for _, pass := range passes[:1+t.random.IntN(len(passes)-1)] {
		for _, i := range pass.Tasks {
			progress.Done[facings.KeyOf(plan.Roster, plan.Coats.Tasks[i])] = pass.End
		}
	}
	rest := *o
	rest.Progress = progress
	later := *t.app
	later.Now = func() time.Time { return progress.Last().Add(time.Hour) }
	left, err := later.Plan(context.Background(), &rest)
	if err != nil {
		return "the rest is not planned: " + err.Error()
	}
	if why := places(left.Findings, t.text); why != "" {
		return why
	}
	t.report.PlannedOn++
	return ""
}

// owed reports whether a finding was made at its place, just below it, or, as
// the file may say a thing shorter, just above it.
func owed(found facings.Diagnostics, id, path string) bool {
	above := path[:strings.LastIndexByte(path, '/')]
	return slices.ContainsFunc(found, func(d facings.Diagnostic) bool {
		return d.ID == id && (d.Path == path || strings.HasPrefix(d.Path, path+"/") || d.Path == above && above != "")
	})
}

// places looks that every finding says where, what and what to do.
func places(found facings.Diagnostics, text []byte) string {
	lines := bytes.Count(text, []byte("\n")) + bytes.Count(text, []byte("\r")) + 2
	for _, f := range found {
		if f.File == "" || f.Line < 1 || f.Line > lines || f.Column < 1 || f.Message == "" || f.Hint == "" || f.ID == "" {
			return fmt.Sprintf("a finding lacks something: %+v", f)
		}
	}
	return ""
}

// scratch changes some bytes.
func scratch(random *rand.Rand, text []byte) []byte {
	text = bytes.Clone(text)
	for range 1 + random.IntN(4) {
		at := random.IntN(len(text))
		switch random.IntN(4) {
		case 0:
			text[at] = byte(random.IntN(256))
		case 1:
			text = slices.Delete(text, at, min(len(text), at+1+random.IntN(8)))
		case 2:
			marks := []string{" ", "\n", ":", "-", "[", "}", "\"", "&a", "*a", "é", "9", "#"}
			text = slices.Insert(text, at, []byte(marks[random.IntN(len(marks))])...)
		case 3:
			if nl := bytes.IndexByte(text[at:], '\n'); nl >= 0 { // a line twice
				end := at + nl + 1
				begin := bytes.LastIndexByte(text[:at], '\n') + 1
				text = slices.Insert(text, end, bytes.Clone(text[begin:end])...)
			}
		}
		if len(text) == 0 {
			return []byte("x")
		}
	}
	return text
}
