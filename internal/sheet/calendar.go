package sheet

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"facings"
)

// Calendar writes the sittings of an order as an iCalendar file, one event
// each, in the zone of their times. Stamp is when the file was made; a later
// one tells a calendar program which of two versions is newer. An event keeps
// its UID from plan to plan as long as the project's name, the painter and the
// number of their sitting stay, so that a second import moves events instead
// of doubling them. Ref: rfc5545.
func Calendar(p *facings.Project, o *facings.Order, stamp time.Time) []byte {
	c := &ics{}
	c.line("BEGIN:VCALENDAR")
	c.line("VERSION:2.0")
	c.line("PRODID:-//Facings//Facings//EN")
	c.line("CALSCALE:GREGORIAN")
	c.line("METHOD:PUBLISH")
	c.line("X-WR-CALNAME:" + icsText(p.Name))
	var zone *time.Location
	if len(o.Sittings) > 0 {
		zone = o.Sittings[0].Start.Location()
		if zoned(zone) {
			first, last := o.Sittings[0].Start, o.Sittings[0].End
			for _, s := range o.Sittings {
				if s.Start.Before(first) {
					first = s.Start
				}
				if s.End.After(last) {
					last = s.End
				}
			}
			c.zone(zone, first, last)
		}
	}
	count := map[string]int{} // sittings so far, per painter
	for i := range o.Sittings {
		s := &o.Sittings[i]
		count[s.Painter]++
		c.event(p, o, s, count[s.Painter], stamp, zone)
	}
	c.line("END:VCALENDAR")
	return []byte(c.b.String())
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
	s = strings.ToValidUTF8(s, "?")
	s = strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\r\n", "\\n", "\n", "\\n", "\r", "\\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if (r < ' ' && r != '\t') || r == 0x7f {
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
	c.line(name + ":" + t.UTC().Format(icsLocal) + "Z")
}

func (c *ics) event(p *facings.Project, o *facings.Order, s *facings.Sitting, number int, stamp time.Time, zone *time.Location) {
	c.line("BEGIN:VEVENT")
	c.line("UID:" + sittingUID(p.Name, s.Painter, number))
	c.line("DTSTAMP:" + stamp.UTC().Format(icsLocal) + "Z")
	c.line("LAST-MODIFIED:" + stamp.UTC().Format(icsLocal) + "Z")
	c.line(fmt.Sprintf("SEQUENCE:%d", max(0, stamp.Unix()/60-sequenceEpoch)))
	c.time("DTSTART", s.Start, zone)
	end := s.End
	if !end.After(s.Start) {
		end = s.Start.Add(time.Minute)
	}
	c.time("DTEND", end, zone)
	summary := fmt.Sprintf("Painting: %s, sitting %d", p.Name, number)
	if s.Painter != "" && len(p.Calendar.Painters) > 1 {
		summary += ", " + s.Painter
	}
	c.line("SUMMARY:" + icsText(summary))
	c.line("DESCRIPTION:" + icsText(sittingWords(o, s)))
	c.line("CATEGORIES:" + icsText("painting"))
	c.line("END:VEVENT")
}

// sequenceEpoch is 2020-01-01 in minutes, so that sequence numbers stay small
// and still rise from one stamp to the next.
const sequenceEpoch = 1577836800 / 60

// sittingUID is the same for the same sitting of the same project.
func sittingUID(project, painter string, number int) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%s\x00%d", project, painter, number))
	return hex.EncodeToString(sum[:12]) + "@facings.invalid" // RFC 2606: a name that is nobody's
}

// sittingWords lists a sitting's passes, one a line, with cautions at the end.
func sittingWords(o *facings.Order, s *facings.Sitting) string {
	var lines, cautions []string
	seen := map[string]bool{}
	for _, n := range s.Passes {
		if n < 1 || n > len(o.Passes) {
			continue
		}
		pass := &o.Passes[n-1]
		line := fmt.Sprintf("%d. %s, %s, %d figures: %s", n, passName(pass), pass.Tool, len(pass.Figures), strings.Join(pass.Areas, ", "))
		lines = append(lines, line)
		if pass.Caution != "" && !seen[pass.Caution] {
			seen[pass.Caution] = true
			cautions = append(cautions, "CAUTION: "+pass.Caution)
		}
	}
	return strings.Join(append(lines, cautions...), "\n")
}

// passName is what a pass is called: its paint or mix, or its technique.
func passName(p *facings.Pass) string {
	if p.Medium != "" {
		return p.Medium
	}
	return string(p.Technique)
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
