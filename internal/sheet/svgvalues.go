package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// style reads an element's own colours, width and transform on top of those
// handed down.
func (r *svgReader) style(t xml.StartElement, s svgStyle) (svgStyle, error) {
	var list []xml.Attr
	for _, a := range t.Attr {
		if a.Name.Space != "" { // an editor's own, except for links
			if a.Name.Local == "href" {
				return s, r.fail(t.Name.Local, "links are not followed; take href out")
			}
			continue
		}
		if a.Name.Local != "style" {
			list = append(list, a)
			continue
		}
		for _, d := range strings.Split(a.Value, ";") {
			if k, v, ok := strings.Cut(d, ":"); ok {
				list = append(list, xml.Attr{Name: xml.Name{Local: strings.TrimSpace(k)}, Value: strings.TrimSpace(v)})
			}
		}
	}
	for _, a := range list {
		if err := r.property(t.Name.Local, a.Name.Local, strings.TrimSpace(a.Value), &s); err != nil {
			return s, err
		}
	}
	return s, nil
}

func (r *svgReader) property(element, name, value string, s *svgStyle) error {
	bad := func(err error) error {
		if err == nil {
			return nil
		}
		return r.fail(element, "%s: %v", name, err)
	}
	var err error
	switch name {
	case "fill":
		s.fill, err = paintOf(value)
	case "stroke":
		s.stroke, err = paintOf(value)
	case "stroke-width":
		s.width, err = length(value)
		if err == nil && s.width < 0 {
			err = errors.New("a line cannot be thinner than nothing")
		}
	case "transform":
		var m Matrix
		if m, err = transform(value); err == nil {
			s.m = m.Then(s.m)
		}
	case "opacity", "fill-opacity", "stroke-opacity":
		if v, e := strconv.ParseFloat(value, 64); e != nil || v != 1 {
			err = errors.New("only opaque colours are drawn; mix the colour by hand")
		}
	case "fill-rule":
		s.evenOdd = value == "evenodd"
		if value != "nonzero" && !s.evenOdd {
			err = fmt.Errorf("%.20q is neither nonzero nor evenodd", value)
		}
	case "display":
		s.hidden = s.hidden || value == "none"
	case "visibility":
		s.hidden = value != "visible"
	case "stroke-linejoin", "stroke-linecap", "stroke-miterlimit", "stroke-dashoffset": // joins are round, ends butt
	case "stroke-dasharray":
		if value != "none" {
			err = errors.New("dashed lines are not drawn; draw the dashes")
		}
	case "filter", "mask", "clip-path", "marker", "marker-start", "marker-mid", "marker-end", "href", "class", "mix-blend-mode":
		if value != "none" && value != "normal" {
			err = errors.New("this cannot be drawn here")
		}
	}
	if strings.HasPrefix(name, "on") {
		err = errors.New("scripts are not run; take it out")
	}
	return bad(err)
}

// form is the path of a drawing element.
func (r *svgReader) form(t xml.StartElement) (Path, error) {
	v := map[string]float64{}
	given := map[string]bool{}
	for _, a := range t.Attr {
		switch a.Name.Local {
		case "x", "y", "width", "height", "rx", "ry", "cx", "cy", "r", "x1", "y1", "x2", "y2":
			n, err := length(a.Value)
			if err != nil {
				return Path{}, r.fail(t.Name.Local, "%s: %v", a.Name.Local, err)
			}
			v[a.Name.Local], given[a.Name.Local] = n, true
		case "d":
			if t.Name.Local == "path" {
				p, err := pathData(a.Value)
				if err != nil {
					return p, r.fail("path", "%v", err)
				}
				return p, nil
			}
		case "points":
			n, err := numbers(a.Value)
			if err != nil || len(n)%2 != 0 {
				return Path{}, r.fail(t.Name.Local, "points must be pairs of numbers")
			}
			var points []Point
			for i := 0; i < len(n); i += 2 {
				points = append(points, Point{n[i], n[i+1]})
			}
			if t.Name.Local == "polygon" && len(points) > 0 {
				return Polygon(points...), nil
			}
			return Polyline(points...), nil
		}
	}
	switch t.Name.Local {
	case "rect":
		return roundRect(v["x"], v["y"], v["width"], v["height"], v["rx"], v["ry"], given["rx"], given["ry"]), nil
	case "circle":
		return Circle(v["cx"], v["cy"], v["r"]), nil
	case "ellipse":
		return Ellipse(v["cx"], v["cy"], v["rx"], v["ry"]), nil
	case "line":
		return Polyline(Point{v["x1"], v["y1"]}, Point{v["x2"], v["y2"]}), nil
	}
	return Path{}, nil
}

