package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"facings"
)

// figureWords names figures, numbers kept on the line of their role.
func figureWords(r *facings.Roster, figures []int) string {
	return numberAfterWord.ReplaceAllString(facings.FiguresInWords(r, figures), "$1"+nbsp+"$2")
}

var numberAfterWord = regexp.MustCompile(`(\pL) (\d)`)

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
