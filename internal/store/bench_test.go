package store_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"testing"

	"facings"
	"facings/internal/demo"
	"facings/internal/projectfile"
	"facings/internal/store"
)

// army is the project file of 500 figures.
func army(b *testing.B) []byte {
	b.Helper()
	text, err := projectfile.Marshal(demo.Army(1, 500))
	if err != nil {
		b.Fatal(err)
	}
	return text
}

// BenchmarkCommit keeps a file of 500 figures after each small edit.
func BenchmarkCommit(b *testing.B) {
	ctx := context.Background()
	s, id := fresh(b)
	text := army(b)
	b.ReportAllocs()
	n := 1
	for b.Loop() {
		next := append(fmt.Appendf(nil, "# edit %d\n", n), text...)
		if _, err := s.Commit(ctx, id, n, facings.Revision{Text: next, Why: "an edit"}, ""); err != nil {
			b.Fatal(err)
		}
		n++
	}
	var size int
	if err := s.Writer().QueryRow("SELECT page_count * page_size FROM pragma_page_count, pragma_page_size").Scan(&size); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(text)), "text-bytes")
	b.ReportMetric(float64(size)/float64(n), "kept-bytes/op")
}

func BenchmarkHead(b *testing.B) {
	ctx := context.Background()
	s, _ := fresh(b)
	id := create(b, s, string(army(b)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Head(ctx, id); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkTick ticks off one pass over twelve figures.
func BenchmarkTick(b *testing.B) {
	ctx := context.Background()
	s, id := fresh(b)
	entry := pass()
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		entry.ID = fmt.Sprint("tick ", n)
		if _, err := s.Append(ctx, id, []facings.Entry{entry}); err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// pass is the entry of one pass over twelve figures.
func pass() facings.Entry {
	all := ticks("t", 12)
	for _, e := range all[1:] {
		all[0].Tasks = append(all[0].Tasks, e.Tasks...)
	}
	return all[0]
}

// BenchmarkLog reads a log of 10,000 passes over twelve figures each.
func BenchmarkLog(b *testing.B) {
	ctx := context.Background()
	s, id := fresh(b)
	for from := 0; from < 10_000; from += 5000 {
		entries := make([]facings.Entry, 5000)
		for i := range entries {
			entries[i] = pass()
			entries[i].ID = fmt.Sprint("tick ", from+i)
		}
		if _, err := s.Append(ctx, id, entries); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if log, err := s.Log(ctx, id, 0); err != nil || len(log) != 10_000 {
			b.Fatal(len(log), err)
		}
	}
}

// BenchmarkFile keeps a mesh of 10 MB, and reads it.
func BenchmarkFile(b *testing.B) {
	ctx := context.Background()
	s, id := fresh(b)
	s.Lower(1<<30, 1, 1, 1<<40, 1<<40)
	mesh := noise(10_000_000)
	hash, _, err := s.PutFile(ctx, id, bytes.NewReader(mesh))
	if err != nil {
		b.Fatal(err)
	}
	b.Run("put", func(b *testing.B) {
		b.SetBytes(int64(len(mesh)))
		n := 0
		for b.Loop() {
			n++
			copy(mesh, fmt.Sprint(n))
			if _, _, err := s.PutFile(ctx, id, bytes.NewReader(mesh)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(len(mesh)))
		for b.Loop() {
			f, err := s.File(ctx, id, hash)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := io.Copy(io.Discard, f); err != nil {
				b.Fatal(err)
			}
			f.Close()
		}
	})
}

// BenchmarkBackup copies a database of 100 edits and a mesh of 10 MB.
func BenchmarkBackup(b *testing.B) {
	ctx := context.Background()
	s, id := fresh(b)
	text := army(b)
	for n := 1; n <= 100; n++ {
		next := append(fmt.Appendf(nil, "# edit %d\n", n), text...)
		if _, err := s.Commit(ctx, id, n, facings.Revision{Text: next}, ""); err != nil {
			b.Fatal(err)
		}
	}
	if _, _, err := s.PutFile(ctx, id, bytes.NewReader(noise(10_000_000))); err != nil {
		b.Fatal(err)
	}
	folder := b.TempDir()
	n := 0
	for b.Loop() {
		n++
		if err := s.Backup(ctx, filepath.Join(folder, fmt.Sprint(n, ".db"))); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkOpen opens a database that is there, and closes it.
func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "army.db")
	for b.Loop() {
		s, err := store.Open(path, store.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
