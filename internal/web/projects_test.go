package web

import (
	"testing"
	"time"

	"facings/internal/app"
)

func TestQuestions(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	var mix app.MixResult
	h.want(200, &mix, "POST", "/api/mix", app.MixAsk{Project: head.Kept.ID, Target: "#3a8f9b"})
	if len(mix.Best.Parts) == 0 {
		t.Errorf("mix: %+v", mix)
	}
	h.want(422, nil, "POST", "/api/mix", app.MixAsk{Target: "no such colour"})
	h.want(200, nil, "POST", "/api/match", app.MixAsk{Target: "ultramarine", Starter: true})
	var air app.AirReport
	h.want(200, &air, "POST", "/api/air", airBody{TemperatureC: 18, HumidityPercent: 65})
	h.want(422, nil, "POST", "/api/air", airBody{TemperatureC: 18, HumidityPercent: 650})
	h.want(200, nil, "GET", projectPath(head, "shop"), nil)
	h.want(200, nil, "GET", projectPath(head, "pace"), nil)
	h.want(200, nil, "GET", projectPath(head, "record"), nil)
	h.want(200, nil, "GET", "/api/recruit/choices", nil)
	var starter starterBody
	h.want(200, &starter, "GET", "/api/rack/starter", nil)
	if len(starter.Paints) < 20 {
		t.Errorf("%d starter paints", len(starter.Paints))
	}
	var about About
	h.want(200, &about, "GET", "/api/about", nil)
	if !about.Local || about.LAN || about.Version != "test" {
		t.Errorf("about: %+v", about)
	}
	h.planned(head.Kept.ID)
	var what app.WhatIfAnswer
	h.want(200, &what, "POST", projectPath(head, "whatif"), app.WhatIf{Evenings: 7, Order: true})
	if what.InForce == nil || what.Order == nil || what.FinishP90 > what.InForce.FinishP90 {
		t.Errorf("with an evening every day it is finished by %s, now by %+v", what.FinishP90, what.InForce)
	}
	h.want(200, &what, "POST", projectPath(head, "whatif"), app.WhatIf{Patch: []app.PatchOp{{Op: "add", Path: "/pace", Value: 2}}})
	if what.Minutes <= what.InForce.Minutes {
		t.Errorf("at twice the time it takes %v minutes, now %v", what.Minutes, what.InForce.Minutes)
	}
	h.want(422, nil, "POST", projectPath(head, "whatif"), app.WhatIf{Pin: &app.Pin{Pass: 1, Before: 9999}})
	var plan app.PlanState
	h.want(200, &plan, "GET", projectPath(head, "plan"), nil)
	n := len(plan.Order.Passes)
	h.want(200, &what, "POST", projectPath(head, "whatif"), app.WhatIf{Pin: &app.Pin{Pass: n, Before: 1}})
	if what.Status != "infeasible" && what.Minutes < what.InForce.Minutes {
		t.Errorf("the last pass first: %+v", what.WhatIfNumbers)
	}
}

func TestProjectsComeAndGo(t *testing.T) { both(t, worksProjectsComeAndGo) }

func worksProjectsComeAndGo(t *testing.T, h *host) {
	head := h.starter()
	h.want(204, nil, "DELETE", projectPath(head, ""), nil)
	var list projectsBody
	h.want(200, &list, "GET", "/api/projects", nil)
	if len(list.Projects) != 0 {
		t.Errorf("after throwing it away: %+v", list)
	}
	h.want(200, &list, "GET", "/api/projects?gone=true", nil)
	if len(list.Projects) != 1 || list.Projects[0].Gone == nil {
		t.Errorf("gone: %+v", list)
	}
	h.want(204, nil, "POST", projectPath(head, "return"), nil)
	for _, c := range []struct {
		body app.NewProject
		want int
	}{
		{app.NewProject{From: "demo", Name: "Mine"}, 201},
		{app.NewProject{From: "text", Text: "no project"}, 422},
		{app.NewProject{From: "recruit"}, 422},
		{app.NewProject{From: "recruit", Recruit: &app.Recruit{Body: "boat"}}, 422},
		{app.NewProject{From: "recruit", Recruit: &app.Recruit{Body: "foot", Name: "First Foot"}}, 201},
		{app.NewProject{From: "more", Like: &app.Like{Project: head.Kept.ID, Unit: head.Project.Units[0].Name, Figures: 6}}, 201},
		{app.NewProject{From: "more", Like: &app.Like{Project: head.Kept.ID, Unit: "none", Figures: 6}}, 422},
		{app.NewProject{From: "more", Like: &app.Like{Project: "none", Unit: "none", Figures: 6}}, 404},
		{app.NewProject{From: "air"}, 422},
	} {
		h.want(c.want, nil, "POST", "/api/projects", c.body)
	}
}

// TestARestartIsQuick: a plan is taken up from the keeper, if it is of the same
// state and stands up to the checker.
func TestARestartIsQuick(t *testing.T) {
	h := newHost(t)
	head := h.starter()
	first := h.planned(head.Kept.ID)
	again := app.NewDesk(&app.App{Now: func() time.Time { return h.now.Add(time.Minute) }, Steps: steps(), Runs: 20}, h.keeper)
	defer again.Close()
	other := &host{t: t, keeper: h.keeper, desk: again, server: New(Config{Desk: again, Keeper: h.keeper}), now: h.now}
	p := other.waitPlan(head.Kept.ID)
	if !p.PlannedAt.Equal(first.PlannedAt) {
		t.Errorf("planned anew at %v, the first was at %v", p.PlannedAt, first.PlannedAt)
	}
	// Another day is another plan.
	later := app.NewDesk(&app.App{Now: func() time.Time { return h.now.AddDate(0, 0, 3) }, Steps: steps(), Runs: 20}, h.keeper)
	defer later.Close()
	other.desk = later
	if p := other.waitPlan(head.Kept.ID); p.PlannedAt.Equal(first.PlannedAt) {
		t.Error("the plan of three days ago was taken up")
	}
}

func (h *host) waitPlan(id string) *app.PlanState {
	h.t.Helper()
	for range 600 {
		p, err := h.desk.Plan(h.t.Context(), id)
		if err != nil {
			h.t.Fatal(err)
		}
		if !p.Stale && p.State != app.PlanWorking {
			return p
		}
		time.Sleep(50 * time.Millisecond)
	}
	h.t.Fatal("no plan after 30 s")
	return nil
}
