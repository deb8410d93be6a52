package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"facings"
	"facings/internal/app"
)

func (s *Server) pictureRoutes() {
	type OfFigure struct {
		OfProject
		Figure int `query:"figure" minimum:"0" doc:"the figure's index in the roster"`
	}
	route(s, http.MethodGet, "/projects/{id}/colours", "get-colours", "What every area of a figure will show", func(ctx context.Context, in *OfFigure) (*answer[*app.Colours], error) {
		c, err := s.desk.Colours(ctx, in.ID, in.Figure)
		return &answer[*app.Colours]{c}, err
	})
	route(s, http.MethodPost, "/projects/{id}/try", "try-colours", "The same for the project as a JSON Patch would make it; nothing is kept", func(ctx context.Context, in *struct {
		OfFigure
		RawBody []byte `contentType:"application/json-patch+json"`
	}) (*answer[*app.Colours], error) {
		c, err := s.desk.Try(ctx, in.ID, in.Figure, in.RawBody)
		return &answer[*app.Colours]{c}, err
	})
	route(s, http.MethodGet, "/projects/{id}/figures/{n}/model.glb", "get-model", "A figure's casting, or the project's own mesh of it, as glTF: one material per area, _EXPOSURE per vertex, COLOR_0 of a printed flag", func(ctx context.Context, in *struct {
		OfProject
		N int `path:"n" minimum:"0"`
	}) (*blob, error) {
		data, err := s.desk.Model(ctx, in.ID, in.N)
		return kept("model/gltf-binary", data), err
	}, binary("model/gltf-binary"))
	type ofPicture struct {
		OfFigure
		Passes   string  `query:"passes" default:"finished" doc:"how many passes of the order are done, or finished"`
		Underway int     `query:"underway" minimum:"0" doc:"number of the pass whose areas are outlined"`
		Close    bool    `query:"close" doc:"come near to what is under way, from the side that shows it best; azimuth turns from there"`
		Azimuth  float64 `query:"azimuth" minimum:"-720" maximum:"720" doc:"degrees from the figure's front"`
		Width    int     `query:"width" minimum:"16" maximum:"1200" default:"320"`
		Height   int     `query:"height" minimum:"16" maximum:"1200" default:"400"`
		V        string  `query:"v" maxLength:"100" doc:"anything: another value is another address for caches"`
	}
	ask := func(in *ofPicture) (app.PictureAsk, error) {
		passes, err := passesOf(in.Passes)
		return app.PictureAsk{Figure: in.Figure, Passes: passes, Underway: in.Underway, Close: in.Close, AzimuthDeg: in.Azimuth, Width: in.Width, Height: in.Height}, err
	}
	route(s, http.MethodGet, "/projects/{id}/pictures/figure.png", "get-picture", "A figure as it will look", func(ctx context.Context, in *ofPicture) (*blob, error) {
		q, err := ask(in)
		if err != nil {
			return nil, err
		}
		data, err := s.desk.Picture(ctx, in.ID, q)
		return kept("image/png", data), err
	}, binary("image/png"))
	route(s, http.MethodGet, "/projects/{id}/pictures/key.png", "get-key-picture", "A figure's areas with numbered leaders", func(ctx context.Context, in *ofPicture) (*blob, error) {
		q, err := ask(in)
		if err != nil {
			return nil, err
		}
		data, _, err := s.desk.KeyPicture(ctx, in.ID, q)
		return kept("image/png", data), err
	}, binary("image/png"))
	route(s, http.MethodGet, "/projects/{id}/pictures/key.json", "get-key", "The names behind the numbers of the picture of areas", func(ctx context.Context, in *OfFigure) (*answer[keyBody], error) {
		names, err := s.desk.KeyNames(ctx, in.ID, in.Figure)
		return &answer[keyBody]{keyBody{names}}, err
	})
}

type keyBody struct {
	Names []string `json:"names" doc:"number 1 first"`
}

