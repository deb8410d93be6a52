package store_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"facings"
	"facings/internal/store"
)

// noise is text that cannot be packed.
func noise(n int) []byte {
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(rand.Int())
	}
	return out
}

// fillUp writes until the disk is full, and checks that every kind of write
// then says so and that all that was kept before is there.
func fillUp(t *testing.T, s *store.Store, id string) (revisions int) {
	t.Helper()
	ctx := context.Background()
	revisions = 1
	var err error
	for ; err == nil; revisions++ {
		if revisions > 2000 {
			t.Fatal("the disk does not become full")
		}
		_, err = s.Commit(ctx, id, revisions, facings.Revision{Text: append(fmt.Append(nil, revisions+1, "\n"), noise(20_000)...)}, "")
	}
	revisions--
	entries := 0
	for last := error(nil); last == nil; entries++ {
		last = tick(s, id, fmt.Sprint("e", entries))
	}
	entries--
	_, e1 := s.Create(ctx, "more", facings.Revision{Text: noise(50_000)})
	_, _, e2 := s.PutFile(ctx, id, strings.NewReader(string(noise(300_000))))
	e3 := s.Remember(ctx, "more", noise(50_000))
	_, e4 := s.Append(ctx, id, ticks("more", 700))
	for i, err := range []error{err, e1, e2, e3, e4} {
		if !errors.Is(err, facings.ErrFull) || !strings.Contains(err.Error(), "make room") || !strings.Contains(err.Error(), "army.db") {
			t.Errorf("write %d to a full disk: %v", i, err)
		}
	}
	whole(t, s)
	for n := 2; n <= revisions; n++ {
		if r, err := s.Revision(ctx, id, n); err != nil || !strings.HasPrefix(string(r.Text), fmt.Sprint(n, "\n")) {
			t.Errorf("revision %d begins %.10q, %v", n, r.Text, err)
		}
	}
	if kept, err := s.Project(ctx, id); err != nil || kept.Revision != revisions {
		t.Errorf("at revision %d, not %d: %v", kept.Revision, revisions, err)
	}
	if log := read(t, s, id); len(log) != entries {
		t.Errorf("%d entries are there, not %d", len(log), entries)
	}
	if list, err := s.Projects(ctx, true); err != nil || len(list) != 1 {
		t.Errorf("%d projects, %v", len(list), err)
	}
	return revisions
}

// TestDatabaseFull forces SQLITE_FULL by SQLite's own max_page_count.
func TestDatabaseFull(t *testing.T) {
	s, id := fresh(t)
	if _, err := s.Writer().Exec("PRAGMA max_page_count = 200"); err != nil {
		t.Fatal(err)
	}
	revisions := fillUp(t, s, id)
	if _, err := s.Writer().Exec("PRAGMA max_page_count = 100000"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Commit(context.Background(), id, revisions, facings.Revision{Text: noise(100_000)}, ""); err != nil {
		t.Errorf("with room again: %v", err)
	}
}
