package check

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"facings"
)

// findings collects what is wrong.
type findings struct{ list facings.Diagnostics }

func (f *findings) add(id, path, format string, args ...any) {
	f.list = append(f.list, facings.Diagnostic{ID: id, Severity: facings.Fault, Path: path,
		Message: fmt.Sprintf(format, args...), Hint: "this is a fault of the program: please report it with the project file"})
}

// Roster checks that every figure of the project is there once, in its place,
// with traits that keep the fixed values, the forbidden pairs and the shares.
func Roster(p *facings.Project, r *facings.Roster) facings.Diagnostics {
	f := &findings{}
	at := 0
	for i := range p.Units {
		u := &p.Units[i]
		n := u.Size()
		if at+n > len(r.Figures) {
			f.add("roster-figures", facings.Pointer("units", u.Name), "%s: figures are missing from the roster", u.Name)
			return f.list
		}
		unitFigures(f, p, u, r.Figures[at:at+n], at)
		unitTraits(f, p, u, r.Figures[at:at+n])
		if i < len(r.Units) {
			unitReport(f, p, u, r.Units[i], r.Figures[at:at+n])
		} else {
			f.add("roster-units", facings.Pointer("units", u.Name), "%s: the unit is missing from the roster", u.Name)
		}
		at += n
	}
	if at != len(r.Figures) {
		f.add("roster-figures", "/units", "%d figures too many in the roster", len(r.Figures)-at)
	}
	return f.list
}

// unitFigures checks identity, body and place of a unit's figures.
func unitFigures(f *findings, p *facings.Project, u *facings.Unit, figures []facings.Figure, at int) {
	path := facings.Pointer("units", u.Name, "figures")
	seen := map[facings.FigureID]bool{}
	places := map[[2]int]bool{}
	for i, fig := range figures {
		unit, role, ok := p.UnitAt(fig.ID)
		if !ok || unit.Name != u.Name || fig.ID.Number < 1 || fig.ID.Number > role.Count {
			f.add("roster-identity", path, "%s is no figure of %s", fig.ID, u.Name)
			continue
		}
		if seen[fig.ID] {
			f.add("roster-identity", path, "%s is there twice", fig.ID)
		}
		seen[fig.ID] = true
		if fig.Index != at+i {
			f.add("roster-index", path, "%s has index %d at place %d", fig.ID, fig.Index, at+i)
		}
		if place := [2]int{fig.Rank, fig.File}; fig.Rank < 1 || fig.File < 1 || places[place] {
			f.add("roster-place", path, "%s stands in rank %d, file %d, which is taken or does not exist", fig.ID, fig.Rank, fig.File)
		} else {
			places[place] = true
		}
		body, _ := p.FigureBody(u, role, fig.ID.Number)
		if !sameAreas(body, fig.Body) {
			f.add("roster-body", path, "%s has other areas than its casting", fig.ID)
		}
	}
}

func sameAreas(a, b facings.Body) bool {
	return slices.EqualFunc(a.Areas, b.Areas, func(x, y facings.AreaSpec) bool { return x.Name == y.Name })
}

// unitTraits checks the values dealt, figure by figure.
func unitTraits(f *findings, p *facings.Project, u *facings.Unit, figures []facings.Figure) {
	path := facings.Pointer("units", u.Name, "traits")
	for _, fig := range figures {
		for _, name := range u.Traits {
			t, ok := p.FindTrait(name)
			if !ok {
				continue
			}
			value, dealt := fig.Traits[name]
			if !visible(t, fig.Body) {
				if dealt {
					f.add("trait-unseen", path, "%s was dealt %s %s, which cannot show on it", fig.ID, name, value)
				}
				continue
			}
			if _, ok := t.Value(value); !ok {
				f.add("trait-value", path, "%s has %s %q, which is no value of it", fig.ID, name, value)
			}
			if want := fixed(p, u, fig.ID, name); want != "" && want != value {
				f.add("trait-fixed", path, "%s must have %s %s and has %s", fig.ID, name, want, value)
			}
		}
		for _, pair := range forbidden(p, u) {
			if fig.Traits[pair[0]] == pair[1] && fig.Traits[pair[2]] == pair[3] {
				f.add("trait-pair", path, "%s has %s %s with %s %s, which is forbidden", fig.ID, pair[0], pair[1], pair[2], pair[3])
			}
		}
	}
}

func visible(t *facings.Trait, b facings.Body) bool {
	for _, v := range t.Values {
		for area := range v.Scheme {
			if _, ok := b.Area(area); ok {
				return true
			}
		}
	}
	return false
}

func fixed(p *facings.Project, u *facings.Unit, id facings.FigureID, trait string) string {
	if s := u.FindSingle(id.Role, id.Number); s != nil && s.Traits[trait] != "" {
		return s.Traits[trait]
	}
	_, role, _ := p.UnitAt(id)
	return role.Traits[trait]
}

