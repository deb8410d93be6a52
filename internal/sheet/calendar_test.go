package sheet

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"
	"unicode/utf8"

	ical "github.com/arran4/golang-ical"
	"pgregory.net/rapid"

	"facings"
)

// evenings is an order of one-pass sittings on the days given.
func evenings(t testing.TB, zone string, days ...string) (*facings.Project, *facings.Order) {
	t.Helper()
	z, err := time.LoadLocation(zone)
	if err != nil {
		t.Fatal(err)
	}
	o := &facings.Order{}
	for i, day := range days {
		start, err := time.ParseInLocation("2006-01-02 15:04", day+" 19:30", z)
		if err != nil {
			t.Fatal(err)
		}
		o.Passes = append(o.Passes, facings.Pass{Number: i + 1, Medium: "buff; or ivory, thin", Tool: "brush 2", Areas: []string{"coat", "cuffs"}, Figures: []int{0},
			Caution: facings.CautionSpray})
		o.Sittings = append(o.Sittings, facings.Sitting{Number: i + 1, Painter: "Ilse", Start: start, End: start.Add(2 * time.Hour), Until: start.Add(150 * time.Minute), Passes: []int{i + 1}})
	}
	return &facings.Project{Name: "Vey, at Ostmark; Ford\\"}, o
}

var stamp = time.Date(2027, 1, 4, 9, 0, 0, 0, time.UTC)

// Lines end in CRLF and hold at most 75 octets, cut between letters (RFC 5545
// section 3.1); unfolded they are what was written.
func TestLinesAreFolded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := icsText(rapid.StringN(0, 200, 600).Draw(t, "text") + strings.Repeat(rapid.SampledFrom([]string{"x", "é", "🐎"}).Draw(t, "letter"), rapid.IntRange(0, 300).Draw(t, "more")))
		c := &ics{}
		c.line("DESCRIPTION:" + s)
		out := c.b.String()
		if !strings.HasSuffix(out, "\r\n") {
			t.Fatal("no CRLF at the end")
		}
		for _, l := range strings.Split(strings.TrimSuffix(out, "\r\n"), "\r\n") {
			if len(l) > 75 || !utf8.ValidString(l) || strings.ContainsAny(l, "\r\n") {
				t.Fatalf("a line of %d octets: %q", len(l), l)
			}
		}
		if got := strings.ReplaceAll(strings.TrimSuffix(out, "\r\n"), "\r\n ", ""); got != "DESCRIPTION:"+s {
			t.Fatalf("unfolded: %q", got)
		}
	})
}

// RFC 5545 section 3.3.11.
func TestTextIsEscaped(t *testing.T) {
	if got, want := icsText("a,b;c\\d\ne\r\nf\x00"), `a\,b\;c\\d\ne\nf`; got != want {
		t.Errorf("%q, not %q", got, want)
	}
}

// The clocks of Vienna change on the last Sunday of March at 02:00 to +0200
// (Directive 2000/84/EC); an evening keeps its time on the wall.
func TestChangeOfClocks(t *testing.T) {
	p, o := evenings(t, "Europe/Vienna", "2027-03-26", "2027-03-28", "2027-03-29")
	text := string(Calendar(p, o, stamp))
	for _, want := range []string{
		"BEGIN:VTIMEZONE\r\nTZID:Europe/Vienna\r\n",
		"BEGIN:STANDARD\r\nDTSTART:20261025T030000\r\nTZOFFSETFROM:+0200\r\nTZOFFSETTO:+0100\r\nTZNAME:CET\r\nEND:STANDARD\r\n",
		"BEGIN:DAYLIGHT\r\nDTSTART:20270328T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0200\r\nTZNAME:CEST\r\nEND:DAYLIGHT\r\n",
		"DTSTART;TZID=Europe/Vienna:20270326T193000\r\n", "DTSTART;TZID=Europe/Vienna:20270329T193000\r\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing from\n%s", want, text)
		}
	}
	if strings.Count(text, "BEGIN:DAYLIGHT") != 1 || strings.Count(text, "BEGIN:STANDARD") != 1 {
		t.Error("zones that are not needed")
	}
}

