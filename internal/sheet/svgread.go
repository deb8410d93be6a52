package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Bounds of an SVG that is read.
const (
	MaxSVGBytes    = 4 << 20
	maxSVGElements = 20_000
	maxSVGDepth    = 40
	maxSVGSegments = 200_000
	maxSVGNumber   = 1e6
)

// SVGError says what in an SVG cannot be drawn, and where.
type SVGError struct {
	File    string
	Line    int
	Element string
	Message string
}

func (e *SVGError) Error() string {
	if e.Element == "" {
		return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Message)
	}
	return fmt.Sprintf("%s:%d: <%s>: %s", e.File, e.Line, e.Element, e.Message)
}

// ReadSVG reads a picture onto the unit square. It may hold svg, g, path,
// rect, circle, ellipse, line, polyline and polygon with fill, fill-rule, stroke,
// stroke-width, transform and the same in style; title, desc and metadata are
// passed over. Anything else is refused, with its name and line, rather than
// drawn wrongly: text, gradients, patterns, clips, use, style sheets, scripts,
// a DOCTYPE. Nothing outside the file is ever read. A group with the id
// "lettering" is not mirrored on the reverse. Ref: svg11.
func ReadSVG(file string, data []byte) ([]Item, error) {
	if len(data) > MaxSVGBytes {
		return nil, &SVGError{File: file, Line: 1, Message: fmt.Sprintf("the file holds more than %d MB", MaxSVGBytes>>20)}
	}
	r := &svgReader{file: file, x: xml.NewDecoder(bytes.NewReader(data))}
	r.x.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, fmt.Errorf("the text is in %q; save it as UTF-8", charset)
	}
	items, err := r.document()
	if err != nil {
		return nil, err
	}
	return Moved(items, r.box), nil
}

type svgReader struct {
	file     string
	x        *xml.Decoder
	box      Matrix // picture to unit square
	elements int
	segments int
}

// svgStyle is what is handed down to the elements inside.
type svgStyle struct {
	fill, stroke *RGB
	width        float64
	evenOdd      bool
	m            Matrix
	hidden       bool
}

func (r *svgReader) fail(element, format string, args ...any) error {
	line, _ := r.x.InputPos()
	return &SVGError{File: r.file, Line: line, Element: element, Message: fmt.Sprintf(format, args...)}
}

// document reads up to the outer svg element and then all of it.
func (r *svgReader) document() ([]Item, error) {
	var items []Item
	found := false
	for {
		tok, err := r.x.Token()
		if errors.Is(err, io.EOF) {
			if !found {
				return nil, r.fail("", "there is no svg element")
			}
			return items, nil
		}
		if err != nil {
			return nil, r.fail("", "the XML is broken: %v", err)
		}
		switch t := tok.(type) {
		case xml.Directive:
			return nil, r.fail("", "a DOCTYPE or other declaration is not read; take it out")
		case xml.StartElement:
			if found || t.Name.Local != "svg" {
				return nil, r.fail(t.Name.Local, "the outermost element must be svg, and only one")
			}
			found = true
			if err := r.frame(t); err != nil {
				return nil, err
			}
			style := svgStyle{fill: &RGB{}, width: 1, m: Identity()}
			if style, err = r.style(t, style); err != nil {
				return nil, err
			}
			if items, err = r.children(style, 1); err != nil {
				return nil, err
			}
		}
	}
}

// frame reads viewBox, or width and height, which become the unit square.
func (r *svgReader) frame(t xml.StartElement) error {
	var box []float64
	var w, h float64
	for _, a := range t.Attr {
		var err error
		switch a.Name.Local {
		case "viewBox":
			box, err = numbers(a.Value)
		case "width":
			w, err = length(a.Value)
		case "height":
			h, err = length(a.Value)
		}
		if err != nil && (a.Name.Local == "viewBox" || !strings.HasSuffix(strings.TrimSpace(a.Value), "%")) {
			return r.fail("svg", "%s: %v", a.Name.Local, err)
		}
	}
	if box == nil {
		box = []float64{0, 0, w, h}
	}
	if len(box) != 4 || !(box[2] > 0 && box[3] > 0) {
		return r.fail("svg", "it needs a viewBox of four numbers, or a width and a height")
	}
	r.box = Translate(-box[0], -box[1]).Then(ScaleBy(1/box[2], 1/box[3]))
	return nil
}

// children reads what stands inside an element, up to its end.
func (r *svgReader) children(style svgStyle, depth int) ([]Item, error) {
	var items []Item
	for {
		tok, err := r.x.Token()
		if err != nil {
			return nil, r.fail("", "the XML is broken: %v", err)
		}
		switch t := tok.(type) {
		case xml.EndElement:
			return items, nil
		case xml.Directive:
			return nil, r.fail("", "a declaration is not read; take it out")
		case xml.CharData:
			if len(bytes.TrimSpace(t)) > 0 {
				return nil, r.fail("", "there is text that no element here draws")
			}
		case xml.StartElement:
			more, err := r.element(t, style, depth)
			if err != nil {
				return nil, err
			}
			items = append(items, more...)
		}
	}
}

