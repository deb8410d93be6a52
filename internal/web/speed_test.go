package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"facings/internal/app"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

// army is a desk over an army of so many figures.
func army(b *testing.B, figures int) (*Server, *app.Desk, string) {
	b.Helper()
	text, err := projectfile.Marshal(demo.Army(1, figures))
	if err != nil {
		b.Fatal(err)
	}
	k := newMemory(time.Now)
	d := app.NewDesk(&app.App{Steps: 1, Runs: 1}, k)
	b.Cleanup(d.Close)
	head, err := d.Create(b.Context(), app.NewProject{From: "text", Text: string(text)})
	if err != nil {
		b.Fatal(err)
	}
	return New(Config{Desk: d, Keeper: k}), d, head.Kept.ID
}

// ask answers one request without a network in between.
func ask(b *testing.B, h http.Handler, method, path, body string, headers ...string) int {
	b.Helper()
	r := httptest.NewRequest(method, "http://127.0.0.1"+path, strings.NewReader(body))
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code >= 300 {
		b.Fatalf("%s %s: %d %s", method, path, w.Code, w.Body)
	}
	return w.Body.Len()
}

const armyFigures = 500

// BenchmarkTry is what hovering over a paint costs.
func BenchmarkTry(b *testing.B) {
	s, d, id := army(b, armyFigures)
	if _, err := d.Colours(b.Context(), id, 0); err != nil {
		b.Fatal(err)
	}
	patch := []byte(`[{"op":"replace","path":"/pace","value":1.1}]`)
	if _, err := d.Try(b.Context(), id, 0, patch); err != nil {
		patch = []byte(`[{"op":"add","path":"/pace","value":1.1}]`)
	}
	_ = s
	for b.Loop() {
		if _, err := d.Try(b.Context(), id, 0, patch); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHead is what opening a project costs.
func BenchmarkHead(b *testing.B) {
	s, _, id := army(b, armyFigures)
	h := s.Handler(false, []string{"127.0.0.1"})
	n := 0
	for b.Loop() {
		n = ask(b, h, "GET", "/api/projects/"+id, "", "Accept-Encoding", "gzip")
	}
	b.ReportMetric(float64(n), "bytes")
}

// BenchmarkEdit is what one edit costs until it is kept.
func BenchmarkEdit(b *testing.B) {
	_, d, id := army(b, armyFigures)
	revision := 1
	for b.Loop() {
		patch := []byte(`[{"op":"replace","path":"/name","value":"even"}]`)
		if revision%2 == 1 {
			patch = []byte(`[{"op":"replace","path":"/name","value":"odd"}]`)
		}
		head, err := d.Patch(b.Context(), app.Edit{ID: id, Base: revision}, patch)
		if err != nil {
			b.Fatal(err)
		}
		revision = head.Revision
	}
}

// BenchmarkPlanAndBench is what the bench of a planned army costs, as sent.
func BenchmarkPlanAndBench(b *testing.B) {
	s, d, id := army(b, armyFigures)
	for {
		p, err := d.Plan(b.Context(), id)
		if err != nil {
			b.Fatal(err)
		}
		if p.State == app.PlanReady {
			break
		}
		if p.State != app.PlanWorking {
			b.Fatalf("%s: %s %v", p.State, p.Message, p.Findings)
		}
		time.Sleep(100 * time.Millisecond)
	}
	h := s.Handler(false, []string{"127.0.0.1"})
	for _, what := range []string{"plan", "bench"} {
		b.Run(what, func(b *testing.B) {
			n := 0
			for b.Loop() {
				n = ask(b, h, "GET", "/api/projects/"+id+"/"+what, "", "Accept-Encoding", "gzip")
			}
			b.ReportMetric(float64(n), "bytes")
		})
	}
}
