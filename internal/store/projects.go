package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"strings"

	"facings"
)

const keptColumns = `SELECT p.id, p.name, p.made, p.changed, p.head, r.parent <> 0, r.redo <> 0, p.gone
	FROM projects p JOIN revisions r ON r.project = p.rowid AND r.number = p.head `

// scanner is a row or the rows of a query.
type scanner interface{ Scan(...any) error }

func scanKept(row scanner) (k facings.Kept, err error) {
	var made, changed int64
	var gone sql.NullInt64
	err = row.Scan(&k.ID, &k.Name, &made, &changed, &k.Revision, &k.CanUndo, &k.CanRedo, &gone)
	k.Made, k.Changed = moment(made), moment(changed)
	if gone.Valid {
		at := moment(gone.Int64)
		k.Gone = &at
	}
	return k, err
}

// Projects lists the projects, the last changed first (progress is a change,
// too); those thrown away only if asked, among the others.
func (s *Store) Projects(ctx context.Context, gone bool) ([]facings.Kept, error) {
	rows, err := s.read.QueryContext(ctx, keptColumns+"WHERE ? OR p.gone IS NULL ORDER BY p.changed DESC, p.rowid DESC", gone)
	if err != nil {
		return nil, s.wrap("cannot be read", err)
	}
	defer rows.Close()
	out := []facings.Kept{}
	for rows.Next() {
		k, err := scanKept(rows)
		if err != nil {
			return nil, s.wrap("cannot be read", err)
		}
		out = append(out, k)
	}
	return out, s.wrap("cannot be read", rows.Err())
}

// Project is one project, thrown away or not.
func (s *Store) Project(ctx context.Context, id string) (facings.Kept, error) {
	k, err := scanKept(s.read.QueryRowContext(ctx, keptColumns+"WHERE p.id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return k, notFound("project %s", id)
	}
	return k, s.wrap("cannot be read", err)
}

// Create keeps a new project with its first revision. Its files may be those of
// any project kept here.
func (s *Store) Create(ctx context.Context, name string, first facings.Revision) (facings.Kept, error) {
	id := strings.ToLower(rand.Text()[:10]) // 50 bits
	var kept facings.Kept
	err := s.change(ctx, "did not keep the project", func(tx *sql.Tx) error {
		at := s.now(0)
		result, err := tx.ExecContext(ctx, "INSERT INTO projects (id, name, made, changed, head) VALUES (?, ?, ?, ?, 1)",
			id, cut(name, maxName), at, at)
		if err != nil {
			return err
		}
		project, err := result.LastInsertId()
		if err != nil {
			return err
		}
		files, err := s.putFileList(ctx, tx, project, first.Files)
		if err != nil {
			return err
		}
		first.Number, first.Parent = 1, 0
		if err := s.insertRevision(ctx, tx, project, first, at, files); err != nil {
			return err
		}
		kept, err = scanKept(tx.QueryRowContext(ctx, keptColumns+"WHERE p.rowid = ?", project))
		return err
	})
	if err != nil {
		return facings.Kept{}, err
	}
	return kept, nil
}

// Throw puts a project away, or takes it back. Nothing of it is lost: its
// revisions can be read, and progress that comes late is still kept.
func (s *Store) Throw(ctx context.Context, id string, away bool) error {
	return s.change(ctx, "did not throw the project away or take it back", func(tx *sql.Tx) error {
		set := "gone = NULL"
		if away {
			set = "gone = coalesce(gone, ?2)"
		}
		result, err := tx.ExecContext(ctx, "UPDATE projects SET "+set+" WHERE id = ?1", id, s.now(0))
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, notFound("project %s", id))
		}
		return nil
	})
}

// state is what a change of a project starts from.
type state struct {
	row, changed int64
	head         int
}

func find(ctx context.Context, tx *sql.Tx, id string) (st state, err error) {
	err = tx.QueryRowContext(ctx, "SELECT rowid, changed, head FROM projects WHERE id = ?", id).Scan(&st.row, &st.changed, &st.head)
	if errors.Is(err, sql.ErrNoRows) {
		return st, notFound("project %s", id)
	}
	return st, err
}
