package sheet

import (
	"fmt"
	"strings"
	"testing"

	"facings"
)

// A chapter's last page is not left nearly empty, and no page is spent on that:
// whatever stood last on the page before goes there too.
func TestNoPassAloneOnItsPage(t *testing.T) {
	for _, paper := range []Paper{A4(), Letter()} {
		for n := 1; n <= 13; n++ {
			d := guideOf(t, n, nil).Print(paper)
			var with []int // passes on each page of their chapter
			for _, text := range words(d)[2:] {
				if strings.Contains(text, "4  Pass by pass") {
					with = append(with, strings.Count(text, "Why here"))
				}
			}
			last := len(with) - 1
			if last > 0 && with[last] < with[last-1]-1 {
				t.Errorf("%d passes are on %v", n, with)
			}
			for i, passes := range with[:max(0, last-1)] {
				if i > 0 && passes < 2 {
					t.Errorf("%d passes are on %v: a page is wasted", n, with)
				}
			}
		}
	}
}

// What a chapter's last page takes over is set as it would have been: nothing is
// lost or said twice, and the page before keeps a third of its height.
func TestLastPageTakesOver(t *testing.T) {
	paper := Letter()
	in := paper.Inside()
	room := in.H() - guideHead - guideFoot
	lines := func(mm float64) Words { // so high a paragraph
		n := int(mm / (bodyMM * leading))
		return Words{"", strings.TrimSpace(strings.Repeat("Ferrymanhoodferrymanhoodferrymanhoodferrymanhoodferrymanhoodferrymanhoodferrymanhoodferrymanhood ", n))}
	}
	for _, x := range []struct {
		name   string
		blocks []Block
		want   string // the headings on the last page
	}{
		{"one goes along", []Block{Heading{Text: "A"}, lines(room * 0.5), Heading{Text: "B"}, lines(room * 0.25), Heading{Text: "C"}, lines(room * 0.25)}, "BC"},
		{"the page before would be empty", []Block{Heading{Text: "A"}, lines(room * 0.1), Heading{Text: "B"}, lines(room * 0.6), Heading{Text: "C"}, lines(room * 0.25)}, "C"},
		{"full enough", []Block{Heading{Text: "A"}, lines(room * 0.4), Heading{Text: "B"}, lines(room * 0.4), Heading{Text: "C"}, lines(room * 0.4)}, "C"},
		{"a page", []Block{Heading{Text: "A"}, lines(room * 0.2)}, "A"},
	} {
		g := &Guide{Title: "T", Chapters: []Chapter{{"one", x.blocks}}}
		d := g.Print(paper)
		all := words(d)[2:]
		got := ""
		for _, name := range []string{"A", "B", "C"} {
			if n := strings.Count(strings.Join(all, ""), "\n"+name+"\n"); n > 1 || n == 0 && x.name != "a page" {
				t.Errorf("%s: %q is there %d times", x.name, name, n)
			}
			if strings.Contains(all[len(all)-1], "\n"+name+"\n") {
				got += name
			}
		}
		if got != x.want {
			t.Errorf("%s: %q are on the last of %d pages, want %q", x.name, got, len(all), x.want)
		}
		for _, it := range d.Pages[1].Items { // contents lead where the headings are
			if j, ok := it.(Jump); ok && j.Page >= len(d.Pages) {
				t.Errorf("%s: a line of the contents leads to page %d of %d", x.name, j.Page+1, len(d.Pages))
			}
		}
	}
}

// The mark of a guess stays with the name of its colour.
func TestGuessStaysWithItsColour(t *testing.T) {
	for i := range 30 { // some are just as wide as their column
		name := "pale " + strings.Repeat("i", i+1)
		d := guideOf(t, 2, func(b *Bench, s *GuideShots) {
			for i := range b.Coats.Tasks {
				b.Coats.Tasks[i].Look = facings.Look{Hex: "#8a6a4a", Name: name, Guess: true}
			}
		}).Print(A4())
		for _, text := range strings.Split(strings.Join(words(d), ""), "\n") {
			if strings.HasPrefix(text, "*") {
				t.Fatalf("%q: the mark has a line of its own", name)
			}
		}
	}
}

// The words under a small picture say all of who is shown.
func TestCaptionsAreWhole(t *testing.T) {
	who := strings.Repeat("The Hereditary Margrave's Own Mounted Ferrymen, ", 3) + "bearer of the second standard 12"
	d := guideOf(t, 1, func(b *Bench, s *GuideShots) {
		b.Order.Passes[0].Figures = b.Order.Passes[0].Figures[:1]
		s.Passes[0].Caption = who
	}).Print(Letter())
	if !strings.Contains(flat(strings.Join(words(d), "")), who) {
		t.Error("a caption is cut")
	}
}

// Traits are told from their values, and roles and flags are counted.
func TestGuideWords(t *testing.T) {
	var by traitValues
	for _, x := range [][2]string{{"horse", "bay"}, {"horse", "dark bay"}, {"horse", "bay"}, {"faces", "star"}} {
		by.add(x[0], x[1])
	}
	if got := by.words(); got != "horse: bay and dark bay; faces: star" {
		t.Error(got)
	}
	g := &guideMaker{Bench: &Bench{Project: &facings.Project{}}}
	for n, want := range map[int]string{1: "print, cut and fold the flag", 2: "print, cut and fold the flags"} {
		pass := &facings.Pass{Stage: facings.StageMakeFlag, Technique: facings.Fit, Figures: make([]int, n)}
		if got := g.passTitle(pass); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
	ending := func(first string) *reason {
		return &reason{rule: facings.RuleEnding, why: projectPuts + first + " before flag"}
	}
	other := &reason{rule: facings.RuleEnding, why: "painting (coat) is dry before the flag"}
	together := drawnTogether([]*reason{other, ending("base"), ending("varnish")})
	if len(together) != 2 || together[0] != other || together[1].why != "the project puts base and varnish before the flag" {
		t.Error(fmt.Sprint(together))
	}
}
