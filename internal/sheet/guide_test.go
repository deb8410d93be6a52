package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"facings"
)

// shot is a picture of one grey.
func shot(t testing.TB, grey uint8, alt string) Shot {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 30, 30))
	for i := range img.Pix {
		img.Pix[i] = grey
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return Shot{Data: b.Bytes(), W: 30, H: 30, Alt: alt, Caption: alt}
}

func look(hex, name string) facings.Look { return facings.Look{Hex: hex, Name: name} }

// guideOf makes the guide of a plan of n passes with every kind of block in it;
// change, if not nil, may spoil the plan first.
func guideOf(t testing.TB, n int, change func(*Bench, *GuideShots)) *Guide {
	t.Helper()
	b := bench(t, n)
	p := b.Project
	p.Undercoat = facings.Undercoat{Dark: "black primer", Light: "white primer"}
	p.Rack = []facings.Paint{{Name: "sky blue", Kind: facings.Translucent}, {Name: "deep green", Kind: facings.Translucent}, {Name: "steel", Kind: facings.Metallic}}
	p.Mixes = []facings.Mix{{Name: "facing turquoise", Parts: []facings.Part{{Paint: "sky blue", Parts: 3}, {Paint: "deep green", Parts: 1}}}}
	p.Finishes = []facings.Finish{{Name: "turquoise cloth", Coats: []facings.Coat{{Paint: "facing turquoise"}}, Source: "a button", Uncertain: "its shade"}}
	collar := facings.AreaSpec{Name: "collar", Part: facings.PartMan, AreaMM2: 14, Exposure: 0.5}
	for i := range p.Units {
		u := &p.Units[i]
		u.Roles = []facings.Role{{Name: "officer", Count: 1}, {Name: "trooper", Count: 5}}
		u.Scheme, u.Uncertain = facings.Scheme{"collar": "turquoise cloth"}, "the year"
		u.Flag = &facings.Flag{FlyMM: 600, HoistMM: 600, Design: "a bell", Source: "a ledger"}
	}
	for i := range b.Roster.Figures {
		b.Roster.Figures[i].Body = facings.Body{Name: "foot", Areas: []facings.AreaSpec{collar}}
	}
	for i := range b.Coats.Tasks {
		b.Coats.Tasks[i].Look, b.Coats.Tasks[i].Stage = look("#3a817f", "turquoise"), facings.StagePaint
		b.Coats.Tasks[i].Medium, b.Coats.Tasks[i].Kind = "facing turquoise", facings.Translucent
	}
	b.Coats.LeftOut = []facings.LeftOut{{Figure: 2, ID: b.Roster.Figures[2].ID, Area: "collar", Medium: "deep green", By: "horse coat", Already: look("#101010", "black"), Wanted: look("#101010", "black")}}
	for i := range b.Order.Passes {
		pass := &b.Order.Passes[i]
		pass.Areas, pass.Figures, pass.Technique = []string{"collar"}, []int{0, 1, 2, 3, 7}, facings.Brush
		pass.Why = []string{"the undercoat is dry first"}
		if i == 0 {
			pass.Caution = facings.CautionSpray
		}
	}
	b.Order.Status, b.Order.Minutes, b.Order.WorkMinutes, b.Order.LowerBoundMinutes, b.Order.Gap = "feasible", 200, 150, 190, 0.2
	shots := &GuideShots{Dark: look("#0c0c0d", "black"), Light: look("#f0f0f0", "white"), Swatches: map[string]Pair{
		"sky blue":         {look("#45b4e4", "bright blue"), look("#1a3a50", "very dark blue")},
		"deep green":       {look("#256b47", "dark green"), look("#0f2017", "black")},
		"steel":            {look("#8a8d90", "grey"), look("#808386", "grey")},
		"facing turquoise": {look("#3a817f", "turquoise"), look("#16302e", "very dark turquoise")}}}
	shopping := &facings.Shopping{}
	for _, x := range p.Rack {
		shopping.Paints = append(shopping.Paints, facings.Need{Paint: x.Name, Kind: x.Kind, NeedML: 1.5})
	}
	shopping.Materials = []facings.Need{{Paint: "fine sand", Kind: facings.Texture, NeedG: 12}}
	for i := range b.Order.Passes {
		s := shot(t, uint8(40+i), fmt.Sprintf("trooper 1, after pass %d; under way: collar turquoise", i+1))
		s.Caption = "First, trooper 1"
		shots.Passes = append(shots.Passes, s)
	}
	for range p.Units {
		u := UnitShots{All: 6, Bodies: []BodyShots{{Figure: 1, Names: []string{"collar"}, Keys: []Shot{shot(t, 1, "key one"), shot(t, 2, "key two")}}}}
		for k := range 4 {
			u.Bodies[0].Sides = append(u.Bodies[0].Sides, shot(t, uint8(10+k), fmt.Sprint("side ", k)))
		}
		for k := range 6 {
			u.Figures = append(u.Figures, FigureShot{Shot: shot(t, uint8(20+k), fmt.Sprint("man ", k)), Rank: 1 + k/3, File: 1 + k%3})
		}
		shots.Units = append(shots.Units, u)
	}
	if change != nil {
		change(b, shots)
	}
	return NewGuide(b, shopping, shots)
}