// forbidden lists trait, value, other trait, value.
func forbidden(p *facings.Project, u *facings.Unit) [][4]string {
	var out [][4]string
	for _, name := range u.Traits {
		t, ok := p.FindTrait(name)
		if !ok {
			continue
		}
		for _, pair := range t.Forbid {
			out = append(out, [4]string{name, pair.Value, pair.Trait, pair.With})
		}
		ready, ok := facings.FindReadyTrait(t.ReadyMade)
		if !ok {
			continue
		}
		for _, other := range u.Traits {
			o, ok := p.FindTrait(other)
			if !ok || other == name || !colours(o, "mane") && !colours(o, "tail") {
				continue
			}
			for _, pair := range ready.Apart {
				out = append(out, [4]string{name, pair[0], other, pair[1]})
			}
		}
	}
	return out
}

func colours(t *facings.Trait, area string) bool {
	for _, v := range t.Values {
		if _, ok := v.Scheme[area]; ok {
			return true
		}
	}
	return false
}

// unitReport checks what the roster says of a unit against a count of its own:
// shares by largest remainder, and neighbours alike.
func unitReport(f *findings, p *facings.Project, u *facings.Unit, report facings.UnitRoster, figures []facings.Figure) {
	path := facings.Pointer("units", u.Name, "shares")
	if report.Unit != u.Name {
		f.add("roster-units", path, "the roster reports on %q where %q stands", report.Unit, u.Name)
		return
	}
	reported := map[[2]string]facings.TraitShare{}
	for _, s := range report.Shares {
		reported[[2]string{s.Trait, s.Value}] = s
	}
	for _, name := range u.Traits {
		t, ok := p.FindTrait(name)
		if !ok {
			continue
		}
		counts, fixedCounts, n := make([]int, len(t.Values)), make([]int, len(t.Values)), 0
		for _, fig := range figures {
			if !visible(t, fig.Body) {
				continue
			}
			n++
			for v := range t.Values {
				if fig.Traits[name] == t.Values[v].Name {
					counts[v]++
				}
				if fixed(p, u, fig.ID, name) == t.Values[v].Name {
					fixedCounts[v]++
				}
			}
		}
		if n == 0 {
			continue
		}
		shares := make([]float64, len(t.Values))
		for v := range t.Values {
			shares[v] = t.ShareOf(u, t.Values[v].Name)
			s := reported[[2]string{name, t.Values[v].Name}]
			if s.Count != counts[v] {
				f.add("share-report", path, "%s: %d figures have %s %s, the roster says %d", u.Name, counts[v], name, t.Values[v].Name, s.Count)
			}
			if s.Follows {
				shares = nil
				break
			}
		}
		if shares != nil && !slices.Equal(counts, largestRemainder(shares, fixedCounts, n)) {
			f.add("share-count", path, "%s: the numbers of %s (%v) are not those of the shares wanted (%v)", u.Name, name, counts,
				largestRemainder(shares, fixedCounts, n))
		}
	}
	if alike := neighboursAlike(figures, u.Traits); len(report.Shares) > 0 && alike != report.Alike {
		f.add("alike-report", path, "%s: %d neighbouring pairs are alike, the roster says %d", u.Name, alike, report.Alike)
	}
}

// largestRemainder gives whole numbers by largest remainder (Hamilton), the
// earlier value first on a tie, with no value under its fixed number: such
// values keep that number and the others share the rest.
func largestRemainder(shares []float64, least []int, n int) []int {
	out := make([]int, len(shares))
	held := make([]bool, len(shares))
	for {
		left, total := n, 0.0
		for v, s := range shares {
			if held[v] {
				left -= least[v]
			} else {
				total += math.Round(s * 1e6)
			}
		}
		type rest struct {
			v int
			r float64
		}
		var rests []rest
		given := 0
		for v, s := range shares {
			out[v] = least[v]
			if held[v] || total == 0 {
				continue
			}
			quota := math.Round(s*1e6) * float64(left) / total
			out[v] = int(math.Floor(quota + 1e-9))
			given += out[v]
			rests = append(rests, rest{v, math.Round((quota-float64(out[v]))*1e9) / 1e9})
		}
		sort.SliceStable(rests, func(i, j int) bool { return rests[i].r > rests[j].r })
		for i := 0; given < left && i < len(rests); i, given = i+1, given+1 {
			out[rests[i].v]++
		}
		again := false
		for v := range shares {
			if !held[v] && out[v] < least[v] {
				held[v], again = true, true
			}
		}
		if !again {
			return out
		}
	}
}

func neighboursAlike(figures []facings.Figure, traits []string) int {
	count := 0
	for i, a := range figures {
		for _, b := range figures[i+1:] {
			dr, df := a.Rank-b.Rank, a.File-b.File
			if dr*dr > 1 || df*df > 1 || len(a.Traits) == 0 || len(b.Traits) == 0 {
				continue
			}
			same := true
			for _, t := range traits {
				same = same && a.Traits[t] == b.Traits[t]
			}
			if same {
				count++
			}
		}
	}
	return count
}
