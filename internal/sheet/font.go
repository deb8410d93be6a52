package sheet

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// face is one of the two fonts of all sheets: the Go fonts (BSD licence),
// whose letters cover Latin, Greek and Cyrillic.
type face struct {
	ttf  []byte
	font *sfnt.Font
	em   float64       // units per em
	wide [1280]float64 // of each letter up to the end of Cyrillic, ems; -1 where it has none
}

var faces = sync.OnceValue(func() [2]*face {
	var out [2]*face
	for i, ttf := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			panic("the built-in font does not parse: " + err.Error())
		}
		out[i] = &face{ttf: ttf, font: f, em: float64(f.UnitsPerEm())}
		out[i].measure()
	}
	return out
})

func faceOf(bold bool) *face {
	if bold {
		return faces()[1]
	}
	return faces()[0]
}

// measure looks up the letters that most text is made of.
func (f *face) measure() {
	var b sfnt.Buffer
	for r := range f.wide {
		f.wide[r] = -1
		if g, err := f.font.GlyphIndex(&b, rune(r)); err == nil && g != 0 {
			f.wide[r] = f.lookUp(&b, rune(r))
		}
	}
}

// has reports whether the font draws a letter.
func (f *face) has(r rune) bool {
	if r >= 0 && int(r) < len(f.wide) {
		return f.wide[r] >= 0
	}
	var b sfnt.Buffer
	g, err := f.font.GlyphIndex(&b, r)
	return err == nil && g != 0
}

// Printable replaces what the fonts cannot draw by "?" and control characters
// by spaces.
func Printable(s string) string {
	f := faceOf(false)
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || r == 0x7f || r == 0xad:
			return ' '
		case !f.has(r):
			return '?'
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

// advance is a letter's width in ems.
func (f *face) advance(b *sfnt.Buffer, r rune) float64 {
	if r >= 0 && int(r) < len(f.wide) {
		if w := f.wide[r]; w >= 0 {
			return w
		}
	}
	return f.lookUp(b, r)
}

// lookUp asks the font how wide a letter is, in ems.
func (f *face) lookUp(b *sfnt.Buffer, r rune) float64 {
	g, err := f.font.GlyphIndex(b, r)
	if err != nil {
		return 0
	}
	a, err := f.font.GlyphAdvance(b, g, fixed.I(int(f.em)), font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / 64 / f.em
}

// TextWidth is the width of a line in mm at an em of sizeMM.
func TextWidth(s string, sizeMM float64, bold bool) float64 {
	f := faceOf(bold)
	var b sfnt.Buffer
	w := 0.0
	for _, r := range s {
		w += f.advance(&b, r)
	}
	return w * sizeMM
}

// outline is a line of text as a path, baseline from the origin.
func outline(s string, sizeMM float64, bold bool) Path {
	f := faceOf(bold)
	var b sfnt.Buffer
	var out Path
	x, k := 0.0, sizeMM/f.em/64
	for _, r := range s {
		g, err := f.font.GlyphIndex(&b, r)
		if err != nil {
			continue
		}
		segs, err := f.font.LoadGlyph(&b, g, fixed.I(int(f.em)), nil)
		if err == nil {
			out.Add(glyph(segs, x, k))
		}
		x += f.advance(&b, r) * sizeMM
	}
	return out
}

func glyph(segs sfnt.Segments, x, k float64) Path {
	var out Path
	at := func(p fixed.Point26_6) Point { return Point{x + float64(p.X)*k, float64(p.Y) * k} }
	var cur Point
	open := false
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				out.Close()
			}
			open = true
			cur = at(s.Args[0])
			out.Move(cur.X, cur.Y)
		case sfnt.SegmentOpLineTo:
			cur = at(s.Args[0])
			out.Line(cur.X, cur.Y)
		case sfnt.SegmentOpQuadTo:
			c, e := at(s.Args[0]), at(s.Args[1])
			out.Curve(cur.X+2*(c.X-cur.X)/3, cur.Y+2*(c.Y-cur.Y)/3, e.X+2*(c.X-e.X)/3, e.Y+2*(c.Y-e.Y)/3, e.X, e.Y)
			cur = e
		case sfnt.SegmentOpCubeTo:
			c1, c2, e := at(s.Args[0]), at(s.Args[1]), at(s.Args[2])
			out.Curve(c1.X, c1.Y, c2.X, c2.Y, e.X, e.Y)
			cur = e
		}
	}
	if open {
		out.Close()
	}
	return out
}

// nbsp holds two words on one line.
const nbsp = "\u00a0"

// wordsOf splits a text where a line may end.
func wordsOf(s string) []string {
	words := strings.FieldsFunc(Printable(s), func(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' })
	for i := range words {
		words[i] = strings.ReplaceAll(words[i], nbsp, " ")
	}
	return words
}

// Wrap breaks text into lines no wider than widthMM; a word that is too long
// is cut.
func Wrap(s string, sizeMM, widthMM float64, bold bool) []string {
	return wrap(wordsOf(s), sizeMM, widthMM, bold)
}

func wrap(words []string, sizeMM, widthMM float64, bold bool) []string {
	var lines []string
	cur := ""
	for _, word := range words {
		next := word
		if cur != "" {
			next = cur + " " + word
		}
		if TextWidth(next, sizeMM, bold) <= widthMM {
			cur = next
			continue
		}
		if cur != "" {
			lines = append(lines, cur)
		}
		for TextWidth(word, sizeMM, bold) > widthMM {
			head := fitting(word, sizeMM, widthMM, bold)
			lines = append(lines, head)
			word = word[len(head):]
		}
		cur = word
	}
	if cur != "" {
		lines = append(lines, cur)
	}
	return lines
}

// fitting is the longest beginning of a word that fits, one letter at least.
func fitting(word string, sizeMM, widthMM float64, bold bool) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && TextWidth(word[:next], sizeMM, bold) > widthMM {
			break
		}
		end = next
	}
	return word[:end]
}

// Clip shortens a line with an ellipsis where it would be wider than widthMM.
func Clip(s string, sizeMM, widthMM float64, bold bool) string {
	s = Printable(s)
	if TextWidth(s, sizeMM, bold) <= widthMM {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && TextWidth(string(runes)+"…", sizeMM, bold) > widthMM {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ") + "…"
}

// titleSize is the em at which a bold title fits a width, at most so many mm and
// not less than 2.6: a long name is set smaller before it is cut.
func titleSize(s string, most, widthMM float64) float64 {
	w := TextWidth(Printable(s), most, true)
	if w <= widthMM {
		return most
	}
	return max(2.6, most*widthMM/w*(1-1e-9))
}
