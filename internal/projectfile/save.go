package projectfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Save writes the document to the file it was read from.
func (d *Doc) Save() error { return Write(d.name, d.Text()) }

// Write replaces a file's content at once or not at all: the new content is
// written to a file beside it, flushed to the disk and put in its place. On an
// error the old file is as it was and nothing is left lying about.
func Write(path string, data []byte) (err error) {
	// A link stays a link; what it points to is replaced.
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	mode := fs.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		if !info.Mode().IsRegular() {
			return fmt.Errorf("%s is no file; give the path of a file", path)
		}
		mode = info.Mode().Perm()
	}
	temporary, err := os.CreateTemp(filepath.Dir(path), ".facings-*")
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, bare(err))
	}
	defer func() {
		if err != nil {
			temporary.Close()
			os.Remove(temporary.Name())
			err = fmt.Errorf("%s cannot be written: %w", path, bare(err))
		}
	}()
	if _, err = temporary.Write(data); err != nil {
		return err
	}
	if err = temporary.Chmod(mode); err != nil {
		return err
	}
	if err = temporary.Sync(); err != nil {
		return err
	}
	if err = temporary.Close(); err != nil {
		return err
	}
	if err = os.Rename(temporary.Name(), path); err != nil {
		return err
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// bare is the reason of an error without the name of the temporary file.
func bare(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

// syncFolder makes a new name last through a power cut where the system can.
// Not all can, and the content is safe by now either way.
func syncFolder(path string) {
	if folder, err := os.Open(path); err == nil {
		folder.Sync()
		folder.Close()
	}
}

// Create writes a file that must not be there yet; on an error none is left.
func Create(path string, data []byte) (err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already; choose another name or move it away", path)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(path)
			err = fmt.Errorf("%s cannot be written: %w", path, err)
		}
	}()
	if _, err = f.Write(data); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	return f.Close()
}
