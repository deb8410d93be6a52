package facings

import (
	"errors"
	"time"
)

// Limits on what is kept for one project; more is refused.
const (
	MaxFiles       = 200       // meshes, pictures and photographs beside a project
	MaxOneFile     = 64 << 20  // bytes
	MaxAllFiles    = 512 << 20 // bytes, of one project
	MaxEntries     = 1 << 20   // of one project's log
	MaxEntriesOnce = 5000      // handed over in one go
)

// What a keeper of projects may answer; wrapped, so use errors.Is.
var (
	ErrNotFound = errors.New("not found")
	// ErrConflict says that somebody changed the project since the revision an
	// edit was made from.
	ErrConflict = errors.New("changed in the meantime")
	// ErrFull says that nothing was kept because the disk, or a limit, is full.
	ErrFull = errors.New("no room left")
)

// Kept is a project in the keeping of a database.
type Kept struct {
	ID      string    `json:"id"` // short, made by the keeper, fit for addresses
	Name    string    `json:"name"`
	Made    time.Time `json:"made"`
	Changed time.Time `json:"changed"`
	// Revision is the number of the revision in force.
	Revision int  `json:"revision"`
	CanUndo  bool `json:"can_undo"`
	CanRedo  bool `json:"can_redo"`
	// Gone is when it was thrown away, nil if it was not; what is thrown away
	// can be taken back.
	Gone *time.Time `json:"gone,omitempty"`
}

// Revision is one state of a project. Numbers count from 1 within a project and
// are never used again; Parent is the one it was made from, 0 for the first.
type Revision struct {
	Number int       `json:"number"`
	Parent int       `json:"parent"`
	At     time.Time `json:"at"` // the keeper's clock, never before the revision it follows
	Device string    `json:"device,omitempty"`
	Why    string    `json:"why"` // what was done, in a few words
	// Text is the project file; empty in lists.
	Text []byte `json:"-"`
	// Files are the files beside it: name to SHA-256 in hex.
	Files map[string]string `json:"files,omitempty"`
}

// TaskKey names one coat on one area of one figure whatever the order of the
// day is. Medium is part of it: a coat of another paint is another coat.
type TaskKey struct {
	Figure FigureID `json:"figure"`
	Area   string   `json:"area"`
	Coat   int      `json:"coat"`
	Medium string   `json:"medium"`
}

// EntryKind says what an entry of the log records.
type EntryKind string

const (
	EntryStart EntryKind = "start" // work on the tasks begins
	EntryPause EntryKind = "pause" // the clock stands, for tea or for the night
	EntryDone  EntryKind = "done"  // the tasks are painted
	EntrySkip  EntryKind = "skip"  // the tasks shall not be painted
	EntryUndo  EntryKind = "undo"  // the entry Undoes does not count
	EntryMix   EntryKind = "mix"   // a mix was made
	EntryUsed  EntryKind = "used"  // what was really used, where it differs
	EntryNote  EntryKind = "note"  // a remark, perhaps with a photograph
)

// Entry is one line of a project's progress. The log is only ever added to;
// the same ID handed over twice counts once.
type Entry struct {
	ID     string    `json:"id"`            // made by the device: a UUID
	Seq    int64     `json:"seq,omitempty"` // given by the keeper, ascending
	Kind   EntryKind `json:"kind"`
	At     time.Time `json:"at"` // the device's clock
	Kept   time.Time `json:"kept,omitzero"`
	Device string    `json:"device,omitempty"`
	// Tasks are what it is about: the whole pass, or those figures of it that
	// are done.
	Tasks []TaskKey `json:"tasks,omitempty"`
	// Seconds is the bench time the tasks took, as measured, without pauses; 0
	// when it was not measured.
	Seconds Seconds `json:"seconds,omitempty"`
	SetUp   Seconds `json:"setup_seconds,omitempty"`
	Painter int     `json:"painter,omitempty"`
	Undoes  string  `json:"undoes,omitempty"`
	// Used, for EntryUsed, EntryMix and EntryDone: the paint really used, its
	// lot, or the mix really made, where it is worth remembering.
	Used *Used  `json:"used,omitempty"`
	Note string `json:"note,omitempty"`
	File string `json:"file,omitempty"` // a photograph kept beside the project
}

// Used is what was really laid.
type Used struct {
	Medium string  `json:"medium"`
	Mix    []Part  `json:"mix,omitempty"`
	Lot    string  `json:"lot,omitempty"`
	ML     float64 `json:"ml,omitempty"`
}
