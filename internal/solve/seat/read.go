package seat

import (
	"encoding/json"
	"fmt"
	"io"
)

// maxFile bounds a problem file, in bytes.
const maxFile = 16 << 20

// Read reads a problem as JSON, in the form testdata/README.md describes, and
// checks it.
func Read(r io.Reader) (Problem, error) {
	var p Problem
	limited := &io.LimitedReader{R: r, N: maxFile + 1}
	d := json.NewDecoder(limited)
	d.DisallowUnknownFields()
	if err := d.Decode(&p); err != nil {
		if limited.N <= 0 {
			return Problem{}, fmt.Errorf("the problem is longer than %d bytes", maxFile)
		}
		return Problem{}, err
	}
	return p, p.Check()
}
