package store

import (
	"context"
	"database/sql"
	"fmt"
)

// Limits on what Remember keeps; more is refused.
const (
	MaxKey   = 500      // bytes
	MaxValue = 16 << 20 // bytes
)

// Remember keeps a value under a key until it is forgotten (nil value).
func (s *Store) Remember(ctx context.Context, key string, value []byte) error {
	if key == "" || len(key) > MaxKey {
		return fmt.Errorf("a key of %d bytes cannot be remembered; it must have 1 to %d", len(key), MaxKey)
	}
	if len(value) > MaxValue {
		return full("%q would take %d bytes, and %d is the most that is remembered", key, len(value), MaxValue)
	}
	return s.change(ctx, "did not remember", func(tx *sql.Tx) error {
		if value == nil {
			_, err := tx.ExecContext(ctx, "DELETE FROM memory WHERE key = ?", key)
			return err
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO memory (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", key, value)
		return err
	})
}

// Recall gives back all values whose key starts so.
func (s *Store) Recall(ctx context.Context, prefix string) (map[string][]byte, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT key, value FROM memory WHERE key >= ?1 AND substr(key, 1, length(?1)) = ?1", prefix)
	if err != nil {
		return nil, s.wrap("cannot be read", err)
	}
	defer rows.Close()
	out := map[string][]byte{}
	for rows.Next() {
		var key string
		var value []byte
		if err := rows.Scan(&key, &value); err != nil {
			return nil, s.wrap("cannot be read", err)
		}
		out[key] = value
	}
	return out, s.wrap("cannot be read", rows.Err())
}
