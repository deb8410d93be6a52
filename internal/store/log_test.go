package store_test

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"facings"
)

// TestAppendTwice: the same entries from several devices at once, over and
// over, are kept once each, with sequence numbers without a gap.
func TestAppendTwice(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	all := ticks("t", 60)
	var wait sync.WaitGroup
	for worker := range 6 {
		wait.Go(func() {
			for i := range 20 {
				from := (worker*7 + i*3) % 51
				kept, err := s.Append(ctx, id, all[from:from+10])
				if err != nil {
					t.Error(err)
					return
				}
				for j, e := range kept {
					if e.ID != all[from+j].ID || e.Seq == 0 {
						t.Errorf("for entry %s came back %+v", all[from+j].ID, e)
					}
				}
				read(t, s, id)
			}
		})
	}
	wait.Wait()
	log := read(t, s, id)
	ids := map[string]bool{}
	for _, e := range log {
		ids[e.ID] = true
	}
	if len(log) != 60 || len(ids) != 60 {
		t.Errorf("%d entries of %d IDs are kept, not 60", len(log), len(ids))
	}
}

// read reads a whole log and holds its numbers to 1, 2, 3…
func read(t testing.TB, s interface {
	Log(context.Context, string, int64) ([]facings.Entry, error)
}, id string) []facings.Entry {
	t.Helper()
	log, err := s.Log(context.Background(), id, 0)
	if err != nil {
		t.Error(err)
	}
	for i, e := range log {
		if e.Seq != int64(i+1) {
			t.Errorf("entry %d of the log has number %d", i+1, e.Seq)
		}
	}
	return log
}

func TestWhatCameFirstStays(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	a := ticks("t", 1)[0]
	b := a
	b.Note = "another"
	kept, err := s.Append(ctx, id, []facings.Entry{a, b, a})
	if err != nil {
		t.Fatal(err)
	}
	again, err := s.Append(ctx, id, []facings.Entry{b})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range slices.Concat(kept, again) {
		if e.Seq != 1 || e.Note != "" {
			t.Errorf("came back %+v", e)
		}
	}
	if log := read(t, s, id); len(log) != 1 || log[0].Note != "" {
		t.Errorf("the log is %+v", log)
	}
	if none, err := s.Append(ctx, id, nil); err != nil || len(none) != 0 {
		t.Errorf("%v, %v", none, err)
	}
	// Another project counts for itself.
	if other, err := s.Append(ctx, create(t, s, ""), []facings.Entry{b}); err != nil || other[0].Seq != 1 || other[0].Note == "" {
		t.Errorf("%v, %v", other, err)
	}
}

// TestEntryComesBackWhole: no field of an entry is lost.
func TestEntryComesBackWhole(t *testing.T) {
	s, id := fresh(t)
	e := ticks("t", 1)[0]
	e.Device, e.Seconds, e.SetUp, e.Painter, e.Undoes = "phone", 90, 30, 2, "t-zz"
	e.Used = &facings.Used{Medium: "dark blue", Mix: []facings.Part{{}}, Lot: "7", ML: 0.4}
	e.Note, e.File = "too thin – again", strings.Repeat("ab", 32)
	v := reflect.ValueOf(e)
	for i := range v.NumField() {
		if name := v.Type().Field(i).Name; v.Field(i).IsZero() && name != "Seq" && name != "Kept" {
			t.Errorf("the test leaves %s empty", name)
		}
	}
	if _, err := s.Append(context.Background(), id, []facings.Entry{e}); err != nil {
		t.Fatal(err)
	}
	got := read(t, s, id)[0]
	if !got.At.Equal(e.At) || got.At.Format("-07:00") != "+01:00" {
		t.Errorf("the device's clock said %v, kept is %v", e.At, got.At)
	}
	got.Seq, got.Kept, got.At = 0, e.Kept, e.At
	if !reflect.DeepEqual(got, e) {
		t.Errorf("came back %+v", got)
	}
}

func TestLimits(t *testing.T) {
	ctx := context.Background()
	s, id := fresh(t)
	s.Lower(2, 5, 4, 100, 150)
	full := func(err error) {
		t.Helper()
		if !errors.Is(err, facings.ErrFull) {
			t.Errorf("%v", err)
		}
	}
	_, err := s.Append(ctx, id, ticks("t", 5))
	full(err)
	if _, err := s.Append(ctx, id, ticks("a", 4)); err != nil {
		t.Error(err)
	}
	_, err = s.Append(ctx, id, ticks("b", 2))
	full(err)
	if _, err := s.Append(ctx, id, ticks("a", 4)); err != nil { // has them all already
		t.Error(err)
	}
	if log := read(t, s, id); len(log) != 4 {
		t.Errorf("%d entries are kept", len(log))
	}
	put := func(size int, letter string) error {
		_, _, err := s.PutFile(ctx, id, strings.NewReader(strings.Repeat(letter, size)))
		return err
	}
	full(put(101, "a"))
	if err := put(100, "a"); err != nil {
		t.Error(err)
	}
	full(put(51, "b"))
	if err := put(50, "c"); err != nil {
		t.Error(err)
	}
	full(put(0, ""))
	if got := count(t, s, "contents"); got != 2 {
		t.Errorf("%d contents are kept", got)
	}
	_, err = s.Commit(ctx, id, 1, facings.Revision{Text: make([]byte, 101)}, "")
	full(err)
	for _, bad := range []string{"", strings.Repeat("x", 101)} {
		if _, err := s.Append(ctx, id, []facings.Entry{{ID: bad}}); err == nil {
			t.Errorf("an ID of %d bytes was taken", len(bad))
		}
	}
}
