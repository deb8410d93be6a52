package web

import (
	"context"
	"embed"
	"io/fs"
	"log"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"facings"
	"facings/internal/app"
)

//go:embed all:dist
var dist embed.FS

// Limits on requests.
const (
	maxJSONBody   = 4 << 20
	maxLogBody    = 8 << 20
	maxHeader     = 32 << 10
	headerTimeout = 10 * time.Second
	bodyTimeout   = 2 * time.Minute // a mesh over a slow network
	idleTimeout   = 2 * time.Minute
	heartbeat     = 20 * time.Second
)

// Config is what a server is made from.
type Config struct {
	Desk    *app.Desk
	Keeper  app.Keeper // for paired devices
	Version string
	Demo    bool
	// Pages replaces the embedded pages, for tests.
	Pages fs.FS
	Now   func() time.Time
	Log   *log.Logger // nil for none
}

// Server answers requests. Its handlers are made by Handler, one for the
// machine itself and one for the network around it.
type Server struct {
	desk    *app.Desk
	version string
	demo    bool
	now     func() time.Time
	log     *log.Logger
	mux     *http.ServeMux
	api     huma.API
	pairs   *pairs
	lan     *lanInfo // nil unless served to the network
	closing chan struct{}
}

// New makes a server.
func New(c Config) *Server {
	s := &Server{desk: c.Desk, version: c.Version, demo: c.Demo, now: c.Now, log: c.Log, mux: http.NewServeMux(), closing: make(chan struct{})}
	if s.now == nil {
		s.now = time.Now
	}
	s.pairs = newPairs(c.Keeper, s.now)
	s.api = humago.New(s.mux, apiConfig(c.Version))
	s.routes()
	s.mux.HandleFunc("GET /pair", s.pairPage)
	s.mux.HandleFunc("POST /pair", s.pair)
	pages := c.Pages
	if pages == nil {
		pages, _ = fs.Sub(dist, "dist") // the folder is embedded, so it is there
	}
	s.mux.Handle("/", newPages(pages))
	return s
}

// apiConfig switches off what would load from outside or add to answers.
func apiConfig(version string) huma.Config {
	c := huma.DefaultConfig("Facings", version)
	c.OpenAPIPath, c.DocsPath, c.SchemasPath = "/api/openapi", "", ""
	c.CreateHooks = nil
	c.Info.Description = "Plan the painting of historical miniatures in batches. Values are those of --json. " +
		"Every edit needs If-Match with the revision it was made from. Errors are application/problem+json (RFC 9457)."
	return c
}

// OpenAPI is the description of the JSON, indented.
func (s *Server) OpenAPI() ([]byte, error) { return indented(s.api.OpenAPI()) }

func (s *Server) logf(format string, args ...any) {
	if s.log != nil {
		s.log.Printf(format, args...)
	}
}

// About says what this is and who asks.
type About struct {
	Version string `json:"version"`
	Demo    bool   `json:"demo"`
	LAN     bool   `json:"lan"`    // whether other devices may join
	Local   bool   `json:"local"`  // the asker is on the machine itself
	Paired  bool   `json:"paired"` // the asker may do everything
	Device  string `json:"device"`
	Limits  Limits `json:"limits"`
	// Fingerprint is the SHA-256 of the certificate, to compare by eye; empty
	// unless served to the network.
	Fingerprint string `json:"fingerprint,omitempty"`
}

// Limits are what is refused beyond.
type Limits struct {
	Units     int `json:"units"`
	Figures   int `json:"figures"`
	Paints    int `json:"paints"`
	FileBytes int `json:"file_bytes"`
	Files     int `json:"files"`
	Entries   int `json:"log_entries_at_once"`
	TextBytes int `json:"text_bytes"`
}

func (s *Server) about(ctx context.Context) About {
	who := callerOf(ctx)
	a := About{Version: s.version, Demo: s.demo, LAN: s.lan != nil, Local: !who.remote, Paired: true, Device: who.device,
		Limits: Limits{facings.MaxUnits, facings.MaxFigures, facings.MaxPaints, facings.MaxOneFile, facings.MaxFiles, facings.MaxEntriesOnce, facings.MaxFileBytes}}
	if s.lan != nil {
		a.Fingerprint = s.lan.fingerprint
	}
	return a
}

// newPages serves the embedded pages: files as they are, the page itself for
// every address that belongs to it.
func newPages(files fs.FS) http.Handler {
	server := http.FileServerFS(files)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			http.Error(w, "only GET is answered here", http.StatusMethodNotAllowed)
			return
		}
		name := r.URL.Path[1:]
		if name != "" && name != "index.html" {
			if info, err := fs.Stat(files, name); err == nil && !info.IsDir() {
				if hashedName(name) {
					w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
				}
				server.ServeHTTP(w, r)
				return
			}
			if !pageAddress(r.URL.Path) {
				http.NotFound(w, r)
				return
			}
		}
		page, err := fs.ReadFile(files, "index.html")
		if err != nil {
			http.Error(w, "the pages are missing from this build", http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Write(page)
	})
}
