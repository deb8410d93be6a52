package cli

import (
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// progress draws a bar on a terminal once something has taken a second; it
// draws nothing anywhere else.
type progress struct {
	mu    sync.Mutex
	out   io.Writer
	bar   *progressbar.ProgressBar
	begun time.Time
}

func newProgress(out io.Writer, terminal bool) *progress {
	if !terminal {
		return &progress{}
	}
	return &progress{out: out, begun: time.Now()}
}

const (
	progressAfter = time.Second
	progressSteps = 1000
)

// set says what is going on and how far all of it is, 0 to 1.
func (p *progress) set(stage string, share float64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.out == nil {
		return
	}
	if p.bar == nil {
		if time.Since(p.begun) < progressAfter {
			return
		}
		p.bar = progressbar.NewOptions(progressSteps, progressbar.OptionSetWriter(p.out), progressbar.OptionClearOnFinish(),
			progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(false))
	}
	p.bar.Describe(stage)
	_ = p.bar.Set(int(share * progressSteps)) // a progress bar that fails harms nothing
}

// done takes the bar away.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}
