package pigment

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"facings/internal/colour"
)

// maxSpectra and maxSpectrumLine bound a spectra file.
const (
	maxSpectra      = 100_000
	maxSpectrumLine = 1 << 16
)

// ReadSpectra reads a table of reflectances in percent, fields parted by tabs:
// a first line "Name" and the wavelengths in nanometres, then one line per
// spectrum. Faults are named with their line.
func ReadSpectra(r io.Reader) (map[string]colour.Reflectance, error) {
	out := make(map[string]colour.Reflectance)
	var nm []float64
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, maxSpectrumLine)
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimRight(lines.Text(), "\r\n\t ")
		if line == "" {
			continue
		}
		cells := strings.Split(line, "\t")
		values := make([]float64, len(cells)-1)
		for i, cell := range cells[1:] {
			v, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
			if err != nil {
				return nil, fmt.Errorf("line %d: %q is not a number", n, cell)
			}
			values[i] = v
		}
		if nm == nil {
			nm = values
			continue
		}
		for i := range values {
			values[i] /= 100
		}
		s, err := colour.Resample(nm, values)
		if err != nil {
			return nil, fmt.Errorf("line %d: %s: %w", n, cells[0], err)
		}
		if _, twice := out[cells[0]]; twice {
			return nil, fmt.Errorf("line %d: spectrum %s is there already", n, cells[0])
		}
		if out[cells[0]] = s; len(out) > maxSpectra {
			return nil, fmt.Errorf("line %d: more than %d spectra", n, maxSpectra)
		}
	}
	return out, lines.Err()
}

// Samples gathers the films that have all four spectra: NAME_ow and NAME_ob,
// the film over white and over black, NAME_w and NAME_b, the bare cards.
func Samples(spectra map[string]colour.Reflectance) map[string]Sample {
	out := make(map[string]Sample)
	for name, film := range spectra {
		id, ok := strings.CutSuffix(name, "_ow")
		if !ok {
			continue
		}
		black, ok1 := spectra[id+"_ob"]
		w, ok2 := spectra[id+"_w"]
		b, ok3 := spectra[id+"_b"]
		if ok1 && ok2 && ok3 {
			out[id] = Sample{Film: [2]colour.Reflectance{film, black}, Card: [2]colour.Reflectance{w, b}}
		}
	}
	return out
}
