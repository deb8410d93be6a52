package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Copies made by schedule, if nothing else is asked.
const (
	DefaultEvery = 24 * time.Hour
	DefaultKeep  = 14
)

// stamp is the part of a copy's name that says when it was made (UTC).
const stamp = "2006-01-02-150405"

// unfinished begins the name of a folder in which a copy is being made.
const unfinished = ".facings-copy-"

// BackupFolder is where copies of a database go: a folder beside it.
func BackupFolder(path string) string {
	return filepath.Join(filepath.Dir(path), baseName(path)+"-backups")
}

func baseName(path string) string {
	base := filepath.Base(path)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// Backup writes the whole database to a new file, while others go on reading
// and writing. What is there already is never overwritten, and on an error
// nothing is left.
func (s *Store) Backup(ctx context.Context, path string) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; choose another name or move it away", path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	folder, err := os.MkdirTemp(filepath.Dir(path), unfinished+"*")
	if err != nil {
		return s.wrap("was not copied", fmt.Errorf("%s cannot be written: %w; choose another place, or make its folder first", path, err))
	}
	defer os.RemoveAll(folder)
	copied := filepath.Join(folder, "copy.db")
	if err := s.copyTo(ctx, copied); err != nil {
		return s.wrap("was not copied to "+path, err)
	}
	if err := os.Rename(copied, path); err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// copyTo writes a copy, checks that it is whole and flushes it to the disk.
func (s *Store) copyTo(ctx context.Context, path string) error {
	// The readers may not write, not even to another file, and the writer
	// would hold everybody up.
	source := s.connect(1)
	defer source.Close()
	if _, err := source.ExecContext(ctx, "VACUUM INTO ?", path); err != nil {
		return err
	}
	target, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	copied := open(target, 1, "ro", nil)
	defer copied.Close()
	var verdict string
	if err := copied.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return fmt.Errorf("the copy is damaged (%s); is the disk sound?", verdict)
	}
	if err := copied.Close(); err != nil {
		return err
	}
	return flush(path)
}

func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// backupInto makes the folder of a copy first.
func (s *Store) backupInto(ctx context.Context, folder, path string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return s.wrap("was not copied", fmt.Errorf("the folder %s cannot be made: %w", folder, err))
	}
	return s.Backup(ctx, path)
}

// LastBackup is when that was last done by schedule; zero for never.
func (s *Store) LastBackup(ctx context.Context) (time.Time, error) {
	var at int64
	err := s.read.QueryRowContext(ctx, "SELECT at FROM backups").Scan(&at)
	if errors.Is(err, sql.ErrNoRows) {
		return time.Time{}, nil
	}
	if err != nil {
		return time.Time{}, s.wrap("cannot be read", err)
	}
	return moment(at), nil
}

// Schedule copies the database into a folder at once if the last copy is older
// than every, and then again and again until ctx ends; it keeps the newest
// copies and removes older ones of its own making. every and keep of zero mean
// a day and 14. A copy that fails is reported to Options.Log and tried again
// within the hour. It returns when ctx ends, which should be before Close.
func (s *Store) Schedule(ctx context.Context, dir string, every time.Duration, keep int) {
	if every <= 0 {
		every = DefaultEvery
	}
	if keep <= 0 {
		keep = DefaultKeep
	}
	// By the clock on the wall and not by one long timer, which stands still
	// while the machine sleeps.
	for ctx.Err() == nil {
		path, err := s.backupIfDue(ctx, dir, every, keep)
		if err != nil && ctx.Err() == nil {
			s.opts.Log.Error("no backup was made", "error", err)
		} else if path != "" {
			s.opts.Log.Info("backup made", "path", path)
		}
		select {
		case <-ctx.Done():
		case <-time.After(min(every, time.Hour)):
		}
	}
}

// backupIfDue makes a copy if it is time; path is "" if not. A clock that was
// set back, or a folder without any copy, makes it time.
func (s *Store) backupIfDue(ctx context.Context, dir string, every time.Duration, keep int) (path string, err error) {
	now := s.opts.Clock()
	last, err := s.LastBackup(ctx)
	if err != nil {
		return "", err
	}
	copies, err := s.copies(dir)
	if err != nil {
		return "", err
	}
	if len(copies) > 0 && !last.IsZero() && !last.After(now) && now.Sub(last) < every {
		return "", nil
	}
	path = filepath.Join(dir, baseName(s.path)+"-"+now.UTC().Format(stamp)+".db")
	if err := s.backupInto(ctx, dir, path); err != nil {
		return "", err
	}
	err = s.change(ctx, "did not keep when it was copied", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO backups (rowid, at) VALUES (1, ?) ON CONFLICT DO UPDATE SET at = excluded.at", now.UnixMicro())
		return err
	})
	if err != nil {
		return path, err
	}
	return path, s.prune(dir, keep, path)
}

// copies lists the copies of this database that schedule made, oldest first.
func (s *Store) copies(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the folder %s cannot be read: %w", dir, err)
	}
	var out []string
	for _, at := range list {
		middle, ours := strings.CutPrefix(at.Name(), baseName(s.path)+"-")
		middle, isDB := strings.CutSuffix(middle, ".db")
		if _, err := time.Parse(stamp, middle); ours && isDB && err == nil && at.Type().IsRegular() {
			out = append(out, at.Name())
		}
	}
	slices.Sort(out)
	return out, nil
}

// prune removes the oldest copies, but never the one made now.
func (s *Store) prune(dir string, keep int, made string) error {
	copies, err := s.copies(dir)
	if err != nil {
		return err
	}
	for _, name := range copies[:max(0, len(copies)-keep)] {
		if name == filepath.Base(made) {
			continue // the clock was set back
		}
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			return fmt.Errorf("an old copy could not be removed: %w", err)
		}
	}
	return removeUnfinished(dir)
}

// removeUnfinished removes what programs left that were killed while copying.
func removeUnfinished(dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, at := range list {
		info, err := at.Info()
		if err == nil && strings.HasPrefix(at.Name(), unfinished) && time.Since(info.ModTime()) > 24*time.Hour {
			os.RemoveAll(filepath.Join(dir, at.Name()))
		}
	}
	return nil
}
