package web

import (
	"context"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"facings"
	"facings/internal/app"
)

// OfProject is what every address about a project has.
type OfProject struct {
	ID string `path:"id" maxLength:"64" doc:"the project"`
}

// EditOf is an edit of a project: it says which revision it was made from.
type EditOf struct {
	OfProject
	IfMatch string `header:"If-Match" doc:"the revision the edit was made from, as its ETag: \"r12\""`
	Why     string `query:"why" maxLength:"200" doc:"what is done, in a few words, for the history"`
}

// answer is a JSON answer.
type answer[T any] struct{ Body T }

// headAnswer is a project's head with its revision as ETag.
type headAnswer struct {
	ETag string `header:"ETag"`
	Body app.Head
}

// nothing is an answer without content.
type nothing struct{}

// route registers one operation; errors become problems.
func route[I, O any](s *Server, method, path, id, summary string, h func(context.Context, *I) (*O, error), more ...func(*huma.Operation)) {
	op := huma.Operation{OperationID: id, Method: method, Path: "/api" + path, Summary: summary, Tags: []string{tagOf(path)}, MaxBodyBytes: maxJSONBody}
	for _, m := range more {
		m(&op)
	}
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := h(ctx, in)
		if err != nil {
			return nil, s.problem(ctx, err)
		}
		return out, nil
	})
}

// tagOf groups an address under its first or, within a project, next word.
func tagOf(path string) string {
	words := strings.Split(strings.Trim(path, "/"), "/")
	if words[0] == "projects" && len(words) > 2 {
		return words[2]
	}
	return words[0]
}

// bodyOf documents a request body of another type than JSON.
func bodyOf(max int64, types ...string) func(*huma.Operation) {
	return func(op *huma.Operation) {
		op.MaxBodyBytes = max
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{}}
		for _, t := range types {
			op.RequestBody.Content[t] = &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}
		}
	}
}

const patchType = "application/json-patch+json"

// describePatches gives the operations that take a JSON Patch its schema; a raw
// body has none of its own.
func (s *Server) describePatches() {
	list := &huma.Schema{Type: huma.TypeArray, Items: s.api.OpenAPI().Components.Schemas.Schema(patchOpType, true, "PatchOp")}
	for _, path := range s.api.OpenAPI().Paths {
		for _, op := range []*huma.Operation{path.Patch, path.Post} {
			if op != nil && op.RequestBody != nil && op.RequestBody.Content[patchType] != nil {
				op.RequestBody.Content[patchType].Schema = list
			}
		}
	}
}

// binary documents an answer of other types than JSON.
func binary(types ...string) func(*huma.Operation) {
	return func(op *huma.Operation) {
		content := map[string]*huma.MediaType{}
		for _, t := range types {
			content[t] = &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}
		}
		op.Responses = map[string]*huma.Response{"200": {Description: "OK", Content: content}}
	}
}

func (s *Server) routes() {
	s.projectRoutes()
	s.planRoutes()
	s.pictureRoutes()
	s.fileRoutes()
	s.generalRoutes()
	s.musterRoutes()
	s.campaignRoutes()
	s.describePatches()
}

