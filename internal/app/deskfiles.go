package app

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"facings"
)

// The names that an exported zip uses itself.
const (
	zipProject = "project.yaml"
	zipLog     = "log.json"
	zipFiles   = "files/"
)

// mostFileName bounds a file's name, in bytes.
const mostFileName = 120

// checkFileName refuses names that are none everywhere: with folders, hidden,
// with letters some system forbids, or one of the devices that Windows knows.
func checkFileName(name string) error {
	stem, _, _ := strings.Cut(strings.ToLower(name), ".")
	bad := name == "" || len(name) > mostFileName || !utf8.ValidString(name) || strings.HasPrefix(name, ".") || strings.HasSuffix(name, ".") ||
		strings.TrimSpace(name) != name || strings.ContainsAny(name, `/\:*?"<>|`) || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) ||
		slices.Contains([]string{"con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "lpt1", "lpt2", "lpt3"}, stem)
	if bad {
		return &Mistake{Message: fmt.Sprintf("%q cannot be a file's name here", clipped(name, mostFileName)), Hint: "use letters, digits, spaces, dots and dashes, without folders"}
	}
	return nil
}

// PutFile keeps a file beside a project, as an edit of it.
func (d *Desk) PutFile(ctx context.Context, e Edit, name string, data []byte) (*FileKept, error) {
	if err := checkFileName(name); err != nil {
		return nil, err
	}
	if len(data) == 0 || len(data) > facings.MaxOneFile {
		return nil, &Mistake{Message: fmt.Sprintf("%s has %d bytes; a file has 1 to %d MB", name, len(data), facings.MaxOneFile>>20)}
	}
	out := &FileKept{Name: name}
	if e.Why == "" {
		e.Why = "kept " + name
	}
	var err error
	out.Head, err = d.edit(ctx, e, func(r *revision) (draft, error) {
		if _, has := r.files[name]; !has && len(r.files) >= facings.MaxFiles {
			return draft{}, &Mistake{Message: fmt.Sprintf("there are %d files beside the project already, and no more are kept", len(r.files)), Hint: "take some away first"}
		}
		if out.Hash, out.Size, err = d.keeper.PutFile(ctx, e.ID, bytes.NewReader(data)); err != nil {
			return draft{}, err
		}
		files := maps.Clone(r.files)
		files[name] = out.Hash
		return draft{text: r.text, files: files}, nil
	})
	return out, err
}

// RemoveFile takes a file away from beside a project; undo brings it back.
func (d *Desk) RemoveFile(ctx context.Context, e Edit, name string) (*Head, error) {
	if e.Why == "" {
		e.Why = "took " + name + " away"
	}
	return d.edit(ctx, e, func(r *revision) (draft, error) {
		if _, has := r.files[name]; !has {
			return draft{}, fmt.Errorf("file %q: %w", name, facings.ErrNotFound)
		}
		files := maps.Clone(r.files)
		delete(files, name)
		return draft{text: r.text, files: files}, nil
	})
}

// File is the content of a file beside a project.
func (d *Desk) File(ctx context.Context, id, name string) ([]byte, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, err
	}
	hash, ok := r.files[name]
	if !ok {
		return nil, fmt.Errorf("file %q: %w", name, facings.ErrNotFound)
	}
	return d.content(ctx, id, hash)
}

// ReadSwatches reads the photograph of a painted card.
func (d *Desk) ReadSwatches(ctx context.Context, photo []byte) (*SwatchReading, error) {
	r, err := d.app.ReadSwatches(photo)
	if err != nil {
		return nil, asked(ctx, err)
	}
	fill(r)
	return r, nil
}

// ReadSpots tells the colours of places in a photograph.
func (d *Desk) ReadSpots(ctx context.Context, photo []byte, at []string, white string) ([]SpotReading, error) {
	list, err := d.app.ReadSpots(photo, at, white)
	if err != nil {
		return nil, asked(ctx, err)
	}
	fill(&list)
	return list, nil
}
