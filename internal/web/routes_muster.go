package web

import (
	"context"
	"net/http"

	"facings/internal/app"
)

// musterRoutes are what the Muster page asks beside edits of the project.
func (s *Server) musterRoutes() {
	route(s, http.MethodGet, "/bodies", "bodies", "The ready-made bodies and the areas that castings may have", func(context.Context, *struct{}) (*answer[app.Bodies], error) {
		return &answer[app.Bodies]{s.desk.Bodies()}, nil
	})
	route(s, http.MethodPost, "/projects/{id}/recruit", "recruit-into", "Add a unit by the guided way", func(ctx context.Context, in *struct {
		EditOf
		Body app.Recruit
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) { return s.desk.Recruit(ctx, e, in.Body) })
	})
}
