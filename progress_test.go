package facings

import (
	"testing"
	"time"
)

func TestTheLastWordOnATaskCounts(t *testing.T) {
	at := func(minute int) time.Time { return time.Date(2027, 1, 4, 20, minute, 0, 0, time.UTC) }
	key := func(area string) TaskKey { return TaskKey{Area: area, Medium: "blue"} }
	log := []Entry{
		{ID: "1", Kind: EntryDone, At: at(1), Tasks: []TaskKey{key("jacket"), key("cuffs")}},
		{ID: "2", Kind: EntrySkip, At: at(2), Tasks: []TaskKey{key("cuffs"), key("hat")}},
		{ID: "3", Kind: EntryDone, At: at(3), Tasks: []TaskKey{key("hat")}},
		{ID: "4", Kind: EntryDone, At: at(4), Tasks: []TaskKey{key("collar")}},
		{ID: "5", Kind: EntryUndo, Undoes: "4"},
		{ID: "6", Kind: EntryDone, At: at(50), Kept: at(6), Tasks: []TaskKey{key("boots")}},
		{ID: "1", Kind: EntryDone, At: at(9), Tasks: []TaskKey{key("cuffs")}},
		{ID: "7", Kind: EntryStart, At: at(10), Tasks: []TaskKey{key("face")}},
	}
	g := ProgressOf(log)
	want := map[string]time.Time{"jacket": at(1), "hat": at(3), "boots": at(6)}
	if len(g.Done) != len(want) {
		t.Errorf("done: %v", g.Done)
	}
	for area, when := range want {
		if !g.Done[key(area)].Equal(when) {
			t.Errorf("%s done at %v, want %v", area, g.Done[key(area)], when)
		}
	}
	if len(g.Skipped) != 1 || !g.Skipped[key("cuffs")] {
		t.Errorf("skipped: %v", g.Skipped)
	}
	if !g.Last().Equal(at(6)) {
		t.Errorf("the last was done at %v", g.Last())
	}
}

func TestFiguresInWords(t *testing.T) {
	r := &Roster{}
	add := func(unit, role string, n int) {
		for i := range n {
			r.Figures = append(r.Figures, Figure{ID: FigureID{unit, role, i + 1}})
		}
	}
	add("Hussars", "officer", 1)
	add("Hussars", "trooper", 9)
	add("Foot", "sergeant", 2)
	add("Foot", "standard-bearer", 1)
	for want, indexes := range map[string][]int{
		"no figure":                           nil,
		"all 13":                              {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12},
		"the 10 of Hussars":                   {9, 8, 7, 6, 5, 4, 3, 2, 1, 0},
		"officer and troopers 2–5 of Hussars": {0, 2, 3, 4, 5},
		"trooper 3 of Hussars; standard-bearer of Foot":             {3, 12},
		"troopers 1, 2, 4–6, 9 of Hussars; sergeant 2 of Foot":      {1, 2, 4, 5, 6, 9, 11},
		"the 9 troopers of Hussars; the 2 sergeants of Foot":        {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11},
		"the 10 of Hussars; standard-bearer and sergeant 1 of Foot": {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12},
	} {
		if got := FiguresInWords(r, indexes); got != want {
			t.Errorf("%v: %q, want %q", indexes, got, want)
		}
	}
	for want, n := range map[string]int{"1 rifleman": 1, "12 riflemen": 12} {
		if got := CountedRole(n, "rifleman"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
