package sheet

import (
	"errors"
	"fmt"
	"slices"
)

// Size is a rectangle's sides in mm.
type Size struct{ W, H float64 }

// Placed is where a rectangle went: its page and its top left corner; Turned
// if it lies on its side.
type Placed struct {
	Page   int
	At     Point
	Turned bool
}

// ErrTooBig says that something is larger than a page.
var ErrTooBig = errors.New("too big for the paper")

// Pack nests rectangles on pages of w × h mm in their order, each at the
// highest place where it fits on the first page that has one, as far left as
// it goes (a skyline); on its side where no page has room for it upright.
// Little is wasted when equal ones follow each other, high ones first.
func Pack(sizes []Size, w, h float64) ([]Placed, int, error) {
	placed := make([]Placed, len(sizes))
	var pages []*skyline
	for i, s := range sizes {
		at, ok := placeOn(pages, s, w, h)
		if !ok {
			pages = append(pages, &skyline{{0, 0}, {w, h}})
			if at, ok = placeOn(pages, s, w, h); !ok {
				return nil, 0, fmt.Errorf("%w: %.0f × %.0f mm do not fit on %.0f × %.0f mm", ErrTooBig, s.W, s.H, w, h)
			}
		}
		placed[i] = at
	}
	return placed, len(pages), nil
}

// placeOn finds a place on the pages there are, upright if possible.
func placeOn(pages []*skyline, s Size, w, h float64) (Placed, bool) {
	for _, turned := range []bool{false, true} {
		if turned {
			s = Size{s.H, s.W}
		}
		for n, page := range pages {
			if at, ok := page.place(s, w, h); ok {
				return Placed{n, at, turned}, true
			}
		}
	}
	return Placed{}, false
}

// skyline is the lower edge of what is placed: from each point's X to the
// next one's the ground is at its Y. The last point ends the page.
type skyline []Point

// place finds the highest free place on the page (y runs down), then the
// leftmost, and takes it.
func (s *skyline) place(size Size, w, h float64) (Point, bool) {
	best, found := Point{}, false
	for i, p := range (*s)[:len(*s)-1] {
		if p.X+size.W > w+1e-9 {
			break
		}
		y := 0.0
		for _, q := range (*s)[i : len(*s)-1] {
			if q.X >= p.X+size.W-1e-9 {
				break
			}
			y = max(y, q.Y)
		}
		if y+size.H <= h+1e-9 && (!found || y < best.Y) {
			best, found = Point{p.X, y}, true
		}
	}
	if found {
		s.raise(best.X, best.X+size.W, best.Y+size.H)
	}
	return best, found
}

// raise lifts the skyline between two places to y.
func (s *skyline) raise(x0, x1, y float64) {
	var out skyline
	ground := 0.0 // the skyline's height just before x1
	for _, p := range *s {
		if p.X < x0 {
			out = append(out, p)
		}
		if p.X <= x1+1e-9 {
			ground = p.Y
		}
	}
	out = append(out, Point{x0, y})
	rest := slices.IndexFunc(*s, func(p Point) bool { return p.X > x1+1e-9 })
	if rest >= 0 {
		out = append(out, Point{x1, ground})
		out = append(out, (*s)[rest:]...)
	} else {
		out = append(out, (*s)[len(*s)-1])
	}
	*s = out
}
