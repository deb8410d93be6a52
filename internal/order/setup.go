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
	mix     []int // what is made, the same number for one mix with several tools
}

// mixLife is how long a mix lives on the project's palette.
func mixLife(p *facings.Project) facings.Seconds {
	c := p.Changes()
	if p.Palette == "dry" {
		return c.MixLifeDryMinutes.Seconds()
	}
	return c.MixLifeWetMinutes.Seconds()
}

// partLimit is the most work that one making of a mix is asked to live through
// in one go: half its life, so that parts of a pass can share a making. 0 for
// what is not mixed.
func partLimit(p *facings.Project, medium string) facings.Seconds {
	if _, _, mixed, _ := p.Medium(medium); mixed {
		return facings.Seconds(float64(mixLife(p)) / 2 / slowest(p))
	}
	return 0
}

// newSetups makes the tables. lights says, by medium, how light the paint is
// (L* of its look): white or yellow after a dark colour wants a clean brush.
func newSetups(p *facings.Project, coats *facings.Coats, list []job, lights map[string]float64) *setups {
	s := &setups{index: map[bench]int{}}
	longest, pace := map[bench]int{}, slowest(p) // job of a bench, in the slowest hands
	for _, j := range list {
		b := bench{j.medium, j.tool}
		whole := 0
		for _, t := range j.tasks {
			whole += atPace(int(coats.Tasks[t].Seconds), pace)
		}
		longest[b] = max(longest[b], whole)
		if _, ok := s.index[b]; !ok {
			s.index[b] = len(s.benches)
			s.benches = append(s.benches, b)
		}
	}
	c := p.Changes()
	n := len(s.benches)
	s.change, s.first = make([][]int, n), make([]int, n)
	s.make, s.life, s.mix = make([]int, n), make([]int, n), make([]int, n)
	number := map[string]int{}
	for b, to := range s.benches {
		_, _, mixed, _ := p.Medium(to.medium)
		if _, known := number[to.medium]; !known {
			number[to.medium] = len(number)
		}
		s.mix[b] = number[to.medium]
		s.first[b] = int(c.PaintMinutes.Seconds())
		if mixed {
			s.make[b] = int(max(0, c.MixMinutes-c.PaintMinutes).Seconds())
			// The engine looks at the age when a job begins; it must live until the end.
			s.life[b] = max(1, int(mixLife(p))-longest[to])
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
