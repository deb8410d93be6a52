package store

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"io"
)

// putText keeps a text once and returns its row.
func putText(ctx context.Context, tx *sql.Tx, text []byte) (row int64, err error) {
	hash := sha256.Sum256(text)
	err = tx.QueryRowContext(ctx, "SELECT rowid FROM texts WHERE hash = ?", hash[:]).Scan(&row)
	if err != sql.ErrNoRows {
		return row, err
	}
	packed, err := pack(text)
	if err != nil {
		return 0, err
	}
	result, err := tx.ExecContext(ctx, "INSERT INTO texts (hash, size, packed) VALUES (?, ?, ?)", hash[:], len(text), packed)
	if err != nil {
		return 0, err
	}
	return result.LastInsertId()
}

func pack(text []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.DefaultCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(text); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// unpack gives a text back, and makes sure that it is the one that was kept.
func unpack(packed, hash []byte, size int) ([]byte, error) {
	r := flate.NewReader(bytes.NewReader(packed))
	text, err := io.ReadAll(io.LimitReader(r, int64(size)+1))
	if err != nil {
		return nil, fmt.Errorf("a text in the database is %w: %w", errDamaged, err)
	}
	if sum := sha256.Sum256(text); !bytes.Equal(sum[:], hash) {
		return nil, fmt.Errorf("a text in the database is %w: its SHA-256 is %x, not %x", errDamaged, sum, hash)
	}
	return text, nil
}
