package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"facings"
	"facings/internal/store"
)

// TestBackupWhileWriting: a copy made while others write opens, is sound and
// holds a state that was there.
func TestBackupWhileWriting(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	folder := t.TempDir()
	stop := make(chan struct{})
	var wait sync.WaitGroup
	wait.Go(func() {
		for n := 1; ; n++ {
			select {
			case <-stop:
				return
			default:
			}
			if _, err := s.Commit(ctx, id, n, facings.Revision{Text: fmt.Append(nil, n+1)}, ""); err != nil {
				t.Error(err)
				return
			}
			if err := tick(s, id, fmt.Sprint(n+1)); err != nil {
				t.Error(err)
				return
			}
		}
	})
	for i := range 5 {
		if err := s.Backup(ctx, filepath.Join(folder, fmt.Sprint(i, ".db"))); err != nil {
			t.Error(err)
		}
	}
	close(stop)
	wait.Wait()
	for i := range 5 {
		copied := open(t, filepath.Join(folder, fmt.Sprint(i, ".db")), store.Options{})
		whole(t, copied)
		head, err := copied.Head(ctx, id)
		if err != nil || (head.Number > 1 && string(head.Text) != fmt.Sprint(head.Number)) {
			t.Errorf("the copy's head is %d: %q, %v", head.Number, head.Text, err)
		}
		if log := read(t, copied, id); len(log) != head.Number-1 && len(log) != head.Number-2 {
			t.Errorf("beside revision %d the copy has %d entries", head.Number, len(log))
		}
	}
}

func TestBackupLeavesNothingBehind(t *testing.T) {
	s, _ := fresh(t)
	folder := t.TempDir()
	there := filepath.Join(folder, "there.db")
	if err := os.WriteFile(there, []byte("precious"), 0o644); err != nil {
		t.Fatal(err)
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	for _, c := range []struct {
		ctx        context.Context
		path, want string
	}{
		{context.Background(), there, "is there already"},
		{context.Background(), filepath.Join(folder, "none", "x.db"), "cannot be written"},
		{ended, filepath.Join(folder, "y.db"), "cancel"},
	} {
		err := s.Backup(c.ctx, c.path)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.path, err)
		}
	}
	list, _ := os.ReadDir(folder)
	if content, _ := os.ReadFile(there); string(content) != "precious" || len(list) != 1 {
		t.Errorf("%q; in the folder are %v", content, list)
	}
}

func TestBackupsBySchedule(t *testing.T) {
	ctx := context.Background()
	now := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	path := filepath.Join(t.TempDir(), "army.db")
	opts := store.Options{Clock: func() time.Time { return now }}
	s := open(t, path, opts)
	create(t, s, "a")
	folder := store.BackupFolder(path)
	due := func(want string) {
		t.Helper()
		made, err := s.BackupIfDue(ctx, folder, 24*time.Hour, 3)
		if err != nil || (want == "") != (made == "") || (want != "" && filepath.Base(made) != want) {
			t.Errorf("made %q, not %q: %v", made, want, err)
		}
	}
	if last, err := s.LastBackup(ctx); err != nil || !last.IsZero() {
		t.Errorf("before any, the last was at %v, %v", last, err)
	}
	due("army-2026-03-01-200000.db")
	due("")
	if last, err := s.LastBackup(ctx); err != nil || !last.Equal(now) {
		t.Errorf("the last was at %v, %v", last, err)
	}
	now = now.Add(23 * time.Hour)
	s = open(t, path, opts) // another program knows, too
	due("")
	now = now.Add(time.Hour)
	due("army-2026-03-02-200000.db")
	other := filepath.Join(folder, "army-of-the-north.db")
	if err := os.WriteFile(other, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for day := 3; day <= 6; day++ {
		now = now.AddDate(0, 0, 1)
		due(fmt.Sprintf("army-2026-03-%02d-200000.db", day))
	}
	names := func() string {
		list, err := filepath.Glob(filepath.Join(folder, "*"))
		if err != nil {
			t.Fatal(err)
		}
		for i := range list {
			list[i] = filepath.Base(list[i])
		}
		return strings.Join(list, " ")
	}
	if got, want := names(), "army-2026-03-04-200000.db army-2026-03-05-200000.db army-2026-03-06-200000.db army-of-the-north.db"; got != want {
		t.Errorf("kept are %s", got)
	}
	// The clock was wrong by years and is put right: not a day without a copy.
	now = now.AddDate(-3, 0, 0)
	due("army-2023-03-06-200000.db")
	due("")
	if !strings.Contains(names(), "2023") {
		t.Errorf("the copy made now is gone: %s", names())
	}
	// The folder was cleared away.
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	due("army-2023-03-06-200000.db")
}

// TestSchedule: the first copy is made at once, and it stops when told.
func TestSchedule(t *testing.T) {
	s, _ := fresh(t)
	folder := filepath.Join(t.TempDir(), "copies")
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { s.Schedule(ctx, folder, 0, 0); close(done) }()
	for {
		if last, err := s.LastBackup(context.Background()); err != nil {
			t.Fatal(err)
		} else if !last.IsZero() {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	cancel()
	<-done
	list, err := filepath.Glob(filepath.Join(folder, "army-*.db"))
	if err != nil || len(list) != 1 {
		t.Errorf("%v, %v", list, err)
	}
	if err := s.Backup(context.Background(), list[0]); err == nil || errors.Is(err, facings.ErrFull) {
		t.Errorf("a copy was written over: %v", err)
	}
}
