package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"facings"

	"github.com/pressly/goose/v3"
)

// applicationID marks a database as ours; migrations/0001_first.sql sets it.
const applicationID = 0x46616365

//go:embed migrations/*.sql
var migrations embed.FS

// provider prepares the steps from each layout to the next.
func provider(db *sql.DB) (*goose.Provider, error) {
	steps, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, db, steps, goose.WithDisableGlobalRegistry(true))
}

// layout is the number of a database's layout.
func layout(ctx context.Context, db *sql.DB) (version int64, err error) {
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied").Scan(&version)
	return version, err
}

// newest is the layout this program writes.
func newest(steps *goose.Provider) int64 {
	sources := steps.ListSources()
	return sources[len(sources)-1].Version
}

func (s *Store) refuseNewer(db *sql.DB) error {
	steps, err := provider(db)
	if err != nil {
		return err
	}
	version, err := layout(context.Background(), db)
	if err != nil {
		return s.wrap("cannot be opened", err)
	}
	if known := newest(steps); version > known {
		return fmt.Errorf("%s was written by a newer Facings (layout %d, this one knows up to %d) and was left as it is; "+
			"use the newer program, or a copy from before in %s", s.path, version, known, s.opts.Backups)
	}
	return nil
}

// migrate brings the database to the newest layout. Two programs that start at
// once may both try; the one that comes second fails, and then finds it done.
func (s *Store) migrate(ctx context.Context, made bool) error {
	steps, err := provider(s.write)
	if err != nil {
		return err
	}
	goal := newest(steps)
	if !made {
		version, err := layout(ctx, s.write)
		if err != nil {
			return s.wrap("cannot be opened", err)
		}
		if version == goal {
			return nil
		}
		name := fmt.Sprintf("%s-layout-%d-%s.db", baseName(s.path), version, s.opts.Clock().UTC().Format(stamp+".000000"))
		copied := filepath.Join(s.opts.Backups, name)
		if err := s.backupInto(ctx, s.opts.Backups, copied); err != nil {
			return fmt.Errorf("%s was not brought to the layout of today, since no copy could be made first: %w", s.path, err)
		}
		s.opts.Log.Info("copied before the layout changes", "path", copied)
	}
	what := "cannot be brought to the layout of today"
	if made {
		what = "cannot be made"
	}
	for try := 0; ; try++ {
		_, err := steps.Up(ctx)
		if err == nil {
			return nil
		}
		if err = s.wrap(what, err); try == 3 || errors.Is(err, facings.ErrFull) {
			return err
		}
	}
}
