package ranks

import (
	"fmt"
	"slices"
	"strings"

	"facings"
	"facings/internal/solve/seat"
)

// pairs adds forbidden and preferred pairs, the project's own and those of the
// ready-made tables.
func (d *dealer) pairs(p *seat.Problem) {
	for a, trait := range d.traits {
		for b, other := range d.traits {
			if a == b {
				continue
			}
			for _, pair := range d.apart(trait, other) {
				if e, ok := enginePair(a, trait, pair[0], b, other, pair[1]); ok {
					e.ID = fmt.Sprintf("no %s %s with %s %s", trait.Name, pair[0], other.Name, pair[1])
					p.Forbid = append(p.Forbid, e)
				}
			}
			for _, pair := range d.together(trait, other) {
				if e, ok := enginePair(a, trait, pair[0], b, other, pair[1]); ok {
					e.ID, e.Weight = fmt.Sprintf("%s %s rather with %s %s", trait.Name, pair[0], other.Name, pair[1]), 1
					p.Prefer = append(p.Prefer, e)
				}
			}
		}
	}
}

func enginePair(a int, trait *facings.Trait, value string, b int, other *facings.Trait, with string) (seat.Pair, bool) {
	v := slices.IndexFunc(trait.Values, func(x facings.TraitValue) bool { return x.Name == value })
	w := slices.IndexFunc(other.Values, func(x facings.TraitValue) bool { return x.Name == with })
	return seat.Pair{TraitA: a, A: v, TraitB: b, B: w}, v >= 0 && w >= 0
}

// apart lists the pairs of values of two traits that must not meet.
func (d *dealer) apart(trait, other *facings.Trait) [][2]string {
	var out [][2]string
	for _, f := range trait.Forbid {
		if f.Trait == other.Name {
			out = append(out, [2]string{f.Value, f.With})
		}
	}
	if ready, ok := facings.FindReadyTrait(trait.ReadyMade); ok && isMane(other) {
		out = append(out, ready.Apart...)
	}
	return out
}

func (d *dealer) together(trait, other *facings.Trait) [][2]string {
	var out [][2]string
	for _, f := range trait.Prefer {
		if f.Trait == other.Name {
			out = append(out, [2]string{f.Value, f.With})
		}
	}
	if ready, ok := facings.FindReadyTrait(trait.ReadyMade); ok && isMane(other) {
		out = append(out, ready.Together...)
	}
	return out
}

// isMane reports whether a trait is about manes and tails.
func isMane(t *facings.Trait) bool {
	for _, v := range t.Values {
		for area := range v.Scheme {
			if area == "mane" || area == "tail" {
				return true
			}
		}
	}
	return false
}

// shares reports what was wanted and what was dealt.
func (d *dealer) shares() []facings.TraitShare {
	var out []facings.TraitShare
	for t, trait := range d.traits {
		wanted := d.wanted(trait)
		total := 0.0
		for _, w := range wanted {
			total += w
		}
		for v, value := range trait.Values {
			s := facings.TraitShare{Trait: trait.Name, Value: value.Name}
			if d.counts[t] != nil && total > 0 {
				s.Wanted = wanted[v] / total
			}
			s.Follows = d.counts[t] == nil
			for n := range d.places {
				if d.values[n][trait.Name] == value.Name {
					s.Count++
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// conflict puts the engine's minimal conflict into words.
func (d *dealer) conflict(res seat.Result) facings.Diagnostics {
	message := fmt.Sprintf("%s: the traits cannot be dealt", d.unit.Name)
	if len(res.Conflict) > 0 {
		message += "; these wishes cannot all be met: " + strings.Join(res.Conflict, "; ")
	}
	return facings.Diagnostics{{ID: "traits-conflict", Severity: facings.Fault,
		Path:    facings.Pointer("units", d.unit.Name, "traits"),
		Value:   strings.Join(d.unit.Traits, ", "),
		Message: message,
		Hint:    "change a share or a fixed trait, or lift a forbidden pair, among those named"}}
}
