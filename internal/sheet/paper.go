package sheet

import (
	"fmt"
	"strings"
)

// Paper is a size of paper, upright, and how near to its edge a printer prints.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
	// MarginMM stays white on all sides: a quarter inch, which desktop printers
	// keep to (common practice).
	MarginMM float64
}

const margin = 6.35

// A4 is 210 × 297 mm. Ref: iso216.
func A4() Paper { return Paper{"A4", 210, 297, margin} }

// Letter is 8.5 × 11 inches. Ref: asmey14.1.
func Letter() Paper { return Paper{"Letter", 215.9, 279.4, margin} }

// PaperNamed finds a paper by its name, in any case.
func PaperNamed(name string) (Paper, error) {
	switch strings.ToLower(name) {
	case "", "a4":
		return A4(), nil
	case "letter":
		return Letter(), nil
	}
	return Paper{}, fmt.Errorf("%q is no paper known here; write a4 or letter", name)
}

// Inside is what may be printed on.
func (p Paper) Inside() Box {
	return Box{p.MarginMM, p.MarginMM, p.WidthMM - p.MarginMM, p.HeightMM - p.MarginMM}
}