func (s *Server) fileRoutes() {
	type OfFile struct {
		OfProject
		Name string `path:"name" maxLength:"200"`
	}
	route(s, http.MethodPost, "/projects/{id}/files", "put-file", "Keep a mesh, picture or photograph beside the project", func(ctx context.Context, in *struct {
		EditOf
		Name    string `query:"name" required:"true" maxLength:"200"`
		RawBody []byte `contentType:"application/octet-stream"`
	}) (*answer[*app.FileKept], error) {
		base, err := revisionOf(in.IfMatch)
		if err != nil {
			return nil, err
		}
		f, err := s.desk.PutFile(ctx, app.Edit{ID: in.ID, Base: base, Why: in.Why, Device: deviceOf(ctx)}, in.Name, in.RawBody)
		return &answer[*app.FileKept]{f}, err
	}, bodyOf(facings.MaxOneFile+1, "application/octet-stream"))
	route(s, http.MethodDelete, "/projects/{id}/files/{name}", "remove-file", "Take a file away from beside the project", func(ctx context.Context, in *struct {
		EditOf
		Name string `path:"name" maxLength:"200"`
	}) (*headAnswer, error) {
		return edited(ctx, in.EditOf, func(e app.Edit) (*app.Head, error) { return s.desk.RemoveFile(ctx, e, in.Name) })
	})
	route(s, http.MethodGet, "/projects/{id}/files/{name}", "get-file", "A file beside the project", func(ctx context.Context, in *OfFile) (*blob, error) {
		data, err := s.desk.File(ctx, in.ID, in.Name)
		b := kept(fileType(in.Name), data)
		b.Disposition = attachment(in.Name)
		return b, err
	}, binary("application/octet-stream"))
	route(s, http.MethodPost, "/projects/{id}/swatches/read", "read-swatches", "Read the photograph of a painted swatch card", func(ctx context.Context, in *struct {
		OfProject
		RawBody []byte `contentType:"image/jpeg"`
	}) (*answer[*app.SwatchReading], error) {
		r, err := s.desk.ReadSwatches(ctx, in.RawBody)
		return &answer[*app.SwatchReading]{r}, err
	}, bodyOf(facings.MaxOneFile, "image/jpeg", "image/png", "image/webp"))
	route(s, http.MethodPost, "/projects/{id}/spots", "read-spots", "The colours of places in a photograph", func(ctx context.Context, in *struct {
		OfProject
		At      []string `query:"at,explode" required:"true" maxItems:"100" doc:"places as x,y or x,y,radius in pixels"`
		White   string   `query:"white" doc:"a place known to be white"`
		RawBody []byte   `contentType:"image/jpeg"`
	}) (*answer[spotsBody], error) {
		list, err := s.desk.ReadSpots(ctx, in.RawBody, in.At, in.White)
		return &answer[spotsBody]{spotsBody{list}}, err
	}, bodyOf(facings.MaxOneFile, "image/jpeg", "image/png", "image/webp"))
	route(s, http.MethodPost, "/projects/{id}/meshes/{name}/label", "label-mesh", "Put labels on faces of a mesh beside the project", func(ctx context.Context, in *struct {
		EditOf
		Name string `path:"name" maxLength:"200"`
		Body app.MeshLabel
	}) (*answer[*app.MeshLabels], error) {
		base, err := revisionOf(in.IfMatch)
		if err != nil {
			return nil, err
		}
		l, err := s.desk.LabelMesh(ctx, app.Edit{ID: in.ID, Base: base, Why: in.Why, Device: deviceOf(ctx)}, in.Name, in.Body)
		return &answer[*app.MeshLabels]{l}, err
	}, func(op *huma.Operation) { op.MaxBodyBytes = maxLogBody })
	route(s, http.MethodGet, "/projects/{id}/meshes/{name}/labels", "get-mesh-labels", "The labels of a mesh's faces", func(ctx context.Context, in *OfFile) (*answer[*app.MeshLabels], error) {
		l, err := s.desk.MeshLabels(ctx, in.ID, in.Name)
		return &answer[*app.MeshLabels]{l}, err
	})
	route(s, http.MethodGet, "/projects/{id}/meshes/{name}/survey", "get-mesh-survey", "Areas, light from above and faults of a mesh", func(ctx context.Context, in *OfFile) (*answer[*app.Survey], error) {
		v, err := s.desk.MeshSurvey(ctx, in.ID, in.Name)
		return &answer[*app.Survey]{v}, err
	})
	route(s, http.MethodGet, "/projects/{id}/meshes/{name}/model.glb", "get-mesh-model", "A mesh as glTF, one material per area; or, plain, one primitive with the faces in file order", func(ctx context.Context, in *struct {
		OfFile
		Plain bool `query:"plain"`
	}) (*blob, error) {
		data, err := s.desk.MeshModel(ctx, in.ID, in.Name, in.Plain)
		return kept("model/gltf-binary", data), err
	}, binary("model/gltf-binary"))
	route(s, http.MethodGet, "/projects/{id}/sheets", "list-sheets", "The kinds of sheet there are", func(ctx context.Context, in *OfProject) (*answer[sheetsBody], error) {
		list, err := s.desk.Sheets(ctx, in.ID)
		return &answer[sheetsBody]{sheetsBody{list}}, err
	})
	route(s, http.MethodGet, "/projects/{id}/sheets/{kind}", "get-sheet", "A sheet to print or import; further query parameters are its options", s.sheet,
		binary("application/pdf", "text/html", "image/svg+xml", "image/png", "text/calendar", "text/csv", "text/plain", "application/zip"))
	route(s, http.MethodGet, "/projects/{id}/export.zip", "export-project", "Project file, files beside it and log as one zip", func(ctx context.Context, in *OfProject) (*blob, error) {
		name, data, err := s.desk.Export(ctx, in.ID)
		return &blob{Type: "application/zip", Disposition: attachment(name), Body: data}, err
	}, binary("application/zip"))
	route(s, http.MethodPost, "/import", "import-project", "A new project from an exported zip or a project file", func(ctx context.Context, in *struct {
		Name    string `query:"name" maxLength:"120" doc:"what to call it; from the file otherwise"`
		RawBody []byte `contentType:"application/zip"`
	}) (*headAnswer, error) {
		return headed(s.desk.Import(ctx, in.Name, deviceOf(ctx), in.RawBody))
	}, bodyOf(app.MaxImport+1, "application/zip", "application/yaml"), created)
}

