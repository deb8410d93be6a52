package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"unicode/utf8"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"facings"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

// Create keeps a new project.
func (d *Desk) Create(ctx context.Context, n NewProject) (*Head, error) {
	text, why, err := d.firstText(ctx, n)
	if err != nil {
		return nil, err
	}
	return d.create(ctx, n.Name, n.Device, why, text, nil)
}

// create keeps a text as a new project; name goes before the text's own.
func (d *Desk) create(ctx context.Context, name, device, why string, text []byte, files map[string]string) (*Head, error) {
	o, err := d.readable(text)
	if err != nil {
		return nil, err
	}
	if name = strings.TrimSpace(name); name != "" && name != o.Project.Name {
		if err := o.Doc.Set("/name", name); err != nil {
			return nil, &Mistake{Message: fmt.Sprintf("the project cannot be called %q: %v", name, err)}
		}
		text = o.Doc.Text()
	}
	kept, err := d.keeper.Create(ctx, projectName(name, o.Project), facings.Revision{Device: device, Why: why, Text: text, Files: files})
	if err != nil {
		return nil, err
	}
	return d.Head(ctx, kept.ID) // it is planned when somebody looks at it
}

func projectName(name string, p *facings.Project) string {
	for _, n := range []string{name, p.Name} {
		if n = strings.TrimSpace(n); n != "" {
			return clipped(n, facings.MaxNameLength)
		}
	}
	return "a project without a name"
}

func clipped(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}

// firstText is what a new project begins with, and why, in words.
func (d *Desk) firstText(ctx context.Context, n NewProject) (text []byte, why string, err error) {
	switch n.From {
	case "starter":
		return projectfile.Starter(), "started from the commented starter", nil
	case "demo":
		text, err := fs.ReadFile(demo.Files(), demoFile)
		return text, "the demo", err
	case "text":
		return []byte(n.Text), "taken over from a file", nil
	case "recruit":
		if n.Recruit == nil {
			return nil, "", &Mistake{Message: "the guided way needs its answers", Hint: "send recruit with at least a body"}
		}
		_, text, err := d.app.Recruit(ctx, *n.Recruit)
		return text, "led in by the guided way", recruitMistake(err)
	case "more":
		if n.Like == nil {
			return nil, "", &Mistake{Message: "more figures of what is not said", Hint: "send like with project, unit and figures"}
		}
		more, err := d.More(ctx, *n.Like)
		if err != nil {
			return nil, "", err
		}
		return more.Text, fmt.Sprintf("%d more for %s", n.Like.Figures, n.Like.Unit), nil
	}
	return nil, "", &Mistake{Message: fmt.Sprintf("a project cannot be made from %q", n.From), Hint: "starter, demo, text, recruit or more"}
}

// demoFile is the demo's project among its files.
const demoFile = "demo.yaml"

// recruitMistake gives the faults of answers their place in the request.
func recruitMistake(err error) error {
	var faults *RecruitFaults
	if errors.As(err, &faults) {
		return &Mistake{Message: "some answers cannot be taken", Hint: "see the findings; their paths are places in recruit", Findings: faults.Findings}
	}
	return err
}

// readable reads a text that is to be kept: it must be a project, though it may
// have faults, as in a text editor.
func (d *Desk) readable(text []byte) (*Opened, error) { return d.readableDraft(draft{text: text}) }

func (d *Desk) readableDraft(next draft) (*Opened, error) {
	if len(next.text) > facings.MaxFileBytes {
		return nil, &Mistake{Message: fmt.Sprintf("the project file is larger than %d MB", facings.MaxFileBytes>>20), Hint: "keep several smaller projects"}
	}
	o := &Opened{Name: fileName}
	if next.doc != nil {
		o.Project, o.Doc, o.Findings = next.doc.Read()
	} else {
		o, _ = d.app.Read(fileName, next.text)
	}
	if o.Project == nil {
		return nil, &Mistake{Message: "this is no project file", Hint: "see the findings; nothing was kept", Findings: o.Findings}
	}
	return o, nil
}

// draft is what an edit makes of a revision.
type draft struct {
	text  []byte
	doc   *projectfile.Doc  // of the text, where it is at hand
	files map[string]string // nil: as they are
}

func draftOf(doc *projectfile.Doc) draft { return draft{text: doc.Text(), doc: doc} }

