package web

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
)

func TestPatchesSayWhatIsWrong(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	for _, c := range []struct{ patch, want string }{
		{`{"op":"replace"}`, "no JSON Patch"},
		{`[{"op":"repaint","path":"/name","value":"x"}]`, "no JSON Patch"},
		{`[{"op":"replace","path":"/nosuch/name","value":"x"}]`, "does not fit"},
		{`[{"op":"add","path":"/nosuch","value":1}]`, `unknown field "nosuch"`},
		{`[{"op":"replace","path":"/name","value":7}]`, "name"},
		{`[{"op":"test","path":"/name","value":"not its name"}]`, "does not fit"},
		{`[{"op":"replace","path":"/rack/-1/name","value":"x"}]`, "does not fit"},
	} {
		var p Problem
		h.want(422, &p, "PATCH", projectPath(head, ""), c.patch, "If-Match", etag(head))
		if !strings.Contains(p.Detail, c.want) {
			t.Errorf("%s: %q does not say %q", c.patch, p.Detail, c.want)
		}
	}
	var now app.Head
	h.want(200, &now, "GET", projectPath(head, ""), nil)
	if now.Revision != 1 {
		t.Errorf("a refused patch made revision %d", now.Revision)
	}
	// What is readable is kept, with its faults, as in a text editor.
	h.want(200, &now, "PATCH", projectPath(head, ""), `[{"op":"replace","path":"/undercoat/dark","value":"no such paint"}]`, "If-Match", etag(head))
	if !now.Findings.Faulty() || now.Revision != 2 {
		t.Errorf("a faulty edit: revision %d, %v", now.Revision, now.Findings)
	}
	if p := h.planned(head.Kept.ID); p.State != app.PlanFaulty || len(p.Findings) == 0 {
		t.Errorf("plan of a faulty project: %+v", p)
	}
	h.want(422, nil, "GET", projectPath(head, "bench"), nil)
	// What is no project is not.
	var p Problem
	h.want(422, &p, "PUT", projectPath(head, "text"), "- a\n- list\n", "If-Match", `"r2"`, "Content-Type", "text/plain")
	if len(p.Findings) == 0 {
		t.Errorf("no findings: %+v", p)
	}
	h.want(404, nil, "GET", "/api/projects/none", nil)
	h.want(404, nil, "PATCH", "/api/projects/none", `[]`, "If-Match", `"r1"`)
	h.want(422, nil, "POST", projectPath(head, "rename"), map[string]string{"pointer": "/rack/none", "name": "x"}, "If-Match", `"r2"`)
}

func TestRenameFollows(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	old := head.Project.Undercoat.Dark
	h.want(200, &head, "POST", projectPath(head, "rename"), map[string]string{"pointer": facings.Pointer("rack", old), "name": "coal primer"}, "If-Match", etag(head))
	if head.Project.Undercoat.Dark != "coal primer" || head.Findings.Faulty() {
		t.Errorf("renamed: %q, %v", head.Project.Undercoat.Dark, head.Findings)
	}
}

func TestAFullDiskLosesNothing(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	h.keeper.full = true
	h.want(507, nil, "PATCH", projectPath(head, ""), `[{"op":"replace","path":"/name","value":"x"}]`, "If-Match", etag(head))
	entry := facings.Entry{ID: "a", Kind: facings.EntryNote, At: h.now, Note: "x"}
	h.want(507, nil, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{entry}})
	h.keeper.full = false
	var log app.LogAnswer
	h.want(200, &log, "GET", projectPath(head, "log"), nil)
	if len(log.Entries) != 0 {
		t.Errorf("log: %+v", log)
	}
	h.want(200, &head, "PATCH", projectPath(head, ""), `[{"op":"replace","path":"/name","value":"x"}]`, "If-Match", etag(head))
}

func TestEntriesAreChecked(t *testing.T) { both(t, worksEntriesAreChecked) }

func worksEntriesAreChecked(t *testing.T, h *host) {
	head := h.starter()
	for _, e := range []facings.Entry{
		{Kind: facings.EntryNote, At: h.now},
		{ID: "a", Kind: "painted", At: h.now},
		{ID: "a", Kind: facings.EntryDone, At: h.now},
		{ID: "a", Kind: facings.EntryUndo, At: h.now},
		{ID: "a", Kind: facings.EntryNote, At: time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)},
		{ID: "a", Kind: facings.EntryDone, At: h.now, Seconds: -1, Tasks: []facings.TaskKey{{}}},
	} {
		h.want(422, nil, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{e}})
	}
	many := make([]facings.Entry, facings.MaxEntriesOnce+1)
	for i := range many {
		many[i] = facings.Entry{ID: fmt.Sprint(i), Kind: facings.EntryNote, At: h.now}
	}
	h.want(422, nil, "POST", projectPath(head, "log"), map[string]any{"entries": many})
	h.want(404, nil, "POST", "/api/projects/none/log", map[string]any{"entries": many[:1]})
}

