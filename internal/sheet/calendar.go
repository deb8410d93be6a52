package sheet

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"facings"
)

// appointment is one event of a calendar.
type appointment struct {
	uid            string
	start, end     time.Time
	summary, words string
	sequence       int64
	modified       time.Time
	cancelled      bool
}

// Calendar writes the sittings of an order as an iCalendar file, one event
// each, in the zone of their times. Stamp is when the file was made; a later
// one tells a calendar program which of two versions is newer.
//
// An event's UID comes from the project's name, the painter and the date, so
// that after re-planning a second import changes an evening that is still
// needed instead of doubling it. Was is the earlier file, if there is one: what
// has not changed then keeps its sequence number, and evenings to come that
// are no longer needed are in the file as cancelled, which takes them out of a
// calendar (STATUS:CANCELLED; RFC 5546, 3.2.1, allows it when publishing).
// Ref: rfc5545.
func Calendar(p *facings.Project, o *facings.Order, stamp time.Time, was []byte) ([]byte, error) {
	stamp = stamp.UTC().Truncate(time.Second)
	list := appointments(p, o, stamp)
	if len(was) > 0 {
		earlier, err := readWas(p.Name, was)
		if err != nil {
			return nil, err
		}
		list = follow(list, earlier, stamp)
	}
	c := &ics{}
	c.line("BEGIN:VCALENDAR")
	c.line("VERSION:2.0")
	c.line("PRODID:-//Facings//Facings//EN")
	c.line("CALSCALE:GREGORIAN")
	c.line("METHOD:PUBLISH")
	c.line("X-WR-CALNAME:" + icsText(p.Name))
	var zone *time.Location
	if len(list) > 0 {
		zone = list[0].start.Location()
		if zoned(zone) {
			first, last := list[0].start, list[0].end
			for _, a := range list {
				if a.start.Before(first) {
					first = a.start
				}
				if a.end.After(last) {
					last = a.end
				}
			}
			c.zone(zone, first, last)
		}
	}
	for i := range list {
		c.event(&list[i], stamp, zone)
	}
	c.line("END:VCALENDAR")
	return []byte(c.b.String()), nil
}

// appointments are an order's sittings as events.
func appointments(p *facings.Project, o *facings.Order, stamp time.Time) []appointment {
	number := map[string]int{} // sittings so far, per painter
	onDate := map[string]int{} // and per painter and date
	var out []appointment
	for i := range o.Sittings {
		s := &o.Sittings[i]
		number[s.Painter]++
		date := s.Start.Format("20060102")
		onDate[s.Painter+"\x00"+date]++
		a := appointment{uid: sittingUID(p.Name, s.Painter, date, onDate[s.Painter+"\x00"+date]), start: s.Start.Truncate(time.Second), end: s.End.Truncate(time.Second),
			words: sittingWords(o, s), sequence: sequenceOf(stamp), modified: stamp}
		if !a.end.After(a.start) { // RFC 5545, 3.8.2.2
			a.end = a.start.Add(time.Minute)
		}
		a.summary = fmt.Sprintf("Painting: %s, sitting %d", p.Name, number[s.Painter])
		if s.Painter != "" && len(p.Calendar.Painters) > 1 {
			a.summary += ", " + s.Painter
		}
		a.summary, a.words = icsClean(a.summary), icsClean(a.words)
		out = append(out, a)
	}
	return out
}

type ics struct{ b strings.Builder }

// line writes a content line, folded after 75 octets and never inside a letter.
func (c *ics) line(s string) {
	const most = 75
	room := most
	for len(s) > room {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		c.b.WriteString(s[:cut])
		c.b.WriteString("\r\n ")
		s, room = s[cut:], most-1 // the space counts
	}
	c.b.WriteString(s)
	c.b.WriteString("\r\n")
}

// icsText escapes a TEXT value.
func icsText(s string) string {
	return strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\n", "\\n").Replace(icsClean(s))
}

// icsClean leaves what a TEXT value may hold: no control characters but tabs
// and the ends of lines, and those as one.
func icsClean(s string) string {
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(s, "?"))
	return strings.Map(func(r rune) rune {
		if (r < ' ' && r != '\t' && r != '\n') || r == 0x7f {
			return -1
		}
		return r
	}, s)
}

// zoned reports whether times need a VTIMEZONE: UTC does not, and a zone
// without a name cannot have one.
func zoned(z *time.Location) bool {
	return z != time.UTC && z.String() != "UTC" && z.String() != "Local"
}

const icsLocal = "20060102T150405"

func (c *ics) time(name string, t time.Time, zone *time.Location) {
	if zoned(zone) {
		c.line(name + ";TZID=" + zone.String() + ":" + t.In(zone).Format(icsLocal))
		return
	}
	c.line(name + ":" + icsUTC(t))
}

