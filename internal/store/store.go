package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"facings"

	_ "modernc.org/sqlite"
)

// Options change how a database is opened; the zero value is what a program wants.
type Options struct {
	// Clock gives the time; nil for time.Now.
	Clock func() time.Time
	// Backups is the folder for the copy made before a database is moved to a
	// newer layout; "" for BackupFolder of its path.
	Backups string
	// Log is told of copies made and of copies that failed; nil for nobody.
	Log *slog.Logger
	// Wait is how long a write waits for another program; 0 for 10 s.
	Wait time.Duration
}

// Store is an open database. All methods may be called from several goroutines.
type Store struct {
	path     string // as given, for messages
	absolute string
	opts     Options
	write    *sql.DB // one connection
	read     *sql.DB
	limits   limits
}

// limits are those of the root package; tests lower them.
type limits struct {
	files, entries, entriesOnce int
	oneFile, allFiles           int64
}

const readers = 4

// Open opens a database, makes it if nothing is there, and brings an older one
// to the layout of today, after a copy of it was made. A file that is no
// database of ours, or one of a newer program, is refused and left as it is.
func Open(path string, opts Options) (*Store, error) {
	if opts.Clock == nil {
		opts.Clock = time.Now
	}
	if opts.Log == nil {
		opts.Log = slog.New(slog.DiscardHandler)
	}
	if opts.Wait <= 0 {
		opts.Wait = 10 * time.Second
	}
	if opts.Backups == "" {
		opts.Backups = BackupFolder(path)
	}
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	s := &Store{path: path, absolute: absolute, opts: opts, limits: limits{
		files: facings.MaxFiles, entries: facings.MaxEntries, entriesOnce: facings.MaxEntriesOnce,
		oneFile: facings.MaxOneFile, allFiles: facings.MaxAllFiles,
	}}
	// While another program makes the same file SQLite now and then says at once
	// that it is busy, instead of waiting as it was told.
	for until := time.Now().Add(opts.Wait); ; time.Sleep(20 * time.Millisecond) {
		if err = s.open(); !isBusy(err) || time.Now().After(until) {
			break
		}
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// open opens the database once.
func (s *Store) open() error {
	made, err := s.look()
	if err != nil {
		return err
	}
	s.write = s.connect(1, "journal_mode(wal)", "synchronous(full)", "foreign_keys(1)")
	s.read = s.connect(readers, "query_only(1)")
	if err := s.migrate(context.Background(), made); err != nil {
		s.Close()
		return err
	}
	if made {
		syncFolder(filepath.Dir(s.absolute))
	}
	return nil
}

// Close lets go of the database. What is under way is waited for.
func (s *Store) Close() error { return errors.Join(s.read.Close(), s.write.Close()) }

// connect prepares connections to a database. Pragmas go into the name, since
// one that is executed holds on one connection only.
func (s *Store) connect(most int, pragmas ...string) *sql.DB {
	return open(s.absolute, most, "rwc", append([]string{s.waiting()}, append(pragmas,
		"fullfsync(1)", "checkpoint_fullfsync(1)", // macOS: flush the disk's own memory too
		"journal_size_limit(16777216)", "trusted_schema(0)")...))
}

func (s *Store) waiting() string { return fmt.Sprintf("busy_timeout(%d)", s.opts.Wait.Milliseconds()) }

func open(absolute string, most int, mode string, pragmas []string) *sql.DB {
	query := url.Values{"mode": {mode}, "_txlock": {"immediate"}, "_error_rc": {"1"}, "_dqs": {"0"}, "_pragma": pragmas}
	slashed := filepath.ToSlash(absolute)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // C:/army.db
	}
	name := url.URL{Scheme: "file", Path: slashed, RawQuery: query.Encode()}
	db, err := sql.Open("sqlite", name.String())
	if err != nil {
		panic(err) // the driver is not linked in
	}
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	return db
}

// look says whether a database must be made, and refuses what is there if it is
// no database of ours or of a newer program. It changes nothing in it.
//
// The file is never opened but through SQLite: closing any other handle would
// drop the locks that this process holds on it.
func (s *Store) look() (made bool, err error) {
	info, err := os.Stat(s.absolute)
	if errors.Is(err, fs.ErrNotExist) {
		folder := filepath.Dir(s.absolute)
		if at, err := os.Stat(folder); err != nil || !at.IsDir() {
			return false, fmt.Errorf("%s: the folder %s is not there; make it first, or give another path", s.path, filepath.Dir(s.path))
		}
		return true, s.roomToMake(folder)
	}
	if err != nil {
		return false, fmt.Errorf("%s cannot be opened: %w; give another path", s.path, err)
	}
	if info.IsDir() {
		return false, fmt.Errorf("%s is a folder; give the path of a file in it, such as %s", s.path, filepath.Join(s.path, "facings.db"))
	}
	if !info.Mode().IsRegular() {
		return false, fmt.Errorf("%s is no file; give the path of a file", s.path)
	}
	// Not read-only: what a program that was killed left half done is put right
	// first, as by any that opens the file.
	db := open(s.absolute, 1, "rw", []string{s.waiting(), "query_only(1)"})
	defer db.Close()
	var application, tables int
	err = db.QueryRow(`SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT count(*) FROM sqlite_schema WHERE name NOT IN ('goose_db_version', 'sqlite_sequence'))`).
		Scan(&application, &tables)
	switch {
	case err != nil:
		return false, s.wrap("cannot be opened", err)
	case tables == 0: // empty, or its maker was stopped, or is still at it
		return true, nil
	case application != applicationID:
		return false, fmt.Errorf("%s is a database of another program and was left as it is; give another path", s.path)
	}
	return false, s.refuseNewer(db)
}

// roomForNew is what a new database takes with the files beside it, in bytes.
const roomForNew = 160 << 10

// roomToMake tries whether a new database has room, before SQLite begins one
// that it cannot end. Taking that away afterwards could take it from another
// program that makes the same.
func (s *Store) roomToMake(folder string) error {
	trial, err := os.CreateTemp(folder, ".facings-*")
	if err != nil && !errors.Is(err, syscall.ENOSPC) {
		return nil // SQLite says what is the matter with the folder
	}
	if err == nil {
		_, err = trial.Write(make([]byte, roomForNew))
		if err == nil {
			err = trial.Sync() // some systems give room out only then
		}
		err = errors.Join(err, trial.Close(), os.Remove(trial.Name()))
	}
	if err == nil {
		return nil
	}
	if at := (*fs.PathError)(nil); errors.As(err, &at) {
		err = at.Err // without the name of what was only tried
	}
	return fmt.Errorf("%s cannot be made: %w (%w); make room on the disk and try again", s.path, facings.ErrFull, err)
}

// change runs one transaction on the writing connection. It is kept whole or
// not at all.
func (s *Store) change(ctx context.Context, what string, do func(tx *sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return s.wrap(what, err)
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return s.wrap(what, err)
	}
	return s.wrap(what, tx.Commit())
}

// now is the clock's time, but not before another.
func (s *Store) now(notBefore int64) int64 { return max(s.opts.Clock().UnixMicro(), notBefore) }

func moment(micro int64) time.Time { return time.UnixMicro(micro).UTC() }

// cut shortens what is only shown in lists.
func cut(text string, most int) string {
	runes := []rune(strings.ToValidUTF8(text, "\uFFFD"))
	return string(runes[:min(len(runes), most)])
}

// syncFolder makes a new name last through a power cut where the system can.
func syncFolder(path string) {
	if folder, err := os.Open(path); err == nil {
		folder.Sync()
		folder.Close()
	}
}
