package store

import (
	"context"
	"database/sql"
	"time"

	"github.com/pressly/goose/v3"
)

// Writer is the connection that writes.
func (s *Store) Writer() *sql.DB { return s.write }

// Reader are the connections that read.
func (s *Store) Reader() *sql.DB { return s.read }

// Lower lowers the limits, so that a test can reach them.
func (s *Store) Lower(files, entries, entriesOnce int, oneFile, allFiles int64) {
	s.limits = limits{files: files, entries: entries, entriesOnce: entriesOnce, oneFile: oneFile, allFiles: allFiles}
}

// BackupIfDue is one turn of Schedule.
func (s *Store) BackupIfDue(ctx context.Context, dir string, every time.Duration, keep int) (string, error) {
	return s.backupIfDue(ctx, dir, every, keep)
}

// Steps are the migrations, for a database that a test opened itself.
func Steps(db *sql.DB) (*goose.Provider, error) { return provider(db) }
