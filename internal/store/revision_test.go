package store_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"facings"
	"facings/internal/store"

	"pgregory.net/rapid"
)

// model is a project's revisions as the contract in package app describes them,
// in the plainest way.
type model struct {
	texts   []string // by number less one
	parents []int
	redo    map[int]int
	head    int
}

func (m *model) commit(text string) {
	m.texts = append(m.texts, text)
	m.parents = append(m.parents, m.head)
	m.head = len(m.texts)
}

func TestRevisionsFollowTheModel(t *testing.T) {
	ctx := context.Background()
	s, _ := fresh(t)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom([]string{"", "a: 1\n", "a: 2\n", strings.Repeat("long: ümlaut\n", 400)})
		first := text.Draw(t, "first")
		kept, err := s.Create(ctx, "", facings.Revision{Text: []byte(first)})
		if err != nil {
			t.Fatal(err)
		}
		m := &model{redo: map[int]int{}}
		m.commit(first)
		id := kept.ID
		last := kept.Made

		moved := func(r facings.Revision, err error) {
			if err != nil {
				t.Fatal(err)
			}
			if r.Number != m.head {
				t.Fatalf("revision %d came into force, not %d", r.Number, m.head)
			}
		}
		refused := func(err, want error) {
			if !errors.Is(err, want) {
				t.Fatalf("%v, not %v", err, want)
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"commit": func(t *rapid.T) {
				next := text.Draw(t, "text")
				r, err := s.Commit(ctx, id, m.head, facings.Revision{Text: []byte(next), Number: 99, Parent: 98}, "")
				m.commit(next)
				moved(r, err)
			},
			"restore": func(t *rapid.T) {
				old, err := s.Revision(ctx, id, rapid.IntRange(1, len(m.texts)).Draw(t, "number"))
				if err != nil {
					t.Fatal(err)
				}
				r, err := s.Commit(ctx, id, m.head, old, "")
				m.commit(m.texts[old.Number-1])
				moved(r, err)
			},
			"undo": func(t *rapid.T) {
				r, err := s.Undo(ctx, id, m.head)
				parent := m.parents[m.head-1]
				if parent == 0 {
					refused(err, facings.ErrNotFound)
					return
				}
				m.redo[parent] = m.head
				m.head = parent
				moved(r, err)
			},
			"redo": func(t *rapid.T) {
				r, err := s.Redo(ctx, id, m.head)
				if m.redo[m.head] == 0 {
					refused(err, facings.ErrNotFound)
					return
				}
				m.head = m.redo[m.head]
				moved(r, err)
			},
			"conflict": func(t *rapid.T) {
				wrong := rapid.IntRange(0, len(m.texts)+1).Filter(func(n int) bool { return n != m.head }).Draw(t, "base")
				_, e1 := s.Commit(ctx, id, wrong, facings.Revision{}, "lost")
				_, e2 := s.Undo(ctx, id, wrong)
				_, e3 := s.Redo(ctx, id, wrong)
				for _, err := range []error{e1, e2, e3} {
					refused(err, facings.ErrConflict)
				}
			},
			"": func(t *rapid.T) {
				kept, err := s.Project(ctx, id)
				if err != nil {
					t.Fatal(err)
				}
				if kept.Revision != m.head || kept.CanUndo != (m.parents[m.head-1] != 0) || kept.CanRedo != (m.redo[m.head] != 0) || kept.Name != "" {
					t.Fatalf("the project is %+v, the model %+v", kept, m)
				}
				if kept.Changed.Before(last) {
					t.Fatalf("changed went back from %v to %v", last, kept.Changed)
				}
				last = kept.Changed
				head, err := s.Head(ctx, id)
				if err != nil || head.Number != m.head || string(head.Text) != m.texts[m.head-1] {
					t.Fatalf("the head is %+v, %v", head, err)
				}
				history, err := s.History(ctx, id, 0, 1000)
				if err != nil || len(history) != len(m.texts) {
					t.Fatalf("%d revisions in the history, not %d: %v", len(history), len(m.texts), err)
				}
				for i, r := range history {
					if want := len(m.texts) - i; r.Number != want || r.Parent != m.parents[want-1] || r.Text != nil {
						t.Fatalf("in the history stands %+v", r)
					}
				}
			},
		})
	})
}