func (s *Server) projectRoutes() {
	route(s, http.MethodGet, "/projects", "list-projects", "The projects, the last changed first", func(ctx context.Context, in *struct {
		Gone bool `query:"gone" doc:"those thrown away in place of the others"`
	}) (*answer[projectsBody], error) {
		list, err := s.desk.Projects(ctx, in.Gone)
		return &answer[projectsBody]{projectsBody{list}}, err
	})
	route(s, http.MethodPost, "/projects", "create-project", "A new project", func(ctx context.Context, in *struct{ Body app.NewProject }) (*headAnswer, error) {
		in.Body.Device = deviceOf(ctx)
		return headed(s.desk.Create(ctx, in.Body))
	}, created)
	route(s, http.MethodGet, "/projects/{id}", "get-project", "The project as it stands", func(ctx context.Context, in *OfProject) (*headAnswer, error) {
		return headed(s.desk.Head(ctx, in.ID))
	})
	route(s, http.MethodDelete, "/projects/{id}", "throw-project-away", "Throw the project away; it can be taken back", func(ctx context.Context, in *OfProject) (*nothing, error) {
		return &nothing{}, s.desk.Throw(ctx, in.ID, true)
	})
	route(s, http.MethodPost, "/projects/{id}/return", "take-project-back", "Take a project back that was thrown away", func(ctx context.Context, in *OfProject) (*nothing, error) {
		return &nothing{}, s.desk.Throw(ctx, in.ID, false)
	})
	route(s, http.MethodPatch, "/projects/{id}", "edit-project", "Edit the project by a JSON Patch (RFC 6902) on Head.project", func(ctx context.Context, in *struct {
		EditOf
		RawBody []byte `contentType:"application/json-patch+json"`
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) { return s.desk.Patch(ctx, e, in.RawBody) })
	})
	route(s, http.MethodPost, "/projects/{id}/rename", "rename", "Give a named thing another name, there and wherever it is spoken of", func(ctx context.Context, in *struct {
		EditOf
		Body renameBody
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) {
			return s.desk.Rename(ctx, e, in.Body.Pointer, in.Body.Name)
		})
	})
	route(s, http.MethodGet, "/projects/{id}/text", "get-text", "The project file itself", func(ctx context.Context, in *OfProject) (*blob, error) {
		text, revision, err := s.desk.Text(ctx, in.ID)
		return &blob{Type: "text/plain; charset=utf-8", ETag: etagOf(revision), Body: text}, err
	}, binary("text/plain"))
	route(s, http.MethodPut, "/projects/{id}/text", "put-text", "Replace the project file", func(ctx context.Context, in *struct {
		EditOf
		RawBody []byte `contentType:"text/plain"`
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) { return s.desk.PutText(ctx, e, in.RawBody) })
	}, bodyOf(facings.MaxFileBytes+1, "text/plain"))
	route(s, http.MethodPost, "/projects/{id}/undo", "undo", "Take the last edit back", func(ctx context.Context, in *EditOf) (*headAnswer, error) {
		return edited(ctx, *in, func(e app.Edit) (*app.Head, error) { return s.desk.Undo(ctx, e) })
	})
	route(s, http.MethodPost, "/projects/{id}/redo", "redo", "Do the edit again that was taken back last", func(ctx context.Context, in *EditOf) (*headAnswer, error) {
		return edited(ctx, *in, func(e app.Edit) (*app.Head, error) { return s.desk.Redo(ctx, e) })
	})
	route(s, http.MethodPost, "/projects/{id}/restore", "restore", "Go back to an older revision, as a new one", func(ctx context.Context, in *struct {
		EditOf
		Body restoreBody
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) { return s.desk.Restore(ctx, e, in.Body.Revision) })
	})
	route(s, http.MethodGet, "/projects/{id}/history", "history", "The revisions, the newest first", func(ctx context.Context, in *struct {
		OfProject
		Before int `query:"before" minimum:"0" doc:"only revisions before this number; 0 for the newest"`
		N      int `query:"n" minimum:"1" maximum:"500" default:"50"`
	}) (*answer[historyBody], error) {
		list, err := s.desk.History(ctx, in.ID, in.Before, in.N)
		return &answer[historyBody]{historyBody{list}}, err
	})
	route(s, http.MethodGet, "/projects/{id}/compare", "compare", "What differs between two revisions", func(ctx context.Context, in *struct {
		OfProject
		A int `query:"a" required:"true" minimum:"1"`
		B int `query:"b" required:"true" minimum:"1"`
	}) (*answer[*app.Comparison], error) {
		c, err := s.desk.Compare(ctx, in.ID, in.A, in.B)
		return &answer[*app.Comparison]{c}, err
	})
}

