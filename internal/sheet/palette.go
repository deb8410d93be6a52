package sheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"

	"facings"
)

// Swatch is one colour of a project by name.
type Swatch struct {
	Name string // of the paint, mix or finish
	What string // "paint", "mix" or "finish"
	Look facings.Look
}

// GPL writes the colours as a GIMP palette.
func GPL(project string, list []Swatch) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "GIMP Palette\nName: %s\nColumns: 8\n#\n", oneLine(project))
	for _, s := range list {
		if c, err := ParseHex(s.Look.Hex); err == nil {
			fmt.Fprintf(&b, "%3d %3d %3d\t%s\n", c.R, c.G, c.B, oneLine(s.What+" "+s.Name))
		}
	}
	return b.Bytes()
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// CSV writes the colours as a table (RFC 4180): name, what it is, sRGB, CIE
// L*a*b* under D65, its name in words, and whether it is a guess.
func CSV(list []Swatch) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	rows := [][]string{{"name", "what", "srgb", "l", "a", "b", "in_words", "guess"}}
	for _, s := range list {
		l := s.Look
		rows = append(rows, []string{s.Name, s.What, l.Hex, fmt.Sprintf("%.2f", l.Lab[0]), fmt.Sprintf("%.2f", l.Lab[1]), fmt.Sprintf("%.2f", l.Lab[2]),
			l.Name, fmt.Sprint(l.Guess)})
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
