package sheet

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

// bench is a plan of n passes over two units of six.
func bench(t testing.TB, n int) *Bench {
	t.Helper()
	p, o := evenings(t, "Europe/Vienna")
	b := &Bench{Project: p, Roster: &facings.Roster{}, Coats: &facings.Coats{}, Order: o}
	for u, unit := range []string{"First", "Second"} {
		p.Units = append(p.Units, facings.Unit{Name: unit, Traits: []string{"horse"}, Source: "invented", Base: facings.BaseSize{WidthMM: 25, DepthMM: 50}})
		b.Roster.Units = append(b.Roster.Units, facings.UnitRoster{Unit: unit, Ranks: 2, Files: 3})
		for i := range 6 {
			id := facings.FigureID{Unit: unit, Role: "trooper", Number: i}
			if i == 0 {
				id = facings.FigureID{Unit: unit, Role: "officer", Number: 1}
			}
			b.Roster.Figures = append(b.Roster.Figures, facings.Figure{ID: id, Rank: 1 + i/3, File: 1 + i%3, Index: 6*u + i, Traits: map[string]string{"horse": "bay"}})
		}
	}
	days := make([]string, 0, n)
	for i := range n {
		days = append(days, "2027-02-"+[]string{"01", "03", "05"}[i%3])
	}
	_, b.Order = evenings(t, "Europe/Vienna", days...)
	for i := range b.Order.Passes {
		pass := &b.Order.Passes[i]
		pass.Medium, pass.Minutes, pass.Drops = "facing turquoise", 12.2, 5
		pass.Mix = []facings.Part{{Paint: "sky blue", Parts: 3}, {Paint: "deep green", Parts: 1}}
		pass.KeepOff, pass.Caution = []string{"horse face"}, ""
		for _, figure := range []int{0, 1, 2, 3, 7} {
			pass.Tasks = append(pass.Tasks, len(b.Coats.Tasks))
			b.Coats.Tasks = append(b.Coats.Tasks, facings.Task{Figure: figure, Area: "collar"})
		}
		pass.Look = facings.Look{Hex: "#3a817f", Name: "turquoise"}
	}
	return b
}

// words are all texts of a document, page by page.
func words(d *Document) []string {
	var out []string
	var walk func(items []Item, b *strings.Builder)
	walk = func(items []Item, b *strings.Builder) {
		for _, it := range items {
			switch it := it.(type) {
			case Text:
				b.WriteString(it.Text + "\n")
			case Group:
				walk(it.Items, b)
			}
		}
	}
	for _, p := range d.Pages {
		var b strings.Builder
		walk(p.Items, &b)
		out = append(out, b.String())
	}
	return out
}

func TestCards(t *testing.T) {
	b := bench(t, 17)
	d := Cards(b, A4())
	if len(d.Pages) != 3 {
		t.Fatalf("17 cards take %d pages, eight to a page", len(d.Pages))
	}
	page := strings.ReplaceAll(words(d)[0], "\n", " ")
	for _, want := range []string{"facing turquoise", "6 sky blue + 2 deep green", "collar:", "officer and troopers 1–3 of First; trooper 1 of Second", "KEEP OFF", "horse face", "13 min", "turquoise"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the cards:\n%s", want, page)
		}
	}
	for i := range d.Pages {
		whiteMargins(t, d, i)
	}
}

// However much a pass says, no word of it is lost: it goes on on more cards.
func TestCardsLoseNothing(t *testing.T) {
	for _, paper := range []Paper{A4(), Letter()} {
		b := bench(t, 1)
		b.Order.Passes[0].Caution = strings.Repeat(facings.CautionSpray+" ", 8) + "the last words"
		d := Cards(b, paper)
		all := strings.Join(words(d), "")
		for _, w := range strings.Fields(b.Order.Passes[0].Caution) {
			if !strings.Contains(all, w) {
				t.Fatalf("%q is lost", w)
			}
		}
		if got, want := strings.Count(all, "EN"), strings.Count(b.Order.Passes[0].Caution, "EN"); got != want || !strings.Contains(all, "continued") {
			t.Errorf("%d of %d sentences are on the cards", got, want)
		}
		for _, it := range d.Pages[0].Items {
			if x, ok := it.(Text); ok && x.At.Y > paper.Inside().Y1 {
				t.Errorf("%q is below the cards", x.Text)
			}
		}
		whiteMargins(t, d, 0)
	}
}

// Each pass has one line with a box, under its sitting.
func TestTickList(t *testing.T) {
	b := bench(t, 90)
	d := TickList(b, Letter())
	all := strings.Join(words(d), "")
	if got := strings.Count(all, "facing turquoise\n"); got != 90 {
		t.Errorf("%d lines for 90 passes", got)
	}
	if !strings.Contains(all, "Sitting 1: Mon 1 Feb 2027, 19:30 to 21:30") {
		t.Error("no heading")
	}
	for i := range d.Pages {
		whiteMargins(t, d, i)
	}
}

