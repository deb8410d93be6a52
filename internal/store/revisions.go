package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"facings"
)

// How much is kept of words that are only shown, in characters.
const (
	maxName   = 200
	maxWhy    = 500
	maxDevice = 200
)

// maxHistory is how many revisions are listed at once at most.
const maxHistory = 1000

const revisionColumns = `SELECT r.number, r.parent, r.at, r.device, r.why, f.packed, f.hash, f.size`

func scanRevision(row scanner, more ...any) (r facings.Revision, err error) {
	var at int64
	var packed, hash []byte
	var size sql.NullInt64
	if err := row.Scan(append([]any{&r.Number, &r.Parent, &at, &r.Device, &r.Why, &packed, &hash, &size}, more...)...); err != nil {
		return r, err
	}
	r.At = moment(at)
	if !size.Valid {
		return r, nil
	}
	list, err := unpack(packed, hash, int(size.Int64))
	if err != nil {
		return r, err
	}
	return r, json.Unmarshal(list, &r.Files)
}

// scanWhole reads a revision with its text.
func scanWhole(row scanner) (facings.Revision, error) {
	var packed, hash []byte
	var size int
	r, err := scanRevision(row, &packed, &hash, &size)
	if err != nil {
		return facings.Revision{}, err
	}
	r.Text, err = unpack(packed, hash, size)
	return r, err
}

const wholeRevision = revisionColumns + `, t.packed, t.hash, t.size
	FROM projects p JOIN revisions r ON r.project = p.rowid
	JOIN texts t ON t.rowid = r.text LEFT JOIN texts f ON f.rowid = r.files
	WHERE p.id = ?1 AND r.number = `

// Head is the revision in force, with its text.
func (s *Store) Head(ctx context.Context, id string) (facings.Revision, error) {
	r, err := scanWhole(s.read.QueryRowContext(ctx, wholeRevision+"p.head", id))
	if errors.Is(err, sql.ErrNoRows) {
		return r, notFound("project %s", id)
	}
	return r, s.wrap("cannot be read", err)
}

// Revision is one revision, in force or not, with its text.
func (s *Store) Revision(ctx context.Context, id string, number int) (facings.Revision, error) {
	r, err := scanWhole(s.read.QueryRowContext(ctx, wholeRevision+"?2", id, number))
	if errors.Is(err, sql.ErrNoRows) {
		return r, notFound("revision %d of project %s", number, id)
	}
	return r, s.wrap("cannot be read", err)
}

// History lists revisions without their texts, the newest first: at most n of
// those before a number (0: from the newest). n is held to 1…1000.
func (s *Store) History(ctx context.Context, id string, before, n int) ([]facings.Revision, error) {
	if _, err := s.Project(ctx, id); err != nil {
		return nil, err
	}
	rows, err := s.read.QueryContext(ctx, revisionColumns+`
		FROM projects p JOIN revisions r ON r.project = p.rowid LEFT JOIN texts f ON f.rowid = r.files
		WHERE p.id = ?1 AND (?2 <= 0 OR r.number < ?2) ORDER BY r.number DESC LIMIT ?3`,
		id, before, min(max(n, 1), maxHistory))
	if err != nil {
		return nil, s.wrap("cannot be read", err)
	}
	defer rows.Close()
	out := []facings.Revision{}
	for rows.Next() {
		r, err := scanRevision(rows)
		if err != nil {
			return nil, s.wrap("cannot be read", err)
		}
		out = append(out, r)
	}
	return out, s.wrap("cannot be read", rows.Err())
}

// Commit adds a revision on top of number base and makes it the head, which
// base must be. Number, Parent and At of next are given here; with Files nil the
// files of base stay. name, if not empty, becomes the project's name in lists.
func (s *Store) Commit(ctx context.Context, id string, base int, next facings.Revision, name string) (facings.Revision, error) {
	return s.move(ctx, id, base, func(tx *sql.Tx, st state, at int64) (int, error) {
		var files sql.NullInt64
		err := tx.QueryRowContext(ctx, `SELECT (SELECT max(number) FROM revisions WHERE project = ?1), files
			FROM revisions WHERE project = ?1 AND number = ?2`, st.row, base).Scan(&next.Number, &files)
		if err != nil {
			return 0, err
		}
		if next.Files != nil {
			if files, err = s.putFileList(ctx, tx, st.row, next.Files); err != nil {
				return 0, err
			}
		}
		if name != "" {
			if _, err := tx.ExecContext(ctx, "UPDATE projects SET name = ? WHERE rowid = ?", cut(name, maxName), st.row); err != nil {
				return 0, err
			}
		}
		next.Number++
		next.Parent = base
		return next.Number, s.insertRevision(ctx, tx, st.row, next, at, files)
	})
}

// Undo makes the head's parent the head; base must be the head.
func (s *Store) Undo(ctx context.Context, id string, base int) (facings.Revision, error) {
	return s.move(ctx, id, base, func(tx *sql.Tx, st state, _ int64) (parent int, err error) {
		err = tx.QueryRowContext(ctx, "SELECT parent FROM revisions WHERE project = ? AND number = ?", st.row, base).Scan(&parent)
		if err != nil {
			return 0, err
		}
		if parent == 0 {
			return 0, notFound("an edit of project %s to undo", id)
		}
		_, err = tx.ExecContext(ctx, "UPDATE revisions SET redo = ? WHERE project = ? AND number = ?", base, st.row, parent)
		return parent, err
	})
}

// Redo makes the child the head that it was undone from last; base must be the head.
func (s *Store) Redo(ctx context.Context, id string, base int) (facings.Revision, error) {
	return s.move(ctx, id, base, func(tx *sql.Tx, st state, _ int64) (child int, err error) {
		err = tx.QueryRowContext(ctx, "SELECT redo FROM revisions WHERE project = ? AND number = ?", st.row, base).Scan(&child)
		if err == nil && child == 0 {
			return 0, notFound("an edit of project %s to redo", id)
		}
		return child, err
	})
}

// move makes another revision the head, if base is, and returns it.
func (s *Store) move(ctx context.Context, id string, base int, to func(tx *sql.Tx, st state, at int64) (int, error)) (facings.Revision, error) {
	var out facings.Revision
	err := s.change(ctx, "did not keep the edit", func(tx *sql.Tx) error {
		st, err := find(ctx, tx, id)
		if err != nil {
			return err
		}
		if st.head != base {
			return fmt.Errorf("project %s is at revision %d, not %d: %w", id, st.head, base, facings.ErrConflict)
		}
		at := s.now(st.changed)
		head, err := to(tx, st, at)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "UPDATE projects SET head = ?, changed = ? WHERE rowid = ?", head, at, st.row); err != nil {
			return err
		}
		out, err = scanWhole(tx.QueryRowContext(ctx, wholeRevision+"p.head", id))
		return err
	})
	if err != nil {
		return facings.Revision{}, err
	}
	return out, nil
}

func (s *Store) insertRevision(ctx context.Context, tx *sql.Tx, project int64, r facings.Revision, at int64, files sql.NullInt64) error {
	if int64(len(r.Text)) > s.limits.oneFile {
		return full("the project file has %d bytes, and %d is the most", len(r.Text), s.limits.oneFile)
	}
	text, err := putText(ctx, tx, r.Text)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO revisions (project, number, parent, at, device, why, text, files)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		project, r.Number, r.Parent, at, cut(r.Device, maxDevice), cut(r.Why, maxWhy), text, files)
	return err
}
