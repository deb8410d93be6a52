package app

import (
	"io"

	"facings/internal/swatch"
)

// SwatchReading and SpotReading are what a photograph told.
type (
	SwatchReading = swatch.Reading
	SpotReading   = swatch.SpotReading
)

// SwatchCard writes a card with so many cells, on a paper, in a format: "svg",
// or "png" at so many dots per inch.
func (a *App) SwatchCard(w io.Writer, cells int, paper, format string, dpi int) error {
	layout, err := swatch.NewLayout(cells)
	if err != nil {
		return err
	}
	sheet, err := swatch.PaperNamed(paper)
	if err != nil {
		return err
	}
	scene := layout.Draw(sheet)
	if format == "png" {
		return scene.WritePNG(w, dpi)
	}
	return scene.WriteSVG(w)
}

// ReadSwatches reads the photograph of a painted card.
func (a *App) ReadSwatches(photo []byte) (*SwatchReading, error) {
	p, err := swatch.LoadPhoto(photo)
	if err != nil {
		return nil, err
	}
	return swatch.Read(p)
}

// ReadSpots returns the colours of places in a photograph, relative to a white
// place unless that is "".
func (a *App) ReadSpots(photo []byte, at []string, white string) ([]SpotReading, error) {
	var spots []swatch.Spot
	for _, s := range at {
		spot, err := swatch.ParseSpot(s)
		if err != nil {
			return nil, err
		}
		spots = append(spots, spot)
	}
	var w *swatch.Spot
	if white != "" {
		spot, err := swatch.ParseSpot(white)
		if err != nil {
			return nil, err
		}
		w = &spot
	}
	p, err := swatch.LoadPhoto(photo)
	if err != nil {
		return nil, err
	}
	return swatch.ReadSpots(p, spots, w)
}