// edit makes a revision on top of the one the edit was made from.
func (d *Desk) edit(ctx context.Context, e Edit, make func(r *revision) (draft, error)) (*Head, error) {
	s, r, err := d.at(ctx, e.ID, e.Base)
	if err != nil {
		return nil, d.late(ctx, e.ID, err)
	}
	next, err := make(r)
	if err != nil {
		return nil, err
	}
	o, err := d.readableDraft(next)
	if err != nil {
		return nil, err
	}
	if next.files == nil {
		next.files = r.files
	}
	if bytes.Equal(next.text, r.text) && maps.Equal(next.files, r.files) {
		head, err := d.Head(ctx, e.ID)
		if err == nil && head.Revision != e.Base {
			return nil, &LateEdit{Current: head}
		}
		return head, err // nothing changed, so there is nothing to undo
	}
	rev, err := d.keeper.Commit(ctx, e.ID, e.Base, facings.Revision{Device: e.Device, Why: clipped(e.Why, 200), Text: next.text, Files: next.files}, projectName("", o.Project))
	if err == nil {
		rev.Text, rev.Files = next.text, next.files
		s.hold(d.asRead(e.ID, rev, o))
	}
	return d.moved(ctx, e.ID, err)
}

// moved tells everybody that another revision is in force.
func (d *Desk) moved(ctx context.Context, id string, err error) (*Head, error) {
	if err != nil {
		return nil, d.late(ctx, id, err)
	}
	head, err := d.Head(ctx, id)
	if err != nil {
		return nil, err
	}
	s := d.session(id)
	s.mu.Lock()
	s.tell(Event{Kind: "head", Revision: head.Revision})
	s.mu.Unlock()
	d.wake(id, debounce)
	return head, nil
}

// late adds the project as it stands to an edit that came too late.
func (d *Desk) late(ctx context.Context, id string, err error) error {
	if !errors.Is(err, facings.ErrConflict) {
		return err
	}
	head, headErr := d.Head(ctx, id)
	if headErr != nil {
		return err
	}
	return &LateEdit{Current: head}
}

// Patch edits a project by a JSON Patch (RFC 6902) on Head.Project. What did
// not change keeps its text and comments.
func (d *Desk) Patch(ctx context.Context, e Edit, patch []byte) (*Head, error) {
	if e.Why == "" {
		e.Why = patchWords(patch)
	}
	return d.edit(ctx, e, func(r *revision) (draft, error) {
		p, err := patched(r.opened.Project, patch)
		if err != nil {
			return draft{}, err
		}
		doc := *r.opened.Doc // edits replace what it holds and change nothing in place
		var unreadable facings.Diagnostics
		if err := doc.Update(p); errors.As(err, &unreadable) {
			return draft{}, &Mistake{Message: "the file has faults that hide part of it; an edit here would lose that", Hint: "mend them in the text first", Findings: unreadable}
		} else if err != nil {
			// Not every change can be made in place; the file is then written anew.
			text, anew := projectfile.Marshal(p)
			if anew != nil {
				return draft{}, &Mistake{Message: anew.Error(), Hint: "the edit was not made"}
			}
			return draft{text: text}, nil
		}
		return draftOf(&doc), nil
	})
}

// mostPatch bounds the operations of one patch, and what copying may add.
const (
	mostPatch      = 20_000
	mostPatchBytes = facings.MaxFileBytes
)

// patched applies a patch to a copy of a project and reads the result strictly.
func patched(p *facings.Project, patch []byte) (*facings.Project, error) {
	ops, err := jsonpatch.DecodePatch(patch)
	if err != nil {
		return nil, &Mistake{Message: "this is no JSON Patch: " + err.Error(), Hint: `send a list such as [{"op":"replace","path":"/name","value":"Guards"}]`}
	}
	if len(ops) > mostPatch {
		return nil, &Mistake{Message: fmt.Sprintf("the patch has %d operations, at most %d are taken", len(ops), mostPatch)}
	}
	data, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	options := jsonpatch.NewApplyOptions()
	options.SupportNegativeIndices = false
	options.AccumulatedCopySizeLimit = mostPatchBytes
	data, err = ops.ApplyWithOptions(data, options)
	if err != nil {
		return nil, &Mistake{Message: "the patch does not fit the project: " + err.Error(), Hint: "paths are places in Head.project, lists by number: /rack/0/name; what is not there yet is added, not replaced"}
	}
	if len(data) > 4*facings.MaxFileBytes {
		return nil, &Mistake{Message: "the project would be too large"}
	}
	out := &facings.Project{}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(out); err != nil {
		return nil, &Mistake{Message: "the project would not be one any more: " + strings.TrimPrefix(err.Error(), "json: "), Hint: "see docs/json.md and docs/project.schema.json for what a project may say"}
	}
	return out, nil
}

