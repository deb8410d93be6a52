package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"facings"
	"facings/internal/app"
)

// Problem is an error as the pages get it (RFC 9457), with what is ours beside it.
type Problem struct {
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail,omitempty"`
	Hint   string `json:"hint,omitempty" doc:"the way out"`
	// Findings are about the project file.
	Findings facings.Diagnostics `json:"findings,omitempty"`
	// Current is the project as it stands, where an edit came too late.
	Current *app.Head `json:"current,omitempty"`
	// Errors are the fields of the request that are wrong.
	Errors []*huma.ErrorDetail `json:"errors,omitempty"`
}

func (p *Problem) Error() string { return p.Detail }

// GetStatus is the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType makes a JSON answer a problem.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

var (
	patchOpType = reflect.TypeFor[app.PatchOp]()
	eventType   = reflect.TypeFor[app.Event]()
)

func init() {
	// One shape for every error, those of huma's own checks included.
	huma.NewError = func(status int, message string, errs ...error) huma.StatusError {
		p := &Problem{Title: http.StatusText(status), Status: status, Detail: message}
		for _, err := range errs {
			if err == nil {
				continue
			}
			var detail huma.ErrorDetailer
			if errors.As(err, &detail) {
				p.Errors = append(p.Errors, detail.ErrorDetail())
			} else {
				p.Errors = append(p.Errors, &huma.ErrorDetail{Message: err.Error()})
			}
		}
		return p
	}
	huma.DefaultArrayNullable = false // lists are never null: see the test against the schema
}

func problem(status int, detail, hint string) *Problem {
	return &Problem{Title: http.StatusText(status), Status: status, Detail: detail, Hint: hint}
}

// problem is the one table from errors to statuses.
func (s *Server) problem(ctx context.Context, err error) error {
	var mistake *app.Mistake
	var late *app.LateEdit
	var ours *Problem
	var findings facings.Diagnostics
	switch {
	case errors.As(err, &ours):
		return ours
	case errors.As(err, &late):
		p := problem(http.StatusPreconditionFailed, "the project was changed in the meantime", "look at both, and make the edit again on the newer one")
		p.Current = late.Current
		return p
	case errors.As(err, &mistake):
		p := problem(http.StatusUnprocessableEntity, mistake.Message, mistake.Hint)
		p.Findings = mistake.Findings
		return p
	case errors.As(err, &findings):
		p := problem(http.StatusUnprocessableEntity, "the project has faults", "")
		p.Findings = findings
		return p
	case errors.Is(err, facings.ErrNotFound):
		return problem(http.StatusNotFound, err.Error(), "it may have been thrown away; see the list of projects")
	case errors.Is(err, facings.ErrConflict):
		return problem(http.StatusPreconditionFailed, err.Error(), "fetch it again and repeat the edit")
	case errors.Is(err, facings.ErrFull):
		return problem(http.StatusInsufficientStorage, err.Error(), "nothing was changed; make room and try again")
	case errors.Is(err, app.ErrNotReady):
		return problem(http.StatusConflict, err.Error(), "wait for the plan")
	case errors.Is(err, context.Canceled):
		return problem(statusClosed, "the request was given up", "")
	}
	s.logf("internal fault: %v", err)
	return problem(http.StatusInternalServerError, err.Error(), "this is a fault of the program; please report it")
}

// statusClosed is what is logged where nobody waits for the answer any more.
const statusClosed = 499

// etagOf names a revision.
func etagOf(revision int) string { return fmt.Sprintf(`"r%d"`, revision) }

// revisionOf reads If-Match.
func revisionOf(match string) (int, error) {
	if strings.TrimSpace(match) == "" {
		return 0, problem(http.StatusPreconditionRequired, "the request does not say which revision the edit was made from",
			`send If-Match with the project's ETag, such as "r12"`)
	}
	inner, ok := strings.CutPrefix(strings.Trim(strings.TrimSpace(match), `"`), "r")
	n, err := strconv.Atoi(inner)
	if !ok || err != nil || n < 1 {
		return 0, problem(http.StatusBadRequest, fmt.Sprintf("If-Match %s is no revision", match), `send the project's ETag, such as "r12"`)
	}
	return n, nil
}

// passesOf reads how many passes are done.
func passesOf(s string) (int, error) {
	if s == "" || s == "finished" {
		return app.Finished, nil
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 {
		return 0, problem(http.StatusBadRequest, fmt.Sprintf("passes=%s is neither a number nor finished", s), "")
	}
	return n, nil
}
