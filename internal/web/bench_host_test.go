package web

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"facings/internal/app"
	"facings/internal/store"
)

// host is a whole server over a keeper in memory, as a browser meets it. Every
// JSON answer is held against docs/openapi.json.
type host struct {
	t      *testing.T
	keeper *memory // nil over a real database
	desk   *app.Desk
	server *Server
	http   *httptest.Server
	schema *jsonschema.Compiler
	mu     sync.Mutex
	now    time.Time
}

func newHost(t *testing.T) *host {
	h := &host{t: t, now: evening}
	h.keeper = newMemory(h.clock)
	h.serve(h.keeper)
	return h
}

// evening is when tests take place.
var evening = time.Date(2027, 3, 1, 18, 0, 0, 0, time.UTC)

// both runs a test over the keeper in memory and over a real database.
func both(t *testing.T, test func(t *testing.T, h *host)) {
	t.Run("memory", func(t *testing.T) { test(t, newHost(t)) })
	t.Run("database", func(t *testing.T) {
		h := &host{t: t, now: evening}
		db, err := store.Open(filepath.Join(t.TempDir(), "facings.db"), store.Options{Clock: h.clock})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := db.Close(); err != nil {
				t.Error(err)
			}
		})
		h.serve(db)
		test(t, h)
	})
}

func (h *host) clock() time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.now
}

func (h *host) serve(k app.Keeper) {
	t := h.t
	h.desk = app.NewDesk(&app.App{Now: h.clock, Steps: steps(), Runs: 20}, k)
	h.server = New(Config{Desk: h.desk, Keeper: k, Version: "test", Now: h.clock})
	h.http = httptest.NewServer(h.server.Handler(false, []string{"127.0.0.1"}))
	t.Cleanup(func() {
		h.http.Close()
		h.desk.Close()
	})
}

// steps bounds the search for an order: far, or as far as the race detector has
// time for.
func steps() int64 {
	if testing.Short() {
		return 5_000
	}
	return 200_000
}

func (h *host) later(d time.Duration) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now = h.now.Add(d)
}

// call makes a request and reads the whole answer.
func (h *host) call(method, path string, body any, headers ...string) (*http.Response, []byte) {
	h.t.Helper()
	var r io.Reader
	switch b := body.(type) {
	case nil:
	case []byte:
		r = bytes.NewReader(b)
	case string:
		r = strings.NewReader(b)
	default:
		data, err := json.Marshal(b)
		if err != nil {
			h.t.Fatal(err)
		}
		r = bytes.NewReader(data)
	}
	req, err := http.NewRequest(method, h.http.URL+path, r)
	if err != nil {
		h.t.Fatal(err)
	}
	if r != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			req.Host = headers[i+1]
			continue
		}
		req.Header.Set(headers[i], headers[i+1])
	}
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		h.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		h.t.Fatal(err)
	}
	h.validate(method, path, res, data)
	return res, data
}

// want makes a request that must be answered with a status, and decodes it.
func (h *host) want(status int, out any, method, path string, body any, headers ...string) *http.Response {
	h.t.Helper()
	res, data := h.call(method, path, body, headers...)
	if res.StatusCode != status {
		h.t.Fatalf("%s %s: %s, want %d\n%s", method, path, res.Status, status, data)
	}
	if out != nil {
		if err := json.Unmarshal(data, out); err != nil {
			h.t.Fatalf("%s %s: %v\n%s", method, path, err, data)
		}
	}
	return res
}

// validate holds a JSON answer against the schema promised for it.
func (h *host) validate(method, path string, res *http.Response, data []byte) {
	h.t.Helper()
	if !strings.HasSuffix(strings.Split(res.Header.Get("Content-Type"), ";")[0], "json") || !strings.HasPrefix(path, "/api/") || strings.HasPrefix(path, "/api/openapi") {
		return
	}
	pointer := h.operation(method, strings.Split(path, "?")[0])
	if pointer == "" {
		return
	}
	kind, code := "application/json", "200"
	if res.StatusCode >= 400 {
		kind, code = "application/problem+json", "default"
	} else if res.StatusCode == http.StatusCreated {
		code = "201"
	}
	s, err := h.compiler().Compile("openapi.json#" + pointer + "/responses/" + code + "/content/" + strings.ReplaceAll(kind, "/", "~1") + "/schema")
	if err != nil {
		h.t.Fatalf("%s %s: %v", method, path, err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		h.t.Fatalf("%s %s: %v", method, path, err)
	}
	if err := s.Validate(v); err != nil {
		h.t.Errorf("%s %s does not answer as docs/openapi.json promises: %v", method, path, err)
	}
}

func (h *host) compiler() *jsonschema.Compiler {
	if h.schema != nil {
		return h.schema
	}
	data, err := h.server.OpenAPI()
	if err != nil {
		h.t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		h.t.Fatal(err)
	}
	h.schema = jsonschema.NewCompiler()
	if err := h.schema.AddResource("openapi.json", doc); err != nil {
		h.t.Fatal(err)
	}
	return h.schema
}

// operation is the JSON Pointer of the operation behind an address.
func (h *host) operation(method, path string) string {
	for template := range h.server.api.OpenAPI().Paths {
		want, got := strings.Split(template, "/"), strings.Split(path, "/")
		if len(want) != len(got) {
			continue
		}
		same := true
		for i := range want {
			same = same && (want[i] == got[i] || strings.HasPrefix(want[i], "{"))
		}
		if same {
			return "/paths/" + strings.ReplaceAll(template, "/", "~1") + "/" + strings.ToLower(method)
		}
	}
	return ""
}

// starter keeps the starter project and returns its head.
func (h *host) starter() app.Head {
	h.t.Helper()
	var head app.Head
	h.want(201, &head, "POST", "/api/projects", app.NewProject{From: "starter"})
	return head
}

// planned waits until a project's plan is of the newest state.
func (h *host) planned(id string) app.PlanState {
	h.t.Helper()
	var p app.PlanState
	for range 600 {
		h.want(200, &p, "GET", "/api/projects/"+id+"/plan", nil)
		if !p.Stale && p.State != app.PlanWorking {
			return p
		}
		time.Sleep(50 * time.Millisecond)
	}
	h.t.Fatalf("no plan after 30 s: %+v", p)
	return p
}

func etag(head app.Head) string { return etagOf(head.Revision) }

func projectPath(head app.Head, rest string) string {
	return "/api" + filepath.ToSlash(filepath.Join("/projects", head.Kept.ID, rest))
}