func TestUTCNeedsNoZone(t *testing.T) {
	p, o := evenings(t, "UTC", "2027-03-26")
	text := string(Calendar(p, o, stamp))
	if strings.Contains(text, "VTIMEZONE") || !strings.Contains(text, "DTSTART:20270326T193000Z\r\n") {
		t.Error(text)
	}
}

// A general-purpose library reads what is written, in zones of both
// hemispheres, with half hours and without summer time.
func TestAnotherReaderAgrees(t *testing.T) {
	for _, zone := range []string{"Europe/Vienna", "Australia/Lord_Howe", "America/New_York", "Asia/Kolkata", "UTC"} {
		p, o := evenings(t, zone, "2027-03-13", "2027-03-15", "2027-04-05", "2027-11-09")
		text := Calendar(p, o, stamp)
		c, err := ical.ParseCalendar(bytes.NewReader(text))
		if err != nil {
			t.Fatalf("%s: %v", zone, err)
		}
		events := c.Events()
		if len(events) != len(o.Sittings) {
			t.Fatalf("%s: %d events", zone, len(events))
		}
		seen := map[string]bool{}
		for i, e := range events {
			start, err1 := e.GetStartAt()
			end, err2 := e.GetEndAt()
			if err1 != nil || err2 != nil || !start.Equal(o.Sittings[i].Start) || !end.Equal(o.Sittings[i].End) {
				t.Errorf("%s: event %d from %v to %v (%v, %v)", zone, i, start, end, err1, err2)
			}
			for _, need := range []ical.ComponentProperty{ical.ComponentPropertyUniqueId, ical.ComponentPropertyDtstamp, ical.ComponentPropertySummary} {
				if e.GetProperty(need) == nil {
					t.Errorf("event %d has no %s", i, need)
				}
			}
			if seen[e.Id()] {
				t.Errorf("the UID %s stands twice", e.Id())
			}
			seen[e.Id()] = true
		}
	}
}

// A later plan of the same project moves its events: same UIDs, a higher
// sequence number. Another project's are its own.
func TestSecondImportUpdates(t *testing.T) {
	p, o := evenings(t, "Europe/Vienna", "2027-03-13", "2027-03-15")
	_, moved := evenings(t, "Europe/Vienna", "2027-03-20", "2027-03-22")
	uid := regexp.MustCompile(`UID:\S+`)
	sequence := regexp.MustCompile(`SEQUENCE:(\d+)`)
	first, second := string(Calendar(p, o, stamp)), string(Calendar(p, moved, stamp.Add(time.Hour)))
	if a, b := fmt.Sprint(uid.FindAllString(first, -1)), fmt.Sprint(uid.FindAllString(second, -1)); a != b {
		t.Errorf("UIDs changed: %s, %s", a, b)
	}
	var n, m int
	fmt.Sscan(sequence.FindStringSubmatch(first)[1], &n)
	fmt.Sscan(sequence.FindStringSubmatch(second)[1], &m)
	if m <= n {
		t.Errorf("the later file's sequence number is %d after %d", m, n)
	}
	other := *p
	other.Name = "Another"
	if uid.FindString(string(Calendar(&other, o, stamp))) == uid.FindString(first) {
		t.Error("two projects share UIDs")
	}
	if first != string(Calendar(p, o, stamp)) {
		t.Error("the same plan gives other bytes")
	}
}

// Cautions go with the sitting.
func TestCautionsAreInTheCalendar(t *testing.T) {
	p, o := evenings(t, "UTC", "2027-03-13")
	text := strings.ReplaceAll(string(Calendar(p, o, stamp)), "\r\n ", "")
	if !strings.Contains(text, "CAUTION: "+icsText(facings.CautionSpray)) {
		t.Error(text)
	}
}
