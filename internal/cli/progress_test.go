package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"testing"

	"facings/internal/app"
)

// Whatever draws progress, nothing of it is left under what is shown then, nor
// when a command ends.
func TestProgressIsTakenAway(t *testing.T) {
	ended := func(bar *progress) bool {
		bar.mu.Lock()
		defer bar.mu.Unlock()
		return bar.over == nil
	}
	for name, show := range map[string]func(p *Program){
		"output":   func(p *Program) { fmt.Fprintln(p.Out, "text") },
		"findings": func(p *Program) { _ = p.explain(&app.Opened{}, nil, nil) },
	} {
		p := &Program{Out: io.Discard, Err: &bytes.Buffer{}, Terminal: true}
		p.Out = &noted{to: p.Out, before: p.clear}
		_, bar := p.app()
		if ended(bar) {
			t.Fatal("it ended before it began")
		}
		if show(p); !ended(bar) {
			t.Errorf("%s: the progress goes on", name)
		}
	}
	p := &Program{Out: io.Discard, Err: &bytes.Buffer{}, Terminal: true}
	_, bar := p.app()
	if p.Main(context.Background(), []string{"order"}); !ended(bar) {
		t.Error("the progress outlives the command")
	}
}
