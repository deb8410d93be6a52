package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"facings"
)

// Limits on one entry of the log; more is refused.
const (
	MaxEntryID = 100     // bytes
	MaxEntry   = 1 << 20 // bytes of JSON
)

// Append adds entries to the log and flushes it to the disk. An entry whose ID
// the project has already is passed over: what came first stays. The result
// gives all of them as kept, in the order they were handed over.
func (s *Store) Append(ctx context.Context, id string, entries []facings.Entry) ([]facings.Entry, error) {
	if len(entries) > s.limits.entriesOnce {
		return nil, full("%d entries at once; hand over at most %d at a time", len(entries), s.limits.entriesOnce)
	}
	bodies := make([][]byte, len(entries))
	for i, e := range entries {
		if e.ID == "" || len(e.ID) > MaxEntryID {
			return nil, fmt.Errorf("entry %d has an ID of %d bytes; it must have 1 to %d", i+1, len(e.ID), MaxEntryID)
		}
		e.Seq, e.Kept = 0, time.Time{}
		body, err := json.Marshal(e)
		if err != nil {
			return nil, fmt.Errorf("entry %d (%s) cannot be kept: %w", i+1, e.ID, err)
		}
		if len(body) > MaxEntry {
			return nil, full("entry %d (%s) has %d bytes, and %d is the most", i+1, e.ID, len(body), MaxEntry)
		}
		bodies[i] = body
	}
	out := make([]facings.Entry, len(entries))
	err := s.change(ctx, "did not keep the progress", func(tx *sql.Tx) error {
		st, err := find(ctx, tx, id)
		if err != nil {
			return err
		}
		return s.appendTo(ctx, tx, id, st, entries, bodies, out)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func (s *Store) appendTo(ctx context.Context, tx *sql.Tx, id string, st state, entries []facings.Entry, bodies [][]byte, out []facings.Entry) error {
	var seq, kept int64
	err := tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0), coalesce(max(kept), 0) FROM (SELECT seq, kept FROM entries WHERE project = ? ORDER BY seq DESC LIMIT 1)",
		st.row).Scan(&seq, &kept)
	if err != nil {
		return err
	}
	kept = s.now(kept)
	known, err := tx.PrepareContext(ctx, "SELECT seq, kept, body FROM entries WHERE project = ? AND id = ?")
	if err != nil {
		return err
	}
	defer known.Close()
	insert, err := tx.PrepareContext(ctx, "INSERT INTO entries (project, seq, id, kept, body) VALUES (?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer insert.Close()
	before := seq
	for i, e := range entries {
		out[i], err = scanEntry(known.QueryRowContext(ctx, st.row, e.ID))
		if err == nil {
			continue
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		if seq >= int64(s.limits.entries) {
			return full("the log of project %s has %d entries, and that is the most; start a new project from this one", id, seq)
		}
		seq++
		if _, err := insert.ExecContext(ctx, st.row, seq, e.ID, kept, string(bodies[i])); err != nil {
			return err
		}
		if err := json.Unmarshal(bodies[i], &out[i]); err != nil {
			return err
		}
		out[i].Seq, out[i].Kept = seq, moment(kept)
	}
	if seq == before {
		return nil
	}
	_, err = tx.ExecContext(ctx, "UPDATE projects SET changed = ? WHERE rowid = ?", s.now(st.changed), st.row)
	return err
}

func scanEntry(row scanner) (e facings.Entry, err error) {
	var seq, kept int64
	var body []byte
	if err := row.Scan(&seq, &kept, &body); err != nil {
		return e, err
	}
	if err := json.Unmarshal(body, &e); err != nil {
		return e, fmt.Errorf("entry %d in the database is %w: %w", seq, errDamaged, err)
	}
	e.Seq, e.Kept = seq, moment(kept)
	return e, nil
}

// Log lists a project's entries after a Seq, ascending.
func (s *Store) Log(ctx context.Context, id string, after int64) ([]facings.Entry, error) {
	if _, err := s.Project(ctx, id); err != nil {
		return nil, err
	}
	rows, err := s.read.QueryContext(ctx, `SELECT e.seq, e.kept, e.body FROM projects p JOIN entries e ON e.project = p.rowid
		WHERE p.id = ? AND e.seq > ? ORDER BY e.seq`, id, after)
	if err != nil {
		return nil, s.wrap("cannot be read", err)
	}
	defer rows.Close()
	out := []facings.Entry{}
	for rows.Next() {
		e, err := scanEntry(rows)
		if err != nil {
			return nil, s.wrap("cannot be read", err)
		}
		out = append(out, e)
	}
	return out, s.wrap("cannot be read", rows.Err())
}
