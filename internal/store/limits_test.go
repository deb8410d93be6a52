package store_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

// Whatever is handed over in whatever order, nothing goes over a limit of
// keep.go, what fits is taken, and what is refused leaves everything as it was.
func TestNothingGoesOverALimit(t *testing.T) {
	ctx := context.Background()
	const files, entries, once, oneFile, allFiles = 4, 9, 5, 60, 150
	rapid.Check(t, func(r *rapid.T) {
		s, id := fresh(t)
		s.Lower(files, entries, once, oneFile, allFiles)
		sizes := map[string]int{} // of the contents kept, by hash
		log := map[string]bool{}  // entries kept, by ID
		room := func(hash string, size int) bool {
			sum := size
			for _, n := range sizes {
				sum += n
			}
			_, known := sizes[hash]
			return known || len(sizes) < files && sum <= allFiles
		}
		r.Repeat(map[string]func(*rapid.T){
			"file": func(r *rapid.T) {
				letter := rapid.StringOfN(rapid.RuneFrom([]rune("abc")), 1, 1, -1).Draw(r, "letter")
				data := strings.Repeat(letter, rapid.IntRange(1, oneFile+10).Draw(r, "size"))
				hash, size, err := s.PutFile(ctx, id, strings.NewReader(data))
				fits := len(data) <= oneFile && room(hashOf(data), len(data))
				if (err == nil) != fits || err != nil && !errors.Is(err, facings.ErrFull) {
					r.Fatalf("a file of %d bytes beside %v: %v", len(data), slices.Collect(maps.Values(sizes)), err)
				}
				if err == nil {
					if hash != hashOf(data) || size != int64(len(data)) {
						r.Fatalf("%q was kept as %s of %d bytes", data, hash, size)
					}
					sizes[hash] = len(data)
				}
			},
			"entries": func(r *rapid.T) {
				var list []facings.Entry
				fresh := map[string]bool{}
				for range rapid.IntRange(0, once+2).Draw(r, "n") {
					e := facings.Entry{ID: fmt.Sprint(rapid.IntRange(1, 2*entries).Draw(r, "id")), Kind: facings.EntryNote, Note: "x"}
					list = append(list, e)
					if !log[e.ID] {
						fresh[e.ID] = true
					}
				}
				_, err := s.Append(ctx, id, list)
				fits := len(list) <= once && len(log)+len(fresh) <= entries
				if (err == nil) != fits || err != nil && !errors.Is(err, facings.ErrFull) {
					r.Fatalf("%d entries, %d of them new, beside %d: %v", len(list), len(fresh), len(log), err)
				}
				if err == nil {
					maps.Copy(log, fresh)
				}
			},
			"": func(r *rapid.T) {
				kept, err := s.Log(ctx, id, 0)
				if err != nil || len(kept) != len(log) || len(kept) > entries {
					r.Fatalf("%d entries are kept, want %d: %v", len(kept), len(log), err)
				}
				for i, e := range kept {
					if !log[e.ID] || e.Seq != int64(i+1) {
						r.Fatalf("entry %d is %+v", i, e)
					}
				}
				var n, sum int
				if err := s.Reader().QueryRow("SELECT count(*), coalesce(sum(c.size), 0) FROM files f JOIN contents c ON c.rowid = f.content").Scan(&n, &sum); err != nil {
					r.Fatal(err)
				}
				if n != len(sizes) || n > files || sum > allFiles {
					r.Fatalf("%d files of %d bytes are kept, want %d", n, sum, len(sizes))
				}
			},
		})
	})
}

func hashOf(data string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(data))) }

// The limits leave room for each other: one entry, file or go is never refused
// because of the limit on all.
func TestLimitsAgree(t *testing.T) {
	if facings.MaxOneFile > facings.MaxAllFiles || facings.MaxEntriesOnce > facings.MaxEntries || facings.MaxFileBytes > facings.MaxOneFile {
		t.Error("one may be larger than all")
	}
}
