package app

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"path"
	"slices"
	"strings"

	"facings"
)

// Export packs a project, the files beside it and its log into one zip, and
// says what to call that.
func (d *Desk) Export(ctx context.Context, id string) (string, []byte, error) {
	s, r, err := d.head(ctx, id)
	if err != nil {
		return "", nil, err
	}
	if err := d.readLog(ctx, s); err != nil {
		return "", nil, err
	}
	s.mu.Lock()
	log := LogAnswer{Entries: append([]facings.Entry{}, s.log...), Seq: s.seq()}
	s.mu.Unlock()
	lines, err := json.MarshalIndent(log, "", "  ")
	if err != nil {
		return "", nil, err
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	put := func(name string, data []byte) error {
		w, err := z.Create(name)
		if err != nil {
			return err
		}
		_, err = w.Write(data)
		return err
	}
	if err := errors.Join(put(zipProject, r.text), put(zipLog, lines)); err != nil {
		return "", nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(r.files)) {
		data, err := d.content(ctx, id, r.files[name])
		if err != nil {
			return "", nil, fmt.Errorf("%s: %w", name, err)
		}
		if err := put(zipFiles+name, data); err != nil {
			return "", nil, err
		}
	}
	if err := z.Close(); err != nil {
		return "", nil, err
	}
	name := ""
	if r.opened.Project != nil {
		name = r.opened.Project.Name
	}
	return fileStem(name) + ".zip", b.Bytes(), nil
}

// packed is what an import holds.
type packed struct {
	text  []byte
	files map[string][]byte
	log   []facings.Entry
}

// Import keeps an exported zip, or a project file by itself, as a new project.
func (d *Desk) Import(ctx context.Context, name, device string, data []byte) (*Head, error) {
	if len(data) > MaxImport {
		return nil, &Mistake{Message: fmt.Sprintf("more than %d MB are not taken in", MaxImport>>20)}
	}
	if !bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return d.create(ctx, name, device, "taken over from a file", bytes.Clone(data), nil)
	}
	in, err := unzip(data)
	if err != nil {
		return nil, err
	}
	head, err := d.create(ctx, name, device, "taken over from a zip", in.text, nil)
	if err != nil {
		return nil, err
	}
	again, err := d.importRest(ctx, head, device, in)
	if err != nil {
		// Half a project is none: what came so far is put away.
		return nil, errors.Join(err, d.keeper.Throw(context.WithoutCancel(ctx), head.Kept.ID, true))
	}
	return again, nil
}

// importRest adds files and log to a project just made.
func (d *Desk) importRest(ctx context.Context, head *Head, device string, in *packed) (*Head, error) {
	id := head.Kept.ID
	if len(in.files) > 0 {
		files := map[string]string{}
		for _, name := range slices.Sorted(maps.Keys(in.files)) {
			hash, _, err := d.keeper.PutFile(ctx, id, bytes.NewReader(in.files[name]))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			files[name] = hash
		}
		edit := Edit{ID: id, Base: head.Revision, Device: device, Why: "the files beside it"}
		if _, err := d.edit(ctx, edit, func(r *revision) (draft, error) { return draft{text: r.text, files: files}, nil }); err != nil {
			return nil, err
		}
	}
	for part := range slices.Chunk(in.log, facings.MaxEntriesOnce) {
		if _, err := d.Append(ctx, id, "", part); err != nil {
			return nil, err
		}
	}
	return d.Head(ctx, id)
}

// mostMembers bounds how many files a zip may hold.
const mostMembers = facings.MaxFiles + 20

