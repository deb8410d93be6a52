package facings

import "time"

// KeyOf names a task of a roster for the log. Should two tasks of a figure have
// the same key, which takes a base painted with its own texture, they are done
// together.
func KeyOf(r *Roster, t Task) TaskKey {
	return TaskKey{Figure: r.Figures[t.Figure].ID, Area: t.Area, Coat: t.Coat, Medium: t.Medium}
}

// Progress is what a log says of the work: tasks that are painted, with the
// time that was, and tasks that shall not be painted. The zero value is a
// project nobody has begun.
type Progress struct {
	Done    map[TaskKey]time.Time
	Skipped map[TaskKey]bool
}

// None reports whether nothing is done or skipped.
func (g Progress) None() bool { return len(g.Done) == 0 && len(g.Skipped) == 0 }

// Last is when the last task was done; zero for none.
func (g Progress) Last() time.Time {
	var last time.Time
	for _, at := range g.Done {
		if at.After(last) {
			last = at
		}
	}
	return last
}

// ProgressOf reads a log in the order of its entries. What counts is the last
// word on each task; entries undone, and entries handed over twice, do not. A
// device whose clock runs ahead is corrected by when its entry was kept.
func ProgressOf(log []Entry) Progress {
	undone := map[string]bool{}
	for _, e := range log {
		if e.Kind == EntryUndo {
			undone[e.Undoes] = true
		}
	}
	g := Progress{Done: map[TaskKey]time.Time{}, Skipped: map[TaskKey]bool{}}
	seen := map[string]bool{}
	for _, e := range log {
		if undone[e.ID] || e.ID != "" && seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		at := e.At
		if !e.Kept.IsZero() && e.Kept.Before(at) {
			at = e.Kept
		}
		for _, k := range e.Tasks {
			switch e.Kind {
			case EntryDone:
				g.Done[k] = at
				delete(g.Skipped, k)
			case EntrySkip:
				g.Skipped[k] = true
				delete(g.Done, k)
			}
		}
	}
	return g
}
