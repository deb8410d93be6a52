package projectfile

import (
	"bytes"
	_ "embed"
)

//go:embed starter.yaml
var starter []byte

// Starter is the commented project that "facings new" writes: one small foot
// unit of an invented army, complete and without fault.
func Starter() []byte { return bytes.Clone(starter) }
