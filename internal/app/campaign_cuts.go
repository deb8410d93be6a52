package app

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"facings"
	"facings/internal/colour"
)

// Cut is something that could be left out of one unit: what it saves at the
// bench and what it costs in looks.
type Cut struct {
	Unit    string          `json:"unit"` // the first of its batch
	What    string          `json:"what"`
	Coats   int             `json:"coats"` // that would not be laid
	Minutes facings.Minutes `json:"minutes"`
	// Loss is how far the unit's figures would be from what they should show,
	// as CIEDE2000, a mean over their surface as seen from three feet.
	Loss float64 `json:"loss_delta_e00"`
	// Most is where it shows most.
	Most    string       `json:"most_area"`
	With    facings.Look `json:"with"`
	Without facings.Look `json:"without"`
	DeltaE  float64      `json:"most_delta_e00"`

	figures int
}

// Drop is a choice of cuts.
type Drop struct {
	Cuts    []string        `json:"cuts"` // "washes on the Lancers"
	Minutes facings.Minutes `json:"minutes"`
	// Loss is the mean over all figures of the units painted up to then.
	Loss   float64 `json:"loss_delta_e00"`
	Enough bool    `json:"enough"`
}

// cuttings are the kinds of work that may be left out, in the order in which
// they are shown.
func cuttings() []string { return []string{"eyes", "lace", "buttons", "washes", "highlights"} }

// cutOf is the kind of a task, "" for what must be done.
func cutOf(t facings.Task, coatsOfArea int) string {
	switch {
	case t.Stage != facings.StagePaint && t.Stage != facings.StageAfterVarnish:
		return ""
	case cutOfArea(t.Area) != "":
		return cutOfArea(t.Area)
	case t.Technique == facings.WashOn && !t.Base && coatsOfArea > 1:
		return "washes"
	case t.Technique == facings.Drybrush && coatsOfArea > 1:
		return "highlights"
	}
	return ""
}

// cutOfArea is the kind of an area that can be left out as a whole.
func cutOfArea(area string) string {
	switch {
	case strings.HasSuffix(area, "eyes"):
		return "eyes"
	case lineLike(area):
		return "lace"
	case area == "buttons":
		return "buttons"
	}
	return ""
}

type figureArea struct {
	figure int
	area   string
}

// cuts works out what each kind of work of a job would save and cost.
func (m *army) cuts(j *campaignJob) ([]Cut, error) {
	plan := j.plan
	count := map[figureArea]int{}
	for _, t := range plan.Coats.Tasks {
		count[figureArea{t.Figure, t.Area}]++
	}
	kinds := map[string]map[facings.TaskKey]bool{}
	for _, t := range plan.Coats.Tasks {
		key := facings.KeyOf(plan.Roster, t)
		if _, done := m.o.Progress.Done[key]; done {
			continue
		}
		if what := cutOf(t, count[figureArea{t.Figure, t.Area}]); what != "" {
			if kinds[what] == nil {
				kinds[what] = maps.Clone(m.o.Progress.Skipped)
				if kinds[what] == nil {
					kinds[what] = map[facings.TaskKey]bool{}
				}
			}
			kinds[what][key] = true
		}
	}
	// A coat that is right already would not be, with the one beneath it gone.
	for _, l := range plan.Coats.LeftOut {
		if keys := kinds[cutOfArea(l.Area)]; keys != nil {
			keys[facings.TaskKey{Figure: l.ID, Area: l.Area, Coat: l.Coat, Medium: l.Medium}] = true
		}
	}
	full := m.shown(plan, plan.Coats)
	var out []Cut
	for _, what := range cuttings() {
		if kinds[what] == nil {
			continue
		}
		coats := skipping(plan, kinds[what])
		c := Cut{Unit: m.o.Project.Units[j.units[0]].Name, What: what, figures: j.figures}
		c.Coats = len(plan.Coats.Tasks) - len(coats.Tasks)
		c.Minutes = m.left(plan, plan.Coats) - m.left(plan, coats)
		c.lose(plan, full, m.shown(plan, coats))
		if c.Minutes > 0 && c.Coats > 0 {
			out = append(out, c)
		}
	}
	return out, nil
}

// left is the work that coats not done yet take, with a change of paint for
// every paint and tool (an estimate of set-up: in an order some are shared).
func (m *army) left(plan *Plan, coats *facings.Coats) facings.Minutes {
	var sum facings.Minutes
	benches := map[[2]string]bool{}
	for _, t := range coats.Tasks {
		if _, done := m.o.Progress.Done[facings.KeyOf(plan.Roster, t)]; done {
			continue
		}
		sum += t.Seconds.Minutes()
		benches[[2]string{t.Medium, t.Tool}] = true
	}
	return sum + facings.Minutes(len(benches))*plan.Project.Changes().PaintMinutes
}