type spotsBody struct {
	Spots []app.SpotReading `json:"spots"`
}

type sheetsBody struct {
	Sheets []app.SheetKind `json:"sheets"`
}

func (s *Server) generalRoutes() {
	route(s, http.MethodGet, "/about", "about", "This program and who is asking", func(ctx context.Context, _ *struct{}) (*answer[About], error) {
		return &answer[About]{s.about(ctx)}, nil
	})
	route(s, http.MethodPost, "/mix", "mix", "The best mix of owned paints for a colour over a ground", func(ctx context.Context, in *struct{ Body app.MixAsk }) (*answer[*app.MixResult], error) {
		r, err := s.desk.Mix(ctx, in.Body)
		return &answer[*app.MixResult]{r}, err
	})
	route(s, http.MethodPost, "/match", "match", "The single paints nearest to a colour", func(ctx context.Context, in *struct{ Body app.MixAsk }) (*answer[*app.MatchResult], error) {
		r, err := s.desk.Match(ctx, in.Body)
		return &answer[*app.MatchResult]{r}, err
	})
	route(s, http.MethodPost, "/air", "air", "Whether the air is fit to spray and paint in", func(_ context.Context, in *struct{ Body airBody }) (*answer[*app.AirReport], error) {
		r, err := s.desk.Air(app.AirQuestion(in.Body))
		return &answer[*app.AirReport]{r}, err
	})
	route(s, http.MethodGet, "/rack/starter", "starter-rack", "The starter paints", func(_ context.Context, _ *struct{}) (*answer[starterBody], error) {
		return &answer[starterBody]{starterBody{s.desk.Starter()}}, nil
	})
	route(s, http.MethodGet, "/recruit/choices", "recruit-choices", "What the guided way offers", func(context.Context, *struct{}) (*answer[app.RecruitChoices], error) {
		return &answer[app.RecruitChoices]{s.desk.RecruitChoices()}, nil
	})
	route(s, http.MethodPost, "/pairing", "start-pairing", "A one-time address by which another device may join, as QR code", s.startPairing)
	route(s, http.MethodGet, "/devices", "list-devices", "The paired devices", func(ctx context.Context, _ *struct{}) (*answer[devicesBody], error) {
		list, err := s.pairs.list(ctx)
		return &answer[devicesBody]{devicesBody{list}}, err
	})
	route(s, http.MethodDelete, "/devices/{device}", "forget-device", "Let a paired device in no more", func(ctx context.Context, in *struct {
		Device string `path:"device" maxLength:"64"`
	}) (*nothing, error) {
		return &nothing{}, s.pairs.forget(ctx, in.Device)
	})
}

// airBody is app.AirQuestion with the names of --json.
type airBody struct {
	TemperatureC    float64  `json:"temperature_c"`
	HumidityPercent float64  `json:"humidity_percent"`
	SurfaceC        *float64 `json:"surface_c,omitempty"`
	FromColdC       *float64 `json:"from_cold_c,omitempty"`
}

type starterBody struct {
	Paints []app.StarterPaint `json:"paints"`
}

type devicesBody struct {
	Devices []Device `json:"devices"`
}
