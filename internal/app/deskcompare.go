package app

import (
	"context"
	"slices"
	"strings"
)

// around is how many equal lines stand around a difference, as in other
// comparisons of texts.
const around = 3

// mostEdits bounds the search for a shortest comparison; texts further apart
// are shown as all old, then all new.
const mostEdits = 2000

// Compare tells two revisions of a project apart, line by line.
func (d *Desk) Compare(ctx context.Context, id string, a, b int) (*Comparison, error) {
	old, err := d.keeper.Revision(ctx, id, a)
	if err != nil {
		return nil, err
	}
	now, err := d.keeper.Revision(ctx, id, b)
	if err != nil {
		return nil, err
	}
	c := &Comparison{A: old, B: now, Hunks: hunks(difference(lines(old.Text), lines(now.Text))), Files: map[string]string{}}
	for name, hash := range old.Files {
		switch other, ok := now.Files[name]; {
		case !ok:
			c.Files[name] = "removed"
		case other != hash:
			c.Files[name] = "changed"
		}
	}
	for name := range now.Files {
		if _, ok := old.Files[name]; !ok {
			c.Files[name] = "added"
		}
	}
	return c, nil
}

func lines(text []byte) []string {
	return strings.Split(strings.TrimSuffix(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n"), "\n")
}

// difference is a shortest list of lines kept, taken out and put in.
//
// Ref: myers1986.
func difference(a, b []string) []Line {
	// What is alike at both ends needs no search.
	head, tail := 0, 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var out []Line
	for _, l := range a[:head] {
		out = append(out, Line{" ", l})
	}
	out = append(out, shortest(a[head:len(a)-tail], b[head:len(b)-tail])...)
	for _, l := range a[len(a)-tail:] {
		out = append(out, Line{" ", l})
	}
	return out
}

// shortest searches by diagonals: reach[k] is how far into a one comes on
// diagonal k with so many edits.
func shortest(a, b []string) []Line {
	n, m := len(a), len(b)
	most := min(n+m, mostEdits)
	reach := make([]int, 2*most+3)
	at := func(k int) int { return k + most + 1 }
	var trail [][]int
	for edits := 0; edits <= most; edits++ {
		trail = append(trail, append([]int(nil), reach[at(-edits)-1:at(edits)+2]...))
		for k := -edits; k <= edits; k += 2 {
			x := reach[at(k-1)] + 1
			if k == -edits || k != edits && reach[at(k-1)] < reach[at(k+1)] {
				x = reach[at(k+1)]
			}
			y := x - k
			for x < n && y < m && a[x] == b[y] {
				x, y = x+1, y+1
			}
			reach[at(k)] = x
			if x >= n && y >= m {
				return walk(a, b, trail, edits)
			}
		}
	}
	var out []Line
	for _, l := range a {
		out = append(out, Line{"-", l})
	}
	for _, l := range b {
		out = append(out, Line{"+", l})
	}
	return out
}

// walk goes the way back from the end; trail[e] is what was reached by less
// than e edits.
func walk(a, b []string, trail [][]int, edits int) []Line {
	var back []Line
	x, y := len(a), len(b)
	for ; edits > 0; edits-- {
		reach := func(k int) int { return trail[edits][k+edits+1] }
		k := x - y
		added := k == -edits || k != edits && reach(k-1) < reach(k+1)
		from := k - 1
		if added {
			from = k + 1
		}
		fromX := reach(from)
		fromY := fromX - from
		endX, endY := fromX+1, fromY // where the edit ended and equal lines began
		if added {
			endX, endY = fromX, fromY+1
		}
		for x > endX && y > endY {
			x, y = x-1, y-1
			back = append(back, Line{" ", a[x]})
		}
		if added {
			back = append(back, Line{"+", b[fromY]})
		} else {
			back = append(back, Line{"-", a[fromX]})
		}
		x, y = fromX, fromY
	}
	for x > 0 && y > 0 {
		x, y = x-1, y-1
		back = append(back, Line{" ", a[x]})
	}
	slices.Reverse(back)
	return back
}

// hunks cuts what is alike down to a few lines around each difference.
func hunks(all []Line) []Hunk {
	out := []Hunk{}
	near := func(i int) bool {
		for j := max(0, i-around); j <= min(len(all)-1, i+around); j++ {
			if all[j].Op != " " {
				return true
			}
		}
		return false
	}
	a, b := 1, 1
	open := false
	for i, l := range all {
		switch {
		case !near(i):
			open = false
		case !open:
			open = true
			out = append(out, Hunk{AStart: a, BStart: b})
			fallthrough
		default:
			h := &out[len(out)-1]
			h.Lines = append(h.Lines, l)
		}
		if l.Op != "+" {
			a++
		}
		if l.Op != "-" {
			b++
		}
	}
	return out
}
