package web

import (
	"strings"
	"testing"
	"time"

	"facings/internal/app"
)

func TestCampaignIsWorkedOutAside(t *testing.T) { both(t, worksCampaign) }

func worksCampaign(t *testing.T, h *host) {
	head := h.starter()
	var c app.CampaignState
	h.want(200, &c, "GET", projectPath(head, "campaign"), nil)
	if c.State != app.CampaignNone || c.Campaign != nil {
		t.Fatalf("before anybody asked: %+v", c)
	}
	unit := head.Project.Units[0].Name
	if head.Project.Units[0].ReadyBy == "" && len(head.Project.Calendar.Games) == 0 && head.Project.Calendar.ReadyBy == "" {
		var p Problem
		h.want(422, &p, "POST", projectPath(head, "campaign"), map[string]any{})
		if !strings.Contains(p.Hint, "add a game") {
			t.Errorf("no way out: %+v", p)
		}
	}
	// A game in the first days cannot be met, one in a year can.
	games := `[{"op":"add","path":"/calendar/games","value":[{"date":"2027-01-06","name":"Fording the Ald"},{"date":"2028-03-02"}]}]`
	h.want(200, &head, "PATCH", projectPath(head, ""), games, "If-Match", etag(head))
	h.want(200, &c, "POST", projectPath(head, "campaign"), map[string]any{})
	for i := 0; c.State == app.CampaignWorking; i++ {
		if i > 600 {
			t.Fatalf("still working: %+v", c)
		}
		time.Sleep(100 * time.Millisecond)
		h.want(200, &c, "GET", projectPath(head, "campaign"), nil)
	}
	if c.State != app.CampaignReady || c.Stale || c.Revision != head.Revision || !c.Campaign.Checked || len(c.Campaign.Dates) != 2 {
		t.Fatalf("campaign: %+v", c)
	}
	if late := c.Campaign.Dates[0].Late; len(late) == 0 || late[0].Units[0] != unit {
		t.Errorf("nothing is late in the first days: %+v", c.Campaign.Dates[0])
	}
	if d := c.Campaign.Dates[1]; len(d.Late) > 0 || d.Name != "game" {
		t.Errorf("something is late in a year: %+v", d)
	}
	// It stays, and says so, when the project moves on.
	h.want(200, &head, "PATCH", projectPath(head, ""), `[{"op":"replace","path":"/name","value":"x"}]`, "If-Match", etag(head))
	h.want(200, &c, "GET", projectPath(head, "campaign"), nil)
	if c.State != app.CampaignReady || !c.Stale {
		t.Errorf("after an edit: %s, stale %v", c.State, c.Stale)
	}
	// It can be given up; the one from before stays.
	h.want(200, &c, "POST", projectPath(head, "campaign"), map[string]any{"quick": true})
	h.want(200, &c, "DELETE", projectPath(head, "campaign"), nil)
	if c.State != app.CampaignReady || c.Campaign == nil {
		t.Errorf("given up: %+v", c)
	}
	h.want(404, nil, "POST", "/api/projects/none/campaign", map[string]any{})
}

func TestWeatherMovesSpraying(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	var p Problem
	h.want(422, &p, "POST", projectPath(head, "weather"), map[string]string{"forecast": "time,temp,rh\n2027-03-01 06:00,warm,50\n"})
	if !strings.Contains(p.Detail, "forecast:2") || p.Hint == "" {
		t.Errorf("the line is not named: %+v", p)
	}
	var w app.WeatherAnswer
	h.want(200, &w, "POST", projectPath(head, "weather"), map[string]string{"forecast": "time,temp,rh\n2027-03-01 06:00,20,50\n2027-03-01 12:00,20,50\n"})
	if w.Points != 2 || w.Minutes <= 0 {
		t.Errorf("weather: %+v", w)
	}
	for _, s := range w.Sprays {
		if s.Verdict != "fit" && s.Verdict != "unknown" {
			t.Errorf("fit air is %s: %+v", s.Verdict, s)
		}
	}
}

func TestMoreSaysWhatIsMissing(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	unit := head.Project.Units[0].Name
	var m app.More
	h.want(200, &m, "POST", projectPath(head, "more"), map[string]any{"unit": unit, "figures": 500})
	if m.Unit != unit || m.Figures != 500 || len(m.Missing) == 0 || m.Missing[0].Words == "" {
		t.Errorf("500 figures out of these pots: %+v", m)
	}
	var p Problem
	h.want(422, &p, "POST", projectPath(head, "more"), map[string]any{"unit": unit + "x", "figures": 1})
	if !strings.Contains(p.Hint, unit) {
		t.Errorf("no way out: %+v", p)
	}
	var made app.Head
	h.want(201, &made, "POST", "/api/projects", app.NewProject{From: "more", Like: &app.Like{Project: head.Kept.ID, Unit: unit, Figures: 3}})
	if made.Project.Units[0].Size() != 3 || made.Findings.Faulty() {
		t.Errorf("made: %+v", made.Findings)
	}
}
