package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
)

// pieceSize is how many bytes of a file are kept in one row.
const pieceSize = 256 << 10

// PutFile keeps a file's content and returns its SHA-256 in hex. The whole is
// read before anything is written, so that a slow sender holds nobody up.
func (s *Store) PutFile(ctx context.Context, id string, r io.Reader) (hash string, size int64, err error) {
	const what = "did not keep the file"
	spool, err := os.CreateTemp("", "facings-*")
	if err != nil {
		return "", 0, s.wrap(what, err)
	}
	defer os.Remove(spool.Name())
	defer spool.Close()
	sum := sha256.New()
	size, err = io.Copy(io.MultiWriter(spool, sum), io.LimitReader(r, s.limits.oneFile+1))
	if err != nil {
		return "", 0, s.wrap(what, err)
	}
	if size > s.limits.oneFile {
		return "", 0, full("the file has more than %d bytes; give a smaller one", s.limits.oneFile)
	}
	if _, err := spool.Seek(0, io.SeekStart); err != nil {
		return "", 0, err
	}
	digest := sum.Sum(nil)
	err = s.change(ctx, what, func(tx *sql.Tx) error {
		st, err := find(ctx, tx, id)
		if err != nil {
			return err
		}
		content, err := findContent(ctx, tx, digest)
		if errors.Is(err, sql.ErrNoRows) {
			content, err = putContent(ctx, tx, digest, size, spool)
		}
		if err != nil {
			return err
		}
		return s.link(ctx, tx, st.row, content)
	})
	if err != nil {
		return "", 0, err
	}
	return hex.EncodeToString(digest), size, nil
}

func findContent(ctx context.Context, tx *sql.Tx, digest []byte) (row int64, err error) {
	err = tx.QueryRowContext(ctx, "SELECT rowid FROM contents WHERE hash = ?", digest).Scan(&row)
	return row, err
}

func putContent(ctx context.Context, tx *sql.Tx, digest []byte, size int64, r io.Reader) (int64, error) {
	result, err := tx.ExecContext(ctx, "INSERT INTO contents (hash, size) VALUES (?, ?)", digest, size)
	if err != nil {
		return 0, err
	}
	content, err := result.LastInsertId()
	if err != nil {
		return 0, err
	}
	buffer := make([]byte, pieceSize)
	for number := 0; int64(number)*pieceSize < size; number++ {
		n, err := io.ReadFull(r, buffer)
		if err != nil && err != io.ErrUnexpectedEOF {
			return 0, err
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO pieces (content, number, bytes) VALUES (?, ?, ?)", content, number, buffer[:n]); err != nil {
			return 0, err
		}
	}
	return content, nil
}

// link makes a content one of a project's files, within the limits.
func (s *Store) link(ctx context.Context, tx *sql.Tx, project, content int64) error {
	result, err := tx.ExecContext(ctx, "INSERT INTO files (project, content) VALUES (?, ?) ON CONFLICT DO NOTHING", project, content)
	if err != nil {
		return err
	}
	if n, err := result.RowsAffected(); err != nil || n == 0 {
		return err // it was one already
	}
	var count int
	var size int64
	err = tx.QueryRowContext(ctx, "SELECT count(*), sum(c.size) FROM files f JOIN contents c ON c.rowid = f.content WHERE f.project = ?", project).
		Scan(&count, &size)
	switch {
	case err != nil:
		return err
	case count > s.limits.files:
		return full("the project has %d files, those of earlier revisions included, and that is the most; go on in a new project made from this one", s.limits.files)
	case size > s.limits.allFiles:
		return full("the project's files, those of earlier revisions included, would take %d bytes, and %d is the most; go on in a new project made from this one", size, s.limits.allFiles)
	}
	return nil
}

// putFileList keeps a revision's list of files, whose contents must be here.
func (s *Store) putFileList(ctx context.Context, tx *sql.Tx, project int64, files map[string]string) (row sql.NullInt64, err error) {
	if len(files) == 0 {
		return row, nil
	}
	if len(files) > s.limits.files {
		return row, full("%d files beside the project, and %d is the most", len(files), s.limits.files)
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		digest, err := hex.DecodeString(files[name])
		if err != nil || len(digest) != sha256.Size {
			return row, fmt.Errorf("file %q: %q is no SHA-256 in hex", name, files[name])
		}
		content, err := findContent(ctx, tx, digest)
		if errors.Is(err, sql.ErrNoRows) {
			return row, notFound("the content of file %q (%s)", name, files[name])
		}
		if err != nil {
			return row, err
		}
		if err := s.link(ctx, tx, project, content); err != nil {
			return row, err
		}
	}
	list, err := json.Marshal(files)
	if err != nil {
		return row, err
	}
	row.Int64, err = putText(ctx, tx, list)
	row.Valid = err == nil
	return row, err
}

// File opens a file of a project by its SHA-256 in hex. ctx governs all reading.
func (s *Store) File(ctx context.Context, id, hash string) (io.ReadSeekCloser, error) {
	digest, err := hex.DecodeString(hash)
	if err != nil {
		return nil, notFound("file %s of project %s", hash, id)
	}
	f := &file{ctx: ctx, store: s, number: -1}
	err = s.read.QueryRowContext(ctx, `SELECT c.rowid, c.size FROM projects p JOIN files f ON f.project = p.rowid
		JOIN contents c ON c.rowid = f.content WHERE p.id = ? AND c.hash = ?`, id, digest).Scan(&f.content, &f.size)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, notFound("file %s of project %s", hash, id)
	}
	if err != nil {
		return nil, s.wrap("cannot be read", err)
	}
	return f, nil
}

// file reads a content piece by piece; contents never change.
type file struct {
	ctx     context.Context
	store   *Store
	content int64
	size    int64
	at      int64
	number  int64 // of the piece at hand, -1 for none
	piece   []byte
}

func (f *file) Read(p []byte) (int, error) {
	if f.store == nil {
		return 0, os.ErrClosed
	}
	if f.at >= f.size {
		return 0, io.EOF
	}
	if number := f.at / pieceSize; number != f.number {
		var piece []byte
		err := f.store.read.QueryRowContext(f.ctx, "SELECT bytes FROM pieces WHERE content = ? AND number = ?", f.content, number).Scan(&piece)
		if err != nil {
			return 0, f.store.wrap("cannot be read", err)
		}
		if want := min(pieceSize, f.size-number*pieceSize); int64(len(piece)) != want {
			return 0, f.store.damaged("cannot be read", fmt.Errorf("piece %d of a file is %w: %d bytes, not %d", number, errDamaged, len(piece), want))
		}
		f.number, f.piece = number, piece
	}
	n := copy(p, f.piece[f.at%pieceSize:])
	f.at += int64(n)
	return n, nil
}

func (f *file) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += f.at
	case io.SeekEnd:
		offset += f.size
	}
	if offset < 0 {
		return 0, errors.New("seek before the start of the file")
	}
	f.at = offset
	return offset, nil
}

func (f *file) Close() error {
	f.store, f.piece = nil, nil
	return nil
}
