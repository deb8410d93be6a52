package demo

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func TestUnpackWritesWhatIsEmbedded(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, folder := range []string{"facings-demo", "facings-demo-2", "facings-demo-3"} {
		written, err := Unpack("")
		if err != nil {
			t.Fatal(err)
		}
		want := []string{filepath.Join(folder, "DEMO.md"), filepath.Join(folder, "demo.yaml"), filepath.Join(folder, "mounted24.yaml")}
		if !slices.Equal(written, want) {
			t.Fatalf("wrote %q, want %q", written, want)
		}
		for _, path := range written {
			got, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			want, err := fs.ReadFile(Files(), filepath.Base(path))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s differs from what is embedded", path)
			}
		}
	}
}

func TestUnpackTakesAnEmptyOrMissingFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("empty", 0o777); err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{"empty", "missing"} {
		if _, err := Unpack(folder); err != nil {
			t.Errorf("%s: %v", folder, err)
		}
	}
	if _, err := Unpack(filepath.Join("no", "parent")); err == nil {
		t.Error("a folder inside a missing one was accepted")
	}
}

func TestUnpackLeavesAFullFolderAlone(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("demo.yaml", []byte("mine"), 0o666); err != nil {
		t.Fatal(err)
	}
	_, err := Unpack(".")
	if err == nil || !strings.Contains(err.Error(), "demo.yaml") || !strings.Contains(err.Error(), "new folder") {
		t.Errorf("the error should name the file in the way and the way out: %v", err)
	}
	if text, _ := os.ReadFile("demo.yaml"); string(text) != "mine" {
		t.Errorf("the user's file now holds %q", text)
	}
	if names, _ := os.ReadDir("."); len(names) != 1 {
		t.Errorf("the folder holds %v, want the user's file alone", names)
	}
	if _, err := Unpack("demo.yaml"); err == nil {
		t.Error("a file was accepted as a folder")
	}
}

// failing is a file system whose last file cannot be read.
type failing struct{ fstest.MapFS }

func (f failing) Open(name string) (fs.File, error) {
	if name == "z.yaml" {
		return nil, fs.ErrPermission
	}
	return f.MapFS.Open(name)
}

func (f failing) ReadFile(name string) ([]byte, error) {
	if name == "z.yaml" {
		return nil, fs.ErrPermission
	}
	return f.MapFS.ReadFile(name)
}

func TestUnpackRemovesWhatItWroteOnFailure(t *testing.T) {
	t.Chdir(t.TempDir())
	files := failing{fstest.MapFS{"a.yaml": {Data: []byte("a")}, "z.yaml": {Data: []byte("z")}}}
	if written, err := unpack(files, ""); err == nil || written != nil {
		t.Fatalf("wrote %q, error %v; want an error and nothing", written, err)
	}
	if err := os.Mkdir("kept", 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := unpack(files, "kept"); err == nil {
		t.Fatal("want an error")
	}
	names, err := os.ReadDir(".")
	if err != nil || len(names) != 1 || names[0].Name() != "kept" {
		t.Errorf("left behind %v, %v; want the folder that was there before", names, err)
	}
	if inside, _ := os.ReadDir("kept"); len(inside) != 0 {
		t.Errorf("left files behind: %v", inside)
	}
}
