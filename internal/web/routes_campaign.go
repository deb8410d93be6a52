package web

import (
	"context"
	"net/http"

	"facings/internal/app"
)

// campaignRoutes are about more than the order in force: an army for its games,
// forecasts of the weather, and figures painted again later.
func (s *Server) campaignRoutes() {
	route(s, http.MethodGet, "/projects/{id}/campaign", "get-campaign", "The newest campaign that was worked out, at once", func(ctx context.Context, in *OfProject) (*answer[*app.CampaignState], error) {
		c, err := s.desk.Campaign(ctx, in.ID)
		return &answer[*app.CampaignState]{c}, err
	})
	route(s, http.MethodPost, "/projects/{id}/campaign", "start-campaign", "Have the campaign worked out in the background; ask for it to see how far it is", func(ctx context.Context, in *struct {
		OfProject
		Body campaignBody
	}) (*answer[*app.CampaignState], error) {
		c, err := s.desk.StartCampaign(ctx, in.ID, app.CampaignOptions{Quick: in.Body.Quick})
		return &answer[*app.CampaignState]{c}, err
	})
	route(s, http.MethodDelete, "/projects/{id}/campaign", "stop-campaign", "Give up a campaign in the making; the one from before stays", func(ctx context.Context, in *OfProject) (*answer[*app.CampaignState], error) {
		c, err := s.desk.StopCampaign(ctx, in.ID)
		return &answer[*app.CampaignState]{c}, err
	})
	route(s, http.MethodPost, "/projects/{id}/weather", "weather", "The plan as it would be in forecast weather; nothing is kept", func(ctx context.Context, in *struct {
		OfProject
		Body weatherBody
	}) (*answer[*app.WeatherAnswer], error) {
		w, err := s.desk.Weather(ctx, in.ID, in.Body.Forecast)
		return &answer[*app.WeatherAnswer]{w}, err
	})
	route(s, http.MethodPost, "/projects/{id}/more", "look-for-more", "What more figures of a unit, painted alike, would need that the rack has not; nothing is kept", func(ctx context.Context, in *struct {
		OfProject
		Body moreBody
	}) (*answer[*app.More], error) {
		m, err := s.desk.More(ctx, app.Like{Project: in.ID, Unit: in.Body.Unit, Figures: in.Body.Figures})
		return &answer[*app.More]{m}, err
	})
}

type campaignBody struct {
	Quick bool `json:"quick,omitempty" doc:"leave out planning the whole army, which checks the dates"`
}

type weatherBody struct {
	Forecast string `json:"forecast" maxLength:"1048576" doc:"CSV: time,temp_c,rh; see docs/json.md"`
}

type moreBody struct {
	Unit    string `json:"unit" maxLength:"120"`
	Figures int    `json:"figures" minimum:"1" maximum:"2000"`
}