func TestHistoryByPages(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	for n := 1; n < 25; n++ {
		if _, err := s.Commit(ctx, id, n, facings.Revision{Text: fmt.Append(nil, n), Why: fmt.Sprint("edit ", n)}, ""); err != nil {
			t.Fatal(err)
		}
	}
	var numbers []int
	for before := 0; ; before = numbers[len(numbers)-1] {
		page, err := s.History(ctx, id, before, 10)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) == 0 {
			break
		}
		for _, r := range page {
			numbers = append(numbers, r.Number)
		}
	}
	if len(numbers) != 25 || numbers[0] != 25 || numbers[24] != 1 || !slices.IsSortedFunc(numbers, func(a, b int) int { return b - a }) {
		t.Errorf("the pages hold %v", numbers)
	}
}

func TestFilesStayWithRevisions(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	// FIPS 180-4's example: the SHA-256 of "abc".
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	hash, size, err := s.PutFile(ctx, id, strings.NewReader("abc"))
	if err != nil || hash != abc || size != 3 {
		t.Fatalf("%s of %d bytes, %v", hash, size, err)
	}
	if again, _, err := s.PutFile(ctx, id, strings.NewReader("abc")); err != nil || again != abc {
		t.Fatal(again, err)
	}
	files := map[string]string{"a.stl": abc, "b.stl": abc}
	for n, change := range []struct{ give, want map[string]string }{
		{files, files}, {nil, files}, {map[string]string{}, nil}, {nil, nil},
	} {
		r, err := s.Commit(ctx, id, n+1, facings.Revision{Files: change.give}, "")
		if err != nil || !maps.Equal(r.Files, change.want) {
			t.Errorf("given %v the revision has %v, %v", change.give, r.Files, err)
		}
	}
	if r, err := s.Undo(ctx, id, 5); err != nil || r.Files != nil {
		t.Errorf("%+v, %v", r, err)
	}
	// Another project may be made with the same files, and then has them.
	other, err := s.Create(ctx, "again", facings.Revision{Files: files})
	if err != nil {
		t.Fatal(err)
	}
	if f, err := s.File(ctx, other.ID, abc); err != nil {
		t.Error(err)
	} else {
		f.Close()
	}
	if got := count(t, s, "contents"); got != 1 {
		t.Errorf("the same content is kept %d times", got)
	}
	if _, err := s.File(ctx, create(t, s, ""), abc); !errors.Is(err, facings.ErrNotFound) {
		t.Errorf("a project gave out another's file: %v", err)
	}
}

func TestTextsAreKeptOnceAndPacked(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	text := []byte(strings.Repeat("unit: hussars\n", 1000))
	for n := 1; n <= 10; n++ {
		if _, err := s.Commit(ctx, id, n, facings.Revision{Text: text}, ""); err != nil {
			t.Fatal(err)
		}
	}
	if got := count(t, s, "texts"); got != 2 {
		t.Errorf("two texts are kept %d times", got)
	}
	var size int
	if err := s.Writer().QueryRow("SELECT max(length(packed)) FROM texts").Scan(&size); err != nil || size > len(text)/10 {
		t.Errorf("%d bytes are packed into %d, %v", len(text), size, err)
	}
}