// TestSkipAndUndo: what is skipped leaves the plan and comes back when the entry
// is undone.
func TestSkipAndUndo(t *testing.T) { both(t, worksSkipAndUndo) }

func worksSkipAndUndo(t *testing.T, h *host) {
	head := h.starter()
	plan := h.planned(head.Kept.ID)
	var bench app.Bench
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	last := bench.Passes[len(bench.Passes)-2]
	post := func(e facings.Entry) {
		t.Helper()
		e.At = h.now
		h.want(200, nil, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{e}})
	}
	var keys []facings.TaskKey
	for _, k := range last.Tasks {
		keys = append(keys, k.TaskKey)
	}
	post(facings.Entry{ID: "skip", Kind: facings.EntrySkip, Tasks: keys})
	skipped := h.planned(head.Kept.ID)
	if skipped.Progress.Tasks != plan.Progress.Tasks-len(keys) || skipped.Progress.Skipped != len(keys) {
		t.Errorf("skipped %d of %d tasks: %+v", len(keys), plan.Progress.Tasks, skipped.Progress)
	}
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	if i := passByState(bench, app.PassSkipped); i < 0 || bench.Passes[i].Medium != last.Medium || len(bench.Passes[i].Tasks) == 0 {
		t.Errorf("no skipped pass on the bench")
	}
	post(facings.Entry{ID: "undo", Kind: facings.EntryUndo, Undoes: "skip"})
	again := h.planned(head.Kept.ID)
	if again.Progress.Tasks != plan.Progress.Tasks || again.Progress.Skipped != 0 {
		t.Errorf("after undo: %+v", again.Progress)
	}
}

func passByState(b app.Bench, state string) int {
	for i, p := range b.Passes {
		if p.State == state {
			return i
		}
	}
	return -1
}

// TestTheClockOfAPass: start, pause, start again, done.
func TestTheClockOfAPass(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	h.planned(head.Kept.ID)
	var bench app.Bench
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	sprayed := slices.IndexFunc(bench.Passes, func(p app.BenchPass) bool { return p.Technique == facings.Spray })
	pass := bench.Passes[sprayed].Key
	var keys []facings.TaskKey
	for _, k := range bench.Passes[sprayed].Tasks {
		keys = append(keys, k.TaskKey)
	}
	n := 0
	post := func(kind facings.EntryKind, keys []facings.TaskKey) {
		t.Helper()
		n++
		e := facings.Entry{ID: fmt.Sprint(n), Kind: kind, At: h.clock(), Tasks: keys}
		h.want(200, nil, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{e}})
		bench = app.Bench{}
		h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	}
	post(facings.EntryStart, keys)
	if u := bench.Underway; u == nil || u.Paused || u.Key != pass {
		t.Fatalf("started: %+v", u)
	}
	h.later(10 * time.Minute)
	post(facings.EntryPause, nil)
	if u := bench.Underway; u == nil || !u.Paused || u.Seconds != 600 {
		t.Fatalf("paused: %+v", u)
	}
	h.later(time.Hour)
	post(facings.EntryStart, keys)
	if u := bench.Underway; u == nil || u.Paused || u.Seconds != 600 || !u.Since.Equal(h.now) {
		t.Fatalf("taken up again: %+v", u)
	}
	post(facings.EntryDone, keys[:1])
	if len(keys) > 1 && bench.Underway == nil {
		t.Fatal("one figure of several done, and the pass is no longer under way")
	}
	post(facings.EntryDone, keys)
	done := slices.IndexFunc(bench.Passes, func(p app.BenchPass) bool { return p.Key == pass })
	if bench.Underway != nil || done < 0 || bench.Passes[done].State != app.PassDone {
		t.Fatalf("done: %+v", bench.Underway)
	}
	// What was just painted dries before the next coat.
	dries := false
	for _, p := range bench.Passes {
		dries = dries || p.DryUntil != nil && p.DryUntil.After(h.now)
	}
	if !dries {
		t.Error("nothing waits for what was just painted")
	}
}
