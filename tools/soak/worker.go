package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"time"
)

// acknowledged is what the server said yes to.
type acknowledged struct {
	mu    sync.Mutex
	edits []string // the reasons given, each once
	ticks []string // IDs of entries
}

// missing counts what is not there any more, and what is there twice.
func (a *acknowledged) missing(s *server, project string) (lost, doubled int, err error) {
	whys := map[string]int{}
	for before := 0; ; {
		var page struct {
			Revisions []struct {
				Number int
				Why    string
			}
		}
		if err := s.get(fmt.Sprintf("/api/projects/%s/history?n=500&before=%d", project, before), &page); err != nil {
			return 0, 0, err
		}
		if len(page.Revisions) == 0 {
			break
		}
		for _, r := range page.Revisions {
			whys[r.Why]++
			before = r.Number
		}
		if before <= 1 {
			break
		}
	}
	ids := map[string]int{}
	var log struct{ Entries []struct{ ID string } }
	if err := s.get("/api/projects/"+project+"/log", &log); err != nil {
		return 0, 0, err
	}
	for _, e := range log.Entries {
		ids[e.ID]++
	}
	count := func(have map[string]int, want []string) {
		for _, w := range want {
			switch {
			case have[w] == 0:
				lost++
			case have[w] > 1:
				doubled++
			}
		}
	}
	count(whys, a.edits)
	count(ids, a.ticks)
	return lost, doubled, nil
}

type worker struct {
	server  *server
	project string
	random  *rand.Rand
	done    *acknowledged
	number  int
	count   int

	pictures int // their weight
}

func (w *worker) path(rest string) string { return "/api/projects/" + w.project + rest }

// step does one thing; the weights are those of a busy bench.
func (w *worker) step() (string, error) {
	w.count++
	steps := []struct {
		weight int
		name   string
		do     func() error
	}{
		{20, "tick", w.tick},
		{15, "edit", w.edit},
		{5, "undo", w.undo},
		{10, "head", func() error { return w.look("") }},
		{10, "plan", func() error { return w.look("/plan") }},
		{10, "bench", func() error { return w.look("/bench") }},
		{w.pictures, "picture", w.picture},
		{6, "colours", func() error { return w.look(fmt.Sprintf("/colours?figure=%d", w.random.IntN(12))) }},
		{4, "shop", func() error { return w.look("/shop") }},
		{4, "mix", w.mix},
		{3, "sheet", func() error {
			return w.look("/sheets/" + []string{"flags", "ranks", "shopping", "trays"}[w.random.IntN(4)])
		}},
		{2, "export", func() error { return w.look("/export.zip") }},
		{2, "compare", func() error { return w.look("/history?n=20") }},
		{3, "listen", w.listen},
	}
	total := 0
	for _, s := range steps {
		total += s.weight
	}
	n := w.random.IntN(total)
	for _, s := range steps {
		if n -= s.weight; n < 0 {
			return s.name, s.do()
		}
	}
	panic("weights")
}

func (w *worker) look(rest string) error {
	_, err := w.server.ask("GET", w.path(rest), nil, nil)
	return err
}

func (w *worker) head() (int, error) {
	var head struct{ Revision int }
	err := w.server.get(w.path(""), &head)
	return head.Revision, err
}

// edit changes the note, with a reason that nobody else gives.
func (w *worker) edit() error {
	base, err := w.head()
	if err != nil {
		return err
	}
	why := fmt.Sprintf("worker-%d-edit-%d", w.number, w.count)
	patch := fmt.Sprintf(`[{"op":"add","path":"/note","value":%q}]`, why)
	_, err = w.server.ask("PATCH", w.path("?why="+why), map[string]string{
		"Content-Type": "application/json-patch+json", "If-Match": fmt.Sprintf(`"r%d"`, base)}, []byte(patch))
	if err == nil {
		w.done.mu.Lock()
		w.done.edits = append(w.done.edits, why)
		w.done.mu.Unlock()
	}
	return err
}

func (w *worker) undo() error {
	base, err := w.head()
	if err != nil {
		return err
	}
	way := []string{"/undo", "/redo"}[w.random.IntN(2)]
	_, err = w.server.ask("POST", w.path(way), map[string]string{"If-Match": fmt.Sprintf(`"r%d"`, base)}, nil)
	return err
}

// tick notes something, now and then twice as a phone does after a lost answer.
func (w *worker) tick() error {
	id := fmt.Sprintf("00000000-0000-4000-8000-%04x%08x", w.number, w.count)
	entry := map[string]any{"id": id, "kind": "note", "at": time.Now().Format(time.RFC3339Nano), "note": "soak"}
	body, err := json.Marshal(map[string]any{"entries": []any{entry}})
	if err != nil {
		return err
	}
	for range 1 + w.random.IntN(2) {
		if _, err := w.server.ask("POST", w.path("/log"), nil, body); err != nil {
			return err
		}
	}
	w.done.mu.Lock()
	w.done.ticks = append(w.done.ticks, id)
	w.done.mu.Unlock()
	return nil
}

func (w *worker) picture() error {
	return w.look(fmt.Sprintf("/pictures/figure.png?figure=%d&passes=%d&azimuth=%d&width=320&height=380&v=%d",
		w.random.IntN(12), w.random.IntN(30), 90*w.random.IntN(4), w.random.IntN(3)))
}

func (w *worker) mix() error {
	body := fmt.Sprintf(`{"project":%q,"target":"#%06x"}`, w.project, w.random.IntN(1<<24))
	_, err := w.server.ask("POST", "/api/mix", nil, []byte(body))
	return err
}

// listen hears the news for a moment and goes away without a word.
func (w *worker) listen() error {
	ctx, stop := context.WithTimeout(context.Background(), time.Duration(1+w.random.IntN(3))*time.Second)
	defer stop()
	q, err := http.NewRequestWithContext(ctx, "GET", "http://"+w.server.address+w.path("/events"), nil)
	if err != nil {
		return err
	}
	a, err := http.DefaultClient.Do(q)
	if err != nil {
		return err
	}
	defer a.Body.Close()
	for lines := bufio.NewScanner(a.Body); lines.Scan(); {
	}
	return nil
}
