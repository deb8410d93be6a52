package web

import (
	"context"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"facings/internal/app"
)

// blob is an answer of bytes.
type blob struct {
	Type        string `header:"Content-Type"`
	ETag        string `header:"ETag"`
	Cache       string `header:"Cache-Control"`
	Disposition string `header:"Content-Disposition"`
	Body        []byte
}

// kept is a blob that changes rarely: browsers keep it and ask by its ETag.
func kept(kind string, data []byte) *blob {
	return &blob{Type: kind, Cache: "private, no-cache", Body: data}
}

// attachment names a download. Names are kept to letters every system knows.
func attachment(name string) string {
	return mime.FormatMediaType("attachment", map[string]string{"filename": path.Base(name)})
}

// fileType is the type of a file beside a project: nothing that a browser would
// run.
func fileType(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".png":
		return "image/png"
	case ".jpg", ".jpeg":
		return "image/jpeg"
	case ".webp":
		return "image/webp"
	}
	return "application/octet-stream"
}

func indented(v any) ([]byte, error) {
	out, err := json.MarshalIndent(v, "", "  ")
	return append(out, '\n'), err
}

// hashedName reports whether a file's name changes with its content.
func hashedName(name string) bool { return strings.HasPrefix(name, "assets/") }

// pageAddress reports whether the page itself knows the address.
func pageAddress(p string) bool {
	return p == "/" || strings.HasPrefix(p, "/p/") || path.Ext(p) == "" && !strings.HasPrefix(p, "/api") && !strings.HasPrefix(p, "/assets")
}

// events streams what changes in a project.
func (s *Server) events(ctx context.Context, in *OfProject) (*huma.StreamResponse, error) {
	events, stop, err := s.desk.Subscribe(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		defer stop()
		r, w := humago.Unwrap(hc)
		w.Header().Set("Content-Type", "text/event-stream")
		w.Header().Set("Cache-Control", "no-store")
		control := http.NewResponseController(w)
		write := func(text string) bool {
			// A reader that stands still must not hold the connection for ever.
			_ = control.SetWriteDeadline(time.Now().Add(heartbeat))
			_, err := w.Write([]byte(text))
			return err == nil && control.Flush() == nil
		}
		if !write(": facings\n\n") {
			return
		}
		beat := time.NewTicker(heartbeat)
		defer beat.Stop()
		for {
			select {
			case <-r.Context().Done():
				return
			case <-s.closing:
				return
			case <-beat.C:
				if !write(": still here\n\n") {
					return
				}
			case e, ok := <-events:
				if !ok || !write(eventText(e)) {
					return
				}
			}
		}
	}}, nil
}

func eventText(e app.Event) string {
	data, err := json.Marshal(e)
	if err != nil {
		return ": " + err.Error() + "\n\n"
	}
	return fmt.Sprintf("event: %s\ndata: %s\n\n", e.Kind, data)
}

// sheet hands the query over to the app, which knows the options.
type sheetIn struct {
	OfProject
	Kind   string `path:"kind" maxLength:"40"`
	Paper  string `query:"paper" default:"a4"`
	Format string `query:"format" doc:"one of the kind's formats; its usual one if empty"`
	values map[string]string
}

// Resolve collects the options of the kind from the rest of the query.
func (in *sheetIn) Resolve(ctx huma.Context) []error {
	in.values = map[string]string{}
	address := ctx.URL()
	query := address.Query()
	for name := range query {
		in.values[name] = query.Get(name)
	}
	return nil
}

func (s *Server) sheet(ctx context.Context, in *sheetIn) (*blob, error) {
	f, err := s.desk.Sheet(ctx, in.ID, in.Kind, in.values)
	if err != nil {
		return nil, err
	}
	return &blob{Type: f.Type, Disposition: attachment(f.Name), Body: f.Data}, nil
}
