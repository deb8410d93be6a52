package store

import (
	"errors"
	"fmt"
	"slices"
	"syscall"

	"facings"

	"modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"
)

// notFound names what is missing; it wraps facings.ErrNotFound.
func notFound(format string, args ...any) error {
	return fmt.Errorf("%s: %w", fmt.Sprintf(format, args...), facings.ErrNotFound)
}

// full names a limit, with the way out; it wraps facings.ErrFull.
func full(format string, args ...any) error {
	return fmt.Errorf("%w: %s", facings.ErrFull, fmt.Sprintf(format, args...))
}

// isBusy reports that SQLite found the file held by another program.
func isBusy(err error) bool {
	var failure *sqlite.Error
	return errors.As(err, &failure) && failure.Code()&0xff == codes.SQLITE_BUSY
}

// errDamaged says that what was read is not what was kept.
var errDamaged = errors.New("damaged")

// wrap adds the database's path, what did not happen and the way out to an
// error of SQLite or of the system. Our own errors pass as they are.
func (s *Store) wrap(what string, err error) error {
	var failure *sqlite.Error
	code := codes.SQLITE_OK
	if errors.As(err, &failure) {
		code = failure.Code()
	}
	switch {
	case err == nil:
		return nil
	case isFull(code) || errors.Is(err, syscall.ENOSPC):
		return fmt.Errorf("%s %s: %w (%w); make room on the disk and try again", s.path, what, facings.ErrFull, err)
	case code&0xff == codes.SQLITE_CORRUPT || errors.Is(err, errDamaged):
		return s.damaged(what, err)
	case code&0xff == codes.SQLITE_BUSY:
		return fmt.Errorf("%s %s: another program has held it for %v; close that one and try again (%w)", s.path, what, s.opts.Wait, err)
	case code&0xff == codes.SQLITE_NOTADB:
		return fmt.Errorf("%s is no database and was left as it is; give another path (%w)", s.path, err)
	case slices.Contains([]int{codes.SQLITE_READONLY, codes.SQLITE_CANTOPEN, codes.SQLITE_PERM}, code&0xff):
		return fmt.Errorf("%s %s: the file or its folder may not be written; change that, or give another path (%w)", s.path, what, err)
	case failure != nil:
		return fmt.Errorf("%s %s: %w", s.path, what, err)
	}
	return err
}

func (s *Store) damaged(what string, err error) error {
	return fmt.Errorf("%s %s: %w; close the program, move the database and the files -wal and -shm beside it away, "+
		"and put the newest copy from %s in its place", s.path, what, err, s.opts.Backups)
}

// isFull tells a full disk; SQLite sees some of them as failed writes.
func isFull(code int) bool {
	return code&0xff == codes.SQLITE_FULL || code == codes.SQLITE_IOERR_WRITE || code == codes.SQLITE_IOERR_SHMSIZE
}
