package projectfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func names(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func TestWriteReplacesAndKeepsMode(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "p.yaml")
	if err := os.WriteFile(path, []byte("old and longer"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, []byte("new")); err != nil {
		t.Fatal(err)
	}
	got, _ := os.ReadFile(path)
	info, _ := os.Stat(path)
	if string(got) != "new" || info.Mode().Perm() != 0o600 {
		t.Errorf("%q with mode %v", got, info.Mode())
	}
	if list := names(t, folder); len(list) != 1 {
		t.Errorf("left lying about: %v", list)
	}
}

func TestWriteFollowsLinks(t *testing.T) {
	folder := t.TempDir()
	target, link := filepath.Join(folder, "real.yaml"), filepath.Join(folder, "link.yaml")
	if err := os.WriteFile(target, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, link); err != nil {
		t.Skip("no links here:", err)
	}
	if err := Write(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(target); string(got) != "new" {
		t.Errorf("the file behind the link holds %q", got)
	}
	if info, _ := os.Lstat(link); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link became a file")
	}
}

// A name longer than file systems allow fails at the last step, a folder at
// the first; nothing may be left.
func TestFailedWriteLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "p.yaml"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{filepath.Join(folder, "p.yaml"), filepath.Join(folder, "none", "p.yaml"), filepath.Join(folder, strings.Repeat("x", 300))} {
		if err := Write(path, []byte("new")); err == nil {
			t.Errorf("%s was written", path)
		}
	}
	if list := names(t, folder); len(list) != 1 {
		t.Errorf("left lying about: %v", list)
	}
}

func TestCreateNeverOverwrites(t *testing.T) {
	path := filepath.Join(t.TempDir(), "p.yaml")
	if err := Create(path, []byte("first")); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, []byte("second")); err == nil {
		t.Error("an existing file was overwritten")
	}
	if got, _ := os.ReadFile(path); string(got) != "first" {
		t.Errorf("the file holds %q", got)
	}
}

func TestSaveWritesTheEdit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "p.yaml")
	if err := Create(path, Starter()); err != nil {
		t.Fatal(err)
	}
	_, d, found := Load(path)
	if len(found) > 0 {
		t.Fatal(found)
	}
	if err := d.Set("/rack/carbon black/left_ml", 11.5); err != nil {
		t.Fatal(err)
	}
	if err := d.Save(); err != nil {
		t.Fatal(err)
	}
	p, _, _ := Load(path)
	if x, _ := p.FindPaint("carbon black"); x.LeftML != 11.5 {
		t.Errorf("left are %v ml", x.LeftML)
	}
}
