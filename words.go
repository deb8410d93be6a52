package facings

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// FiguresInWords says which figures of a roster are meant, as short as can be:
// "all 24", "the 12 of the Lancers", "officer 1 and troopers 2–5 of the
// Hussars; all 12 of the Lancers". indexes are into r.Figures, in any order.
func FiguresInWords(r *Roster, indexes []int) string { return CensusOf(r).InWords(indexes) }

// Census knows how many figures of each role the units of a roster have, for
// whoever names many groups of them.
type Census struct {
	roster *Roster
	units  []strength
	unit   []int // of each figure, in units
}

type strength struct {
	name string
	all  int
	of   map[string]int // role → how many there are
}

// CensusOf counts a roster.
func CensusOf(r *Roster) *Census {
	c := &Census{roster: r}
	at := map[string]int{}
	for _, f := range r.Figures {
		u, known := at[f.ID.Unit]
		if !known {
			u = len(c.units)
			at[f.ID.Unit] = u
			c.units = append(c.units, strength{name: f.ID.Unit, of: map[string]int{}})
		}
		c.units[u].all++
		c.units[u].of[f.ID.Role]++
		c.unit = append(c.unit, u)
	}
	return c
}

// InWords is FiguresInWords of the roster counted.
func (c *Census) InWords(indexes []int) string {
	chosen := slices.DeleteFunc(slices.Clone(indexes), func(i int) bool { return i < 0 || i >= len(c.unit) })
	slices.Sort(chosen)
	chosen = slices.Compact(chosen)
	switch len(chosen) {
	case 0:
		return "no figure"
	case len(c.unit):
		if len(chosen) > 1 {
			return fmt.Sprintf("all %d", len(chosen))
		}
	}
	type taken struct {
		n       int
		roles   []string         // in roster order
		numbers map[string][]int // role → numbers
	}
	units := map[int]*taken{}
	for _, i := range chosen {
		id := c.roster.Figures[i].ID
		u := units[c.unit[i]]
		if u == nil {
			u = &taken{numbers: map[string][]int{}}
			units[c.unit[i]] = u
		}
		u.n++
		if u.numbers[id.Role] == nil {
			u.roles = append(u.roles, id.Role)
		}
		u.numbers[id.Role] = append(u.numbers[id.Role], id.Number)
	}
	var out []string
	for _, i := range slices.Sorted(maps.Keys(units)) {
		u, whole := units[i], c.units[i]
		if u.n == whole.all && whole.all > 1 {
			out = append(out, fmt.Sprintf("the %d of %s", whole.all, whole.name))
			continue
		}
		slices.SortStableFunc(u.roles, func(a, b string) int { return min(whole.of[a], 2) - min(whole.of[b], 2) }) // the officer first
		var roles []string
		for _, role := range u.roles {
			roles = append(roles, roleInWords(role, u.numbers[role], whole.of[role]))
		}
		of := " of " + whole.name
		if len(c.units) == 1 {
			of = ""
		}
		out = append(out, inWords(roles)+of)
	}
	return strings.Join(out, "; ")
}

// roleInWords names figures of one role: "officer", "troopers 2–5, 7", "the 9
// troopers".
func roleInWords(role string, numbers []int, of int) string {
	switch {
	case of == 1:
		return role
	case len(numbers) == 1:
		return SingleName(role, numbers[0])
	case len(numbers) == of:
		return fmt.Sprintf("the %d %s", of, plural(role))
	}
	slices.Sort(numbers)
	var runs []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		switch {
		case j == i:
			runs = append(runs, fmt.Sprint(numbers[i]))
		case j == i+1:
			runs = append(runs, fmt.Sprint(numbers[i]), fmt.Sprint(numbers[j]))
		default:
			runs = append(runs, fmt.Sprintf("%d–%d", numbers[i], numbers[j]))
		}
		i = j + 1
	}
	return plural(role) + " " + strings.Join(runs, ", ")
}

// CountedRole says so many figures of a role: "1 officer", "9 troopers".
func CountedRole(n int, role string) string {
	if n == 1 {
		return "1 " + role
	}
	return fmt.Sprintf("%d %s", n, plural(role))
}

// plural is a role's name for several figures; the roles that projects use
// take a plain s, or es after a hiss.
func plural(role string) string {
	for _, end := range []string{"s", "x", "ch", "sh"} {
		if strings.HasSuffix(role, end) {
			return role + "es"
		}
	}
	if strings.HasSuffix(role, "man") {
		return strings.TrimSuffix(role, "man") + "men"
	}
	return role + "s"
}

func inWords(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	return strings.Join(list, "")
}

// Name is what a pass is called: its paint or mix, or what is done where there
// is none.
func (p *Pass) Name() string {
	switch {
	case p.Medium != "":
		return p.Medium
	case p.Technique == Prepare:
		return "clean and mount"
	case p.Technique == Fit:
		return "print, cut and fold"
	}
	return string(p.Technique)
}
