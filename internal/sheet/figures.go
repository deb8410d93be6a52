package sheet

import (
	"fmt"
	"slices"
	"strings"

	"facings"
)

// figureWords names figures briefly, unit by unit: "Hussars: officer, trooper
// 1 to 4 and 7". A unit that is there as a whole is "all of" it.
func figureWords(r *facings.Roster, figures []int) string {
	in := map[int]bool{}
	for _, i := range figures {
		in[i] = true
	}
	var out []string
	for _, unit := range r.Units {
		of := map[string][]int{} // numbers per role
		size := map[string]int{}
		var roles []string
		have, all := 0, 0
		for i, f := range r.Figures {
			if f.ID.Unit != unit.Unit {
				continue
			}
			all++
			size[f.ID.Role]++
			if in[i] {
				have++
				if of[f.ID.Role] == nil {
					roles = append(roles, f.ID.Role)
				}
				of[f.ID.Role] = append(of[f.ID.Role], f.ID.Number)
			}
		}
		switch {
		case have == 0:
		case have == all:
			out = append(out, fmt.Sprintf("all %d of %s", all, unit.Unit))
		default:
			slices.SortStableFunc(roles, func(a, b string) int { return rankOf(a) - rankOf(b) })
			var parts []string
			for _, role := range roles {
				parts = append(parts, roleWords(role, of[role], size[role]))
			}
			out = append(out, unit.Unit+": "+strings.Join(parts, ", "))
		}
	}
	return strings.Join(out, "; ")
}

// rankOf puts the command before the rest.
func rankOf(role string) int {
	if i := slices.Index([]string{facings.RoleOfficer, facings.RoleStandardBearer, facings.RoleMusician, facings.RoleSergeant}, role); i >= 0 {
		return i
	}
	return 10
}

func roleWords(role string, numbers []int, all int) string {
	slices.Sort(numbers)
	if all == 1 {
		return role
	}
	if len(numbers) == all {
		return fmt.Sprintf("%s 1 to %d", role, all)
	}
	var runs []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		switch j - i {
		case 0:
			runs = append(runs, fmt.Sprint(numbers[i]))
		case 1:
			runs = append(runs, fmt.Sprint(numbers[i]), fmt.Sprint(numbers[j]))
		default:
			runs = append(runs, fmt.Sprintf("%d–%d", numbers[i], numbers[j]))
		}
		i = j + 1
	}
	return role + " " + strings.Join(runs, ", ")
}

// areasOn is some areas with the figures that a pass paints them on.
type areasOn struct {
	areas   []string
	figures []int
}

// byAreas gathers a pass's areas that go on the same figures.
func byAreas(c *facings.Coats, pass *facings.Pass) []areasOn {
	on := map[string][]int{}
	var order []string
	for _, t := range pass.Tasks {
		task := &c.Tasks[t]
		if on[task.Area] == nil {
			order = append(order, task.Area)
		}
		if !slices.Contains(on[task.Area], task.Figure) {
			on[task.Area] = append(on[task.Area], task.Figure)
		}
	}
	if len(order) == 0 { // an order read back without its tasks
		return []areasOn{{pass.Areas, pass.Figures}}
	}
	var out []areasOn
	for _, area := range order {
		figures := on[area]
		slices.Sort(figures)
		i := slices.IndexFunc(out, func(x areasOn) bool { return slices.Equal(x.figures, figures) })
		if i < 0 {
			out = append(out, areasOn{[]string{area}, figures})
		} else {
			out[i].areas = append(out[i].areas, area)
		}
	}
	return out
}

// mixDrops says a mix in whole drops for so many drops in all.
func mixDrops(parts []facings.Part, drops float64) string {
	total := 0
	for _, p := range parts {
		total += p.Parts
	}
	if total == 0 {
		return ""
	}
	k := max(1, int((drops+float64(total)-1e-9)/float64(total))) // whole times the recipe
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprintf("%d %s", k*p.Parts, p.Paint))
	}
	return strings.Join(out, " + ")
}
