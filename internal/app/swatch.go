package app

import (
	"errors"

	"facings"
	"facings/internal/sheet"
	"facings/internal/swatch"
)

// SwatchReading and SpotReading are what a photograph told.
type (
	SwatchReading = swatch.Reading
	SpotReading   = swatch.SpotReading
)

// How many cells a swatch card has unless told otherwise, and at most.
const (
	SwatchCells     = swatch.DefaultCells
	MostSwatchCells = swatch.MostCells
)

// SwatchCard is one printed card: its number of cells, and the paints named in
// them, if any.
type SwatchCard struct {
	Cells  int      `json:"cells"`
	Paints []string `json:"paints,omitempty"`
}

// SwatchCards prints the swatch card. With a project, its cells name the rack's
// paints that a swatch can be brushed of, on as many cards of so many cells at
// most as they take; without (nil), it is one card whose names are left to write in.
// Metallic paints are left out, since a photograph shows them wrongly.
func (a *App) SwatchCards(o *Opened, cells int, opt SheetOptions) ([]SheetFile, []SwatchCard, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, nil, err
	}
	if _, err := swatch.NewLayout(cells); err != nil {
		return nil, nil, err
	}
	cards := []SwatchCard{{Cells: cells}}
	d := &sheet.Document{Title: "Swatch card"}
	if o != nil {
		d.Title += ": " + o.Project.Name
		cards = nil
		paints := brushed(o.Project)
		n := (len(paints) + cells - 1) / cells
		for i := range n { // filled evenly
			some := paints[i*len(paints)/n : (i+1)*len(paints)/n]
			cards = append(cards, SwatchCard{len(some), some})
		}
		if len(cards) == 0 {
			return nil, nil, errors.New("the rack holds no opaque or translucent paint, wash or ink to make a swatch of")
		}
	}
	for i, c := range cards {
		layout, err := swatch.NewLayout(c.Cells)
		if err != nil {
			return nil, nil, err
		}
		d.Pages = append(d.Pages, layout.Draw(swatch.Print{Paper: paper, Names: c.Paints, Card: i + 1, Of: len(cards)}))
	}
	files, err := render(d, opt)
	return files, cards, err
}

// brushed are the rack's paints that a swatch tells something of.
func brushed(p *facings.Project) []string {
	var out []string
	for _, x := range p.Rack {
		switch x.Kind {
		case facings.Opaque, facings.Translucent, facings.Wash, facings.Ink:
			out = append(out, x.Name)
		}
	}
	return out
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