// patchWords says for the history what a patch does, where the page did not.
func patchWords(patch []byte) string {
	ops, err := jsonpatch.DecodePatch(patch)
	if err != nil || len(ops) == 0 {
		return "edited"
	}
	path, err := ops[0].Path()
	if err != nil || !utf8.ValidString(path) {
		return "edited"
	}
	words := ops[0].Kind() + " " + path
	if len(ops) > 1 {
		words += fmt.Sprintf(" and %d more", len(ops)-1)
	}
	return words
}

// Rename gives a named thing another name wherever the file speaks of it;
// pointer is by names: /rack/dark brown.
func (d *Desk) Rename(ctx context.Context, e Edit, pointer, name string) (*Head, error) {
	if e.Why == "" {
		e.Why = fmt.Sprintf("renamed %s to %s", pointer, name)
	}
	return d.edit(ctx, e, func(r *revision) (draft, error) {
		doc := *r.opened.Doc
		if err := doc.Rename(pointer, name); err != nil {
			return draft{}, &Mistake{Message: err.Error(), Hint: "give the place by names, such as /rack/dark brown, and a name that is free"}
		}
		return draftOf(&doc), nil
	})
}

// Text is the project file itself and its revision.
func (d *Desk) Text(ctx context.Context, id string) ([]byte, int, error) {
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, 0, err
	}
	return r.text, r.number, nil
}

// PutText replaces the project file.
func (d *Desk) PutText(ctx context.Context, e Edit, text []byte) (*Head, error) {
	if e.Why == "" {
		e.Why = "edited as text"
	}
	return d.edit(ctx, e, func(*revision) (draft, error) { return draft{text: bytes.Clone(text)}, nil })
}

// Undo takes the last edit back.
func (d *Desk) Undo(ctx context.Context, e Edit) (*Head, error) {
	if _, err := d.keeper.Project(ctx, e.ID); err != nil {
		return nil, err
	}
	_, err := d.keeper.Undo(ctx, e.ID, e.Base)
	return d.moved(ctx, e.ID, nothingTo("undo", err))
}

// Redo makes the edit again that was taken back last.
func (d *Desk) Redo(ctx context.Context, e Edit) (*Head, error) {
	if _, err := d.keeper.Project(ctx, e.ID); err != nil {
		return nil, err
	}
	_, err := d.keeper.Redo(ctx, e.ID, e.Base)
	return d.moved(ctx, e.ID, nothingTo("redo", err))
}

func nothingTo(what string, err error) error {
	if errors.Is(err, facings.ErrNotFound) {
		return &Mistake{Message: "there is nothing to " + what}
	}
	return err
}

// Restore makes an older revision's text and files a new revision.
func (d *Desk) Restore(ctx context.Context, e Edit, number int) (*Head, error) {
	_, old, err := d.at(ctx, e.ID, number)
	if err != nil {
		return nil, err
	}
	if e.Why == "" {
		e.Why = fmt.Sprintf("back to revision %d", number)
	}
	return d.edit(ctx, e, func(*revision) (draft, error) { return draft{text: old.text, files: old.files}, nil })
}

// History lists revisions, the newest first.
func (d *Desk) History(ctx context.Context, id string, before, n int) ([]facings.Revision, error) {
	list, err := d.keeper.History(ctx, id, before, n)
	if list == nil {
		list = []facings.Revision{}
	}
	return list, err
}

// encodePatch writes operations as a JSON Patch. Those that need a value have
// one, if only null.
func encodePatch(ops []PatchOp) ([]byte, error) {
	list := []map[string]any{}
	for _, op := range ops {
		one := map[string]any{"op": op.Op, "path": op.Path}
		switch op.Op {
		case "add", "replace", "test":
			one["value"] = op.Value
		case "move", "copy":
			one["from"] = op.From
		}
		list = append(list, one)
	}
	return json.Marshal(list)
}

// copyOf is a deep copy of a project.
func copyOf(p *facings.Project) (*facings.Project, error) {
	data, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	out := &facings.Project{}
	return out, json.Unmarshal(data, out)
}
