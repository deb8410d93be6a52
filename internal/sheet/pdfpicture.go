package sheet

import (
	"bytes"
	"encoding/gob"

	"codeberg.org/go-pdf/fpdf"
)

// inOrder gives a picture a place in the file. The library writes pictures by
// their width, and those of one width in no order at all; a width that is longer
// by the millionth part of a pixel for each picture before it tells them apart and
// is cut off where it is written. The width can be reached in the picture's gob
// form only.
func inOrder(info *fpdf.ImageInfoType, before int) error {
	form, err := info.GobEncode()
	if err != nil {
		return err
	}
	var f struct {
		data, mask       []byte
		n                int
		w, h             float64
		space            string
		palette          []byte
		bits             int
		filter, params   string
		transparent      []int
		scale, perInch   float64
		values, pointers []any
	}
	f.pointers = []any{&f.data, &f.mask, &f.n, &f.w, &f.h, &f.space, &f.palette, &f.bits, &f.filter, &f.params, &f.transparent, &f.scale, &f.perInch}
	d := gob.NewDecoder(bytes.NewReader(form))
	for _, p := range f.pointers {
		if err := d.Decode(p); err != nil {
			return err
		}
	}
	f.w += float64(before) * 1e-6
	f.values = []any{f.data, f.mask, f.n, f.w, f.h, f.space, f.palette, f.bits, f.filter, f.params, f.transparent, f.scale, f.perInch}
	var b bytes.Buffer
	e := gob.NewEncoder(&b)
	for _, v := range f.values {
		if err := e.Encode(v); err != nil {
			return err
		}
	}
	return info.GobDecode(b.Bytes())
}
