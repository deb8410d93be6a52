package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"facings"
	"facings/internal/store"
)

func init() { parts["fill"] = fillPart }

// fillPart may write no file larger than 400 kB; the system fails such a write
// with an error other than ENOSPC. It says what the store made of it.
func fillPart(s *store.Store) error {
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 400_000, Max: 400_000}); err != nil {
		return err
	}
	var err error
	for i := 0; err == nil; i++ {
		err = s.Remember(context.Background(), fmt.Sprint(i), noise(10_000))
	}
	fmt.Println(errors.Is(err, facings.ErrFull), err)
	return nil
}

// TestWriteFails: a failed write counts as no room, and loses nothing.
func TestWriteFails(t *testing.T) {
	path := filepath.Join(t.TempDir(), "army.db")
	said, err := child("fill", path, "", "").Output()
	if err != nil || !strings.HasPrefix(string(said), "true ") {
		t.Errorf("it said %q, %v", said, err)
	}
	s := open(t, path, store.Options{})
	whole(t, s)
	if memory, err := s.Recall(context.Background(), ""); err != nil || len(memory) < 10 {
		t.Errorf("%d values are remembered, %v", len(memory), err)
	}
}

// smallDisk is a disk of so many bytes, in memory.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	folder := t.TempDir()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("only somebody who may mount a small disk can fill one (%v); TestDatabaseFull does without", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, 0); err != nil {
			t.Errorf("the small disk stays mounted: %v", err)
		}
	})
	return folder
}

// TestDiskFull fills a real, small disk: ENOSPC from the system.
func TestDiskFull(t *testing.T) {
	ctx := context.Background()
	folder := smallDisk(t, "4m")
	path := filepath.Join(folder, "army.db")
	s := open(t, path, store.Options{})
	id := create(t, s, "a")
	ballast := filepath.Join(folder, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 1<<20), 0o644); err != nil {
		t.Fatal(err)
	}
	revisions := fillUp(t, s, id)
	if err := s.Backup(ctx, filepath.Join(folder, "copy.db")); !errors.Is(err, facings.ErrFull) {
		t.Errorf("a copy onto the full disk: %v", err)
	}
	if list, err := filepath.Glob(filepath.Join(folder, "*")); err != nil || len(list) != 4 { // the database, -wal, -shm, ballast
		t.Errorf("on the disk are %v, %v", list, err)
	}
	if list, err := filepath.Glob(filepath.Join(folder, ".*")); err != nil || len(list) != 0 {
		t.Errorf("left behind: %v, %v", list, err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Commit(ctx, id, revisions, facings.Revision{Text: noise(100_000)}, ""); err != nil {
		t.Errorf("with room again: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	whole(t, open(t, path, store.Options{}))
}

// TestMigrationOnFullDisk: without room for the copy, an old database stays old.
func TestMigrationOnFullDisk(t *testing.T) {
	folder := smallDisk(t, "112k")
	old, err := os.ReadFile(layout1)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "army.db")
	if err := os.WriteFile(path, old, 0o644); err != nil {
		t.Fatal(err)
	}
	_, err = store.Open(path, store.Options{})
	if !errors.Is(err, facings.ErrFull) || !strings.Contains(err.Error(), "no copy could be made") {
		t.Errorf("%v", err)
	}
	if dump(t, path) != dump(t, layout1) {
		t.Error("the database was changed")
	}
}

// TestMakingOnFullDisk: no room even to begin, or soon after; then nothing stays.
func TestMakingOnFullDisk(t *testing.T) {
	for _, size := range []string{"4k", "16k", "64k"} {
		folder := smallDisk(t, size)
		ballast := filepath.Join(folder, "ballast")
		if err := os.WriteFile(ballast, make([]byte, 4<<10), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := store.Open(filepath.Join(folder, "army.db"), store.Options{})
		if !errors.Is(err, facings.ErrFull) || !strings.Contains(err.Error(), "make room") {
			t.Errorf("%s: %v", size, err)
		}
		if left, err := os.ReadDir(folder); err != nil || len(left) != 1 {
			t.Errorf("%s: on the disk are %v, %v", size, left, err)
		}
	}
}

// TestMakingOnSmallDisk: what is tried first is enough for a new database, and
// not much more.
func TestMakingOnSmallDisk(t *testing.T) {
	folder := smallDisk(t, "200k")
	s := open(t, filepath.Join(folder, "army.db"), store.Options{})
	create(t, s, "a")
}