func (r *svgReader) element(t xml.StartElement, style svgStyle, depth int) ([]Item, error) {
	name := t.Name.Local
	r.elements++
	if r.elements > maxSVGElements {
		return nil, r.fail(name, "there are more than %d elements", maxSVGElements)
	}
	if depth > maxSVGDepth {
		return nil, r.fail(name, "elements are nested more than %d deep", maxSVGDepth)
	}
	if space := t.Name.Space; space != "" && space != "http://www.w3.org/2000/svg" {
		return nil, r.skip(depth) // an editor's own notes
	}
	switch name {
	case "title", "desc", "metadata":
		return nil, r.skip(depth)
	case "defs":
		return nil, r.emptyDefs()
	case "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon":
	case "text":
		return nil, r.fail(name, "text is not read; turn it into paths (in a group with the id \"lettering\" if it should not be mirrored)")
	case "image":
		return nil, r.fail(name, "pictures inside pictures are not read; use a PNG or JPEG for the whole flag")
	default:
		return nil, r.fail(name, "this element cannot be drawn here; turn it into plain paths with plain colours")
	}
	style, err := r.style(t, style)
	if err != nil {
		return nil, err
	}
	if name != "g" {
		path, err := r.form(t)
		if err != nil {
			return nil, err
		}
		if _, err := r.children(style, depth+1); err != nil { // a title may stand inside
			return nil, err
		}
		return r.drawn(path, style, name)
	}
	letters := false
	for _, a := range t.Attr {
		letters = letters || (a.Name.Local == "id" && a.Value == "lettering")
	}
	items, err := r.children(style, depth+1)
	if err != nil || !letters || len(items) == 0 {
		return items, err
	}
	return []Item{newUpright(items)}, nil
}

// drawn is a form in its colours.
func (r *svgReader) drawn(path Path, s svgStyle, name string) ([]Item, error) {
	r.segments += len(path.segs)
	if r.segments > maxSVGSegments {
		return nil, r.fail(name, "there are more than %d lines and curves", maxSVGSegments)
	}
	if s.hidden || (s.fill == nil && s.stroke == nil) || len(path.segs) == 0 {
		return nil, nil
	}
	path = path.Moved(s.m)
	for _, g := range path.segs {
		for _, q := range g.p {
			if !(math.Abs(q.X) < 1e12 && math.Abs(q.Y) < 1e12) {
				return nil, r.fail(name, "it reaches too far out")
			}
		}
	}
	shape := Shape{Path: path, Fill: s.fill, EvenOdd: s.evenOdd}
	if s.stroke != nil && s.width > 0 {
		shape.Stroke, shape.WidthMM = s.stroke, s.width*s.m.Scale()
	}
	return []Item{shape}, nil
}

// skip passes over an element with all that is in it.
func (r *svgReader) skip(depth int) error {
	for open := 1; open > 0; {
		tok, err := r.x.Token()
		if err != nil {
			return r.fail("", "the XML is broken: %v", err)
		}
		switch tok.(type) {
		case xml.StartElement:
			open++
			r.elements++
			if r.elements > maxSVGElements || depth+open > maxSVGDepth {
				return r.fail("", "there is too much in the picture's notes")
			}
		case xml.EndElement:
			open--
		case xml.Directive:
			return r.fail("", "a declaration is not read; take it out")
		}
	}
	return nil
}

// emptyDefs allows defs with nothing in them, as drawing programs write.
func (r *svgReader) emptyDefs() error {
	for {
		tok, err := r.x.Token()
		if err != nil {
			return r.fail("defs", "the XML is broken: %v", err)
		}
		switch t := tok.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if t.Name.Space == "" || t.Name.Space == "http://www.w3.org/2000/svg" {
				return r.fail(t.Name.Local, "definitions (gradients, patterns, clips …) are not read; use plain colours")
			}
			if err := r.skip(1); err != nil {
				return err
			}
		}
	}
}

// upright is lettering: on a mirrored face it is mirrored once more about its
// own middle, so that it reads.
type upright struct {
	items []Item
	mid   Point
}

func newUpright(items []Item) upright {
	b := emptyBox()
	for _, it := range items {
		if s, ok := it.(Shape); ok {
			b = b.join(s.Path.Bounds())
		}
		if u, ok := it.(upright); ok {
			b = b.with(u.mid)
		}
	}
	return upright{items: items, mid: Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}}
}

func (u upright) moved(m Matrix) Item {
	if float64(m.A*m.D)-float64(m.B*m.C) < 0 {
		flip := Matrix{A: -1, D: 1, E: 2 * u.mid.X}
		m = flip.Then(m)
		return Group{Items: Moved(u.items, m)}
	}
	return upright{items: Moved(u.items, m), mid: m.Apply(u.mid)}
}
