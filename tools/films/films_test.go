package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const (
	spectraFile  = "../../internal/pigment/testdata/geldof-2018/spectra.txt"
	mixturesFile = "../../internal/pigment/testdata/geldof-2018/mixtures.txt"
)

// judged runs the command on the published films, with only those mixtures
// that keep lets through.
func judged(t *testing.T, keep func(line string) bool) *report {
	t.Helper()
	raw, err := os.ReadFile(mixturesFile)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.SplitSeq(string(raw), "\n") {
		if keep(line) {
			lines = append(lines, line)
		}
	}
	name := filepath.Join(t.TempDir(), "mixtures.txt")
	if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")), 0o644); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := run(&out, spectraFile, name, true); err != nil {
		t.Fatal(err)
	}
	var r report
	if err := json.Unmarshal(out.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	return &r
}

// The measured oil paints of Geldof and others 2018: half of the films that
// were not used in fitting are predicted within 2.5, nine of ten within 6.
func TestPublishedFilms(t *testing.T) {
	r := judged(t, func(string) bool { return true })
	if len(r.Films) < 50 || r.Median > 2.5 || r.P90 > 6 {
		t.Errorf("%d films, median %.2f, p90 %.2f", len(r.Films), r.Median, r.P90)
	}
	used := make(map[string]bool)
	for _, id := range r.Fitted {
		used[id] = true
	}
	for _, f := range r.Films {
		if used[f.Paint] {
			t.Errorf("%s was fitted and predicted", f.Paint)
		}
	}
	if !used["07A"] || !used["11B"] || used["11C"] {
		t.Errorf("fitted on %v", r.Fitted)
	}
	for _, id := range []string{"16E", "16F", "17F"} { // viridian and cobalt have neither pure film nor tint here
		if !strings.Contains(strings.Join(r.Skipped, " "), id) {
			t.Errorf("%s is not skipped: %v", id, r.Skipped)
		}
	}
}

// With fewer films the rest is still predicted: a pigment without its tint,
// one without its pure film, and a set without any black.
func TestFewerFilms(t *testing.T) {
	for name, drop := range map[string][]string{
		"no tint":  {"11B"},
		"no pure":  {"11A"},
		"no black": {"07C", "07D", "07E", "07F"},
	} {
		r := judged(t, func(line string) bool {
			for _, id := range drop {
				if strings.HasPrefix(line, id) {
					return false
				}
			}
			return true
		})
		if len(r.Films) < 20 || r.Median > 4 {
			t.Errorf("%s: %d films, median %.2f", name, len(r.Films), r.Median)
		}
		for _, f := range r.Films {
			if !(f.DeltaE00 >= 0 && f.DeltaE00 < 100) {
				t.Errorf("%s: %s is off by %v", name, f.Paint, f.DeltaE00)
			}
		}
	}
}

func TestFaultsAreNamed(t *testing.T) {
	for text, want := range map[string]string{
		"01A Eosin|100":      "line 1",
		"01A\tEosin-White|1": "2 components but 1 parts",
		"01A\tEosin|x":       `"x" is no number`,
		"01A\tEosin|0":       "no parts",
		"01A\tE|1\n01A\tE|1": "line 2: film 01A",
		"01A\tEosin|-5":      "components",
		"99Z\tEosin|100":     "four spectra",
	} {
		name := filepath.Join(t.TempDir(), "mixtures.txt")
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := run(&bytes.Buffer{}, spectraFile, name, false); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	if err := run(&bytes.Buffer{}, "no-such-file", mixturesFile, false); err == nil {
		t.Error("a missing file is no error")
	}
}

func FuzzParseMixture(f *testing.F) {
	f.Add("08F\tLeadWhite-ZincWhite-BoneBlack|50-50.3-0")
	f.Add("12E\tA|1e9")
	f.Fuzz(func(t *testing.T, line string) {
		film, err := parseMixture(line)
		if err != nil {
			return
		}
		var sum float64
		for _, s := range film.shares {
			sum += s
		}
		if len(film.names) == 0 || len(film.names) != len(film.shares) || sum < 0.999 || sum > 1.001 {
			t.Errorf("%q: %v %v", line, film.names, film.shares)
		}
	})
}
