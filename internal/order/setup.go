package order

import (
	"facings"
)

// bench is what stands loaded at the bench during a job: paint or mix, and
// tool. The engine calls it a class.
type bench struct {
	medium string
	tool   string
}

// setups holds the engine's tables for the benches of a project.
type setups struct {
	benches []bench
	index   map[bench]int
	change  [][]int // seconds from one bench to another
	first   []int
	make    []int
	life    []int
}

// newSetups makes the tables. lights says, by medium, how light the paint is
// (L* of its look): white or yellow after a dark colour wants a clean brush.
func newSetups(p *facings.Project, list []job, lights map[string]float64) *setups {
	s := &setups{index: map[bench]int{}}
	for _, j := range list {
		b := bench{j.medium, j.tool}
		if _, ok := s.index[b]; !ok {
			s.index[b] = len(s.benches)
			s.benches = append(s.benches, b)
		}
	}
	c := p.Changes()
	n := len(s.benches)
	s.change, s.first = make([][]int, n), make([]int, n)
	s.make, s.life = make([]int, n), make([]int, n)
	for b, to := range s.benches {
		_, _, mixed, _ := p.Medium(to.medium)
		s.first[b] = int(c.PaintMinutes.Seconds())
		if mixed {
			s.make[b] = int(max(0, c.MixMinutes-c.PaintMinutes).Seconds())
			life := c.MixLifeWetMinutes
			if p.Palette == "dry" {
				life = c.MixLifeDryMinutes
			}
			s.life[b] = int(life.Seconds())
		}
	}
	for a, from := range s.benches {
		s.change[a] = make([]int, n)
		for b, to := range s.benches {
			if a != b {
				s.change[a][b] = int(Change(p, c, from.medium, from.tool, to.medium, to.tool, lights).Seconds())
			}
		}
	}
	return s
}

// LightL and DarkL are the lightness L* above which a paint shows every trace
// of the one before, and below which a paint leaves such traces (estimates).
const (
	LightL = 75
	DarkL  = 55
)

// Change is the set-up between two passes, without making a mix: another
// paint, another tool, fresh water after a metallic, a clean brush for white or
// yellow after a dark colour.
func Change(p *facings.Project, c facings.SetUp, fromMedium, fromTool, toMedium, toTool string, lights map[string]float64) facings.Minutes {
	var m facings.Minutes
	if fromMedium != toMedium {
		m += c.PaintMinutes
		_, fromKind, _, _ := p.Medium(fromMedium)
		_, toKind, _, _ := p.Medium(toMedium)
		if fromKind == facings.Metallic && toKind != facings.Metallic && Watered(toKind) {
			m += c.WaterMinutes
		} else if Watered(fromKind) && Watered(toKind) && lights[toMedium] >= LightL && lights[fromMedium] <= DarkL {
			m += c.LightAfterDark
		}
	}
	if fromTool != toTool {
		m += c.ToolMinutes
	}
	return m
}

// Watered reports whether a kind is thinned and rinsed with the water pot.
func Watered(k facings.Kind) bool {
	switch k {
	case facings.Opaque, facings.Translucent, facings.Wash, facings.Ink, facings.Metallic:
		return true
	}
	return false
}
