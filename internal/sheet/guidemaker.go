package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"facings"
)

// guideMaker writes a guide's chapters; it holds what several of them look up.
type guideMaker struct {
	*Bench
	shopping *facings.Shopping
	shots    *GuideShots
	passOf   []int           // pass number by task, 0 for none
	lagsTo   map[int][]int   // indexes of lags that end in a pass
	lagsFrom map[int][]int   // and of those that begin in it
	record   map[int]*record // by pass number
}

func newGuideMaker(b *Bench, shopping *facings.Shopping, shots *GuideShots) *guideMaker {
	g := &guideMaker{Bench: b, shopping: shopping, shots: shots, passOf: make([]int, len(b.Coats.Tasks)),
		lagsTo: map[int][]int{}, lagsFrom: map[int][]int{}}
	for _, p := range b.Order.Passes {
		for _, t := range p.Tasks {
			g.passOf[t] = p.Number
		}
	}
	for i, l := range b.Coats.Lags {
		from, to := g.passOf[l.From], g.passOf[l.To]
		if from != 0 && to != 0 && from != to {
			g.lagsTo[to] = append(g.lagsTo[to], i)
			g.lagsFrom[from] = append(g.lagsFrom[from], i)
		}
	}
	g.record = records(b, g.passOf, shots.Log)
	return g
}

// subtitle says what the project is, and when it was or is to be painted.
func (g *guideMaker) subtitle() []string {
	units := many(len(g.Project.Units), "unit", "units")
	lines := []string{fmt.Sprintf("%s of %g mm in %s", many(len(g.Roster.Figures), "figure", "figures"), g.Project.Size(), units)}
	if from, to, ok := recordSpan(g.record); ok {
		return append(lines, "painted "+dateSpan(from, to))
	}
	if s := g.Order.Sittings; len(s) > 0 {
		last := s[0].End
		for i := range s {
			if s[i].End.After(last) {
				last = s[i].End
			}
		}
		lines = append(lines, "planned for "+dateSpan(s[0].Start, last))
	}
	return lines
}

// dateSpan is two days in words, one if they are the same.
func dateSpan(from, to time.Time) string {
	a, b := from.Format("2 January 2006"), to.Format("2 January 2006")
	switch {
	case a == b:
		return a
	case from.Year() == to.Year():
		return from.Format("2 January") + " to " + b
	}
	return a + " to " + b
}

// cover is the first rank of every unit.
func (g *guideMaker) cover() []Gallery {
	var out []Gallery
	for i := range g.shots.Units {
		row := Gallery{MostMM: 30}
		for _, f := range g.shots.Units[i].Figures {
			if f.Rank == 1 && len(row.Shots) < 12 {
				shot := f.Shot
				shot.Caption = ""
				row.Shots = append(row.Shots, shot)
			}
		}
		if row.Columns = len(row.Shots); row.Columns > 0 {
			out = append(out, row)
		}
	}
	return out
}

// list joins names as one says them: "a, b and c".
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// many is a number with its noun.
func many(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// duration says minutes as one says them: "20 min", "1 h 15 min", "24 h", "3 days".
func duration(m facings.Minutes) string {
	n := int(math.Ceil(float64(m) - 1e-9))
	switch {
	case n < 60:
		return fmt.Sprintf("%d min", n)
	case n >= 48*60 && n%(24*60) == 0:
		return fmt.Sprintf("%d days", n/60/24)
	case n%60 == 0:
		return fmt.Sprintf("%d h", n/60)
	}
	return fmt.Sprintf("%d h %02d min", n/60, n%60)
}

// numberRuns says numbers with runs drawn together: "3, 7 to 9".
func numberRuns(list []int) string {
	list = slices.Clone(list)
	slices.Sort(list)
	list = slices.Compact(list)
	var out []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		switch j - i {
		case 0:
			out = append(out, itoa(list[i]))
		case 1:
			out = append(out, itoa(list[i]), itoa(list[j]))
		default:
			out = append(out, fmt.Sprintf("%d to %d", list[i], list[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// guessMark stands behind the name of a colour that rests on a guess, on its line.
const guessMark = nbsp + "*"

// shownAs is a colour in words, with the mark of a guess where it is one.
func shownAs(l facings.Look) string {
	words := strings.ToLower(l.Name)
	if l.Guess && words != "" {
		words += guessMark
	}
	return words
}