func TestDamagedTextIsNotHandedOut(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	good := strings.Repeat("x", 100)
	if _, err := s.Commit(ctx, id, 1, facings.Revision{Text: []byte(good)}, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Writer().Exec("UPDATE texts SET packed = (SELECT packed FROM texts WHERE rowid = 1), size = (SELECT size FROM texts WHERE rowid = 1) WHERE rowid = 2"); err != nil {
		t.Fatal(err)
	}
	if r, err := s.Head(ctx, id); err == nil || !strings.Contains(err.Error(), "army-backups") {
		t.Errorf("%q, %v", r.Text, err)
	}
}

// TestClockSetBack: times of a project never go back, whatever the clock does.
func TestClockSetBack(t *testing.T) {
	ctx := context.Background()
	now := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	s := open(t, filepath.Join(t.TempDir(), "army.db"), store.Options{Clock: func() time.Time { return now }})
	id := create(t, s, "a")
	tick := ticks("t", 3)
	if _, err := s.Append(ctx, id, tick[:1]); err != nil {
		t.Fatal(err)
	}
	start := now
	now = now.AddDate(-1, 0, 0)
	r, err := s.Commit(ctx, id, 1, facings.Revision{At: start.AddDate(-2, 0, 0)}, "")
	if err != nil || r.At.Before(start) {
		t.Errorf("a revision at %v follows one at %v, %v", r.At, start, err)
	}
	e, err := s.Append(ctx, id, tick[1:2])
	if err != nil || e[0].Kept.Before(start) || !e[0].At.Equal(tick[1].At) {
		t.Errorf("an entry of %v, %v", e, err)
	}
	if kept, err := s.Project(ctx, id); err != nil || kept.Changed.Before(start) {
		t.Errorf("changed at %v, %v", kept.Changed, err)
	}
	now = start.AddDate(0, 0, 1)
	if r, err := s.Undo(ctx, id, 2); err != nil || !r.At.Equal(start) {
		t.Errorf("undoing gave revision 1 the time %v, %v", r.At, err)
	}
	if kept, err := s.Project(ctx, id); err != nil || !kept.Changed.Equal(now) {
		t.Errorf("once the clock is right again, changed is %v, %v", kept.Changed, err)
	}
}

func TestThrowAndTakeBack(t *testing.T) {
	ctx := context.Background()
	s, a := fresh(t)
	b := create(t, s, "b")
	names := func(gone bool) (out []string) {
		list, err := s.Projects(ctx, gone)
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range list {
			out = append(out, k.ID)
		}
		return out
	}
	for range 2 {
		if err := s.Throw(ctx, a, true); err != nil {
			t.Fatal(err)
		}
	}
	if got := names(false); !slices.Equal(got, []string{b}) {
		t.Errorf("left are %v", got)
	}
	if got := names(true); !slices.Equal(got, []string{b, a}) {
		t.Errorf("all are %v", got)
	}
	if kept, err := s.Project(ctx, a); err != nil || kept.Gone == nil {
		t.Errorf("%+v, %v", kept, err)
	}
	if _, err := s.Append(ctx, a, ticks("late", 1)); err != nil {
		t.Errorf("progress that comes late: %v", err)
	}
	if err := s.Throw(ctx, a, false); err != nil {
		t.Fatal(err)
	}
	if kept, err := s.Project(ctx, a); err != nil || kept.Gone != nil {
		t.Errorf("%+v, %v", kept, err)
	}
	if got := names(false); !slices.Equal(got, []string{a, b}) { // progress came to a last
		t.Errorf("in the end there are %v", got)
	}
}

func TestMemory(t *testing.T) {
	ctx := context.Background()
	s, _ := fresh(t)
	for _, key := range []string{"device/1", "device/2", "device%", "devices", "plan/1", "ünit/1"} {
		if err := s.Remember(ctx, key, []byte("x")); err != nil {
			t.Fatal(err)
		}
	}
	keys := func(prefix string) []string {
		got, err := s.Recall(ctx, prefix)
		if err != nil {
			t.Fatal(err)
		}
		return slices.Sorted(maps.Keys(got))
	}
	if err := s.Remember(ctx, "device/2", nil); err != nil {
		t.Fatal(err)
	}
	if err := s.Remember(ctx, "device/1", []byte{}); err != nil {
		t.Fatal(err)
	}
	for prefix, want := range map[string][]string{
		"": {"device%", "device/1", "devices", "plan/1", "ünit/1"}, "device/": {"device/1"}, "device%": {"device%"},
		"ün": {"ünit/1"}, "z": nil, "device/1x": nil,
	} {
		if got := keys(prefix); !slices.Equal(got, want) {
			t.Errorf("%q gives %v", prefix, got)
		}
	}
	if err := s.Remember(ctx, strings.Repeat("k", store.MaxKey+1), []byte("x")); err == nil {
		t.Error("a key that is too long was taken")
	}
	if err := s.Remember(ctx, "big", make([]byte, store.MaxValue+1)); !errors.Is(err, facings.ErrFull) {
		t.Error(err)
	}
}

func count(t testing.TB, s *store.Store, table string) (n int) {
	t.Helper()
	if err := s.Writer().QueryRow("SELECT count(*) FROM " + table).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}