func roundRect(x, y, w, h, rx, ry float64, hasX, hasY bool) Path {
	if !hasX {
		rx = ry
	}
	if !hasY {
		ry = rx
	}
	rx, ry = math.Min(math.Abs(rx), w/2), math.Min(math.Abs(ry), h/2)
	if rx <= 0 || ry <= 0 {
		return Rect(x, y, x+w, y+h)
	}
	const k = 1 - 0.5522847498307936
	var p Path
	p.Move(x+rx, y)
	p.Line(x+w-rx, y)
	p.Curve(x+w-k*rx, y, x+w, y+k*ry, x+w, y+ry)
	p.Line(x+w, y+h-ry)
	p.Curve(x+w, y+h-k*ry, x+w-k*rx, y+h, x+w-rx, y+h)
	p.Line(x+rx, y+h)
	p.Curve(x+k*rx, y+h, x, y+h-k*ry, x, y+h-ry)
	p.Line(x, y+ry)
	p.Curve(x, y+k*ry, x+k*rx, y, x+rx, y)
	p.Close()
	return p
}

// paintOf reads a colour: none, #rgb, #rrggbb, rgb(r,g,b) or one of SVG 1.1's
// sixteen basic names.
func paintOf(s string) (*RGB, error) {
	basic := map[string]string{"black": "#000000", "silver": "#c0c0c0", "gray": "#808080", "white": "#ffffff", "maroon": "#800000",
		"red": "#ff0000", "purple": "#800080", "fuchsia": "#ff00ff", "green": "#008000", "lime": "#00ff00", "olive": "#808000",
		"yellow": "#ffff00", "navy": "#000080", "blue": "#0000ff", "teal": "#008080", "aqua": "#00ffff"}
	s = strings.ToLower(s)
	switch {
	case s == "none" || s == "transparent":
		return nil, nil
	case basic[s] != "":
		s = basic[s]
	case len(s) == 4 && s[0] == '#':
		s = string([]byte{'#', s[1], s[1], s[2], s[2], s[3], s[3]})
	case strings.HasPrefix(s, "rgb(") && strings.HasSuffix(s, ")"):
		n, err := numbers(s[4 : len(s)-1])
		if err != nil || len(n) != 3 {
			return nil, fmt.Errorf("%q is no colour; write #rrggbb", s)
		}
		b := func(x float64) uint8 { return uint8(math.Round(math.Max(0, math.Min(255, x)))) }
		return &RGB{b(n[0]), b(n[1]), b(n[2])}, nil
	}
	c, err := ParseHex(s)
	if err != nil {
		return nil, fmt.Errorf("%.40q is no plain colour; write #rrggbb", s)
	}
	return &c, nil
}

// length reads a number with an absolute unit or none; only its ratio to the
// others matters, and all units are turned into SVG's px.
func length(s string) (float64, error) {
	s = strings.TrimSpace(s)
	per := 1.0
	for _, u := range []struct {
		name string
		px   float64
	}{{"px", 1}, {"mm", 96 / 25.4}, {"cm", 96 / 2.54}, {"in", 96}, {"pt", 96.0 / 72}, {"pc", 16}} {
		if cut, ok := strings.CutSuffix(s, u.name); ok {
			s, per = strings.TrimSpace(cut), u.px
			break
		}
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || !(math.Abs(x*per) <= maxSVGNumber) {
		return 0, fmt.Errorf("%.40q is no length that can be drawn", s)
	}
	return x * per, nil
}

// numbers reads a list of numbers between spaces and commas.
func numbers(s string) ([]float64, error) {
	sc := &scanner{s: s}
	var out []float64
	for sc.more() {
		x, err := sc.number()
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// transform reads a list of SVG's transformations; the first is outermost.
func transform(s string) (Matrix, error) {
	m := Identity()
	rest := strings.TrimSpace(s)
	for n := 0; rest != ""; n++ {
		open, closing := strings.IndexByte(rest, '('), strings.IndexByte(rest, ')')
		if open < 0 || closing < open || n > 50 {
			return m, fmt.Errorf("%.40q is no transformation", rest)
		}
		v, err := numbers(rest[open+1 : closing])
		if err != nil {
			return m, err
		}
		one, err := oneTransform(strings.TrimSpace(rest[:open]), v)
		if err != nil {
			return m, err
		}
		m = one.Then(m)
		rest = strings.TrimLeft(rest[closing+1:], " \t\r\n,")
	}
	return m, nil
}

func oneTransform(name string, v []float64) (Matrix, error) {
	n := len(v)
	switch {
	case name == "matrix" && n == 6:
		return Matrix{v[0], v[1], v[2], v[3], v[4], v[5]}, nil
	case name == "translate" && n == 1:
		return Translate(v[0], 0), nil
	case name == "translate" && n == 2:
		return Translate(v[0], v[1]), nil
	case name == "scale" && n == 1:
		return ScaleBy(v[0], v[0]), nil
	case name == "scale" && n == 2:
		return ScaleBy(v[0], v[1]), nil
	case name == "rotate" && n == 1:
		return Turn(v[0]), nil
	case name == "rotate" && n == 3:
		return Translate(-v[1], -v[2]).Then(Turn(v[0])).Then(Translate(v[1], v[2])), nil
	case name == "skewX" && n == 1 && math.Abs(v[0]) < 89:
		return Matrix{A: 1, C: math.Tan(v[0] * math.Pi / 180), D: 1}, nil
	case name == "skewY" && n == 1 && math.Abs(v[0]) < 89:
		return Matrix{A: 1, B: math.Tan(v[0] * math.Pi / 180), D: 1}, nil
	}
	return Identity(), fmt.Errorf("%.20q with %d numbers is no transformation", name, n)
}
