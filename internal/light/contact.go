package light

import (
	"fmt"

	"facings/internal/colour"
)

// Cell is one picture of a contact sheet and what is written under it.
type Cell struct {
	Picture *Image
	Caption string
}

// ContactSheet lays pictures out in a grid, row by row, each with its caption
// below, on paper. Captions too long for their cell are shortened.
func ContactSheet(cells []Cell, columns int, textPixels float64, paper, ink colour.Linear) (*Image, error) {
	if len(cells) == 0 || columns < 1 {
		return nil, fmt.Errorf("a contact sheet of %d pictures in %d columns", len(cells), columns)
	}
	text, err := NewLettering(textPixels)
	if err != nil {
		return nil, err
	}
	w, h := 0, 0
	for _, c := range cells {
		w, h = max(w, c.Picture.W), max(h, c.Picture.H)
	}
	gap := text.Height
	columns = min(columns, len(cells))
	rows := (len(cells) + columns - 1) / columns
	cw, ch := w+gap, h+gap+text.Height*3/2
	if (columns*cw+gap)*(rows*ch+gap) > maxPixels {
		return nil, fmt.Errorf("a contact sheet of %d × %d pixels: at most %d altogether; make the pictures smaller", columns*cw, rows*ch, maxPixels)
	}
	img := NewImage(columns*cw+gap, rows*ch+gap)
	for i, c := range cells {
		x, y := gap+i%columns*cw, gap+i/columns*ch
		img.Draw(c.Picture, x+(w-c.Picture.W)/2, y+h-c.Picture.H)
		caption := text.Fit(c.Caption, w)
		text.Draw(img, x+(w-text.Width(caption))/2, y+h+text.Height/4, caption, ink)
	}
	img.Over(paper)
	return img, nil
}
