package sheet

import (
	"cmp"
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

// Pack nests rectangles on as few pages of w × h mm as its rule gives: highest
// first, each at the lowest place where it fits on the first page that has
// one, as far left as it goes (a skyline). One that is too wide is turned.
// Places come in the order of the rectangles.
func Pack(sizes []Size, w, h float64) ([]Placed, int, error) {
	placed := make([]Placed, len(sizes))
	order := make([]int, len(sizes))
	turned := slices.Clone(sizes)
	for i, s := range sizes {
		order[i] = i
		if s.W > w || s.H > h {
			placed[i].Turned = true
			turned[i] = Size{s.H, s.W}
		}
		if turned[i].W > w || turned[i].H > h {
			return nil, 0, fmt.Errorf("%w: %.0f × %.0f mm do not fit on %.0f × %.0f mm", ErrTooBig, s.W, s.H, w, h)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(turned[b].H, turned[a].H), cmp.Compare(turned[b].W, turned[a].W))
	})
	var pages []*skyline
	for _, i := range order {
		s := turned[i]
		done := false
		for n, page := range pages {
			if at, ok := page.place(s, w, h); ok {
				placed[i].Page, placed[i].At, done = n, at, true
				break
			}
		}
		if !done {
			page := &skyline{{0, 0}, {w, h}}
			at, _ := page.place(s, w, h)
			pages = append(pages, page)
			placed[i].Page, placed[i].At = len(pages)-1, at
		}
	}
	return placed, len(pages), nil
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