func (s *Server) planRoutes() {
	route(s, http.MethodGet, "/projects/{id}/plan", "get-plan", "The newest plan there is, at once", func(ctx context.Context, in *OfProject) (*answer[*app.PlanState], error) {
		p, err := s.desk.Plan(ctx, in.ID)
		return &answer[*app.PlanState]{p}, err
	})
	route(s, http.MethodPost, "/projects/{id}/plan", "plan-anew", "Plan what is left anew, from now on", func(ctx context.Context, in *OfProject) (*answer[*app.PlanState], error) {
		p, err := s.desk.PlanAnew(ctx, in.ID)
		return &answer[*app.PlanState]{p}, err
	})
	route(s, http.MethodPost, "/projects/{id}/whatif", "what-if", "What an order would cost if …; nothing is kept", func(ctx context.Context, in *struct {
		OfProject
		Body app.WhatIf
	}) (*answer[*app.WhatIfAnswer], error) {
		a, err := s.desk.WhatIf(ctx, in.ID, in.Body)
		return &answer[*app.WhatIfAnswer]{a}, err
	})
	route(s, http.MethodGet, "/projects/{id}/bench", "get-bench", "The order as worked through", func(ctx context.Context, in *OfProject) (*answer[*app.Bench], error) {
		b, err := s.desk.Bench(ctx, in.ID)
		if err != nil {
			return nil, err
		}
		for i := range b.Passes {
			b.Passes[i].Picture = "/api/projects/" + in.ID + "/pictures/figure.png?" + b.Passes[i].Picture
		}
		return &answer[*app.Bench]{b}, nil
	})
	route(s, http.MethodGet, "/projects/{id}/log", "get-log", "The log's entries after a number", func(ctx context.Context, in *struct {
		OfProject
		After int64 `query:"after" minimum:"0"`
	}) (*answer[*app.LogAnswer], error) {
		a, err := s.desk.Log(ctx, in.ID, in.After)
		return &answer[*app.LogAnswer]{a}, err
	})
	route(s, http.MethodPost, "/projects/{id}/log", "append-log", "Add entries to the log; those it has already are passed over", func(ctx context.Context, in *struct {
		OfProject
		Body logBody
	}) (*answer[*app.LogAnswer], error) {
		a, err := s.desk.Append(ctx, in.ID, deviceOf(ctx), in.Body.Entries)
		return &answer[*app.LogAnswer]{a}, err
	}, func(op *huma.Operation) { op.MaxBodyBytes = maxLogBody })
	route(s, http.MethodGet, "/projects/{id}/events", "events", "What changes, as it changes", s.events, func(op *huma.Operation) {
		event := s.api.OpenAPI().Components.Schemas.Schema(eventType, true, "Event")
		op.Responses = map[string]*huma.Response{"200": {
			Description: "Server-sent events head {revision}, log {seq} and plan {state, stale, stage, share, revision, seq}; a comment every 20 s. Fetch again what an event names.",
			Content:     map[string]*huma.MediaType{"text/event-stream": {Schema: event}}}}
	})
	route(s, http.MethodGet, "/projects/{id}/shop", "get-shopping", "The paint needed, owned, short and to buy", func(ctx context.Context, in *OfProject) (*answer[*facings.Shopping], error) {
		list, err := s.desk.Shop(ctx, in.ID)
		return &answer[*facings.Shopping]{list}, err
	})
	route(s, http.MethodGet, "/projects/{id}/pace", "get-pace", "What the log says of the painter's pace", func(ctx context.Context, in *OfProject) (*answer[*app.PaceReport], error) {
		r, err := s.desk.Pace(ctx, in.ID)
		return &answer[*app.PaceReport]{r}, err
	})
	route(s, http.MethodGet, "/projects/{id}/record", "get-record", "What was really painted with what", func(ctx context.Context, in *OfProject) (*answer[*app.Record], error) {
		r, err := s.desk.Record(ctx, in.ID)
		return &answer[*app.Record]{r}, err
	})
}

type projectsBody struct {
	Projects []facings.Kept `json:"projects"`
}

type historyBody struct {
	Revisions []facings.Revision `json:"revisions"`
}

type renameBody struct {
	Pointer string `json:"pointer" doc:"of the thing, by names: /rack/dark brown"`
	Name    string `json:"name" maxLength:"120"`
}

type restoreBody struct {
	Revision int `json:"revision" minimum:"1"`
}

type logBody struct {
	Entries []facings.Entry `json:"entries" maxItems:"5000"`
}

func created(op *huma.Operation) { op.DefaultStatus = http.StatusCreated }

func headed(h *app.Head, err error) (*headAnswer, error) {
	if err != nil {
		return nil, err
	}
	return &headAnswer{ETag: etagOf(h.Revision), Body: *h}, nil
}

// edited checks If-Match and makes an edit.
func edited(ctx context.Context, in EditOf, do func(app.Edit) (*app.Head, error)) (*headAnswer, error) {
	base, err := revisionOf(in.IfMatch)
	if err != nil {
		return nil, err
	}
	return headed(do(app.Edit{ID: in.ID, Base: base, Why: in.Why, Device: deviceOf(ctx)}))
}