func TestShoppingList(t *testing.T) {
	d := ShoppingList("Vey", &facings.Shopping{
		Paints:    []facings.Need{{Paint: "enough", NeedML: 1, LeftML: 5, Owned: true}, {Paint: "missing", NeedML: 0.4, Short: 0.4, Buy: 2}},
		Materials: []facings.Need{{Paint: "sand", Kind: facings.Texture, NeedG: 12, LeftG: 3, Short: 9, Buy: 1, Owned: true}}}, A4())
	all := words(d)[0]
	if buy, have := strings.Index(all, "missing"), strings.Index(all, "enough\n"); buy < 0 || have < buy || !strings.Contains(all, "9.0 g") || !strings.Contains(all, "0.40 mL") {
		t.Error(all)
	}
}

// Bases are drawn at their true size, in rank and file.
func TestRanksAtTrueSize(t *testing.T) {
	b := bench(t, 1)
	d := Ranks(b.Project, b.Roster, A4())
	boxes := 0
	for _, it := range d.Pages[0].Items {
		s, ok := it.(Shape)
		if !ok || s.Stroke == nil || len(s.Path.segs) != 5 {
			continue
		}
		box := s.Path.Bounds().grown(s.WidthMM / 2)
		if box.W() < 5 { // to tick, in the roster below
			continue
		}
		boxes++
		if w, h := box.W(), box.H(); w < 24.999 || w > 25.001 || h < 49.999 || h > 50.001 {
			t.Errorf("a base of %v × %v mm", w, h)
		}
	}
	if boxes != 6 {
		t.Errorf("%d bases of 6", boxes)
	}
	if all := words(d)[0]; !strings.Contains(all, "frontage 75 mm") || !strings.Contains(all, "horse: bay") {
		t.Error(all)
	}
	// Wider than the paper: all are still there, once.
	b.Project.Units[0].Base = facings.BaseSize{WidthMM: 120, DepthMM: 200}
	d = Ranks(b.Project, b.Roster, Letter())
	if got := strings.Count(strings.Join(words(d), ""), " (front above)"); got != 6+1 {
		t.Errorf("%d drawings", got)
	}
	for i := range d.Pages {
		whiteMargins(t, d, i)
	}
}

func TestMixDrops(t *testing.T) {
	parts := []facings.Part{{Paint: "a", Parts: 3}, {Paint: "b", Parts: 1}}
	for drops, want := range map[float64]string{4: "3 a + 1 b", 4.1: "6 a + 2 b", 0: "3 a + 1 b", 12: "9 a + 3 b"} {
		if got := mixDrops(parts, drops); got != want {
			t.Errorf("%v drops: %s, not %s", drops, got, want)
		}
	}
}

// Rectangles never overlap nor leave the page, whatever their sizes; equal ones
// waste no more than the last row and column.
func TestPack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.Float64Range(1, 120)
		sizes := make([]Size, rapid.IntRange(1, 40).Draw(t, "n"))
		for i := range sizes {
			sizes[i] = Size{side.Draw(t, "w"), side.Draw(t, "h")}
		}
		const w, h = 150, 200
		at, pages, err := Pack(sizes, w, h)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range at {
			s := sizes[i]
			if p.Turned {
				s = Size{s.H, s.W}
			}
			if p.Page < 0 || p.Page >= pages || p.At.X < 0 || p.At.Y < 0 || p.At.X+s.W > w+1e-6 || p.At.Y+s.H > h+1e-6 {
				t.Fatalf("%v lies at %v", s, p)
			}
			for j := range i {
				q, r := at[j], sizes[j]
				if q.Turned {
					r = Size{r.H, r.W}
				}
				if p.Page == q.Page && p.At.X+s.W > q.At.X+1e-6 && q.At.X+r.W > p.At.X+1e-6 && p.At.Y+s.H > q.At.Y+1e-6 && q.At.Y+r.H > p.At.Y+1e-6 {
					t.Fatalf("%d and %d overlap: %v %v, %v %v", i, j, p, s, q, r)
				}
			}
		}
	})
	equal := make([]Size, 50)
	for i := range equal {
		equal[i] = Size{30, 20}
	}
	if _, pages, err := Pack(equal, 150, 200); err != nil || pages != 1 { // 5 × 10 fill it
		t.Errorf("%d pages, %v", pages, err)
	}
}

