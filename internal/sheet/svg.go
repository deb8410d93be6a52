package sheet

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// WriteSVG writes one page as SVG 1.1 in millimetres, its pictures inside.
// Letters are drawn as outlines, since not every reader of SVG takes a font
// from the file; what a line says is its aria-label. Ref: svg11.
func (d *Document) WriteSVG(w io.Writer, page int) error {
	p := d.Pages[page]
	s := &svgWriter{defined: map[string]bool{}}
	s.items(p.Items)
	if s.err != nil {
		return s.err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1" width="%[1]smm" height="%[2]smm" viewBox="0 0 %[1]s %[2]s">`+"\n",
		mm(p.Paper.WidthMM), mm(p.Paper.HeightMM))
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(d.Title))
	fmt.Fprintf(&b, "<defs>\n%s</defs>\n", s.glyphs.String())
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="#ffffff"/>`+"\n", mm(p.Paper.WidthMM), mm(p.Paper.HeightMM))
	b.Write(s.b.Bytes())
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

type svgWriter struct {
	b       bytes.Buffer
	glyphs  bytes.Buffer // each letter used, once
	defined map[string]bool
	clips   int
	err     error
}

// mm writes a length to a tenth of a micrometre.
func mm(x float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 4, 64), "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}

func (s *svgWriter) items(items []Item) {
	for _, it := range items {
		switch it := it.(type) {
		case Shape:
			s.shape(it)
		case Text:
			s.text(it)
		case Picture:
			s.picture(it)
		case upright:
			s.items(it.items)
		case Group:
			s.group(it)
		}
	}
}

func svgPath(p Path) string {
	var b strings.Builder
	for _, g := range p.segs {
		switch g.op {
		case opMove:
			fmt.Fprintf(&b, "M%s %s", mm(g.p[0].X), mm(g.p[0].Y))
		case opLine:
			fmt.Fprintf(&b, "L%s %s", mm(g.p[0].X), mm(g.p[0].Y))
		case opCurve:
			fmt.Fprintf(&b, "C%s %s %s %s %s %s", mm(g.p[0].X), mm(g.p[0].Y), mm(g.p[1].X), mm(g.p[1].Y), mm(g.p[2].X), mm(g.p[2].Y))
		case opClose:
			b.WriteByte('Z')
		}
	}
	return b.String()
}

func (s *svgWriter) shape(x Shape) {
	if len(x.Path.segs) == 0 || (x.Fill == nil && x.Stroke == nil) {
		return
	}
	fmt.Fprintf(&s.b, `<path d="%s"`, svgPath(x.Path))
	if x.Fill != nil {
		fmt.Fprintf(&s.b, ` fill="%s"`, x.Fill.Hex())
		if x.EvenOdd {
			s.b.WriteString(` fill-rule="evenodd"`)
		}
	} else {
		s.b.WriteString(` fill="none"`)
	}
	if x.Stroke != nil {
		fmt.Fprintf(&s.b, ` stroke="%s" stroke-width="%s" stroke-linejoin="round"`, x.Stroke.Hex(), mm(x.WidthMM))
	}
	if x.Alpha != 0 && x.Alpha != 1 {
		fmt.Fprintf(&s.b, ` opacity="%s"`, mm(x.Alpha))
	}
	s.b.WriteString("/>\n")
}

func (s *svgWriter) text(t Text) {
	if t.Text == "" {
		return
	}
	f := faceOf(t.Bold)
	turn := ""
	if t.TurnDeg != 0 {
		turn = "rotate(" + mm(t.TurnDeg) + ")"
	}
	fmt.Fprintf(&s.b, `<g aria-label="%s" fill="%s" transform="translate(%s %s)%s scale(%s)">`, escaped(t.Text), t.Ink.Hex(), mm(t.At.X), mm(t.At.Y), turn,
		strconv.FormatFloat(t.SizeMM/f.em, 'g', 8, 64))
	x := 0.0 // in the font's units
	var buf sfnt.Buffer
	for _, r := range t.Text {
		if id := s.letter(r, t.Bold); id != "" {
			fmt.Fprintf(&s.b, `<use xlink:href="#%s" x="%s"/>`, id, mm(x))
		}
		x += f.advance(&buf, r) * f.em
	}
	s.b.WriteString("</g>\n")
}

// letter defines a letter's outline in the font's units, once; the empty name
// for one that shows nothing.
func (s *svgWriter) letter(r rune, bold bool) string {
	id := fmt.Sprintf("r%x", r)
	if bold {
		id = fmt.Sprintf("b%x", r)
	}
	shows, known := s.defined[id]
	if !known {
		path := outline(string(r), faceOf(bold).em, bold)
		shows = len(path.segs) > 0
		s.defined[id] = shows
		if shows {
			fmt.Fprintf(&s.glyphs, `<path id="%s" d="%s"/>`+"\n", id, svgPath(path))
		}
	}
	if !shows {
		return ""
	}
	return id
}

func (s *svgWriter) picture(p Picture) {
	data, kind, err := p.file()
	if err != nil {
		s.err = err
		return
	}
	m := p.Place
	fmt.Fprintf(&s.b, `<image width="1" height="1" preserveAspectRatio="none" transform="matrix(%s %s %s %s %s %s)" xlink:href="data:image/%s;base64,%s"/>`+"\n",
		mm(m.A), mm(m.B), mm(m.C), mm(m.D), mm(m.E), mm(m.F), kind, base64.StdEncoding.EncodeToString(data))
}

func (s *svgWriter) group(g Group) {
	if g.Clip == nil {
		s.items(g.Items)
		return
	}
	s.clips++
	fmt.Fprintf(&s.b, `<clipPath id="c%[1]d"><path d="%[2]s"/></clipPath><g clip-path="url(#c%[1]d)">`+"\n", s.clips, svgPath(*g.Clip))
	s.items(g.Items)
	s.b.WriteString("</g>\n")
}
