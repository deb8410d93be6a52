package store_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"facings/internal/store"
)

// TestKilledWhileWriting kills a program (SIGKILL where there is such a thing)
// in the middle of 1,000 writes, several times over on one file. Every write it
// said was kept must be there, and at most the one it was at besides. SQLite's
// own integrity_check, and its foreign keys, are asked for the rest.
//
// A process that is killed leaves what it handed to the system; that the disk
// has it after a power cut hangs on synchronous=FULL, which
// TestEveryConnectionIsSetUp looks at.
func TestKilledWhileWriting(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "army.db")
	s := open(t, path, store.Options{})
	id := create(t, s, "begun")
	s.Close()
	said := map[string][]string{} // kind to what was kept
	for round := range 8 {
		stopAfter := rand.IntN(400)
		for _, line := range killed(t, path, id, fmt.Sprint("round", round), stopAfter) {
			kind, what, ok := strings.Cut(line, " ")
			if !ok {
				t.Fatalf("the program said %q", line)
			}
			said[kind] = append(said[kind], what)
		}
		s, err := store.Open(path, store.Options{})
		if err != nil {
			t.Fatalf("round %d, killed after %d writes: %v", round, stopAfter, err)
		}
		whole(t, s)
		kept := map[string]bool{}
		for _, e := range read(t, s, id) {
			kept["entry "+e.ID] = true
		}
		history, err := s.History(ctx, id, 0, 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range history {
			full, err := s.Revision(ctx, id, r.Number)
			if err != nil || (r.Parent != 0 && !strings.HasPrefix(string(full.Text), r.Why+"\n")) {
				t.Errorf("revision %d (%s) begins %.20q, %v", r.Number, r.Why, full.Text, err)
			}
			kept["revision "+r.Why] = true
		}
		for _, hash := range said["file"] {
			f, err := s.File(ctx, id, hash)
			if err != nil {
				t.Errorf("file %s: %v", hash, err)
				continue
			}
			if n, err := io.Copy(io.Discard, f); err != nil || n < 100_000 {
				t.Errorf("file %s has %d bytes, %v", hash, n, err)
			}
			f.Close()
			kept["file "+hash] = true
		}
		total := 0
		for kind, list := range said {
			total += len(list)
			for _, what := range list {
				if !kept[kind+" "+what] {
					t.Errorf("round %d: %s %s was said to be kept and is not there", round, kind, what)
				}
			}
		}
		// The first revision was not said; each kill may have cut one answer off.
		if extra := len(kept) - 1 - total; extra < 0 || extra > round+1 {
			t.Errorf("round %d: %d writes are there that nobody was told of", round, extra)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Logf("kept: %d entries, %d revisions, %d files", len(said["entry"]), len(said["revision"]), len(said["file"]))
	if len(said["entry"]) == 0 {
		t.Error("nothing was ever written; the test is broken")
	}
}

// killed lets a program write, kills it a little after it said so many times
// that something was kept, and returns all that it said.
func killed(t *testing.T, path, id, word string, after int) (said []string) {
	t.Helper()
	cmd := child("write", path, id, word)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		said = append(said, lines.Text())
		if len(said) == after+1 {
			time.Sleep(time.Duration(rand.IntN(4000)) * time.Microsecond)
			cmd.Process.Kill()
		}
	}
	if err := cmd.Wait(); err == nil {
		t.Error("the program wrote everything before it could be killed")
	}
	return said
}

// TestKilledWhileMaking kills a program while it makes a database, or brings an
// old one to the layout of today; whatever it leaves must open, with all that
// was in it.
func TestKilledWhileMaking(t *testing.T) {
	old, err := os.ReadFile(layout1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 24 {
		path := filepath.Join(t.TempDir(), "army.db")
		before := 0
		if i%2 == 1 {
			before = 1
			if err := os.WriteFile(path, old, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		cmd := child("create", path, "", "first")
		cmd.Stderr = nil
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(i*2000+rand.IntN(4000)) * time.Microsecond)
		cmd.Process.Kill()
		cmd.Wait()
		s, err := store.Open(path, store.Options{})
		if err != nil {
			t.Errorf("killed about %d ms after its start: %v", i*2, err)
			continue
		}
		whole(t, s)
		create(t, s, "second")
		memory, err := s.Recall(context.Background(), "")
		if projects := count(t, s, "projects"); err != nil || len(memory) != before || projects < before+1 || projects > before+2 {
			t.Errorf("%d projects, and remembered is %q, %v", projects, memory, err)
		}
		s.Close()
	}
}

// whole asks SQLite whether the file is sound.
func whole(t testing.TB, s *store.Store) {
	t.Helper()
	var verdict string
	if err := s.Writer().QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity_check says %q, %v", verdict, err)
	}
	rows, err := s.Writer().Query("PRAGMA foreign_key_check")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	if rows.Next() {
		t.Error("foreign_key_check found a row without its parent")
	}
}
