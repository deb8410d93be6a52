// Package demo holds the demonstration project, an invented war for two
// mounted regiments, a battalion of foot and a gun, and unpacks it for a user
// to look at and change. It also invents whole armies of any size from a seed,
// for measurements and for tests.
//
// It leaves reading and checking project files to internal/projectfile and
// planning to everyone else. Its files carry areas in mm², volumes in mL and
// real flag sizes in mm, as every project file does. All names in it are made
// up; sizes of flags follow published general sizes, named in the file.
//
// Start at Unpack, or at Army.
package demo

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed files/demo.yaml files/mounted24.yaml files/DEMO.md
var embedded embed.FS

// DefaultFolder is the name of the folder made when the user names none.
const DefaultFolder = "facings-demo"

// mostFolders is how many numbered folders are tried before giving up.
const mostFolders = 1000

// Files is the demonstration as a file system: demo.yaml (the project),
// mounted24.yaml (its two mounted regiments alone) and DEMO.md (the story).
func Files() fs.FS {
	sub, err := fs.Sub(embedded, "files")
	if err != nil {
		// fs.Sub fails only on an invalid name, and this one is a constant.
		panic(err)
	}
	return sub
}

// Unpack writes the demonstration's files into a folder and returns their
// paths. With no folder named it makes a new one in the current folder:
// facings-demo, or facings-demo-2 and so on when that is taken. A named folder
// is made if missing and refused if anything is in it. No file is ever
// overwritten, and when a write fails everything written is removed again.
func Unpack(folder string) ([]string, error) {
	return unpack(Files(), folder)
}

func unpack(files fs.FS, folder string) (written []string, err error) {
	folder, made, err := prepare(folder)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err == nil {
			return
		}
		for _, path := range written {
			os.Remove(path)
		}
		if made {
			os.Remove(folder)
		}
		written = nil
	}()
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil, fmt.Errorf("reading the demo: %w", err)
	}
	for _, e := range entries {
		text, err := fs.ReadFile(files, e.Name())
		if err != nil {
			return written, fmt.Errorf("reading the demo's %s: %w", e.Name(), err)
		}
		path := filepath.Join(folder, e.Name())
		begun, err := writeNew(path, text)
		if begun {
			written = append(written, path)
		}
		if err != nil {
			return written, fmt.Errorf("writing the demo: %w", err)
		}
	}
	return written, nil
}

// prepare finds or makes the folder to unpack into, and says whether it made it.
func prepare(folder string) (path string, made bool, err error) {
	if folder == "" {
		return newFolder()
	}
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.Mkdir(folder, 0o777); err != nil {
			return "", false, fmt.Errorf("making the demo's folder: %w", err)
		}
		return folder, true, nil
	case err != nil:
		return "", false, fmt.Errorf("looking into the demo's folder: %w; name an empty or a new folder", err)
	case len(entries) > 0:
		return "", false, fmt.Errorf("%s has files in it (%s …): nothing was written; name an empty or a new folder", folder, entries[0].Name())
	}
	return folder, false, nil
}

// newFolder makes the first default folder whose name is free.
func newFolder() (string, bool, error) {
	for n := 1; n <= mostFolders; n++ {
		name := DefaultFolder
		if n > 1 {
			name = fmt.Sprintf("%s-%d", DefaultFolder, n)
		}
		err := os.Mkdir(name, 0o777)
		if err == nil {
			return name, true, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", false, fmt.Errorf("making the demo's folder: %w", err)
		}
	}
	return "", false, fmt.Errorf("%s and %d folders numbered after it exist already: name a folder", DefaultFolder, mostFolders-1)
}

// writeNew writes a file that must not exist yet; begun is true once the file
// is ours to remove.
func writeNew(path string, text []byte) (begun bool, err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return false, err
	}
	_, err = f.Write(text)
	if closing := f.Close(); err == nil {
		err = closing
	}
	return true, err
}
