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
	text := string(calendar(t, p, o, stamp, nil))
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
	text := string(calendar(t, p, o, stamp, nil))
	if strings.Contains(text, "VTIMEZONE") || !strings.Contains(text, "DTSTART:20270326T193000Z\r\n") {
		t.Error(text)
	}
}

// A general-purpose library reads what is written, in zones of both
// hemispheres, with half hours and without summer time.
func TestAnotherReaderAgrees(t *testing.T) {
	for _, zone := range []string{"Europe/Vienna", "Australia/Lord_Howe", "America/New_York", "Asia/Kolkata", "UTC"} {
		p, o := evenings(t, zone, "2027-03-13", "2027-03-15", "2027-04-05", "2027-11-09")
		text := calendar(t, p, o, stamp, nil)
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

// fields are the values of one property in each event, in their order.
func fields(text, name string) []string {
	var out []string
	for _, m := range regexp.MustCompile(`(?m)^`+name+`[;:](.*)\r$`).FindAllStringSubmatch(strings.ReplaceAll(text, "\r\n ", ""), -1) {
		out = append(out, m[1])
	}
	return out
}

// RFC 5545, section 3.8.4.7: the UID is the identity of an event whatever
// becomes of it, so an evening keeps its own when the plan changes, and two of
// one date, of two painters or of two projects differ.
func TestEveningsKeepTheirUID(t *testing.T) {
	p, o := evenings(t, "Europe/Vienna", "2027-03-13", "2027-03-15", "2027-03-15", "2027-03-17")
	_, later := evenings(t, "Europe/Vienna", "2027-03-15", "2027-03-17")
	later.Sittings[0].Start = later.Sittings[0].Start.Add(20 * time.Minute)
	first, second := string(calendar(t, p, o, stamp, nil)), string(calendar(t, p, later, stamp.Add(time.Hour), nil))
	a, b := fields(first, "UID"), fields(second, "UID")
	if len(a) != 4 || len(b) != 2 || b[0] != a[1] || b[1] != a[3] {
		t.Errorf("UIDs %v, then %v", a, b)
	}
	seen := map[string]bool{}
	o.Sittings[2].Painter = "Marthe"
	other := *p
	other.Name = "Another"
	all := append(a, fields(string(calendar(t, p, o, stamp, nil)), "UID")[2])
	for _, uid := range append(all, fields(string(calendar(t, &other, o, stamp, nil)), "UID")...) {
		if seen[uid] {
			t.Errorf("the UID %s stands for two evenings", uid)
		}
		seen[uid] = true
	}
	o.Sittings[2].Painter = "Ilse"
	if first != string(calendar(t, p, o, stamp, nil)) {
		t.Error("the same plan gives other bytes")
	}
}

func calendar(t *testing.T, p *facings.Project, o *facings.Order, stamp time.Time, was []byte) []byte {
	t.Helper()
	text, err := Calendar(p, o, stamp, was)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// What RFC 5545 asks of each event: section 3.6.1 UID and DTSTAMP once,
// 3.8.7.2 and 3.8.7.3 DTSTAMP and LAST-MODIFIED in UTC, 3.8.7.4 a sequence
// number from 0 up (and 3.3.8: of 31 bits), 3.8.2.2 an end after the start,
// 3.8.1.11 a status that an event may have.
func TestEventsByTheRules(t *testing.T) {
	p, o := evenings(t, "Europe/Vienna", "2027-03-26", "2027-03-28")
	o.Sittings[1].End = o.Sittings[1].Start
	for _, when := range []time.Time{stamp, time.Unix(0, 0), time.Date(2098, 1, 1, 0, 0, 0, 0, time.FixedZone("", 7200))} {
		text := string(calendar(t, p, o, when, nil))
		for name, form := range map[string]string{"UID": `^[0-9a-f-]+@facings\.invalid$`, "DTSTAMP": `^\d{8}T\d{6}Z$`, "LAST-MODIFIED": `^\d{8}T\d{6}Z$`,
			"SEQUENCE": `^\d{1,9}$`, "STATUS": `^(TENTATIVE|CONFIRMED|CANCELLED)$`} {
			got := fields(text, name)
			if len(got) != 2 || !regexp.MustCompile(form).MatchString(got[0]) {
				t.Errorf("%s: %q", name, got)
			}
		}
		starts, ends := fields(text, "DTSTART"), fields(text, "DTEND")
		if n := len(starts); starts[n-1] >= ends[1] { // those of the zone stand before
			t.Errorf("an event from %s to %s", starts[n-1], ends[1])
		}
	}
}

// With the earlier file at hand an evening that stays as it was keeps its
// sequence number, one that changes gets a higher one (RFC 5545, 3.8.7.4), and
// one that is no longer needed is cancelled (3.8.1.11) once and for all; what
// lies behind is left alone.
func TestFollowsTheEarlierFile(t *testing.T) {
	p, o := evenings(t, "Europe/Vienna", "2027-03-13", "2027-03-15", "2027-03-17", "2027-01-02")
	first := calendar(t, p, o, stamp, nil)
	_, o2 := evenings(t, "Europe/Vienna", "2027-03-13", "2027-03-15", "2027-03-20")
	o2.Sittings[1].End = o2.Sittings[1].End.Add(10 * time.Minute)
	second := calendar(t, p, o2, stamp.Add(time.Hour), first)
	events := func(text []byte) map[string]*ical.VEvent {
		c, err := ical.ParseCalendar(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]*ical.VEvent{}
		for _, e := range c.Events() {
			out[e.Id()[len(e.Id())-len("20270313-1@facings.invalid"):][:8]] = e
		}
		return out
	}
	get := func(e *ical.VEvent, name ical.ComponentProperty) string { return e.GetProperty(name).Value }
	a, b := events(first), events(second)
	if len(b) != 4 || b["20270102"] != nil {
		t.Fatalf("%d events after re-planning: %s", len(b), second)
	}
	number := func(e *ical.VEvent) (n int) {
		fmt.Sscan(get(e, ical.ComponentPropertySequence), &n)
		return n
	}
	if n, m := number(a["20270313"]), number(b["20270313"]); n != m || get(b["20270313"], ical.ComponentPropertyLastModified) != get(a["20270313"], ical.ComponentPropertyLastModified) {
		t.Errorf("an evening that is as it was goes from %d to %d", n, m)
	}
	if n, m := number(a["20270315"]), number(b["20270315"]); m <= n || get(b["20270315"], ical.ComponentPropertyStatus) != "CONFIRMED" {
		t.Errorf("an evening that changed goes from %d to %d", n, m)
	}
	gone := b["20270317"]
	if get(gone, ical.ComponentPropertyStatus) != "CANCELLED" || number(gone) <= number(a["20270317"]) {
		t.Errorf("an evening that is not needed: %s", second)
	}
	// Numbers rise even where the clock went back.
	back := events(calendar(t, p, o2, stamp.Add(-time.Hour), first))
	for _, day := range []string{"20270315", "20270317"} {
		if n, m := number(a[day]), number(back[day]); m <= n {
			t.Errorf("%s goes from %d to %d when the clock went back", day, n, m)
		}
	}
	// Once more with nothing changed: nothing but the stamps differs.
	third := calendar(t, p, o2, stamp.Add(2*time.Hour), second)
	stamps := regexp.MustCompile(`DTSTAMP:\S+`)
	if x, y := stamps.ReplaceAllString(string(second), ""), stamps.ReplaceAllString(string(third), ""); x != y {
		t.Errorf("nothing has changed, and yet\n%s\n%s", x, y)
	}
	// Needed again.
	fourth := events(calendar(t, p, o, stamp.Add(3*time.Hour), third))
	if e := fourth["20270317"]; get(e, ical.ComponentPropertyStatus) != "CONFIRMED" || number(e) <= number(gone) {
		t.Error("an evening that is needed again stays cancelled")
	}
}

// Files that are none, or another project's, are refused.
func TestOtherFilesAreRefused(t *testing.T) {
	p, o := evenings(t, "UTC", "2027-03-13")
	other := *p
	other.Name = "Another"
	good := string(calendar(t, p, o, stamp, nil))
	for name, was := range map[string]string{"text": "hello", "empty": "BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n", "cut off": good[:len(good)/2],
		"another's": string(calendar(t, &other, o, stamp, nil)), "no number": strings.Replace(good, "SEQUENCE:", "SEQUENCE:x", 1),
		"no time": strings.Replace(good, "DTSTART:2027", "DTSTART:x", 1), "too large": good + strings.Repeat(" ", MaxCalendarBytes)} {
		if text, err := Calendar(p, o, stamp, []byte(was)); err == nil {
			t.Errorf("%s: %s", name, text)
		}
	}
}

func FuzzReadWas(f *testing.F) {
	p, o := evenings(f, "Europe/Vienna", "2027-03-13", "2027-03-15")
	text, err := Calendar(p, o, stamp, nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Fuzz(func(t *testing.T, was []byte) {
		if out, err := Calendar(p, o, stamp, was); err == nil && !bytes.HasSuffix(out, []byte("END:VCALENDAR\r\n")) {
			t.Fatalf("%q", out)
		}
	})
}

// Cautions go with the sitting, those of mounting too, and each is said once; what
// was begun on an evening before goes on.
func TestCautionsAreInTheCalendar(t *testing.T) {
	p, o := evenings(t, "UTC", "2027-03-13", "2027-03-14")
	o.Passes = append(o.Passes, facings.Pass{Number: 3, Technique: facings.Fit, Caution: facings.CautionBlade})
	o.Passes[1].Stage, o.Passes[1].Caution = facings.StagePrepare, facings.CautionCasting+" "+facings.CautionBlade
	o.Sittings[1].Passes = []int{1, 2, 3}
	text := strings.ReplaceAll(string(calendar(t, p, o, stamp, nil)), "\r\n ", "")
	for want, times := range map[string]int{"CAUTION: " + facings.CautionSpray: 2, facings.CautionBlade: 1, facings.CautionCyano: 1, "thin (goes on), brush": 1} {
		if got := strings.Count(text, icsText(want)); got != times {
			t.Errorf("%q is said %d times, want %d:\n%s", want, got, times, text)
		}
	}
}
