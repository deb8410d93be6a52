package store_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/store"
)

// open opens a database that is closed at the end of the test.
func open(t testing.TB, path string, opts store.Options) *store.Store {
	t.Helper()
	s, err := store.Open(path, opts)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// fresh opens a new database with one project in it.
func fresh(t testing.TB) (*store.Store, string) {
	t.Helper()
	s := open(t, filepath.Join(t.TempDir(), "army.db"), store.Options{})
	return s, create(t, s, "name: hussars\n")
}

func create(t testing.TB, s *store.Store, text string) string {
	t.Helper()
	kept, err := s.Create(context.Background(), "Hussars", facings.Revision{Why: "begun", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return kept.ID
}

// ticks are entries as a device makes them; the IDs hang on the word.
func ticks(word string, n int) []facings.Entry {
	out := make([]facings.Entry, n)
	for i := range out {
		out[i] = facings.Entry{
			ID: word + "-" + string(rune('a'+i/26%26)) + string(rune('a'+i%26)) + strings.Repeat("x", i/676), Kind: facings.EntryDone,
			At:    time.Date(2026, 3, 1, 20, 0, i, 0, time.FixedZone("", 3600)),
			Tasks: []facings.TaskKey{{Figure: facings.FigureID{Unit: "hussars", Number: i + 1}, Area: "coat", Coat: 1, Medium: "dark blue"}},
		}
	}
	return out
}

func TestKeeps(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "an army? #1 100%.db")
	s := open(t, path, store.Options{})
	first := facings.Revision{Device: "desk", Why: "begun", Text: []byte("name: hussars\n")}
	kept, err := s.Create(ctx, "Hussars", first)
	if err != nil {
		t.Fatal(err)
	}
	if kept.Name != "Hussars" || kept.Revision != 1 || kept.CanUndo || kept.CanRedo || kept.Gone != nil || len(kept.ID) != 10 {
		t.Errorf("a new project is %+v", kept)
	}
	mesh := make([]byte, 3*256<<10+17)
	for i := range mesh {
		mesh[i] = byte(rand.Int())
	}
	hash, size, err := s.PutFile(ctx, kept.ID, bytes.NewReader(mesh))
	if err != nil || size != int64(len(mesh)) {
		t.Fatalf("a file of %d bytes was kept as %d: %v", len(mesh), size, err)
	}
	next := facings.Revision{Why: "a mesh", Text: []byte("name: hussars of the guard\n"), Files: map[string]string{"man.stl": hash}}
	second, err := s.Commit(ctx, kept.ID, 1, next, "Guard")
	if err != nil {
		t.Fatal(err)
	}
	if second.Number != 2 || second.Parent != 1 || second.Files["man.stl"] != hash || second.At.Before(kept.Made) {
		t.Errorf("the second revision is %+v", second)
	}
	sent := ticks("t", 3)
	if _, err := s.Append(ctx, kept.ID, sent); err != nil {
		t.Fatal(err)
	}
	if err := s.Remember(ctx, "device/1", []byte("paired")); err != nil {
		t.Fatal(err)
	}

	// All of it is there for another that opens the file.
	s = open(t, path, store.Options{})
	list, err := s.Projects(ctx, false)
	if err != nil || len(list) != 1 || list[0].Name != "Guard" || !list[0].CanUndo {
		t.Errorf("the list is %+v, %v", list, err)
	}
	head, err := s.Head(ctx, kept.ID)
	if err != nil || string(head.Text) != string(next.Text) || head.Files["man.stl"] != hash {
		t.Errorf("the head is %+v, %v", head, err)
	}
	old, err := s.Revision(ctx, kept.ID, 1)
	if err != nil || string(old.Text) != string(first.Text) || old.Files != nil || old.Device != "desk" {
		t.Errorf("the first revision is %+v, %v", old, err)
	}
	f, err := s.File(ctx, kept.ID, hash)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got, err := io.ReadAll(f); err != nil || !bytes.Equal(got, mesh) {
		t.Errorf("the file differs (%d bytes), %v", len(got), err)
	}
	for _, at := range []int64{0, 5, 256<<10 - 1, 256 << 10, int64(len(mesh)) - 1} {
		some := make([]byte, 1)
		if _, err := f.Seek(at, io.SeekStart); err != nil {
			t.Fatal(err)
		}
		if _, err := io.ReadFull(f, some); err != nil || some[0] != mesh[at] {
			t.Errorf("byte %d is %d, not %d: %v", at, some[0], mesh[at], err)
		}
	}
	log, err := s.Log(ctx, kept.ID, 0)
	if err != nil || len(log) != 3 {
		t.Fatalf("the log is %+v, %v", log, err)
	}
	for i, e := range log {
		if e.Seq != int64(i+1) || e.ID != sent[i].ID || !e.At.Equal(sent[i].At) || e.Kept.IsZero() || !slices.Equal(e.Tasks, sent[i].Tasks) {
			t.Errorf("entry %d is %+v", i, e)
		}
	}
	if later, err := s.Log(ctx, kept.ID, 2); err != nil || len(later) != 1 || later[0].Seq != 3 {
		t.Errorf("after 2 the log is %+v, %v", later, err)
	}
	memory, err := s.Recall(ctx, "device/")
	if err != nil || string(memory["device/1"]) != "paired" {
		t.Errorf("remembered: %q, %v", memory, err)
	}
}

func TestNotFound(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	_, e1 := s.Project(ctx, "nobody")
	_, e2 := s.Head(ctx, "nobody")
	_, e3 := s.Revision(ctx, id, 7)
	_, e4 := s.History(ctx, "nobody", 0, 10)
	_, e5 := s.Commit(ctx, "nobody", 1, facings.Revision{}, "")
	_, e6 := s.Undo(ctx, id, 1)
	_, e7 := s.Redo(ctx, id, 1)
	_, _, e8 := s.PutFile(ctx, "nobody", strings.NewReader("x"))
	_, e9 := s.File(ctx, id, "abcd")
	_, e10 := s.File(ctx, id, "not hex")
	_, e11 := s.Append(ctx, "nobody", ticks("t", 1))
	_, e12 := s.Log(ctx, "nobody", 0)
	e13 := s.Throw(ctx, "nobody", true)
	_, e14 := s.Commit(ctx, id, 1, facings.Revision{Files: map[string]string{"man.stl": strings.Repeat("ab", 32)}}, "")
	for i, err := range []error{e1, e2, e3, e4, e5, e6, e7, e8, e9, e10, e11, e12, e13, e14} {
		if !errors.Is(err, facings.ErrNotFound) {
			t.Errorf("case %d: %v", i+1, err)
		}
	}
	if kept, err := s.Project(ctx, id); err != nil || kept.Revision != 1 {
		t.Errorf("after all that the project is %+v, %v", kept, err)
	}
}
