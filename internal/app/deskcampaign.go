package app

import (
	"context"
	"encoding/json"
	"errors"
	"sync"
	"time"

	"facings"
)

// The states of a campaign.
const (
	CampaignNone    = "none" // nobody asked for it yet
	CampaignWorking = "working"
	CampaignReady   = "ready"
	CampaignFailed  = "failed"
)

// CampaignState is the newest campaign that was worked out, and what is going on.
type CampaignState struct {
	State string `json:"state" enum:"none,working,ready,failed"`
	// Stage and Share (0 to 1) say how far a campaign in the making is.
	Stage    string              `json:"stage"`
	Share    float64             `json:"share"`
	Message  string              `json:"message,omitempty"` // of a failure
	Findings facings.Diagnostics `json:"findings"`
	// Revision and Seq are what Campaign takes account of; Stale is true when
	// the project or its log has moved on since.
	Revision int       `json:"revision"`
	Seq      int64     `json:"seq"`
	Stale    bool      `json:"stale"`
	At       time.Time `json:"at,omitzero"`
	// Campaign is the last that was finished, whatever is in the making.
	Campaign *Campaign `json:"campaign,omitempty"`
}

// campaigns holds the campaigns that were asked for, of every project the last.
type campaigns struct {
	slot chan struct{} // one is worked out at a time
	mu   sync.Mutex
	runs map[string]*campaignRun
}

// campaignRun is a campaign in the making, or how that ended.
type campaignRun struct {
	cancel   context.CancelFunc // nil when it has ended
	stage    string
	share    float64
	message  string
	findings facings.Diagnostics
	asked    time.Time
}

// mostCampaigns is how many projects may wait for their campaign at once.
const mostCampaigns = 8

func newCampaigns() *campaigns {
	return &campaigns{slot: make(chan struct{}, 1), runs: map[string]*campaignRun{}}
}

// keptCampaign is a campaign as remembered.
type keptCampaign struct {
	Revision int       `json:"revision"`
	Seq      int64     `json:"seq"`
	At       time.Time `json:"at"`
	Campaign *Campaign `json:"campaign"`
}

func campaignKey(id string) string { return "campaign/" + id }

// Campaign is the newest campaign of a project, at once; StartCampaign has one made.
func (d *Desk) Campaign(ctx context.Context, id string) (*CampaignState, error) {
	s, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	if err := d.readLog(ctx, s); err != nil {
		return nil, err
	}
	s.mu.Lock()
	seq := s.seq()
	s.mu.Unlock()
	out := &CampaignState{State: CampaignNone, Findings: facings.Diagnostics{}}
	if kept, err := d.keeper.Recall(ctx, campaignKey(id)); err == nil {
		var was keptCampaign
		if json.Unmarshal(kept[campaignKey(id)], &was) == nil && was.Campaign != nil {
			fill(was.Campaign)
			out.State, out.Campaign = CampaignReady, was.Campaign
			out.Revision, out.Seq, out.At = was.Revision, was.Seq, was.At
			out.Stale = was.Revision != r.number || was.Seq != seq
		}
	}
	d.campaigns.mu.Lock()
	defer d.campaigns.mu.Unlock()
	if run := d.campaigns.runs[id]; run != nil {
		out.Stage, out.Share, out.Message = run.stage, run.share, run.message
		out.Findings = append(out.Findings, run.findings...)
		switch {
		case run.cancel != nil:
			out.State = CampaignWorking
		case run.message != "":
			out.State = CampaignFailed
		}
	}
	return out, nil
}

// StartCampaign has the campaign of what is left worked out in the background,
// beside the plan; one in the making is given up for it. Without any date it is
// a Mistake.
func (d *Desk) StartCampaign(ctx context.Context, id string, opt CampaignOptions) (*CampaignState, error) {
	r, log, err := d.logged(ctx, id)
	if err != nil {
		return nil, err
	}
	o := *r.opened
	if _, err := (&army{a: &d.app, o: &o}).dates(); errors.Is(err, ErrNoDates) {
		return nil, &Mistake{Message: "nothing has a date yet", Hint: "add a game, or a day by which a unit is to be ready"}
	} else if err != nil {
		return nil, &Mistake{Message: err.Error()}
	}
	o.Progress = facings.ProgressOf(log)
	kept := keptCampaign{Revision: r.number}
	s := d.session(id)
	s.mu.Lock()
	kept.Seq = s.seq()
	s.mu.Unlock()
	d.learn(ctx, s, r, &o)
	if err := d.campaigns.start(d, id, &o, opt, kept); err != nil {
		return nil, err
	}
	return d.Campaign(ctx, id)
}

// StopCampaign gives up a campaign in the making; the one from before stays.
func (d *Desk) StopCampaign(ctx context.Context, id string) (*CampaignState, error) {
	if _, err := d.keeper.Project(ctx, id); err != nil {
		return nil, err
	}
	d.campaigns.mu.Lock()
	if run := d.campaigns.runs[id]; run != nil && run.cancel != nil {
		run.cancel()
		delete(d.campaigns.runs, id)
	}
	d.campaigns.mu.Unlock()
	return d.Campaign(ctx, id)
}

// start puts a run in the place of the project's last.
func (c *campaigns) start(d *Desk, id string, o *Opened, opt CampaignOptions, kept keptCampaign) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if d.ctx.Err() != nil {
		return d.ctx.Err()
	}
	if old := c.runs[id]; old != nil && old.cancel != nil {
		old.cancel()
	}
	delete(c.runs, id)
	for other, run := range c.runs {
		if run.cancel == nil { // what it said was read, or nobody cares
			delete(c.runs, other)
		}
	}
	if len(c.runs) >= mostCampaigns {
		return &Mistake{Message: "too many campaigns are being worked out", Hint: "wait for one of them, or stop it"}
	}
	ctx, cancel := context.WithCancel(d.ctx)
	run := &campaignRun{cancel: cancel, stage: "waiting for another campaign", asked: d.app.now()}
	c.runs[id] = run
	d.working.Add(1)
	go func() {
		defer d.working.Done()
		defer cancel()
		c.work(ctx, d, id, run, o, opt, kept)
	}()
	return nil
}

// work makes one campaign, and keeps it if nobody gave it up.
func (c *campaigns) work(ctx context.Context, d *Desk, id string, run *campaignRun, o *Opened, opt CampaignOptions, kept keptCampaign) {
	select {
	case c.slot <- struct{}{}:
		defer func() { <-c.slot }()
	case <-ctx.Done():
		return
	}
	a := d.app
	a.Progress = func(stage string, share float64) {
		c.mu.Lock()
		defer c.mu.Unlock()
		run.stage, run.share = stage, max(run.share, min(1, share))
	}
	made, err := a.Campaign(ctx, o, opt)
	if ctx.Err() != nil {
		return
	}
	if err == nil {
		kept.At, kept.Campaign = run.asked, made
		var data []byte
		if data, err = json.Marshal(kept); err == nil {
			err = d.keeper.Remember(ctx, campaignKey(id), data)
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	run.cancel = nil
	var findings facings.Diagnostics
	switch {
	case errors.As(err, &findings):
		run.message, run.findings = "the army cannot be planned", findings
	case err != nil:
		run.message = err.Error()
	}
}