// shown is what every area shows in the end: its last coat, else what is
// painted over it from beneath, else the undercoat.
func (m *army) shown(plan *Plan, coats *facings.Coats) map[figureArea]facings.Look {
	out := map[figureArea]facings.Look{}
	for _, t := range coats.Tasks {
		if t.Stage == facings.StagePaint {
			out[figureArea{t.Figure, t.Area}] = t.Look
		}
	}
	for i, f := range plan.Roster.Figures {
		for _, a := range f.Body.Areas { // inner ones come first in the catalogue's order
			k := figureArea{i, a.Name}
			if _, ok := out[k]; ok {
				continue
			}
			look := plan.colours.Look(plan.colours.Undercoat(a.Exposure))
			for _, under := range f.Body.Areas {
				if l, ok := out[figureArea{i, under.Name}]; ok && slices.Contains(a.Over, under.Name) {
					look = l
				}
			}
			out[k] = look
		}
	}
	return out
}

// lose works out the mean difference over the surface as seen from three feet:
// what is narrower than the eye resolves counts for as much less.
func (c *Cut) lose(plan *Plan, with, without map[figureArea]facings.Look) {
	smallest := colour.SmallestStroke(tableDistance, normalAcuity)
	scale := facings.Scale(plan.Project.Size())
	lost, all := 0.0, 0.0
	for i, f := range plan.Roster.Figures {
		for _, a := range f.Body.Areas {
			mm2 := float64(a.AreaMM2) * scale
			width := math.Sqrt(mm2 / 2)
			if lineLike(a.Name) {
				width = strokeWidth * math.Sqrt(scale)
			}
			seen := mm2 * math.Min(1, width/smallest)
			all += seen
			k := figureArea{i, a.Name}
			x, y := with[k], without[k]
			if x.Lab == y.Lab {
				continue
			}
			d := colour.DeltaE00(labOf(x), labOf(y))
			lost += d * seen
			if d > c.DeltaE {
				c.DeltaE, c.Most, c.With, c.Without = d, a.Name, x, y
			}
		}
	}
	if all > 0 {
		c.Loss = lost / all
	}
}

func lineLike(area string) bool {
	return slices.ContainsFunc([]string{"lace", "stripe", "border", "cord"}, func(s string) bool { return strings.HasSuffix(area, s) })
}

func labOf(l facings.Look) colour.Lab { return colour.Lab{L: l.Lab[0], A: l.Lab[1], B: l.Lab[2]} }

// mostDrops is how many choices are shown for one date, mostSaved the greatest
// number of minutes that is looked at.
const (
	mostDrops = 8
	mostSaved = 20_000
)

// drops lists the choices of cuts that no other choice beats in both minutes
// saved and looks lost, up to the first that saves enough: a knapsack over
// whole minutes, exact but for the cuts' minutes being rounded down and taken
// to add up.
func drops(cuts []Cut, short facings.Minutes) []Drop {
	need := min(max(1, int(math.Ceil(float64(short)))), mostSaved)
	figures := map[string]int{}
	total := 0
	for _, c := range cuts {
		if figures[c.Unit] == 0 {
			figures[c.Unit] = c.figures
			total += c.figures
		}
	}
	// least[s] is the least loss that saves at least s minutes; more than need
	// counts as need.
	least := make([]float64, need+1)
	chosen := make([][]bool, need+1)
	for s := 1; s <= need; s++ {
		least[s] = math.Inf(1)
	}
	chosen[0] = make([]bool, len(cuts))
	for i, c := range cuts {
		saves, loss := int(c.Minutes), c.Loss*float64(c.figures)/float64(max(1, total))
		if saves < 1 {
			continue
		}
		for s := need; s >= 1; s-- {
			from := max(0, s-saves)
			if l := least[from] + loss; chosen[from] != nil && l < least[s]-1e-12 {
				least[s] = l
				chosen[s] = slices.Clone(chosen[from])
				chosen[s][i] = true
			}
		}
	}
	var front []Drop
	for s := 1; s <= need; s++ {
		if chosen[s] == nil {
			break
		}
		d := dropOf(cuts, chosen[s], total)
		d.Enough = s == need
		if s < need && chosen[s+1] != nil && least[s+1] <= least[s]+1e-12 {
			continue // more is saved at the same cost
		}
		front = append(front, d)
	}
	return thinned(front)
}

// dropOf adds up a choice of cuts and writes it out, by what is left out.
func dropOf(cuts []Cut, chosen []bool, figures int) Drop {
	var d Drop
	units := map[string][]string{}
	for i, c := range cuts {
		if chosen[i] {
			d.Minutes += c.Minutes
			d.Loss += c.Loss * float64(c.figures) / float64(max(1, figures))
			units[c.What] = append(units[c.What], c.Unit)
		}
	}
	for _, what := range cuttings() {
		if list := units[what]; len(list) > 0 {
			d.Cuts = append(d.Cuts, fmt.Sprintf("%s on the %s", what, strings.Join(list, ", ")))
		}
	}
	return d
}

// thinned keeps the first, the last and some between.
func thinned(list []Drop) []Drop {
	if len(list) <= mostDrops {
		return append([]Drop{}, list...)
	}
	out := []Drop{}
	for i := range mostDrops {
		out = append(out, list[i*(len(list)-1)/(mostDrops-1)])
	}
	return out
}
