package swatch

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// WriteSVG writes the scene true to scale: its width and height are in
// millimetres and one user unit is one of them.
//
// Ref: svg11.
func (s *Scene) WriteSVG(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g">`+"\n", s.W, s.H, s.W, s.H)
	fmt.Fprintf(&b, `<rect width="%g" height="%g" fill="#ffffff"/>`+"\n", s.W, s.H)
	b.WriteString(`<g shape-rendering="crispEdges">` + "\n")
	for _, r := range s.Rects {
		fmt.Fprintf(&b, `<rect x="%.3f" y="%.3f" width="%.3f" height="%.3f" fill="%s"/>`+"\n", r.X, r.Y, r.W, r.H, greyHex(r.Grey))
	}
	b.WriteString("</g>\n")
	for _, l := range s.Lines {
		fmt.Fprintf(&b, `<path d="M%.3f %.3fL%.3f %.3f" stroke="%s" stroke-width="%g"/>`+"\n", l.From.X, l.From.Y, l.To.X, l.To.Y, greyHex(l.Grey), l.Width)
	}
	b.WriteString(`<g font-family="Helvetica, Arial, sans-serif">` + "\n")
	for _, t := range s.Texts {
		weight := ""
		if t.Bold {
			weight = ` font-weight="bold"`
		}
		fmt.Fprintf(&b, `<text x="%.3f" y="%.3f" font-size="%g" text-anchor="%s"%s>`, t.At.X, t.At.Y, t.Size, t.Anchor, weight)
		if err := xml.EscapeText(&b, []byte(t.Text)); err != nil {
			return err
		}
		b.WriteString("</text>\n")
	}
	b.WriteString("</g>\n</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func greyHex(g uint8) string { return fmt.Sprintf("#%02x%02x%02x", g, g, g) }
