package web

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net"
	"net/http"
	"strings"
	"time"
)

// policy lets the pages load nothing from outside and run no script that is
// not a file of theirs. Uniform swatches are coloured by attributes set from
// script, which style-src does not forbid.
const policy = "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; " +
	"connect-src 'self' blob:; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// caller is who asks.
type caller struct {
	remote bool   // over the network
	device string // the paired device's name
}

type callerKey struct{}

func callerOf(ctx context.Context) caller {
	c, _ := ctx.Value(callerKey{}).(caller)
	return c
}

// deviceOf is the name by which entries and revisions remember who made them.
func deviceOf(ctx context.Context) string { return callerOf(ctx).device }

// Handler answers requests from the machine itself, or remote ones over the
// network, which need to be paired. hosts are the names that may be asked for;
// any other is refused, against names that were made to point here (DNS
// rebinding).
func (s *Server) Handler(remote bool, hosts []string) http.Handler {
	allowed := map[string]bool{}
	for _, h := range hosts {
		allowed[strings.ToLower(h)] = true
	}
	sameOrigin := http.NewCrossOriginProtection()
	sameOrigin.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		writeProblem(w, problem(http.StatusForbidden, "the request comes from another site", "open the pages at this address and try again"))
	}))
	inner := sameOrigin.Handler(s.admit(remote, limited(compressed(s.mux))))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Permissions-Policy", "geolocation=(), microphone=(), payment=(), usb=()")
		if !allowed[hostOf(r.Host)] {
			writeProblem(w, problem(http.StatusMisdirectedRequest, "this program does not answer to the name "+clip(r.Host),
				"open the address that it printed when it was started"))
			return
		}
		inner.ServeHTTP(w, r)
	})
}

// hostOf is a Host header without its port.
func hostOf(host string) string {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	return strings.ToLower(strings.Trim(host, "[]"))
}

func clip(s string) string {
	const most = 80
	if len(s) > most {
		return s[:most] + "…"
	}
	return s
}

// admit lets paired devices in, and the machine itself.
func (s *Server) admit(remote bool, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		who := caller{remote: remote}
		if remote {
			name, ok := s.pairs.known(r)
			if !ok && r.URL.Path != "/pair" {
				s.turnAway(w, r)
				return
			}
			who.device = name
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), callerKey{}, who)))
	})
}

// limited bounds the time a body may take to arrive; sizes are the
// operations' own.
func limited(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Body != nil && r.ContentLength != 0 {
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(bodyTimeout))
		}
		next.ServeHTTP(w, r)
	})
}

func writeProblem(w http.ResponseWriter, p *Problem) {
	data, err := indented(p)
	if err != nil {
		data = []byte("{}")
	}
	w.Header().Set("Content-Type", p.ContentType(""))
	w.WriteHeader(p.Status)
	w.Write(data)
}

// compressed answers GET with an ETag by content and, where it pays, gzip.
// What is streamed goes through untouched.
func compressed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet || strings.HasSuffix(r.URL.Path, "/events") || r.Header.Get("Range") != "" {
			next.ServeHTTP(w, r)
			return
		}
		held := &heldAnswer{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(held, r)
		held.finish(r)
	})
}

// heldAnswer keeps an answer until it is whole.
type heldAnswer struct {
	http.ResponseWriter
	status int
	body   bytes.Buffer
}

func (a *heldAnswer) WriteHeader(status int)            { a.status = status }
func (a *heldAnswer) Write(p []byte) (int, error)       { return a.body.Write(p) }
func (a *heldAnswer) WriteString(s string) (int, error) { return a.body.WriteString(s) }

// leastGzip is the size from which an answer is worth compressing.
const leastGzip = 1024

func (a *heldAnswer) finish(r *http.Request) {
	h, body := a.Header(), a.body.Bytes()
	if a.status == http.StatusOK && h.Get("ETag") == "" && len(body) > 0 {
		sum := sha256.Sum256(body)
		h.Set("ETag", `W/"`+hex.EncodeToString(sum[:12])+`"`)
		if h.Get("Cache-Control") == "" {
			h.Set("Cache-Control", "private, no-cache")
		}
		if tagListed(r.Header.Get("If-None-Match"), h.Get("ETag")) {
			h.Del("Content-Length")
			h.Del("Content-Type")
			a.ResponseWriter.WriteHeader(http.StatusNotModified)
			return
		}
	}
	h.Add("Vary", "Accept-Encoding")
	if len(body) >= leastGzip && compressible(h.Get("Content-Type")) && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") && h.Get("Content-Encoding") == "" {
		h.Del("Content-Length")
		h.Set("Content-Encoding", "gzip")
		a.ResponseWriter.WriteHeader(a.status)
		out := bufio.NewWriterSize(a.ResponseWriter, 32<<10)
		z, _ := gzip.NewWriterLevel(out, gzip.BestSpeed) // the level is a valid one
		z.Write(body)                                    // a reader that went away is no fault
		z.Close()
		out.Flush()
		return
	}
	a.ResponseWriter.WriteHeader(a.status)
	a.ResponseWriter.Write(body)
}

func compressible(kind string) bool {
	kind, _, _ = strings.Cut(kind, ";")
	return strings.HasPrefix(kind, "text/") || strings.HasSuffix(kind, "json") || strings.HasSuffix(kind, "javascript") ||
		kind == "image/svg+xml" || kind == "model/gltf-binary" || kind == "application/wasm"
}

// tagListed reports whether If-None-Match names an ETag.
func tagListed(header, tag string) bool {
	bare := func(t string) string { return strings.TrimPrefix(strings.TrimSpace(t), "W/") }
	for t := range strings.SplitSeq(header, ",") {
		if bare(t) == bare(tag) || strings.TrimSpace(t) == "*" {
			return true
		}
	}
	return false
}
