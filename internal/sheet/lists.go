package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"facings"
)

func itoa(i int) string { return strconv.Itoa(i) }

// TickList prints one line per pass, sitting by sitting, with a box to tick.
func TickList(b *Bench, paper Paper) *Document {
	t := &table{title: "Tick list: " + b.Project.Name, size: 2.7, wrap: true,
		subtitle: tickWords(b.Order),
		columns: []column{{title: "", width: 5, box: true}, {title: "no.", width: 11, right: true}, {title: "paint or mix", width: 40}, {title: "tool", width: 22},
			{title: "areas", width: 0}, {title: "figures", width: 14, right: true}, {title: "min", width: 12, right: true}}}
	seen := map[int]bool{}
	for i := range b.Order.Sittings {
		s := &b.Order.Sittings[i]
		heading := fmt.Sprintf("Sitting %d: %s, %s to %s", s.Number, s.Start.Format("Mon 2 Jan 2006"), s.Start.Format("15:04"), s.End.Format("15:04"))
		if len(b.Project.Calendar.Painters) > 1 {
			heading += ", " + s.Painter
		}
		sec := section{heading: heading}
		for _, n := range s.Passes {
			if n < 1 || n > len(b.Order.Passes) {
				continue
			}
			p := &b.Order.Passes[n-1]
			if seen[n] {
				sec.before = append(sec.before, fmt.Sprintf("goes on: %d %s", n, p.Name()))
				continue
			}
			seen[n] = true
			sec.rows = append(sec.rows, []string{"", itoa(n), p.Name(), p.Tool, strings.Join(p.Areas, ", "), itoa(len(p.Figures)),
				fmt.Sprintf("%.0f", math.Ceil(float64(p.Minutes)-1e-9))})
		}
		t.sections = append(t.sections, sec)
	}
	return t.print(paper)
}

// tickWords says what there is to do, and when it will be done.
func tickWords(o *facings.Order) string {
	words := many(len(o.Passes), "pass", "passes") + " in " + many(len(o.Sittings), "sitting", "sittings") + "."
	if o.FinishP50 != "" {
		words += fmt.Sprintf(" Ready on %s as likely as not, by %s in nine cases of ten.", dayWords(o.FinishP50), dayWords(o.FinishP90))
	}
	return words
}

// ShoppingList prints what to buy first, then what is on the rack.
func ShoppingList(project string, list *facings.Shopping, paper Paper) *Document {
	t := &table{title: "Shopping list: " + project, size: 3, wrap: true,
		subtitle: "Needed: paint that leaves the pot, losses counted in. Pots, cans and bags are whole ones.",
		columns: []column{{title: "", width: 6, box: true}, {title: "paint or material", width: 34}, {title: "kind", width: 18}, {title: "buy", width: 10, right: true},
			{title: "needed", width: 19, right: true}, {title: "on the rack", width: 19, right: true}, {title: "short", width: 18, right: true}, {title: "for", width: 0}}}
	buy, have := section{heading: "To buy"}, section{heading: "On the rack, and enough"}
	for _, n := range append(append([]facings.Need{}, list.Paints...), list.Materials...) {
		row := needRow(n)
		if n.Buy > 0 {
			buy.rows = append(buy.rows, row)
		} else {
			have.rows = append(have.rows, row)
		}
	}
	if len(buy.rows) == 0 {
		buy.notes = []string{"Nothing: the rack holds all that is needed."}
	}
	t.sections = append(t.sections, buy)
	if len(have.rows) > 0 {
		t.sections = append(t.sections, have)
	}
	return t.print(paper)
}

// amount is mL or g, finer where there is little.
func amount(v float64, unit string) string {
	if v > 0 && v < 1 {
		return fmt.Sprintf("%.2f %s", v, unit)
	}
	return fmt.Sprintf("%.1f %s", v, unit)
}

func needRow(n facings.Need) []string {
	unit, need, left := "mL", n.NeedML, n.LeftML
	if n.Kind == facings.Texture {
		unit, need, left = "g", n.NeedG, n.LeftG
	}
	buy, short := "", ""
	if n.Buy > 0 {
		buy, short = itoa(n.Buy), amount(n.Short, unit)
	}
	rack := amount(left, unit)
	if !n.Owned {
		rack = "none"
	}
	var why []string
	if len(n.InMixes) > 0 {
		why = append(why, "mixed into "+strings.Join(n.InMixes, ", "))
	}
	if n.Note != "" {
		why = append(why, n.Note)
	}
	if len(n.UsedOn) > 0 {
		why = append(why, strings.Join(some(n.UsedOn, 8), ", "))
	}
	return []string{"", n.Paint, string(n.Kind), buy, amount(need, unit), rack, short, strings.Join(why, "; ")}
}
