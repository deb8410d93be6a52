package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	ical "github.com/arran4/golang-ical"
)

// Bounds of an earlier calendar file that is handed in.
const (
	MaxCalendarBytes  = 4 << 20
	maxCalendarEvents = 10_000
)

// ErrOtherCalendar says that an earlier calendar file is not this project's.
var ErrOtherCalendar = errors.New("none of its events are of this project; a project that was renamed begins a calendar of its own")

// readWas reads the events of a project from an earlier calendar file of it, by
// their UIDs. Events of others are passed over.
func readWas(project string, data []byte) (map[string]appointment, error) {
	if len(data) > MaxCalendarBytes {
		return nil, fmt.Errorf("it holds more than %d MB", MaxCalendarBytes>>20)
	}
	c, err := ical.ParseCalendar(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("it cannot be read as iCalendar: %w", err)
	}
	events := c.Events()
	if len(events) > maxCalendarEvents {
		return nil, fmt.Errorf("it holds more than %d events", maxCalendarEvents)
	}
	out := map[string]appointment{}
	for _, e := range events {
		if !strings.HasPrefix(e.Id(), projectID(project)+"-") || !strings.HasSuffix(e.Id(), uidHost) {
			continue
		}
		text := func(name ical.ComponentProperty) string {
			if p := e.GetProperty(name); p != nil {
				return p.Value
			}
			return ""
		}
		a := appointment{uid: e.Id(), summary: text(ical.ComponentPropertySummary), words: text(ical.ComponentPropertyDescription), cancelled: text(ical.ComponentPropertyStatus) == "CANCELLED"}
		if a.start, err = e.GetStartAt(); err == nil {
			a.end, err = e.GetEndAt()
		}
		if err != nil {
			return nil, fmt.Errorf("the event %s: %w", e.Id(), err)
		}
		if a.sequence, err = strconv.ParseInt(text(ical.ComponentPropertySequence), 10, 32); err != nil || a.sequence < 0 {
			return nil, fmt.Errorf("the event %s has no sequence number", e.Id())
		}
		if a.modified, err = time.Parse(icsLocal+"Z", text(ical.ComponentPropertyLastModified)); err != nil {
			a.modified = time.Time{}
		}
		out[a.uid] = a
	}
	if len(out) == 0 {
		return nil, ErrOtherCalendar
	}
	return out, nil
}

// follow makes appointments the next version of earlier ones: what has not
// changed keeps its sequence number and its time of change, what has gets a
// higher one, and evenings yet to come that are no longer needed are cancelled.
// What lies behind stays as it is in whoever's calendar and is left out.
func follow(list []appointment, was map[string]appointment, stamp time.Time) []appointment {
	for i := range list {
		a := &list[i]
		old, ok := was[a.uid]
		delete(was, a.uid)
		switch {
		case !ok:
		case a.same(&old):
			a.sequence, a.modified = old.sequence, old.modified
		default:
			a.sequence = max(a.sequence, old.sequence+1)
		}
	}
	for _, uid := range sortedUIDs(was) {
		old := was[uid]
		if old.start.Before(stamp) {
			continue
		}
		if !old.cancelled {
			old.cancelled, old.modified, old.words = true, stamp, "no longer needed: the plan has changed"
			old.sequence = max(sequenceOf(stamp), old.sequence+1)
		}
		list = append(list, old)
	}
	return list
}

// same reports whether two versions of an event say the same.
func (a *appointment) same(b *appointment) bool {
	return a.start.Equal(b.start) && a.end.Equal(b.end) && a.summary == b.summary && a.words == b.words && a.cancelled == b.cancelled && !b.modified.IsZero()
}
