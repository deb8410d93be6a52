package web

import (
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/app"
)

func TestAProjectFromStarterToBench(t *testing.T) { both(t, worksAProjectFromStarterToBench) }

func worksAProjectFromStarterToBench(t *testing.T, h *host) {
	head := h.starter()
	if head.Findings.Faulty() || head.Project == nil || head.Revision != 1 {
		t.Fatalf("starter: %+v", head.Findings)
	}
	plan := h.planned(head.Kept.ID)
	if plan.State != app.PlanReady || plan.Order == nil || len(plan.Order.Passes) == 0 || plan.Roster == nil {
		t.Fatalf("plan: %+v", plan)
	}
	var bench app.Bench
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	if len(bench.Passes) != len(plan.Order.Passes) || bench.Next != 0 || bench.Passes[0].State != app.PassNext {
		t.Fatalf("bench: %d passes of %d, next %d", len(bench.Passes), len(plan.Order.Passes), bench.Next)
	}
	// The first pass is painted; the plan says so at once and stays in force.
	mixed := 0
	for _, pass := range bench.Passes {
		for _, part := range pass.Mix {
			if mixed++; bench.Paints[part.Paint].Look.Hex == "" {
				t.Errorf("%s is mixed of %s, which shows nothing", pass.Medium, part.Paint)
			}
		}
	}
	if mixed == 0 {
		t.Error("nothing is mixed")
	}
	first := bench.Passes[0]
	var keys []facings.TaskKey
	for _, k := range first.Tasks {
		keys = append(keys, k.TaskKey)
	}
	h.later(time.Hour)
	entry := facings.Entry{ID: "6f2b6d0e-1111-4222-8333-444455556666", Kind: facings.EntryDone, At: h.clock(), Tasks: keys, Seconds: 600}
	var log app.LogAnswer
	h.want(200, &log, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{entry}})
	if len(log.Entries) != 1 || log.Seq != 1 {
		t.Fatalf("log: %+v", log)
	}
	var again app.LogAnswer
	h.want(200, &again, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{entry, entry}})
	if again.Seq != 1 || len(again.Entries) != 2 {
		t.Errorf("the same entry again: %+v", again)
	}
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	if bench.Passes[0].State != app.PassDone || bench.Next != 1 || bench.Stale || bench.Seq != 1 || bench.Progress.Done != len(keys) {
		t.Errorf("after the first pass: %+v, next %d, stale %v, progress %+v", bench.Passes[0].State, bench.Next, bench.Stale, bench.Progress)
	}
	// The last pass out of turn: what is left is planned anew.
	last := bench.Passes[len(bench.Passes)-1]
	keys = nil
	for _, k := range last.Tasks {
		keys = append(keys, k.TaskKey)
	}
	entry = facings.Entry{ID: "another", Kind: facings.EntryDone, At: h.clock(), Tasks: keys}
	h.want(200, &log, "POST", projectPath(head, "log"), map[string]any{"entries": []facings.Entry{entry}})
	plan = h.planned(head.Kept.ID)
	if plan.State != app.PlanReady || plan.Seq != 2 {
		t.Fatalf("plan anew: %s, seq %d, %v", plan.State, plan.Seq, plan.Findings)
	}
	if plan.Order.DoneTasks == 0 {
		t.Error("the plan still holds what is done out of turn")
	}
	h.want(200, &bench, "GET", projectPath(head, "bench"), nil)
	done := map[string]bool{}
	for _, p := range bench.Passes {
		if p.State == app.PassDone {
			done[p.Key] = true
		}
	}
	if !done[first.Key] || !done[last.Key] {
		t.Errorf("the passes done keep their keys in the new plan: %v", done)
	}
}

func TestEditsNeedTheirRevision(t *testing.T) { both(t, worksEditsNeedTheirRevision) }

func worksEditsNeedTheirRevision(t *testing.T, h *host) {
	head := h.starter()
	patch := `[{"op":"replace","path":"/name","value":"Guards"}]`
	h.want(428, nil, "PATCH", projectPath(head, ""), patch)
	h.want(400, nil, "PATCH", projectPath(head, ""), patch, "If-Match", `"x1"`)
	var next app.Head
	res := h.want(200, &next, "PATCH", projectPath(head, "")+"?why=another+name", patch, "If-Match", etag(head))
	if next.Revision != 2 || next.Project.Name != "Guards" || next.Kept.Name != "Guards" || res.Header.Get("ETag") != `"r2"` || !next.Kept.CanUndo {
		t.Errorf("after the edit: %+v, ETag %s", next.Kept, res.Header.Get("ETag"))
	}
	var late Problem
	h.want(412, &late, "PATCH", projectPath(head, ""), patch, "If-Match", etag(head))
	if late.Current == nil || late.Current.Revision != 2 {
		t.Errorf("too late: %+v", late)
	}
	_, before := h.call("GET", projectPath(head, "text"), nil)
	if !strings.Contains(string(before), "#") {
		t.Error("the edit lost the comments")
	}
	h.want(200, &next, "POST", projectPath(head, "undo"), nil, "If-Match", `"r2"`)
	if next.Revision != 1 || !next.Kept.CanRedo {
		t.Errorf("undone: %+v", next.Kept)
	}
	h.want(200, &next, "POST", projectPath(head, "redo"), nil, "If-Match", `"r1"`)
	if next.Revision != 2 {
		t.Errorf("redone: %+v", next.Kept)
	}
	h.want(422, nil, "POST", projectPath(head, "redo"), nil, "If-Match", `"r2"`)
	h.want(200, &next, "POST", projectPath(head, "restore"), map[string]int{"revision": 1}, "If-Match", `"r2"`)
	if next.Revision != 3 || next.Project.Name == "Guards" {
		t.Errorf("restored: %+v", next.Kept)
	}
	var history historyBody
	h.want(200, &history, "GET", projectPath(head, "history"), nil)
	if len(history.Revisions) != 3 || history.Revisions[1].Why != "another name" {
		t.Errorf("history: %+v", history)
	}
	var c app.Comparison
	h.want(200, &c, "GET", projectPath(head, "compare")+"?a=1&b=2", nil)
	if len(c.Hunks) != 1 {
		t.Errorf("compare: %+v", c)
	}
}
