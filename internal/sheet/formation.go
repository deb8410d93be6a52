package sheet

import (
	"fmt"
	"slices"
	"strings"

	"facings"
)

// baseOf is a figure's base, mm, where its unit gives none: 20 × 20 on foot,
// 25 × 50 mounted and 40 × 70 for a gun at 28 mm, as the built-in castings
// stand, in proportion to the figures' size (common practice).
func baseOf(p *facings.Project, u *facings.Unit, body facings.Body) facings.BaseSize {
	if u.Base.WidthMM > 0 && u.Base.DepthMM > 0 {
		return u.Base
	}
	k := p.Size() / facings.NominalSize
	switch armOf(body) {
	case cavalry:
		return facings.BaseSize{WidthMM: 25 * k, DepthMM: 50 * k}
	case artillery:
		return facings.BaseSize{WidthMM: 40 * k, DepthMM: 70 * k}
	}
	return facings.BaseSize{WidthMM: 20 * k, DepthMM: 20 * k}
}

// standing is a unit's figures with their bases side by side in rank and file,
// the front at the top, left as seen from behind.
type standing struct {
	wide  []float64 // of each file, mm: as wide as its widest base
	deep  []float64 // of each rank
	bases []standingBase
}

// standingBase is where a figure's base lies: in the middle of its file, its
// front edge in line with its rank's.
type standingBase struct {
	figure facings.Figure
	at     Point
	size   facings.BaseSize
}

// stand puts figures on their bases where the roster has them.
func stand(p *facings.Project, u *facings.Unit, figures []facings.Figure) *standing {
	s := &standing{}
	for _, f := range figures {
		for len(s.wide) < f.File {
			s.wide = append(s.wide, 0)
		}
		for len(s.deep) < f.Rank {
			s.deep = append(s.deep, 0)
		}
		b := baseOf(p, u, f.Body)
		s.bases = append(s.bases, standingBase{figure: f, size: b})
		s.wide[f.File-1] = max(s.wide[f.File-1], b.WidthMM)
		s.deep[f.Rank-1] = max(s.deep[f.Rank-1], b.DepthMM)
	}
	for i := range s.bases {
		b := &s.bases[i]
		b.at = s.corner(b.figure.File-1, b.figure.Rank-1)
		b.at.X += (s.wide[b.figure.File-1] - b.size.WidthMM) / 2
	}
	return s
}

// corner is where a file and a rank, counted from 0, begin.
func (s *standing) corner(file, rank int) Point {
	return Point{total(s.wide[:file]), total(s.deep[:rank])}
}

func (s *standing) width() float64 { return total(s.wide) }
func (s *standing) depth() float64 { return total(s.deep) }

// words says the formation.
func (s *standing) words() string {
	if len(s.deep) == 1 {
		return "1 rank of " + counted(len(s.wide), "file")
	}
	return fmt.Sprintf("%s of %s", counted(len(s.deep), "rank"), counted(len(s.wide), "file"))
}

// baseWords says the sizes of the bases, the first first.
func (s *standing) baseWords() string {
	var sizes []string
	for _, b := range s.bases {
		size := fmt.Sprintf("%s × %s", mm(b.size.WidthMM), mm(b.size.DepthMM))
		if !slices.Contains(sizes, size) {
			sizes = append(sizes, size)
		}
	}
	return "bases " + strings.Join(sizes, " and ") + " mm"
}

func total(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum
}

// runs cuts a row of sizes into stretches no longer than most, one size at
// least in each: where each begins, and where the next does.
func runs(sizes []float64, most float64) [][2]int {
	var out [][2]int
	for i := 0; i < len(sizes); {
		j, sum := i+1, sizes[i]
		for j < len(sizes) && sum+sizes[j] <= most+1e-9 {
			sum += sizes[j]
			j++
		}
		out = append(out, [2]int{i, j})
		i = j
	}
	return out
}

// stretch says a run, counted from 1: "file 1", "files 1 to 6".
func stretch(what string, run [2]int) string {
	if run[1]-run[0] == 1 {
		return fmt.Sprintf("%s %d", what, run[1])
	}
	return fmt.Sprintf("%ss %d to %d", what, run[0]+1, run[1])
}

// counted is "1 figure", "2 figures".
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// The arms of the service.
const (
	infantry  = "Infantry"
	cavalry   = "Cavalry"
	artillery = "Artillery"
)

// armOf tells a body's arm from its areas.
func armOf(b facings.Body) string {
	has := func(area string) bool { _, ok := b.Area(area); return ok }
	switch {
	case has("horse coat"):
		return cavalry
	case has("barrel"):
		return artillery
	}
	return infantry
}

// armsOf says a unit's arm, and what most of its men are armed with.
func armsOf(figures []facings.Figure) string {
	arm := infantry
	count := map[string]int{} // by role
	for _, f := range figures {
		if a := armOf(f.Body); a == artillery || arm == infantry {
			arm = a
		}
		count[f.ID.Role]++
	}
	most := slices.MaxFunc(figures, func(a, b facings.Figure) int { return count[a.ID.Role] - count[b.ID.Role] }).Body
	var with []string
	for _, w := range [][2]string{{"musket stock", "muskets"}, {"sword blade", "swords"}, {"lance shaft", "lances"}} {
		if _, ok := most.Area(w[0]); ok {
			name := w[1]
			if arm == cavalry && name == "muskets" {
				name = "carbines"
			}
			with = append(with, name)
		}
	}
	if len(with) == 0 {
		return arm
	}
	return arm + " with " + strings.Join(with, " and ")
}
