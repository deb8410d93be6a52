package app

import (
	"context"
	"io"
	"time"

	"facings"
)

// Keeper keeps projects, their revisions, files and progress. What it has
// answered without an error is on the disk. Errors wrap facings.ErrNotFound,
// facings.ErrConflict or facings.ErrFull where those apply. All methods may be
// called from several goroutines.
type Keeper interface {
	// Projects lists the projects, the last changed first; gone ones if asked.
	Projects(ctx context.Context, gone bool) ([]facings.Kept, error)
	Project(ctx context.Context, id string) (facings.Kept, error)
	// Create keeps a new project with its first revision.
	Create(ctx context.Context, name string, first facings.Revision) (facings.Kept, error)
	// Throw puts a project away, or takes it back.
	Throw(ctx context.Context, id string, away bool) error

	// Head is the revision in force, with its text.
	Head(ctx context.Context, id string) (facings.Revision, error)
	Revision(ctx context.Context, id string, number int) (facings.Revision, error)
	// History lists revisions without their texts, the newest first, at most n
	// of those before a number (0: from the newest).
	History(ctx context.Context, id string, before, n int) ([]facings.Revision, error)
	// Commit adds a revision on top of number base and makes it the head, which
	// base must be (else ErrConflict). Number, Parent and At of next are given
	// here; with Files nil the files of base stay. name, if not empty, becomes
	// the project's name in lists.
	Commit(ctx context.Context, id string, base int, next facings.Revision, name string) (facings.Revision, error)
	// Undo makes the head's parent the head, Redo the child it was undone from
	// last; base guards as in Commit.
	Undo(ctx context.Context, id string, base int) (facings.Revision, error)
	Redo(ctx context.Context, id string, base int) (facings.Revision, error)

	// PutFile keeps a file's content and returns its SHA-256 in hex; revisions
	// and entries refer to it so.
	PutFile(ctx context.Context, id string, r io.Reader) (hash string, size int64, err error)
	File(ctx context.Context, id, hash string) (io.ReadSeekCloser, error)

	// Append adds entries to the log. Those it has already are passed over;
	// the result gives all of them as kept, with their Seq.
	Append(ctx context.Context, id string, entries []facings.Entry) ([]facings.Entry, error)
	// Log lists a project's entries after a Seq, ascending.
	Log(ctx context.Context, id string, after int64) ([]facings.Entry, error)

	// Remember keeps a small value for the program itself (a device that was
	// paired, a plan worked out before) until it is forgotten (nil value);
	// Recall gives it back, and all whose key starts so.
	Remember(ctx context.Context, key string, value []byte) error
	Recall(ctx context.Context, prefix string) (map[string][]byte, error)

	// Backup writes the whole database to a new file.
	Backup(ctx context.Context, path string) error
	// LastBackup is when that was last done by schedule; zero for never.
	LastBackup(ctx context.Context) (time.Time, error)
	Close() error
}
