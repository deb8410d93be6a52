package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"facings"
)

// readLog reads a project's log once; later entries are added as they come.
func (d *Desk) readLog(ctx context.Context, s *session) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.logRead {
		return nil
	}
	entries, err := d.keeper.Log(ctx, s.id, 0)
	if err != nil {
		return err
	}
	s.log, s.logRead = entries, true
	s.progress = facings.ProgressOf(entries)
	return nil
}

// seq is the number of the log's last entry; the lock is held.
func (s *session) seq() int64 {
	if n := len(s.log); n > 0 {
		return s.log[n-1].Seq
	}
	return 0
}

// Log lists a project's entries after a number.
func (d *Desk) Log(ctx context.Context, id string, after int64) (*LogAnswer, error) {
	if _, err := d.keeper.Project(ctx, id); err != nil {
		return nil, err
	}
	s := d.session(id)
	if err := d.readLog(ctx, s); err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	out := &LogAnswer{Entries: []facings.Entry{}, Seq: s.seq()}
	for _, e := range s.log {
		if e.Seq > after {
			out.Entries = append(out.Entries, e)
		}
	}
	return out, nil
}

// Append adds entries to a project's log. An entry is never refused for being
// about an older plan: what was painted was painted.
func (d *Desk) Append(ctx context.Context, id, device string, entries []facings.Entry) (*LogAnswer, error) {
	if len(entries) > facings.MaxEntriesOnce {
		return nil, &Mistake{Message: fmt.Sprintf("%d entries at once, at most %d are taken", len(entries), facings.MaxEntriesOnce), Hint: "hand them over in several goes"}
	}
	entries = slices.Clone(entries)
	for i := range entries {
		e := &entries[i]
		if err := checkEntry(e); err != nil {
			return nil, &Mistake{Message: fmt.Sprintf("entry %d: %v", i, err), Hint: "no entry was kept"}
		}
		if device != "" {
			e.Device = device
		}
		e.Seq, e.Kept = 0, time.Time{}
	}
	s := d.session(id)
	if err := d.readLog(ctx, s); err != nil {
		return nil, err
	}
	kept, err := d.keeper.Append(ctx, id, entries)
	if err != nil {
		return nil, err
	}
	if kept == nil {
		kept = []facings.Entry{}
	}
	s.mu.Lock()
	last := s.seq()
	s.mu.Unlock()
	// Others may have added too: what counts is the keeper's own order.
	fresh, err := d.keeper.Log(ctx, id, last)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	for _, e := range fresh {
		if e.Seq > s.seq() {
			s.log = append(s.log, e)
		}
	}
	s.progress = facings.ProgressOf(s.log)
	out := &LogAnswer{Entries: kept, Seq: s.seq()}
	if len(fresh) > 0 {
		s.tell(Event{Kind: "log", Seq: out.Seq})
	}
	plan := s.plan
	behind := plan != nil && !follows(plan, s.progress)
	s.mu.Unlock()
	if behind {
		d.wake(id, debounce)
	}
	return out, nil
}

// Bounds of one entry.
const (
	mostKeys    = 60_000 // tasks: a coat on every figure of a great army
	mostNote    = 4000   // letters
	mostID      = 64
	mostSeconds = 7 * 24 * 3600
	mostMixed   = 100    // paints in one mix
	mostUsedML  = 10_000 // of one paint
)

func checkEntry(e *facings.Entry) error {
	kinds := []facings.EntryKind{facings.EntryStart, facings.EntryPause, facings.EntryDone, facings.EntrySkip, facings.EntryUndo,
		facings.EntryMix, facings.EntryUsed, facings.EntryNote}
	switch {
	case e.ID == "" || len(e.ID) > mostID:
		return fmt.Errorf("the id %q is not one; give a UUID", clipped(e.ID, mostID))
	case !slices.Contains(kinds, e.Kind):
		return fmt.Errorf("unknown kind %q; one of %v", clipped(string(e.Kind), mostID), kinds)
	case e.At.IsZero() || e.At.Year() < 2000 || e.At.Year() > 2200:
		return fmt.Errorf("the time %v cannot be", e.At)
	case len(e.Tasks) > mostKeys:
		return fmt.Errorf("%d tasks, at most %d are taken", len(e.Tasks), mostKeys)
	case len(e.Note) > 4*mostNote || len(e.File) > 200 || len(e.Device) > 200 || len(e.Undoes) > mostID:
		return fmt.Errorf("a text is too long")
	case e.Used != nil && (len(e.Used.Medium) > 8*facings.MaxNameLength || len(e.Used.Lot) > 200 || len(e.Used.Mix) > mostMixed):
		return fmt.Errorf("what was used is said at too great a length")
	case e.Used != nil && !(e.Used.ML >= 0 && e.Used.ML <= mostUsedML):
		return fmt.Errorf("%v ml cannot be", e.Used.ML)
	case e.Seconds < 0 || e.Seconds > mostSeconds || e.SetUp < 0 || e.SetUp > mostSeconds:
		return fmt.Errorf("%d seconds cannot be", max(e.Seconds, e.SetUp))
	case e.Kind == facings.EntryUndo && e.Undoes == "":
		return fmt.Errorf("it does not say what it undoes")
	case (e.Kind == facings.EntryDone || e.Kind == facings.EntrySkip) && len(e.Tasks) == 0:
		return fmt.Errorf("it names no tasks")
	}
	for _, k := range e.Tasks {
		if len(k.Area)+len(k.Medium)+len(k.Figure.Unit)+len(k.Figure.Role) > 8*facings.MaxNameLength {
			return fmt.Errorf("a name in its tasks is too long")
		}
	}
	return nil
}