// unzip reads an exported zip. Every size is counted as it is unpacked,
// whatever the zip says of itself.
func unzip(data []byte) (*packed, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, &Mistake{Message: "this is no zip: " + err.Error()}
	}
	if len(z.File) > mostMembers {
		return nil, &Mistake{Message: fmt.Sprintf("the zip holds %d files, at most %d are taken", len(z.File), mostMembers)}
	}
	out := &packed{files: map[string][]byte{}}
	left := int64(facings.MaxAllFiles + facings.MaxFileBytes + MostLogBytes)
	seen := map[string]bool{}
	own := newNaming(z)
	for _, f := range z.File {
		if strings.HasSuffix(f.Name, "/") {
			continue // a folder
		}
		if f.Name = own.name(f.Name); f.Name == "" {
			continue
		}
		if seen[f.Name] {
			return nil, &Mistake{Message: fmt.Sprintf("the zip holds %q twice", clipped(f.Name, mostFileName))}
		}
		seen[f.Name] = true
		most := int64(facings.MaxOneFile)
		switch {
		case f.Name == zipProject:
			most = facings.MaxFileBytes
		case f.Name == zipLog:
			most = MostLogBytes
		case !strings.HasPrefix(f.Name, zipFiles):
			return nil, &Mistake{Message: fmt.Sprintf("the zip holds %q, which is no part of a project", clipped(f.Name, mostFileName)),
				Hint: fmt.Sprintf("a project's zip holds one project file (.yaml) and what lies beside it; or %s, %s and a folder %s, as the pages export it", zipProject, zipLog, zipFiles)}
		}
		content, err := member(f, min(most, left))
		if err != nil {
			return nil, err
		}
		left -= int64(len(content))
		if err := out.take(f.Name, content); err != nil {
			return nil, err
		}
	}
	if out.text == nil {
		return nil, &Mistake{Message: "the zip holds no " + zipProject}
	}
	if len(out.files) > facings.MaxFiles {
		return nil, &Mistake{Message: fmt.Sprintf("the zip holds %d files beside the project, at most %d are kept", len(out.files), facings.MaxFiles)}
	}
	return out, nil
}

// naming knows the names in a zip that somebody made of a project's own folder:
// one project file, of any name, and beside it the files that it speaks of.
type naming struct{ project, folder string }

// newNaming looks for a project file; an exported zip needs none of this.
func newNaming(z *zip.Reader) naming {
	var out naming
	for _, f := range z.File {
		folder, file := path.Split(f.Name)
		switch {
		case strings.HasPrefix(file, "."): // hidden
		case f.Name == zipProject:
			return naming{}
		case strings.Count(folder, "/") > 1 || path.Ext(file) != ".yaml" && path.Ext(file) != ".yml":
		case out.project != "":
			return naming{} // which of the two is it?
		default:
			out = naming{f.Name, folder}
		}
	}
	return out
}

// name is what a file of the zip would be called had the pages exported it; ""
// for what systems hide in folders.
func (n naming) name(file string) string {
	rest, inside := strings.CutPrefix(file, n.folder)
	switch {
	case n.project == "" || !inside:
		return file
	case strings.HasPrefix(path.Base(file), "."):
		return ""
	case file == n.project:
		return zipProject
	case rest == zipLog || strings.HasPrefix(rest, zipFiles):
		return rest
	}
	return zipFiles + rest
}

func (p *packed) take(name string, content []byte) error {
	switch name {
	case zipProject:
		p.text = content
		return nil
	case zipLog:
		log, err := unpackLog(content)
		if err != nil {
			return &Mistake{Message: fmt.Sprintf("%s cannot be read: %v", zipLog, err), Hint: "nothing was kept"}
		}
		p.log = log
		return nil
	}
	file := strings.TrimPrefix(name, zipFiles)
	if err := checkFileName(file); err != nil {
		return err
	}
	p.files[file] = content
	return nil
}

// unpackLog reads a log as Export writes it, a LogAnswer.
func unpackLog(content []byte) ([]facings.Entry, error) {
	return ReadEntries(content, func(number int, e *facings.Entry) error {
		if err := checkEntry(e); err != nil {
			return fmt.Errorf("entry %d: %w", number, err)
		}
		e.Seq = 0
		return nil
	})
}

// member unpacks one file, up to a size.
func member(f *zip.File, most int64) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, &Mistake{Message: fmt.Sprintf("%q cannot be unpacked: %v", clipped(f.Name, mostFileName), err)}
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, &Mistake{Message: fmt.Sprintf("%q cannot be unpacked: %v", clipped(f.Name, mostFileName), err)}
	}
	if int64(len(data)) > most {
		return nil, &Mistake{Message: fmt.Sprintf("%q unpacks to more than %d MB", clipped(f.Name, mostFileName), most>>20), Hint: "nothing was kept"}
	}
	return data, nil
}