func TestPalettes(t *testing.T) {
	list := []Swatch{{"sky, blue", "paint", facings.Look{Hex: "#0a80ff", Lab: [3]float64{50.123, 1, -2}, Name: "blue"}}, {"two\nlines", "mix", facings.Look{Hex: "#000000"}}}
	if got, want := string(GPL("Vey", list)), "GIMP Palette\nName: Vey\nColumns: 8\n#\n 10 128 255\tpaint sky, blue\n  0   0   0\tmix two lines\n"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
	data, err := CSV(list)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil || len(rows) != 3 || rows[1][0] != "sky, blue" || rows[1][3] != "50.12" {
		t.Errorf("%v, %v", rows, err)
	}
}

// qpdf finds nothing wrong with our PDFs, and poppler reads their text and
// finds the fonts inside.
func TestPDFIsSound(t *testing.T) {
	b := bench(t, 3)
	for i, f := range everyPart(true) {
		f.Shape = facings.FlagShapes()[i%4]
		b.Project.Units = append(b.Project.Units, facings.Unit{Name: "Unit " + strconv.Itoa(i) + " äß", Flag: &f})
	}
	s, err := Flags(b.Project, FlagOptions{Paper: A4(), Copies: 1, BleedMM: 1, Ripples: true})
	if err != nil {
		t.Fatal(err)
	}
	d := s.Document
	d.Pages = append(d.Pages, Cards(b, A4()).Pages...)
	d.Pages = append(d.Pages, Ranks(b.Project, b.Roster, A4()).Pages...)
	var out bytes.Buffer
	if err := d.WritePDF(&out); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(name string, args ...string) string {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("%s is not installed", name)
		}
		text, err := exec.Command(name, args...).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, text)
		}
		return string(text)
	}
	run("qpdf", "--check", file)
	text := run("pdftotext", file, "-")
	for _, want := range []string{"Unit 0 äß", "VEY", "facing turquoise", "6 sky blue + 2 deep green"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q cannot be selected", want)
		}
	}
	fonts := strings.Split(strings.TrimSpace(run("pdffonts", file)), "\n")
	if len(fonts) != 4 {
		t.Errorf("fonts: %v", fonts)
	}
	for _, l := range fonts[2:] {
		if f := strings.Fields(l); len(f) < 6 || f[len(f)-5] != "yes" {
			t.Errorf("not embedded: %s", l)
		}
	}
}

// Whatever areas and paints are called, a card's words stay in its own cell, and
// all of the paint's name is on it.
func TestCardsStayInTheirCells(t *testing.T) {
	for _, paper := range []Paper{A4(), Letter()} {
		b := bench(t, 3)
		long := "the brightest white out of the big tube that was thinned in the year of the flood at the ferry"
		for i := range b.Coats.Tasks {
			b.Coats.Tasks[i].Area = "double lace around the upper edge of the over-jacket"
			if i%2 == 1 {
				b.Coats.Tasks[i].Area = strings.Repeat("lace", 40)
			}
		}
		b.Order.Passes[1].Medium, b.Order.Passes[2].Medium = long, strings.Repeat("turquoise", 12)
		in := paper.Inside()
		page := Cards(b, paper).Pages[0]
		for _, it := range page.Items {
			x, ok := it.(Text)
			if !ok {
				continue
			}
			edge := in.X0 + in.W()/2
			if x.At.X > edge {
				edge = in.X1
			}
			if end := x.At.X + TextWidth(x.Text, x.SizeMM, x.Bold); end > edge-cardEdge+0.01 {
				t.Errorf("%q ends %.1f mm past its card's text", x.Text, end-edge+cardEdge)
			}
		}
		if all := flat(words(&Document{Pages: []Page{page}})[0]); !strings.Contains(all, long) {
			t.Errorf("%q is cut:\n%s", long, all)
		}
	}
}

// Only cards that are there are cut out.
func TestCutsAroundCardsOnly(t *testing.T) {
	for n, rows := range map[int]float64{1: 1, 2: 1, 3: 2, 8: 4, 9: 1} {
		d := Cards(bench(t, n), A4())
		in := A4().Inside()
		foot := 0.0
		for _, p := range d.Pages[len(d.Pages)-1].Items[0].(Shape).Path.flat(0.1) {
			for _, q := range p.points {
				foot = max(foot, q.Y)
			}
		}
		if want := in.Y0 + rows*in.H()/4; foot > want || foot < want-0.2 {
			t.Errorf("%d cards are cut down to %.1f mm, want %.1f", n, foot, want)
		}
	}
}

