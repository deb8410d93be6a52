package order

import (
	"cmp"
	"slices"
	"strings"

	"facings"
)

// describe fills in what a painter wants to read on each pass.
func (b *builder) describe() {
	left := b.coatsLeft()
	covers := b.covers()
	seen := map[string]bool{}
	for i := range b.order.Passes {
		pass := &b.order.Passes[i]
		slices.SortStableFunc(pass.Tasks, func(x, y int) int {
			return cmp.Compare(b.coats.Tasks[x].Figure, b.coats.Tasks[y].Figure)
		})
		var area float64
		for _, t := range pass.Tasks {
			task := b.coats.Tasks[t]
			area += task.AreaMM2
			if !slices.Contains(pass.Figures, task.Figure) {
				pass.Figures = append(pass.Figures, task.Figure)
			}
			if unit := b.roster.Figures[task.Figure].ID.Unit; !slices.Contains(pass.Units, unit) {
				pass.Units = append(pass.Units, unit)
			}
			for _, name := range covers[figureArea{task.Figure, task.Area}] {
				if Messy(task.Technique, task.Tool) && !slices.Contains(pass.AlsoCover, name) {
					pass.AlsoCover = append(pass.AlsoCover, name)
				}
			}
		}
		pass.Look = b.mainLook(pass)
		pass.Drops = b.drops(pass, area)
		pass.KeepOff = b.keepOff(pass, left)
		pass.Why = b.why(i)
		pass.Caution = Caution(pass.Technique, pass.Kind, pass.Medium)
		pass.Again = seen[pass.Medium] && pass.Medium != ""
		seen[pass.Medium] = true
		for _, t := range pass.Tasks {
			task := b.coats.Tasks[t]
			left[figureArea{task.Figure, task.Area}]--
		}
	}
}

type figureArea struct {
	figure int
	area   string
}

// coatsLeft counts the coats still to come per figure and area.
func (b *builder) coatsLeft() map[figureArea]int {
	left := map[figureArea]int{}
	for i, t := range b.coats.Tasks {
		if b.jobs.of[i] >= 0 {
			left[figureArea{t.Figure, t.Area}]++
		} else {
			left[figureArea{t.Figure, t.Area}] += 0 // finished, once nothing is left of it
		}
	}
	return left
}

// covers lists, per figure and area, the areas whose own coats were left out
// because this one's paint is to go over them too.
func (b *builder) covers() map[figureArea][]string {
	out := map[figureArea][]string{}
	for _, l := range b.coats.LeftOut {
		if l.By != "" {
			k := figureArea{l.Figure, l.By}
			if !slices.Contains(out[k], l.Area) {
				out[k] = append(out[k], l.Area)
			}
		}
	}
	return out
}

// mainLook is the look of the largest surface of a pass.
func (b *builder) mainLook(pass *facings.Pass) facings.Look {
	sums := map[string]float64{}
	looks := map[string]facings.Look{}
	best := ""
	for _, t := range pass.Tasks {
		task := b.coats.Tasks[t]
		sums[task.Look.Hex] += task.AreaMM2
		looks[task.Look.Hex] = task.Look
		if best == "" || sums[task.Look.Hex] > sums[best] {
			best = task.Look.Hex
		}
	}
	return looks[best]
}

// drops is the paint to put out for a pass: film over area with the usual
// loss, not less than can be worked with.
func (b *builder) drops(pass *facings.Pass, areaMM2 float64) float64 {
	if pass.Medium == "" || pass.Technique == facings.Spray {
		return 0
	}
	_, kind, mixed, _ := b.project.Medium(pass.Medium)
	h, _ := facings.HandlingOf(pass.Technique)
	ml := float64(facings.FilmVolume(facings.SquareMillimetres(areaMM2), h.Film)) * facings.LossFactor(kind, mixed)
	if pass.Stage == facings.StageBase {
		ml = float64(facings.BaseGlue(facings.SquareMillimetres(areaMM2))) // as the shopping list has it
	}
	paint, _ := b.project.FindPaint(pass.Medium)
	per := paint.DropsPerML
	if per <= 0 {
		per = facings.DefaultDropsPerMillilitre
	}
	return max(facings.MinimumDrops, float64(facings.Drops(facings.Millilitres(ml), per)))
}

// keepOff names areas to be kept clean: bare ones that this pass comes near,
// and with a messy technique finished ones within reach too.
func (b *builder) keepOff(pass *facings.Pass, left map[figureArea]int) []string {
	var out []string
	messy := Messy(pass.Technique, pass.Tool)
	for _, t := range pass.Tasks {
		task := b.coats.Tasks[t]
		if task.Area == facings.WholeFigure {
			continue
		}
		body := b.roster.Figures[task.Figure].Body
		spec, _ := body.Area(task.Area)
		reach := body.Reach(task.Area)
		for _, name := range slices.Concat(reach, spec.Over) {
			if slices.Contains(out, name) || slices.Contains(pass.AlsoCover, name) || slices.Contains(pass.Areas, name) {
				continue
			}
			bare := slices.Contains(b.coats.Bare[task.Figure], name)
			n, painted := left[figureArea{task.Figure, name}]
			finished := painted && n == 0 && messy && slices.Contains(reach, name)
			if _, there := body.Area(name); there && (bare || finished) {
				out = append(out, name)
			}
		}
	}
	return out
}

// why gives the reasons a pass stands where it does: what had to be done and
// dry before it, the longest drying first, three at most.
func (b *builder) why(pass int) []string {
	var lags []jobLag
	for _, l := range b.jobs.lags {
		if b.passOf[l.to] == pass && b.passOf[l.from] != pass {
			lags = append(lags, l)
		}
	}
	slices.SortStableFunc(lags, func(x, y jobLag) int { return cmp.Compare(y.dry, x.dry) })
	var out []string
	for _, l := range lags {
		if !slices.Contains(out, l.why) {
			out = append(out, l.why)
		}
		if len(out) == 3 {
			break
		}
	}
	return out
}

// Caution is the usual caution for a step, empty where none is due.
func Caution(t facings.Technique, k facings.Kind, medium string) string {
	h, _ := facings.HandlingOf(t)
	lines := []string{}
	if h.Caution != "" {
		lines = append(lines, h.Caution)
	}
	if k == facings.OilWash {
		lines = append(lines, facings.CautionOil)
	}
	name := strings.ToLower(medium)
	if strings.Contains(name, "cadmium") || strings.Contains(name, "cobalt") {
		lines = append(lines, facings.CautionHeavy)
	}
	return strings.Join(lines, " ")
}
