// Package shop works out what a plan needs of each paint and material against
// what stands on the rack: millilitres, drops and parts, what is short, and
// what to buy in whole pots, cans and bags.
//
// It leaves the plan alone: it adds up its tasks. Films, losses and base
// materials are estimates of the trade (see facings.LossFactor and Handling),
// areas are the bodies' own.
//
// Units: millilitres, drops by each pot's own count, grams, mm².
//
// Start with List.
package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"facings"
)

// A 400 mL can covers about 2 m² flat with one coat; on figures, whose outline
// catches a part of the cloud only, 130 foot or 60 mounted figures (common
// practice and estimate). A foot figure shows 15 cm², so a can lays about
// 0.2 m² of figure: a tenth of the flat.
const (
	CanML           = 400.0
	CanCoversMM2    = 195_000.0
	sandGrams       = 1.2  // on the standard base (estimate)
	flockGrams      = 0.15 // likewise
	grassGrams      = 0.2  // likewise
	defaultPotML    = 17.0
	defaultTextureG = 50.0
)

// List adds up what the tasks need. Every paint that is used is listed, in
// rack order; whether owned or not. Less than a few drops cannot be worked
// with (facings.MinimumDrops): each batch of figures takes at least those of
// every paint or mix brushed on it.
func List(p *facings.Project, roster *facings.Roster, coats *facings.Coats) *facings.Shopping {
	a := adder{project: p, needs: map[string]*facings.Need{}, brushed: map[batchMedium]float64{}}
	for _, t := range coats.Tasks {
		a.task(t, roster.Figures[t.Figure].Batch)
	}
	a.fillUp()
	out := &facings.Shopping{Paints: []facings.Need{}, Materials: []facings.Need{}}
	for _, paint := range p.Rack {
		n := a.needs[paint.Name]
		if n == nil {
			continue
		}
		finish(n, paint)
		if paint.Kind == facings.Texture {
			out.Materials = append(out.Materials, *n)
		} else {
			out.Paints = append(out.Paints, *n)
		}
	}
	return out
}

type adder struct {
	project *facings.Project
	needs   map[string]*facings.Need
	brushed map[batchMedium]float64 // millilitres put out so far
	order   []batchMedium           // its keys, so that sums come out the same every time
}

type batchMedium struct {
	batch  int
	medium string
}

// fillUp raises what a batch takes of a paint or mix to the least that can be
// put out.
func (a *adder) fillUp() {
	for _, k := range a.order {
		ml := a.brushed[k]
		parts, _, _, _ := a.project.Medium(k.medium)
		total := 0
		for _, part := range parts {
			total += part.Parts
		}
		for _, part := range parts {
			paint, _ := a.project.FindPaint(part.Paint)
			per := paint.DropsPerML
			if per <= 0 {
				per = facings.DefaultDropsPerMillilitre
			}
			if least := facings.MinimumDrops / per; ml < least {
				a.need(part.Paint).NeedML += (least - ml) * float64(part.Parts) / float64(total)
			}
		}
	}
}

func (a *adder) need(paint string) *facings.Need {
	n := a.needs[paint]
	if n == nil {
		n = &facings.Need{Paint: paint}
		a.needs[paint] = n
	}
	return n
}

// task adds what one task takes. Mixes are broken down into their paints.
func (a *adder) task(t facings.Task, batch int) {
	if t.Medium == "" {
		return
	}
	if t.Stage == facings.StageBase {
		a.base(t)
		return
	}
	parts, kind, mixed, ok := a.project.Medium(t.Medium)
	if !ok {
		return
	}
	total := 0
	for _, part := range parts {
		total += part.Parts
	}
	h, _ := facings.HandlingOf(t.Technique)
	volume := float64(facings.FilmVolume(facings.SquareMillimetres(t.AreaMM2), h.Film)) * facings.LossFactor(kind, mixed)
	if t.Technique != facings.Spray {
		k := batchMedium{batch, t.Medium}
		if _, ok := a.brushed[k]; !ok {
			a.order = append(a.order, k)
		}
		a.brushed[k] += volume
	}
	for _, part := range parts {
		n := a.need(part.Paint)
		share := float64(part.Parts) / float64(total)
		n.AreaMM2 += t.AreaMM2
		n.NeedML += float64(volume * share)
		if paint, _ := a.project.FindPaint(part.Paint); paint.Can && t.Technique == facings.Spray {
			n.Cans += t.AreaMM2 / CanCoversMM2
		}
		use := t.Area
		if !slices.Contains(n.UsedOn, use) {
			n.UsedOn = append(n.UsedOn, use)
		}
		if mixed && !slices.Contains(n.InMixes, t.Medium) {
			n.InMixes = append(n.InMixes, t.Medium)
			n.Parts += part.Parts
		}
	}
}

