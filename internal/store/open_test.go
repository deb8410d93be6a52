package store_test

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"database/sql"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"facings"
	"facings/internal/store"
)

var update = flag.Bool("update", false, "write testdata/layout1.db anew")

const layout1 = "testdata/layout1.db"

// TestOpensLayout1 opens a database of the first layout, as a program of then
// left it, and finds everything in it.
func TestOpensLayout1(t *testing.T) {
	if *update {
		writeLayout1(t)
	}
	ctx := context.Background()
	old, err := os.ReadFile(layout1)
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	path := filepath.Join(folder, "army.db")
	if err := os.WriteFile(path, old, 0o644); err != nil {
		t.Fatal(err)
	}
	s := open(t, path, store.Options{})
	whole(t, s)
	const id = "abcdefghij"
	kept, err := s.Project(ctx, id)
	if err != nil || kept.Name != "Hussars" || kept.Revision != 2 || !kept.CanUndo || !kept.CanRedo || kept.Made.Year() != 2026 {
		t.Errorf("%+v, %v", kept, err)
	}
	for number, text := range []string{1: "one\n", 2: "two\n", 3: "three\n", 4: "four\n"} {
		if number == 0 {
			continue
		}
		r, err := s.Revision(ctx, id, number)
		if err != nil || string(r.Text) != text || r.Why != "edit" || r.Device != "desk" {
			t.Errorf("%+v, %v", r, err)
		}
		if number > 1 && len(r.Files) != 1 {
			t.Errorf("revision %d has the files %v", number, r.Files)
		}
	}
	// 3 and 4 were both made from 2 and undone; the later goes first.
	if r, err := s.Redo(ctx, id, 2); err != nil || r.Number != 4 {
		t.Errorf("redo leads to %d, %v", r.Number, err)
	}
	head, err := s.Head(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.File(ctx, id, head.Files["man.stl"])
	if err != nil {
		t.Fatal(err)
	}
	var content bytes.Buffer
	if _, err := content.ReadFrom(f); err != nil || content.String() != "a mesh" {
		t.Errorf("the file is %q, %v", content.String(), err)
	}
	if log := read(t, s, id); len(log) != 2 || log[1].Note != "tea" || log[1].Kept.IsZero() {
		t.Errorf("the log is %+v", log)
	}
	if memory, err := s.Recall(ctx, ""); err != nil || string(memory["device/1"]) != "paired" {
		t.Errorf("%q, %v", memory, err)
	}

	// What was there before was copied first, byte for byte in what it holds.
	copies, err := filepath.Glob(filepath.Join(folder, "army-backups", "army-layout-1-*.db"))
	if err != nil || len(copies) != 1 {
		t.Fatalf("copies: %v, %v", copies, err)
	}
	if got, want := dump(t, copies[0]), dump(t, layout1); got != want {
		t.Errorf("the copy holds\n%s\nnot\n%s", got, want)
	}
	s.Close()
	open(t, path, store.Options{})
	if copies, _ := filepath.Glob(filepath.Join(folder, "army-backups", "*")); len(copies) != 1 {
		t.Errorf("opened again, there are %v", copies)
	}
}

// TestNoCopyNoMigration: without room for a copy the database stays as it is.
func TestNoCopyNoMigration(t *testing.T) {
	old, err := os.ReadFile(layout1)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "army.db")
	if err := os.WriteFile(path, old, 0o644); err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(path, store.Options{Backups: filepath.Join(path, "no-folder")})
	if err == nil || !strings.Contains(err.Error(), "no copy could be made") {
		t.Errorf("%v", err)
	}
	if dump(t, path) != dump(t, layout1) {
		t.Error("the database was changed")
	}
}

// dump writes down all rows of all tables.
func dump(t *testing.T, path string) string {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.ToSlash(path)+"?mode=ro")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var out strings.Builder
	for _, table := range []string{"goose_db_version", "projects", "revisions", "texts", "contents", "pieces", "files", "entries", "memory"} {
		rows, err := db.Query("SELECT * FROM " + table)
		if err != nil {
			t.Fatal(err)
		}
		columns, _ := rows.Columns()
		fmt.Fprintln(&out, table, columns)
		for rows.Next() {
			values := make([]any, len(columns))
			into := make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			if err := rows.Scan(into...); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintln(&out, values...)
		}
		rows.Close()
	}
	return out.String()
}

