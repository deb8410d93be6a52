package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"facings"
	"facings/internal/store"
)

// The tests of several programs on one file start this test program again in
// another part, told by these variables.
const (
	partVar    = "FACINGS_STORE_PART"
	pathVar    = "FACINGS_STORE_PATH"
	projectVar = "FACINGS_STORE_PROJECT"
	wordVar    = "FACINGS_STORE_WORD"
)

var parts = map[string]func(s *store.Store) error{
	"create": createPart, "count": countPart, "write": writePart,
}

func TestMain(m *testing.M) {
	part := parts[os.Getenv(partVar)]
	if part == nil {
		os.Exit(m.Run())
	}
	s, err := store.Open(os.Getenv(pathVar), store.Options{})
	if err == nil {
		err = part(s)
	}
	if err == nil {
		err = s.Close()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// child prepares this program in another part.
func child(part, path, project, word string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), partVar+"="+part, pathVar+"="+path, projectVar+"="+project, wordVar+"="+word)
	cmd.Stderr = os.Stderr
	return cmd
}

// createPart keeps one project.
func createPart(s *store.Store) error {
	_, err := s.Create(context.Background(), os.Getenv(wordVar), facings.Revision{Text: []byte("a")})
	return err
}

// countPart adds one to the number a project's text is, 40 times, with an entry
// for each; who comes second reads anew.
func countPart(s *store.Store) error {
	for i := range 40 {
		if err := countUp(s, os.Getenv(projectVar)); err != nil {
			return err
		}
		if err := tick(s, os.Getenv(projectVar), fmt.Sprint(os.Getenv(wordVar), i)); err != nil {
			return err
		}
	}
	return nil
}

func countUp(s *store.Store, id string) error {
	ctx := context.Background()
	for {
		head, err := s.Head(ctx, id)
		if err != nil {
			return err
		}
		n, err := strconv.Atoi(string(head.Text))
		if err != nil {
			return err
		}
		_, err = s.Commit(ctx, id, head.Number, facings.Revision{Text: fmt.Append(nil, n+1)}, "")
		if !errors.Is(err, facings.ErrConflict) {
			return err
		}
	}
}

func tick(s *store.Store, id, entry string) error {
	_, err := s.Append(context.Background(), id, []facings.Entry{{ID: entry, Kind: facings.EntryDone, Note: strings.Repeat(entry, 20)}})
	return err
}

// writePart writes 1,000 times, and says of each write that it was kept.
func writePart(s *store.Store) error {
	ctx, id, word := context.Background(), os.Getenv(projectVar), os.Getenv(wordVar)
	head, err := s.Head(ctx, id)
	if err != nil {
		return err
	}
	for i := range 1000 {
		name := fmt.Sprint(word, "-", i)
		said := "entry " + name
		switch {
		case i%5 == 3:
			head, err = s.Commit(ctx, id, head.Number, facings.Revision{Text: []byte(strings.Repeat(name+"\n", 300)), Why: name}, "")
			said = "revision " + name
		case i%100 == 50:
			var hash string
			hash, _, err = s.PutFile(ctx, id, strings.NewReader(strings.Repeat(name+"\n", 60_000)))
			said = "file " + hash
		default:
			err = tick(s, id, name)
		}
		if err != nil {
			return err
		}
		fmt.Println(said)
	}
	return nil
}