func pdfOf(t testing.TB, g *Guide, paper Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := g.Print(paper).WritePDF(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func htmlOf(t testing.TB, g *Guide) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := g.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// steps are a guide's passes.
func steps(g *Guide) []Step {
	var out []Step
	for _, c := range g.Chapters {
		for _, b := range c.Blocks {
			if s, ok := b.(Step); ok {
				out = append(out, s)
			}
		}
	}
	return out
}

// flat is text with all its white space and every break alike.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// The text of the PDF, read by another program (poppler's pdftotext), holds every
// pass's title and caution, and every paint with its colours in words.
func TestGuidePDFText(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed (poppler-utils)")
	}
	g := guideOf(t, 9, nil)
	file := filepath.Join(t.TempDir(), "guide.pdf")
	if err := os.WriteFile(file, pdfOf(t, g, A4()), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := exec.Command("pdftotext", "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	text := flat(string(out)) + flat(string(raw))
	if n := len(steps(g)); n != 9 {
		t.Fatalf("%d passes are told of 9", n)
	}
	for _, s := range steps(g) {
		if !strings.Contains(text, upperFirst(s.Title)) {
			t.Errorf("%q is not in the text", s.Title)
		}
	}
	for _, want := range []string{"sky blue", "in the light: bright blue", "in the shade: very dark blue", "deep green", "steel", "3 sky blue + 1 deep green", "fine sand, 12 g",
		"EN 14387", "turquoise cloth", "Source of the flag", "A ledger", "The year", "already shows", "horse coat goes over it too", "3 h 10 min", "Kubelka", "Sitting 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}

// qpdf finds no fault in the file's structure, and pdffonts finds both fonts inside it.
func TestGuidePDFIsSound(t *testing.T) {
	file := filepath.Join(t.TempDir(), "guide.pdf")
	if err := os.WriteFile(file, pdfOf(t, guideOf(t, 5, nil), Letter()), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("qpdf"); err != nil {
		t.Skip("qpdf is not installed")
	}
	if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Errorf("qpdf --check: %v\n%s", err, out)
	}
	if _, err := exec.LookPath("pdffonts"); err != nil {
		t.Skip("pdffonts is not installed (poppler-utils)")
	}
	out, err := exec.Command("pdffonts", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	fonts := strings.Split(strings.TrimSpace(string(out)), "\n")[2:]
	for _, f := range fonts {
		if !regexp.MustCompile(`\byes\s+yes\s+yes\b`).MatchString(f) && !regexp.MustCompile(`\byes\s+no\s+yes\b`).MatchString(f) {
			t.Errorf("not embedded, or without letters to copy: %s", f)
		}
	}
	if len(fonts) != 2 {
		t.Errorf("%d fonts: %s", len(fonts), out)
	}
}

func TestGuideIsTheSameTwice(t *testing.T) {
	if !bytes.Equal(pdfOf(t, guideOf(t, 7, nil), A4()), pdfOf(t, guideOf(t, 7, nil), A4())) {
		t.Error("two PDFs differ")
	}
	if !bytes.Equal(htmlOf(t, guideOf(t, 7, nil)), htmlOf(t, guideOf(t, 7, nil))) {
		t.Error("two HTML files differ")
	}
}

// withinMargins fails where ink stands in a page's margin, or a line of text
// reaches below it.
func withinMargins(t *testing.T, d *Document) {
	t.Helper()
	for i, page := range d.Pages {
		in := page.Paper.Inside()
		if page.Paper.MarginMM < 10 {
			t.Errorf("a margin of %g mm", page.Paper.MarginMM)
		}
		whiteMargins(t, d, i)
		for _, it := range page.Items {
			if x, ok := it.(Text); ok && (x.At.Y > in.Y1+0.01 || x.At.Y < in.Y0 || x.At.X+TextWidth(x.Text, x.SizeMM, x.Bold) > in.X1+0.01) {
				t.Errorf("page %d: %q stands in the margin", i+1, x.Text)
			}
		}
	}
}

// Whatever a project is called and however much a pass says, nothing stands in
// the margins and no word is lost.
func TestGuideMarginsAndLongWords(t *testing.T) {
	for _, paper := range []Paper{A4(), Letter()} {
		withinMargins(t, guideOf(t, 9, nil).Print(paper))
		long := strings.Repeat("Ferrymanhood", 10)
		g := guideOf(t, 4, func(b *Bench, s *GuideShots) {
			b.Project.Name, b.Project.Note = long, strings.Repeat(long+" ", 30)
			b.Project.Units[0].Source = strings.Repeat("A book of many parchments ", 900)
			b.Order.Passes[1].Caution = strings.Repeat(facings.CautionSpray+" ", 2)
			b.Order.Passes[2].Medium = long
			for i := range 1200 {
				b.Order.Passes[3].KeepOff = append(b.Order.Passes[3].KeepOff, fmt.Sprint("area", i))
			}
		})
		d := g.Print(paper)
		withinMargins(t, d)
		all := strings.Join(words(d), " ")
		for i := range 1200 {
			if !regexp.MustCompile(fmt.Sprintf(`\barea%d\b`, i)).MatchString(all) {
				t.Fatalf("area%d is lost", i)
			}
		}
		if got := strings.Count(all, "parchments"); got != 900 {
			t.Errorf("of a long source %d of 900 parchments are left", got)
		}
	}
}

// Each entry of the table of contents names the page its heading stands on.
func TestGuideContents(t *testing.T) {
	d := guideOf(t, 9, nil).Print(A4())
	jumps := 0
	for _, it := range d.Pages[1].Items {
		j, ok := it.(Jump)
		if !ok {
			continue
		}
		jumps++
		var title, number string
		for _, x := range d.Pages[1].Items {
			if x, ok := x.(Text); ok && x.At.Y > j.Area.Y0 && x.At.Y <= j.Area.Y1 && x.At.X >= j.Area.X0-0.01 && x.At.X < j.Area.X1 {
				if title == "" {
					title = x.Text
				} else {
					number = x.Text
				}
			}
		}
		if number != itoa(j.Page+1) {
			t.Errorf("%q is said to be on page %q and leads to page %d", title, number, j.Page+1)
		}
		if !strings.Contains(words(d)[j.Page], title) {
			t.Errorf("%q does not stand on page %d", title, j.Page+1)
		}
		// A sitting's hours are told where it begins.
		if strings.HasPrefix(title, "Sitting") && (strings.Contains(title, " to ") || !strings.Contains(words(d)[j.Page], title+", ")) {
			t.Errorf("%q should be told with its hours on page %d, and without them in the contents", title, j.Page+1)
		}
	}
	if jumps < 12 {
		t.Errorf("only %d entries", jumps)
	}
}

// element is what the tests need of a tag.
type element struct {
	name string
	attr map[string]string
}

// elements parses the page strictly, so that a tag left open fails.
func elements(t *testing.T, page []byte) []element {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var out []element
	var open []string
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{tok.Name.Local, map[string]string{}}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			out = append(out, e)
			open = append(open, e.name)
		case xml.EndElement:
			if len(open) == 0 || open[len(open)-1] != tok.Name.Local {
				t.Fatalf("</%s> closes %v", tok.Name.Local, open)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Fatalf("left open: %v", open)
	}
	return out
}

// The page asks for nothing from outside, every picture says what it shows,
// headings do not skip a level, and every link leads somewhere (WCAG 2.2, 1.1.1
// and 1.3.1, from memory).
func TestGuideHTML(t *testing.T) {
	g := guideOf(t, 9, nil)
	page := htmlOf(t, g)
	for _, bad := range []string{"http:", "https:", "//", "@import", "url(", "<script", "<link", "ZgotmplZ"} {
		for _, at := range regexp.MustCompile(regexp.QuoteMeta(bad)).FindAllIndex(page, -1) {
			around := string(page[max(0, at[0]-40):min(len(page), at[1]+20)])
			if !strings.Contains(string(page[max(0, at[0]-60000):at[0]]), "base64,") { // inside a picture two slashes mean nothing
				t.Errorf("%q in the page: %s", bad, around)
			}
		}
	}
	ids, links := map[string]bool{}, []string{}
	level, pictures, h1 := 0, 0, 0
	for _, e := range elements(t, page) {
		if id := e.attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("two elements are called %q", id)
			}
			ids[id] = true
		}
		switch e.name {
		case "a":
			links = append(links, e.attr["href"])
		case "img":
			pictures++
			if strings.TrimSpace(e.attr["alt"]) == "" || !strings.HasPrefix(e.attr["src"], "data:image/") || e.attr["width"] == "" {
				t.Errorf("a picture with alt %q, width %q and src %.30q", e.attr["alt"], e.attr["width"], e.attr["src"])
			}
		case "td":
			if strings.HasSuffix(e.attr["data-label"], ".") { // a colon follows it on a phone
				t.Errorf("a cell is labelled %q", e.attr["data-label"])
			}
		case "h1", "h2", "h3", "h4":
			n := int(e.name[1] - '0')
			if n > level+1 {
				t.Errorf("%s follows h%d", e.name, level)
			}
			if level = n; n == 1 {
				h1++
			}
		}
	}
	if want := 9 + 2*(2+4+6) + 2*3; pictures != want || h1 != 1 {
		t.Errorf("%d pictures, not %d, and %d titles", pictures, want, h1)
	}
	for _, l := range links {
		if !strings.HasPrefix(l, "#") || !ids[l[1:]] {
			t.Errorf("the link %q leads nowhere", l)
		}
	}
	for _, s := range steps(g) {
		if !strings.Contains(string(page), upperFirst(s.Title)) || !strings.Contains(string(page), "background:"+s.Look.Hex) {
			t.Errorf("pass %d is not on the page with its colour", s.Number)
		}
	}
}

// Names are text, never markup, styles or addresses.
func TestGuideHTMLTrustsNoName(t *testing.T) {
	evil := `<script>alert(1)</script>"'&<img src=x onerror=y>`
	page := string(htmlOf(t, guideOf(t, 3, func(b *Bench, s *GuideShots) {
		b.Project.Name, b.Project.Note, b.Project.Units[0].Source = evil, evil, evil
		b.Order.Passes[0].Medium = evil
		b.Order.Passes[1].Look.Hex = "#fff;background:url(http://x)"
		s.Passes[0].Alt, s.Passes[0].Caption = evil, evil
	})))
	if strings.Contains(page, "<script") || strings.Contains(page, "<img src=x") || strings.Contains(page, "url(") {
		t.Error("a name became markup")
	}
	elements(t, []byte(page))
}

// The reasons of a pass name the passes they rest on, and how long those dry.
func TestGuideReasons(t *testing.T) {
	g := guideOf(t, 6, func(b *Bench, _ *GuideShots) {
		first := func(pass int) int { return b.Order.Passes[pass-1].Tasks[0] }
		for i := range b.Order.Passes {
			b.Order.Passes[i].Medium = fmt.Sprint("paint", i+1)
			for _, k := range b.Order.Passes[i].Tasks {
				b.Coats.Tasks[k].Medium = b.Order.Passes[i].Medium
			}
		}
		b.Coats.Tasks[first(2)].Area = "jacket"
		b.Coats.Lags = []facings.Lag{
			{From: first(1), To: first(5), Seconds: 1200, Rule: facings.RuleCoats, Why: "x"},
			{From: first(2), To: first(5), Rule: facings.RuleInside, Why: "x"},
			{From: first(3), To: first(5), Rule: facings.RuleMessy, Why: "x"},
			{From: first(1), To: first(6), Rule: facings.RuleEnding, Why: "the project puts base before flag"},
			{From: first(2), To: first(6), Rule: facings.RuleEnding, Why: "the project puts varnish before flag"},
		}
	})
	s := steps(g)
	text := func(n int, head string) string {
		for _, w := range s[n-1].Words {
			if w.Head == head {
				return w.Text
			}
		}
		return ""
	}
	if got, want := text(5, "Why here"), "Over paint1 (pass 1), dry for 20 min; after jacket (pass 2), which lies underneath; after paint3 (pass 3), which may stray onto it."; got != want {
		t.Errorf("pass 5: %s", got)
	}
	if got, want := text(6, "Why here"), "The project puts base and varnish before the flag."; got != want {
		t.Errorf("pass 6: %s", got)
	}
	if got, want := text(1, "Then"), "20 min of drying before paint5 over it (pass 5)."; got != want {
		t.Errorf("pass 1: %s", got)
	}
}

// With a record, the guide tells when a pass was really done and with what; what
// was undone does not count.
func TestGuideTellsTheRecord(t *testing.T) {
	at := func(day int) time.Time { return time.Date(2027, 3, day, 20, 0, 0, 0, time.UTC) }
	g := guideOf(t, 4, func(b *Bench, s *GuideShots) {
		key := func(pass int) []facings.TaskKey {
			var out []facings.TaskKey
			for _, k := range b.Order.Passes[pass-1].Tasks {
				task := b.Coats.Tasks[k]
				out = append(out, facings.TaskKey{Figure: b.Roster.Figures[task.Figure].ID, Area: task.Area, Coat: task.Coat, Medium: task.Medium})
			}
			return out
		}
		// Tasks of all passes share one key here; tell them apart by coat.
		for i := range b.Order.Passes {
			for _, k := range b.Order.Passes[i].Tasks {
				b.Coats.Tasks[k].Coat = i
			}
		}
		s.Log = []facings.Entry{
			{ID: "a", Kind: facings.EntryDone, At: at(5), Tasks: key(1)[:2], Seconds: 600},
			{ID: "b", Kind: facings.EntryDone, At: at(7), Tasks: key(1)[2:], Seconds: 900, Used: &facings.Used{Medium: "sky blue", Lot: "B7"}},
			{ID: "b", Kind: facings.EntryDone, At: at(7), Tasks: key(1)[2:], Seconds: 900},
			{ID: "c", Kind: facings.EntryDone, At: at(9), Tasks: key(2), Seconds: 60},
			{ID: "d", Kind: facings.EntryUndo, At: at(9), Undoes: "c"},
			{ID: "e", Kind: facings.EntryNote, At: at(9), Tasks: key(3), Note: "thin it more"},
		}
	})
	heads := map[int]string{}
	for _, s := range steps(g) {
		for _, w := range s.Words {
			heads[s.Number] += w.Head + ": " + w.Text + "\n"
		}
	}
	for _, want := range []string{"Done: 5 March to 7 March 2027, 25 min as measured.", "Really used: sky blue, lot B7."} {
		if !strings.Contains(heads[1], want) {
			t.Errorf("pass 1 does not say %q:\n%s", want, heads[1])
		}
	}
	if strings.Contains(heads[2], "Done") || !strings.Contains(heads[3], "Noted: thin it more") {
		t.Errorf("pass 2: %s\npass 3: %s", heads[2], heads[3])
	}
	if got := g.Subtitle[len(g.Subtitle)-1]; got != "painted 5 March to 7 March 2027" {
		t.Errorf("the title says %q", got)
	}
}
