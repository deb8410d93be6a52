package app

import (
	"errors"

	"facings"
)

// What the pages ask for.

// Edit says which project is edited, from which revision, why and by whom.
type Edit struct {
	ID     string
	Base   int
	Why    string
	Device string
}

// Mistake is a request that cannot be met, and the way out.
type Mistake struct {
	Message  string
	Hint     string
	Findings facings.Diagnostics
}

func (m *Mistake) Error() string { return m.Message }

// LateEdit is an edit of a revision that is no longer the head.
type LateEdit struct{ Current *Head }

func (e *LateEdit) Error() string { return facings.ErrConflict.Error() }

// Unwrap makes errors.Is(err, facings.ErrConflict) true.
func (e *LateEdit) Unwrap() error { return facings.ErrConflict }

// ErrNotReady says that something waits for the plan.
var ErrNotReady = errors.New("the plan is not ready")

// NewProject says what a new project is made from: "starter", "demo", "text",
// "recruit" (the guided way), or "more" (more figures for a unit of another
// project, painted alike).
type NewProject struct {
	From    string   `json:"from" enum:"starter,demo,text,recruit,more"`
	Name    string   `json:"name,omitempty" maxLength:"120"`
	Text    string   `json:"text,omitempty"`
	Recruit *Recruit `json:"recruit,omitempty"`
	Like    *Like    `json:"like,omitempty"`
	Device  string   `json:"-"`
}

// Like names a unit of a project and how many figures more are wanted.
type Like struct {
	Project string `json:"project"`
	Unit    string `json:"unit"`
	Figures int    `json:"figures" minimum:"1" maximum:"2000"`
}

// PictureAsk says which picture of a figure is wanted.
type PictureAsk struct {
	Figure   int
	Passes   int // of the order that are done; Finished for all
	Underway int // number of the pass whose areas are outlined, 0 for none
	// Close comes near to what is under way, from the side that shows it best;
	// AzimuthDeg is turned from there.
	Close         bool
	AzimuthDeg    float64
	Width, Height int
}

// MixAsk asks for a mix or for paints; see MixRequest.
type MixAsk struct {
	Project   string            `json:"project,omitempty"` // whose rack; the starter rack if empty
	Target    string            `json:"target" maxLength:"120"`
	Over      string            `json:"over,omitempty" maxLength:"120"`
	Paints    int               `json:"paints,omitempty" minimum:"0" maximum:"3"`
	Parts     int               `json:"parts,omitempty" minimum:"0" maximum:"20"`
	AreaMM2   float64           `json:"area_mm2,omitempty" minimum:"0"`
	Technique facings.Technique `json:"technique,omitempty"`
	Coats     float64           `json:"coats,omitempty" minimum:"0" maximum:"20"`
	Starter   bool              `json:"starter,omitempty"` // match: look through the starter rack too
}

// SheetMade is a sheet as a download.
type SheetMade struct {
	Name string
	Type string // its media type
	Data []byte
}

// MaxImport bounds an import, in bytes as sent.
const MaxImport = 256 << 20