// A card tells what the guide does: what goes on the glue, the cautions of
// mounting, and as long a wait.
func TestCardsTellEnough(t *testing.T) {
	b := bench(t, 3)
	b.Project.Ending = []facings.EndingStep{{Step: facings.EndBase, Paint: "PVA glue", Materials: []string{"fine sand", "flock"}}}
	glue := &b.Order.Passes[0]
	glue.Stage, glue.Technique, glue.Medium, glue.Mix, glue.Drops, glue.Wait = facings.StageBase, facings.GlueOn, "PVA glue", nil, 195, 4.3
	b.Order.Passes[1].Stage, b.Order.Passes[1].Technique, b.Order.Passes[1].Caution = facings.StagePrepare, facings.Prepare, facings.CautionBlade
	b.Order.Passes[2].Technique = facings.Brush
	all := flat(words(Cards(b, A4()))[0])
	for _, want := range []string{"Strew on fine sand, flock", "195 drops (10 mL)", "Wait 5 min", "eye, see a doctor", "brush 2 · brushed on"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not on the cards: %s", want, all)
		}
	}
}

// The tick list tells every area, no heading stands at a page's foot, and what
// goes on from the evening before comes first.
func TestTickListInFull(t *testing.T) {
	b := bench(t, 120)
	long := strings.Repeat("a lace of many words around the collar, ", 9) + "the last of them"
	for i := range b.Order.Passes {
		b.Order.Passes[i].Areas = []string{"collar"}
		if i%3 == 0 {
			b.Order.Passes[i].Areas = []string{long}
		}
	}
	b.Order.Sittings[1].Passes = []int{1, 2}
	d := TickList(b, Letter())
	pages := words(d)
	all := flat(strings.Join(pages, " "))
	if got := strings.Count(all, "the last of them"); got != 40 {
		t.Errorf("%d of 40 long rows are told to their end", got)
	}
	if on, row := strings.Index(all, "goes on: 1 "), strings.Index(all, " 2 facing turquoise"); on < 0 || on > row {
		t.Error("what goes on should come first")
	}
	for i, p := range pages[:len(pages)-1] {
		lines := strings.Split(strings.TrimSpace(p), "\n")
		if last := lines[len(lines)-2]; strings.HasPrefix(last, "Sitting") {
			t.Errorf("page %d ends with %q", i+1, last)
		}
	}
}

// A few rows do not get a page of their own.
func TestFewRowsLeft(t *testing.T) {
	for n := 40; n < 60; n++ {
		tab := &table{title: "T", size: 3, columns: []column{{title: "what"}}}
		for range n {
			tab.sections = append(tab.sections, section{rows: [][]string{{"row"}}})
		}
		d, y := tab.set(A4())
		plain, _ := tab.setAs(A4())
		if len(d.Pages) > len(plain.Pages) {
			t.Errorf("%d rows: %d pages", n, len(d.Pages))
		}
		if len(d.Pages) == 2 && y < 20 {
			t.Errorf("%d rows: the second page ends at %.0f mm", n, y)
		}
	}
}

// A long name is set smaller, not cut, on what it names.
func TestLongTitles(t *testing.T) {
	b := bench(t, 1)
	name := "The Hereditary Margrave Tarrenquist's Own Moonlit Mounted Hussars of the Upper and Lower Ferry Districts of Yaldermark"
	b.Project.Units[0].Name, b.Roster.Units[0].Unit = name, name
	for i := range 6 {
		b.Roster.Figures[i].ID.Unit = name
	}
	d := Ranks(b.Project, b.Roster, Letter())
	all := words(d)[0]
	for _, want := range []string{"Ranks: " + name, "Roster: " + name} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is cut", want)
		}
	}
	whiteMargins(t, d, 0)
}

// Flags take no more pages than they do by their heights alone, or with the long
// captions last.
func TestNestTakesTheFewestPages(t *testing.T) {
	paper := A4()
	in := paper.Inside()
	rapid.Check(t, func(t *rapid.T) {
		var blocks []block
		for range rapid.IntRange(1, 40).Draw(t, "blocks") {
			w, h := rapid.SampledFrom([]float64{30, 41, 77, 95}).Draw(t, "w"), rapid.SampledFrom([]float64{18, 25, 44, 60}).Draw(t, "h")
			blocks = append(blocks, block{size: Size{w, h}, full: rapid.Bool().Draw(t, "full")})
		}
		d, err := nest(blocks, paper, "t", "k")
		if err != nil {
			t.Fatal(err)
		}
		var sizes []Size
		for _, b := range blocks {
			sizes = append(sizes, b.size)
		}
		slices.SortStableFunc(sizes, func(a, b Size) int { return cmp.Or(cmp.Compare(b.H, a.H), cmp.Compare(b.W, a.W)) })
		if _, n, err := Pack(sizes, in.W()+betweenMM, in.H()-headerMM-footerMM+betweenMM); err != nil || len(d.Pages) > n {
			t.Fatalf("%d pages, %d by height (%v)", len(d.Pages), n, err)
		}
	})
}
