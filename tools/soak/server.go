package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// server is the program under load, on a database of its own.
type server struct {
	program, folder, address string
	process                  *exec.Cmd
	alive                    alive
}

// alive hears from the server's collector what it left alive.
type alive struct {
	mu    sync.Mutex
	mb    float64
	heard bool
	rest  []byte
}

// collected is what GODEBUG=gctrace=1 says of the heap: as a collection began,
// as it ended, and what of it is alive.
var collected = regexp.MustCompile(`^gc \d+ @.* (\d+)->(\d+)->(\d+) MB, `)

// Write takes the server's standard error; what is not the collector's goes on
// to this program's.
func (a *alive) Write(p []byte) (int, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.rest = append(a.rest, p...)
	for {
		end := bytes.IndexByte(a.rest, '\n')
		if end < 0 {
			return len(p), nil
		}
		line := a.rest[:end]
		a.rest = a.rest[end+1:]
		found := collected.FindSubmatch(line)
		if found == nil {
			fmt.Fprintf(os.Stderr, "%s\n", line)
			continue
		}
		mb, err := strconv.ParseFloat(string(found[3]), 64)
		if err == nil && (!a.heard || mb < a.mb) {
			a.mb, a.heard = mb, true
		}
	}
}

// least is the least alive since it was last asked for, if there was a
// collection.
func (a *alive) least() (mb float64, ok bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	mb, ok, a.heard = a.mb, a.heard, false
	return mb, ok
}

func start(program string) (*server, error) {
	folder, err := os.MkdirTemp("", "soak")
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	s := &server{program: program, folder: folder, address: l.Addr().String()}
	l.Close()
	return s, s.launch()
}

func (s *server) launch() error {
	s.process = exec.Command(s.program, "serve", "--db", filepath.Join(s.folder, "soak.db"), "--addr", s.address)
	s.process.Env = append(os.Environ(), "GODEBUG=gctrace=1")
	s.process.Stderr = &s.alive
	if err := s.process.Start(); err != nil {
		return err
	}
	for range 600 {
		if _, err := s.ask("GET", "/api/about", nil, nil); err == nil {
			return nil
		}
		time.Sleep(100 * time.Millisecond)
	}
	return fmt.Errorf("the server does not answer at %s", s.address)
}

// restart kills the server without warning and starts it again.
func (s *server) restart() error {
	s.process.Process.Signal(syscall.SIGKILL)
	s.process.Wait()
	return s.launch()
}

func (s *server) end() {
	s.process.Process.Signal(os.Interrupt)
	s.process.Wait()
	os.RemoveAll(s.folder)
}

// memory is what the server holds in memory, in MB.
func (s *server) memory() (float64, error) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.process.Process.Pid))
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(status)) {
		var kb float64
		if n, _ := fmt.Sscanf(line, "VmRSS: %f kB", &kb); n == 1 {
			return kb / 1024, nil
		}
	}
	return 0, fmt.Errorf("no VmRSS")
}

// refusal is an answer that is no success.
type refusal struct {
	status int
	text   string
}

func (r *refusal) Error() string { return fmt.Sprintf("%d %s", r.status, r.text) }

// expected tells whether load explains it: somebody else was first, there is
// nothing to undo, the plan is not ready.
func (r *refusal) expected() bool {
	switch r.status {
	case http.StatusConflict, http.StatusPreconditionFailed, http.StatusNotFound, http.StatusServiceUnavailable, http.StatusTooManyRequests:
		return true
	}
	return strings.Contains(r.text, "there is nothing to") // undo, or redo
}

var client = &http.Client{Timeout: 5 * time.Minute}

func (s *server) ask(method, path string, header map[string]string, body []byte) ([]byte, error) {
	q, err := http.NewRequest(method, "http://"+s.address+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	q.Header.Set("Content-Type", "application/json")
	for k, v := range header {
		q.Header.Set(k, v)
	}
	a, err := client.Do(q)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	text, err := io.ReadAll(a.Body)
	if err != nil {
		return nil, err
	}
	if a.StatusCode >= 300 {
		return nil, &refusal{a.StatusCode, string(text[:min(200, len(text))])}
	}
	return text, nil
}

func (s *server) get(path string, into any) error {
	text, err := s.ask("GET", path, nil, nil)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, into)
}

// create makes the project that is worked on.
func (s *server) create() (string, error) {
	text, err := s.ask("POST", "/api/projects", nil, []byte(`{"from":"starter"}`))
	if err != nil {
		return "", err
	}
	var head struct {
		Kept struct{ ID string }
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return "", err
	}
	if head.Kept.ID == "" {
		return "", fmt.Errorf("a project without an ID")
	}
	return head.Kept.ID, nil
}
