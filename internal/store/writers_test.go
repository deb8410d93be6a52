package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"facings"
	"facings/internal/store"
)

// two opens the same file twice.
func two(t *testing.T, opts store.Options) (a, b *store.Store, id string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "army.db")
	a = open(t, path, store.Options{})
	return a, open(t, path, opts), create(t, a, "0")
}

func TestSecondOfTwoIsTold(t *testing.T) {
	ctx := context.Background()
	a, b, id := two(t, store.Options{})
	if _, err := a.Commit(ctx, id, 1, facings.Revision{Text: []byte("a")}, "of a"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Commit(ctx, id, 1, facings.Revision{Text: []byte("b")}, "of b"); !errors.Is(err, facings.ErrConflict) {
		t.Errorf("the second writer heard %v", err)
	}
	for _, s := range []*store.Store{a, b} {
		head, err := s.Head(ctx, id)
		if err != nil || string(head.Text) != "a" {
			t.Errorf("the head is %q, %v", head.Text, err)
		}
		if kept, err := s.Project(ctx, id); err != nil || kept.Name != "of a" {
			t.Errorf("%+v, %v", kept, err)
		}
	}
}

func TestNoUpdateIsLostWithinOneProgram(t *testing.T) {
	a, b, id := two(t, store.Options{})
	var wait sync.WaitGroup
	for i := range 8 {
		s := []*store.Store{a, b}[i%2]
		wait.Go(func() {
			for j := range 15 {
				if err := errors.Join(countUp(s, id), tick(s, id, fmt.Sprintf("%d-%d", i, j))); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	counted(t, a, id, 8*15)
}

func TestNoUpdateIsLostAmongPrograms(t *testing.T) {
	path := filepath.Join(t.TempDir(), "army.db")
	s := open(t, path, store.Options{})
	id := create(t, s, "0")
	together(t, child("count", path, id, "a"), child("count", path, id, "b"), child("count", path, id, "c"))
	counted(t, s, id, 3*40)
}

// counted checks that so many have counted up, none over another.
func counted(t *testing.T, s *store.Store, id string, n int) {
	t.Helper()
	head, err := s.Head(context.Background(), id)
	if err != nil || string(head.Text) != fmt.Sprint(n) || head.Number != n+1 {
		t.Errorf("%d were counted up to %q in revision %d, %v", n, head.Text, head.Number, err)
	}
	if log := read(t, s, id); len(log) != n {
		t.Errorf("%d entries are kept, not %d", len(log), n)
	}
	whole(t, s)
}

// together runs programs at the same time; all must succeed.
func together(t *testing.T, programs ...*exec.Cmd) {
	t.Helper()
	for _, p := range programs {
		if err := p.Start(); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range programs {
		if err := p.Wait(); err != nil {
			t.Error(err)
		}
	}
}

// TestSeveralMakeOneFile: programs that start at once on a file that is not
// there, or on one of an old layout, make one database of today.
func TestSeveralMakeOneFile(t *testing.T) {
	old, err := os.ReadFile(layout1)
	if err != nil {
		t.Fatal(err)
	}
	for _, before := range []int{0, 1, 1, 1} {
		path := filepath.Join(t.TempDir(), "army.db")
		if before > 0 {
			if err := os.WriteFile(path, old, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		var programs []*exec.Cmd
		for _, word := range []string{"a", "b", "c", "d"} {
			programs = append(programs, child("create", path, "", word))
		}
		together(t, programs...)
		s := open(t, path, store.Options{})
		list, err := s.Projects(context.Background(), false)
		if err != nil || len(list) != before+4 {
			t.Errorf("%d projects are there, not %d: %v", len(list), before+4, err)
		}
	}
}

// hold takes the right to write until let go.
func hold(t *testing.T, s *store.Store) (letGo func()) {
	t.Helper()
	tx, err := s.Writer().Begin()
	if err != nil {
		t.Fatal(err)
	}
	return func() { tx.Rollback() }
}

func TestBusyWaits(t *testing.T) {
	a, b, id := two(t, store.Options{Wait: time.Hour})
	letGo := hold(t, a)
	done := make(chan error)
	go func() { done <- tick(b, id, "late") }()
	select {
	case err := <-done:
		t.Errorf("it did not wait: %v", err)
	case <-time.After(200 * time.Millisecond):
		// Reading does not wait for a writer.
		if _, err := b.Head(context.Background(), id); err != nil {
			t.Error(err)
		}
		letGo()
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	if log := read(t, a, id); len(log) != 1 {
		t.Errorf("the log is %v", log)
	}
}

func TestBusyForTooLong(t *testing.T) {
	a, b, id := two(t, store.Options{Wait: 50 * time.Millisecond})
	defer hold(t, a)()
	err := tick(b, id, "late")
	if err == nil || !strings.Contains(err.Error(), "another program has held it for 50ms") || !strings.Contains(err.Error(), "army.db") {
		t.Errorf("%v", err)
	}
}

// TestContextEndsWaiting: with an hour to wait, only the context can end it.
func TestContextEndsWaiting(t *testing.T) {
	a, b, id := two(t, store.Options{Wait: time.Hour})
	defer hold(t, a)()
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	if _, err := b.Append(ctx, id, ticks("t", 1)); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("%v", err)
	}
	ctx, cancel = context.WithCancel(context.Background())
	cancel()
	_, e1 := b.Head(ctx, id)
	_, e2 := b.Log(ctx, id, 0)
	_, e3 := b.Recall(ctx, "")
	_, _, e4 := b.PutFile(ctx, id, strings.NewReader("x"))
	if i := slices.IndexFunc([]error{e1, e2, e3, e4}, func(err error) bool { return !errors.Is(err, context.Canceled) }); i >= 0 {
		t.Errorf("case %d: %v", i, []error{e1, e2, e3, e4}[i])
	}
}

// TestEveryConnectionIsSetUp asks SQLite what holds. synchronous 2 is FULL,
// with which a write-ahead log is flushed at every commit (SQLite's
// documentation of PRAGMA synchronous).
func TestEveryConnectionIsSetUp(t *testing.T) {
	s, _ := fresh(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "10000"} {
		for range 2 {
			var got string
			if err := s.Writer().QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s is %s, %v", pragma, got, err)
			}
			s.Writer().SetMaxIdleConns(0) // the next is a new connection
		}
		s.Writer().SetMaxIdleConns(1)
	}
	if _, err := s.Reader().Exec("DELETE FROM projects"); err == nil {
		t.Error("a connection for reading wrote")
	}
}