// base adds the glue and the materials of one textured base, in proportion to
// its surface.
func (a *adder) base(t facings.Task) {
	share := t.AreaMM2 / float64(facings.StandardBase)
	glue := a.need(t.Medium)
	glue.AreaMM2 += t.AreaMM2
	glue.NeedML += float64(facings.BaseGlue(facings.SquareMillimetres(t.AreaMM2)))
	if !slices.Contains(glue.UsedOn, t.Area) {
		glue.UsedOn = append(glue.UsedOn, t.Area)
	}
	for _, step := range a.project.Ending {
		if step.Step != facings.EndBase || step.Paint != t.Medium {
			continue
		}
		for _, m := range step.Materials {
			n := a.need(m)
			n.AreaMM2 += t.AreaMM2
			n.NeedG += float64(MaterialGrams(m) * facings.BaseWaste * share)
			if !slices.Contains(n.UsedOn, "base") {
				n.UsedOn = append(n.UsedOn, "base")
			}
		}
		break
	}
}

// MaterialGrams is what a base of 25 x 50 mm takes of a material, told by its
// name: sand and stones are heavy, grass and flock light (estimates).
func MaterialGrams(name string) float64 {
	switch {
	case has(name, "sand", "grit", "stone", "gravel", "earth"):
		return sandGrams
	case has(name, "grass", "tuft"):
		return grassGrams
	}
	return flockGrams
}

// finish works out drops, shortage and pots to buy.
func finish(n *facings.Need, paint facings.Paint) {
	n.Kind, n.Owned, n.Note = paint.Kind, paint.IsOwned(), paint.Note
	if paint.Kind == facings.Texture {
		n.LeftG = float64(paint.LeftG)
		if !n.Owned {
			n.LeftG = 0
		}
		pot := float64(paint.PotG)
		if pot <= 0 {
			pot = defaultTextureG
		}
		n.Short, n.Buy = shortage(n.NeedG, n.LeftG, pot)
		return
	}
	// Last bits, which may differ between machines, must not make a drop more.
	n.NeedML = math.Round(n.NeedML*1e6) / 1e6
	n.Drops = facings.Drops(facings.Millilitres(n.NeedML), paint.DropsPerML)
	n.LeftML = float64(paint.LeftML)
	if !n.Owned {
		n.LeftML = 0
	}
	pot := float64(paint.PotML)
	if pot <= 0 {
		pot = defaultPotML
		if paint.Can {
			pot = CanML
		}
	}
	need := n.NeedML
	if paint.Can {
		// A can empties by its cloud, not by the film that lands.
		need = n.Cans * pot
		n.Drops = 0
		n.NeedML = need
		n.Note = note(n.Note, cansWords(n.Cans)+fmt.Sprintf(" of %.0f mL", pot))
	}
	n.Short, n.Buy = shortage(need, n.LeftML, pot)
}

// cansWords is an amount in cans: a little is not none.
func cansWords(cans float64) string {
	if cans < 0.05 {
		return "under 0.1 cans"
	}
	return fmt.Sprintf("%.1f cans", cans)
}

func note(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// shortage is what is missing and how many whole pots make it good.
func shortage(need, left, pot float64) (float64, int) {
	short := need - left
	if short <= 1e-9 {
		return 0, 0
	}
	return short, int(math.Ceil(short/pot - 1e-9))
}

func has(name string, words ...string) bool {
	name = strings.ToLower(name)
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(name, w) })
}