// writeLayout1 writes a database as a program of the first layout would have.
func writeLayout1(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	db, err := sql.Open("sqlite", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	steps, err := store.Steps(db)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := steps.UpTo(context.Background(), 1); err != nil {
		t.Fatal(err)
	}
	do := func(statement string, args ...any) {
		t.Helper()
		if _, err := db.Exec(statement, args...); err != nil {
			t.Fatal(err)
		}
	}
	const made = 1772400000_000000 // 1 March 2026
	digest := func(s string) []byte { h := sha256.Sum256([]byte(s)); return h[:] }
	for _, text := range []string{"one\n", "two\n", "three\n", "four\n", fmt.Sprintf(`{"man.stl":"%x"}`, digest("a mesh"))} {
		var packed bytes.Buffer
		w, _ := flate.NewWriter(&packed, flate.DefaultCompression)
		w.Write([]byte(text))
		w.Close()
		do("INSERT INTO texts (hash, size, packed) VALUES (?, ?, ?)", digest(text), len(text), packed.Bytes())
	}
	do("INSERT INTO projects (id, name, made, changed, head) VALUES ('abcdefghij', 'Hussars', ?, ?, 2)", made, made+5)
	do(`INSERT INTO revisions (project, number, parent, at, device, why, text, files) VALUES
		(1, 1, 0, ?1, 'desk', 'edit', 1, NULL), (1, 2, 1, ?1, 'desk', 'edit', 2, 5),
		(1, 3, 2, ?1, 'desk', 'edit', 3, 5), (1, 4, 2, ?1, 'desk', 'edit', 4, 5)`, made)
	do("INSERT INTO contents (hash, size) VALUES (?, 6)", digest("a mesh"))
	do("INSERT INTO pieces (content, number, bytes) VALUES (1, 0, ?)", []byte("a mesh"))
	do("INSERT INTO files VALUES (1, 1)")
	do(`INSERT INTO entries VALUES (1, 1, 'e1', ?1, '{"id":"e1","kind":"start","at":"2026-03-01T20:00:00+01:00"}'),
		(1, 2, 'e2', ?1, '{"id":"e2","kind":"pause","at":"2026-03-01T20:10:00+01:00","note":"tea"}')`, made)
	do("INSERT INTO memory VALUES ('device/1', ?)", []byte("paired"))
	os.Remove(layout1)
	do("VACUUM INTO ?", layout1)
}

// TestRefused: what cannot be opened is said with its path and a way out, and
// is left as it was, with nothing beside it.
func TestRefused(t *testing.T) {
	folder := t.TempDir()
	file := func(name string, content []byte) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, content, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	database := func(name string, statements ...string) string {
		path := filepath.Join(folder, name)
		db, err := sql.Open("sqlite", "file:"+path)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		for _, statement := range statements {
			if _, err := db.Exec(statement); err != nil {
				t.Fatal(err)
			}
		}
		return path
	}
	newer := filepath.Join(folder, "newer.db")
	s := open(t, newer, store.Options{})
	s.Close()
	database("newer.db", "INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)", "PRAGMA journal_mode = delete")
	type refused struct{ path, what, wayOut string }
	cases := []refused{
		{folder, "is a folder", "facings.db"},
		{filepath.Join(folder, "none", "army.db"), "is not there", "make it first"},
		{filepath.Join(file("plain", nil), "army.db"), "", "another path"},
		{os.DevNull, "is no file", "give the path of a file"},
		{file("army.yaml", []byte("name: hussars\n")), "is no database and was left as it is", "another path"},
		{file("long.txt", bytes.Repeat([]byte("hussars "), 10_000)), "is no database and was left as it is", "another path"},
		{file("cut.db", []byte("SQLite format 3\x00")), "", "another path"},
		{database("other.db", "CREATE TABLE birds (name TEXT)"), "another program", "another path"},
		{newer, "newer Facings (layout 99", "newer-backups"},
	}
	if runtime.GOOS == "linux" { // nobody makes a file there, whatever he may
		cases = append(cases, refused{"/proc/army.db", "cannot be made", "another path"})
	}
	for _, c := range cases {
		before, _ := os.ReadFile(c.path)
		s, err := store.Open(c.path, store.Options{})
		if err == nil {
			s.Close()
			t.Errorf("%s was opened", c.path)
			continue
		}
		for _, want := range []string{c.path, c.what, c.wayOut} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q does not say %q", c.path, err, want)
			}
		}
		if after, _ := os.ReadFile(c.path); !bytes.Equal(before, after) {
			t.Errorf("%s was changed", c.path)
		}
	}
	list, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, at := range list {
		names = append(names, at.Name())
	}
	if want := []string{"army.yaml", "cut.db", "long.txt", "newer.db", "other.db", "plain"}; !slices.Equal(names, want) {
		t.Errorf("in the folder are %v", names)
	}
}

// TestReadOnlyFile needs a user whom permissions bind.
func TestReadOnlyFile(t *testing.T) {
	if os.Geteuid() <= 0 {
		t.Skip("permissions bind neither root nor Windows")
	}
	path := filepath.Join(t.TempDir(), "army.db")
	s := open(t, path, store.Options{})
	id := create(t, s, "a")
	s.Close()
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(path, store.Options{})
	if err == nil {
		defer s.Close()
		_, err = s.Commit(context.Background(), id, 1, facings.Revision{}, "")
	}
	if err == nil || !strings.Contains(err.Error(), "may not be written") {
		t.Errorf("%v", err)
	}
}

// TestEmptyFile: a file without a byte is as good as none.
func TestEmptyFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "army.db")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	create(t, open(t, path, store.Options{}), "a")
}