func (c *ics) event(a *appointment, stamp time.Time, zone *time.Location) {
	c.line("BEGIN:VEVENT")
	c.line("UID:" + a.uid)
	c.line("DTSTAMP:" + icsUTC(stamp))
	c.line("LAST-MODIFIED:" + icsUTC(a.modified))
	c.line(fmt.Sprintf("SEQUENCE:%d", a.sequence))
	c.time("DTSTART", a.start, zone)
	c.time("DTEND", a.end, zone)
	if a.cancelled {
		c.line("STATUS:CANCELLED")
	} else {
		c.line("STATUS:CONFIRMED")
	}
	c.line("SUMMARY:" + icsText(a.summary))
	c.line("DESCRIPTION:" + icsText(a.words))
	c.line("CATEGORIES:" + icsText("painting"))
	c.line("END:VEVENT")
}

func icsUTC(t time.Time) string { return t.UTC().Format(icsLocal) + "Z" }

// sequenceOf rises with the time a file is made: the minutes since 2020, so
// that numbers stay small.
func sequenceOf(stamp time.Time) int64 { return max(0, stamp.Unix()-1577836800) / 60 }

// uidHost ends every UID. RFC 2606: a name that is nobody's.
const uidHost = "@facings.invalid"

// sittingUID is the same for the n-th sitting of a painter on a date, whatever
// is painted then.
func sittingUID(project, painter, date string, n int) string {
	return fmt.Sprintf("%s-%s-%s-%d%s", projectID(project), shortHash(painter)[:8], date, n, uidHost)
}

func projectID(name string) string { return shortHash(name) }

func shortHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:8])
}

func sortedUIDs(m map[string]appointment) []string {
	return slices.SortedFunc(maps.Keys(m), func(a, b string) int { return cmp.Or(m[a].start.Compare(m[b].start), cmp.Compare(a, b)) })
}

// sittingWords lists a sitting's passes, one a line, with cautions at the end,
// each said once.
func sittingWords(o *facings.Order, s *facings.Sitting) string {
	var lines, cautions []string
	for _, n := range s.Passes {
		if n < 1 || n > len(o.Passes) {
			continue
		}
		pass := &o.Passes[n-1]
		name := pass.Name()
		if begunBefore(o, s, n) {
			name += " (goes on)"
		}
		lines = append(lines, fmt.Sprintf("%d. %s, %s, %d %s: %s", n, name, pass.Tool, len(pass.Figures), plural(len(pass.Figures), "figure", "figures"), strings.Join(pass.Areas, ", ")))
		caution := cautionOf(pass)
		if caution == "" || slices.ContainsFunc(cautions, func(said string) bool { return strings.Contains(said, caution) }) {
			continue
		}
		cautions = append(cautions, "CAUTION: "+caution)
	}
	return strings.Join(append(lines, cautions...), "\n")
}

// begunBefore reports whether a pass was begun in an earlier sitting.
func begunBefore(o *facings.Order, s *facings.Sitting, pass int) bool {
	return slices.ContainsFunc(o.Sittings, func(x facings.Sitting) bool {
		return x.Start.Before(s.Start) && slices.Contains(x.Passes, pass)
	})
}

// zone writes the zone's rules as far as the sittings need them: the offset in
// force at the first one and each change of clocks up to the last.
func (c *ics) zone(z *time.Location, first, last time.Time) {
	c.line("BEGIN:VTIMEZONE")
	c.line("TZID:" + z.String())
	start := first.In(z)
	begun, _ := start.ZoneBounds()
	if begun.IsZero() {
		begun = time.Date(1970, 1, 1, 0, 0, 0, 0, z)
	}
	for t := begun.In(z); ; {
		c.observance(t)
		_, end := t.ZoneBounds()
		if end.IsZero() || end.After(last) {
			break
		}
		t = end.In(z)
	}
	c.line("END:VTIMEZONE")
}

// observance is one stretch between two changes of clocks, from its first
// moment, which is given in the time before the change.
func (c *ics) observance(t time.Time) {
	kind := "STANDARD"
	if t.IsDST() {
		kind = "DAYLIGHT"
	}
	name, to := t.Zone()
	_, from := t.Add(-time.Second).Zone()
	c.line("BEGIN:" + kind)
	c.line("DTSTART:" + t.UTC().Add(time.Duration(from)*time.Second).Format(icsLocal))
	c.line("TZOFFSETFROM:" + utcOffset(from))
	c.line("TZOFFSETTO:" + utcOffset(to))
	c.line("TZNAME:" + icsText(name))
	c.line("END:" + kind)
}

func utcOffset(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	s := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if seconds%60 != 0 {
		s += fmt.Sprintf("%02d", seconds%60)
	}
	return s
}
