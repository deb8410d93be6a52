package main

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"facings/internal/pigment"
)

// film is one measured film: what it is mixed of, and its spectra.
type film struct {
	id     string
	names  []string // components of non-zero parts, in the file's order
	shares []float64
	sample pigment.Sample
}

// share returns the share of a component, 0 when it is not in the film.
func (f *film) share(name string) float64 {
	for i, n := range f.names {
		if n == name {
			return f.shares[i]
		}
	}
	return 0
}

// maxParts bounds the components of one line.
const maxParts = 64

// readMixtures reads lines "ID, tab, COMPONENT-COMPONENT|PARTS-PARTS". Parts
// need not add to 100; shares are parts of their sum.
func readMixtures(r io.Reader) ([]*film, error) {
	var out []*film
	seen := make(map[string]bool)
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimSpace(lines.Text())
		if line == "" {
			continue
		}
		f, err := parseMixture(line)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if seen[f.id] {
			return nil, fmt.Errorf("line %d: film %s is there already", n, f.id)
		}
		seen[f.id] = true
		out = append(out, f)
	}
	return out, lines.Err()
}

func parseMixture(line string) (*film, error) {
	id, rest, ok1 := strings.Cut(line, "\t")
	names, parts, ok2 := strings.Cut(rest, "|")
	if !ok1 || !ok2 {
		return nil, fmt.Errorf("%q: write it as ID, a tab, A-B|70-30", line)
	}
	ns, ps := strings.Split(names, "-"), strings.Split(parts, "-")
	if len(ns) != len(ps) || len(ns) > maxParts {
		return nil, fmt.Errorf("%s names %d components but %d parts", id, len(ns), len(ps))
	}
	f := &film{id: id}
	var sum float64
	for i, p := range ps {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(v >= 0 && v < 1e6) {
			return nil, fmt.Errorf("%s: %q is no number of parts", id, p)
		}
		if v > 0 {
			f.names = append(f.names, strings.TrimSpace(ns[i]))
			f.shares = append(f.shares, v)
			sum += v
		}
	}
	if sum == 0 {
		return nil, fmt.Errorf("%s has no parts", id)
	}
	for i := range f.shares {
		f.shares[i] /= sum
	}
	return f, nil
}

// attach gives each film its spectra and drops those without.
func attach(films []*film, samples map[string]pigment.Sample) (with []*film, without []string) {
	for _, f := range films {
		s, ok := samples[f.id]
		if !ok {
			without = append(without, f.id)
			continue
		}
		f.sample = s
		with = append(with, f)
	}
	return with, without
}
