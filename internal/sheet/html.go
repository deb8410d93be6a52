package sheet

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed guide.gohtml
var guidePage string

// WriteHTML writes the guide as one page that needs no other file: its pictures
// are inside it, and it asks for nothing from outside.
func (g *Guide) WriteHTML(w io.Writer) error {
	page, err := template.New("guide").Funcs(template.FuncMap{
		"kind":   blockKind,
		"src":    Shot.dataURI,
		"colour": func(hex string) template.CSS { return template.CSS("background:" + cleanHex(hex)) },
		"shown":  shownAs,
		"title":  upperFirst,
		"number": func(i int) int { return i + 1 },
		"narrow": func(g Gallery) bool { return g.MostMM > 0 && g.MostMM <= 32 },
		"large":  func(g Gallery) bool { return g.MostMM >= 80 },
		"label": func(c []Column, i int) string {
			if i < len(c) {
				return strings.TrimSuffix(c[i].Title, ".")
			}
			return ""
		},
		"wide":    func(c Column) template.CSS { return template.CSS(fmt.Sprintf("width:%.1f%%", 100*c.Share)) },
		"columns": func(g Gallery) template.CSS { return template.CSS(fmt.Sprintf("--columns:%d", max(1, g.Columns))) },
		"right":   func(c []Column, i int) bool { return i < len(c) && c[i].Right },
	}).Parse(guidePage)
	if err != nil {
		return fmt.Errorf("the guide's page: %w", err)
	}
	var b bytes.Buffer
	if err := page.Execute(&b, g); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// blockKind names a block for the template.
func blockKind(b Block) string {
	switch b.(type) {
	case Heading:
		return "heading"
	case Words:
		return "words"
	case Caution:
		return "caution"
	case Chips:
		return "chips"
	case Gallery:
		return "gallery"
	case Rows:
		return "rows"
	case Step:
		return "step"
	}
	return ""
}

// dataURI is the picture as an address that holds all of it.
func (s Shot) dataURI() (template.URL, error) {
	_, kind, err := Picture{Encoded: s.Data}.file()
	if err != nil {
		return "", err
	}
	return template.URL("data:image/" + kind + ";base64," + base64.StdEncoding.EncodeToString(s.Data)), nil
}

// cleanHex lets nothing but a colour into a style.
func cleanHex(hex string) string {
	c, err := ParseHex(hex)
	if err != nil {
		return "transparent"
	}
	return c.Hex()
}

// Headings are the parts of a chapter, for its contents.
func (c Chapter) Headings() []Heading {
	var out []Heading
	for _, b := range c.Blocks {
		if h, ok := b.(Heading); ok {
			out = append(out, h)
		}
	}
	return out
}

// Parts is the chapter's blocks with the number of each heading among its
// headings, 0 for other blocks, so that contents can lead there.
func (c Chapter) Parts() []Part {
	var out []Part
	n := 0
	for _, b := range c.Blocks {
		p := Part{Block: b}
		if _, ok := b.(Heading); ok {
			n++
			p.Heading = n
		}
		out = append(out, p)
	}
	return out
}

// Part is a block in its chapter.
type Part struct {
	Block   Block
	Heading int
}
