package cli_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"facings/internal/cli"
)

// run starts a whole program on a context, writing to out.
func run(ctx context.Context, out io.Writer, args ...string) (status int, complaint string) {
	var errs bytes.Buffer
	p := &cli.Program{Out: out, Err: &errs, Now: func() time.Time { return time.Date(2027, 1, 4, 9, 0, 0, 0, time.UTC) }}
	status = p.Main(ctx, args)
	return status, errs.String()
}

// A stopped search has found something, but not the order of the seed: it must
// not be shown as if it were, and the demo takes back what it unpacked.
func TestStoppedSaysSo(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	folder := t.TempDir()
	army := filepath.Join(folder, "army.yaml")
	if status, complaint := run(context.Background(), io.Discard, "new", army); status != 0 {
		t.Fatal(complaint)
	}
	theirs := filepath.Join(folder, "theirs")
	if err := os.Mkdir(theirs, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"order", army}, {"ranks", army}, {"order", "--json", army},
		{"demo", "--no-serve", filepath.Join(folder, "demo")}, {"demo", "--no-serve", theirs}} {
		var out bytes.Buffer
		status, complaint := run(ctx, &out, args...)
		if status != 1 || !strings.Contains(complaint, "facings: stopped before it was done\n") || out.Len() > 0 {
			t.Errorf("%v: status %d, %d bytes of output, and %q", args, status, out.Len(), complaint)
		}
	}
	left, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	if len(left) != 2 || left[1].Name() != "theirs" {
		t.Errorf("the stopped demo left %v; the project and the folder that was there are wanted", left)
	}
	if inside, err := os.ReadDir(theirs); err != nil || len(inside) > 0 {
		t.Errorf("the stopped demo left %v in a folder that was there (%v)", inside, err)
	}
}

// full is a disk with so many bytes of room.
type full struct{ room int }

var errFull = errors.New("no space left on device")

func (f *full) Write(text []byte) (int, error) {
	if f.room -= len(text); f.room < 0 {
		return 0, &os.PathError{Op: "write", Path: "out", Err: errFull}
	}
	return len(text), nil
}

// Half a list in a file must not pass for the whole.
func TestOutputThatIsCutIsAnError(t *testing.T) {
	for _, args := range [][]string{{"air", "--temp", "20", "--rh", "50"}, {"air", "--json", "--temp", "20", "--rh", "50"}, {"--help"}, {"mix", "--help"}} {
		status, complaint := run(context.Background(), &full{room: 100}, args...)
		if status != 1 || !strings.Contains(complaint, "facings: the output cannot be written: no space left on device\n") {
			t.Errorf("%v: status %d and %q", args, status, complaint)
		}
	}
}

// What is to be typed next can be copied from the terminal as it stands.
func TestNextCommandIsQuoted(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "tin men")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	for name, typed := range map[string]string{"plain.yaml": `"NAME"`, "the king's.yaml": `"NAME"`, "5$.yaml": `'NAME'`} {
		path := filepath.Join(folder, name)
		var out bytes.Buffer
		if status, complaint := run(context.Background(), &out, "new", path); status != 0 {
			t.Fatal(complaint)
		}
		if want := "next: facings order " + strings.ReplaceAll(typed, "NAME", path) + "\n"; !strings.HasSuffix(out.String(), want) {
			t.Errorf("%q does not end in %q", out.String(), want)
		}
	}
}
