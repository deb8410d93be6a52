package sheet

import (
	"fmt"
	"math"
	"time"

	"facings"
)

// closing is the order of sittings, how the plan came, how far its colours can be
// trusted, and that the guide may be shared.
func (g *guideMaker) closing() []Block {
	o := g.Order
	out := []Block{Heading{Text: "The sittings"}, g.sittings(), Heading{Text: "The plan"}}
	out = append(out, Words{"", fmt.Sprintf("%s at the bench: %s of work, %s of set-up and %s of waiting, in %s and %s.",
		duration(whole(o.Minutes)), duration(whole(o.WorkMinutes)), duration(whole(o.SetUpMinutes)), duration(whole(o.WaitMinutes)),
		many(len(o.Passes), "pass", "passes"), many(len(o.Sittings), "sitting", "sittings"))})
	out = append(out, Words{"", g.proof()})
	if o.FinishP50 != "" {
		out = append(out, Words{"", fmt.Sprintf("Ready on %s as likely as not, by %s in nine cases of ten, as simulated when it was planned.", dayWords(o.FinishP50), dayWords(o.FinishP90))})
	}
	if wrongly := g.deviations(); wrongly != "" {
		out = append(out, Words{"", wrongly})
	}
	out = append(out, Heading{Text: "The colours"},
		Words{"", "Every colour in this guide is predicted: each paint's spectrum, film over film (Kubelka and Munk), over the undercoat with the light from above as it arrives on that area, under daylight (CIE D65). " +
			"What is marked with an asterisk rests on a single colour or on memory rather than on a measured swatch. Names are given with the colours, since neither screens nor printers show them alike."},
		Words{"", "Metals are approximated: their flakes throw the light back one way, which no flat sample shows. In pictures they are drawn as a metal of their paint's colour, in samples as the mean of what the film scatters."},
		Heading{Text: "Care and sharing"},
		Words{"", "Cautions stand at the steps they belong to and are the usual ones, no more. Follow the labels of what you use, your local rules and, where it matters, advice from people licensed to give it."},
		Words{"", "This guide belongs to whoever made the project. The program that wrote it claims nothing in it: copy it, change it and pass it on as you like, without asking and without naming anyone. Sources named in it keep their own rights."})
	return out
}

// whole rounds a sum, of which nobody has to wait out the last minute, as the
// terminal does.
func whole(m facings.Minutes) facings.Minutes { return facings.Minutes(math.Round(float64(m))) }

// dayWords writes a date as one says it.
func dayWords(date string) string {
	if t, err := time.Parse(time.DateOnly, date); err == nil {
		return t.Format("2 January 2006")
	}
	return date
}

// proof says how good the order is, in plain words.
func (g *guideMaker) proof() string {
	o := g.Order
	if o.Status == "optimal" {
		return "No order of the same work takes less time at the bench; that is proved."
	}
	return fmt.Sprintf("A better order may exist, but none can need less than %s: of set-up and waiting, %.0f %% is not proved necessary. The search began from the seed %d and gives the same order every time.",
		duration(whole(o.LowerBoundMinutes)), 100*o.Gap, o.Seed)
}

// deviations counts the passes in which something else was used.
func (g *guideMaker) deviations() string {
	n, done := 0, 0
	for _, r := range g.record {
		if len(r.used) > 0 {
			n++
		}
		if !r.first.IsZero() {
			done++
		}
	}
	if done == 0 {
		return ""
	}
	return fmt.Sprintf("Recorded as done: %d of %d passes; in %d of them it is noted what was really used.", done, len(g.Order.Passes), n)
}

func (g *guideMaker) sittings() Rows {
	rows := Rows{Caption: "Sittings", Columns: []Column{{"no.", 0.06, true}, {"day", 0.27, false}, {"from, to", 0.16, false}, {"work", 0.14, true}, {"set-up", 0.11, true}, {"passes", 0.26, false}}}
	painters := len(g.Project.Calendar.Painters) > 1
	for i := range g.Order.Sittings {
		s := &g.Order.Sittings[i]
		day := s.Start.Format("Mon 2 January 2006")
		if painters {
			day += ", " + s.Painter
		}
		rows.Lines = append(rows.Lines, []Cell{{Text: itoa(s.Number)}, {Text: day}, {Text: s.Start.Format("15:04") + " to " + s.End.Format("15:04")},
			{Text: duration(s.WorkMinutes)}, {Text: duration(facings.Minutes(s.SetUpMinutes))}, {Text: numberRuns(s.Passes)}})
	}
	return rows
}
