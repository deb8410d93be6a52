package cli

import (
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// progress draws a bar on a terminal once something has taken a second, and
// keeps it moving; it draws nothing anywhere else.
type progress struct {
	mu    sync.Mutex
	out   io.Writer
	bar   *progressbar.ProgressBar
	stage string
	share float64
	over  chan struct{}
}

const (
	progressAfter = time.Second
	progressEvery = 250 * time.Millisecond
	progressSteps = 1000
)

func newProgress(out io.Writer, terminal bool) *progress {
	p := &progress{}
	if !terminal {
		return p
	}
	p.out, p.over = out, make(chan struct{})
	go p.tick(p.over)
	return p
}

// tick draws the state every so often until done is called.
func (p *progress) tick(over chan struct{}) {
	timer := time.NewTimer(progressAfter)
	defer timer.Stop()
	for {
		select {
		case <-over:
			return
		case <-timer.C:
			p.draw()
			timer.Reset(progressEvery)
		}
	}
}

func (p *progress) draw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.over == nil {
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(progressSteps, progressbar.OptionSetWriter(p.out), progressbar.OptionClearOnFinish(),
			progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(false), progressbar.OptionSetElapsedTime(true))
	}
	p.bar.Describe(p.stage)
	_ = p.bar.Set(max(1, int(p.share*progressSteps))) // a bar that cannot be drawn harms nothing
}

// set says what is going on and how far all of it is, 0 to 1.
func (p *progress) set(stage string, share float64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.stage, p.share = stage, share
}

// done takes the bar away.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.over == nil {
		return
	}
	close(p.over)
	p.over = nil
	if p.bar != nil {
		_ = p.bar.Clear()
		_ = p.bar.Exit()
	}
}
