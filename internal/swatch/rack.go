package swatch

import (
	"errors"
	"fmt"

	"facings/internal/colour"
	"facings/internal/pigment"
)

// RackColours are a paint's colours over the black and the white of the
// standard chart, as a project's rack wants them. They differ a little from
// those over the card's own grounds.
type RackColours struct {
	OverBlack string `json:"over_black"`
	OverWhite string `json:"over_white"`
}

// KS returns the absorption and scattering of the paint in a cell: of one coat
// on the card's printed black and on its white, as they were measured. It is
// an error when the cell has no colours or they are no paint's.
func (c *CellReading) KS() (pigment.KS, error) {
	if c.OverBlack == nil || c.OverWhite == nil {
		return pigment.KS{}, errors.New("the cell has no colours")
	}
	var film [2]colour.Reflectance
	for i, seen := range []*Colour{c.OverWhite, c.OverBlack} {
		l := seen.linear
		r, err := colour.Smoothest(colour.ViewD65(), colour.Linear{R: l[0], G: l[1], B: l[2]}.XYZ())
		if err != nil {
			return pigment.KS{}, err
		}
		film[i] = r
	}
	fit, err := pigment.FitSamples([]pigment.Sample{{
		Film:  film,
		Card:  [2]colour.Reflectance{colour.Flat(c.GroundWhite), colour.Flat(c.GroundBlack)},
		Share: 1,
	}}, pigment.DefaultConditions())
	return fit.KS, err
}

// addRack works out the colours for the rack; where no paint could show such
// colours it warns instead.
func (r *cellReader) addRack() {
	ks, err := r.out.KS()
	if err != nil {
		r.warn("cell-impossible", "no paint shows these colours: "+err.Error(), "check the photograph")
		return
	}
	black, white := pigment.Chart()
	r.out.Rack = &RackColours{
		OverBlack: pigment.Show(&ks, pigment.Satin(), &black, 1).Hex,
		OverWhite: pigment.Show(&ks, pigment.Satin(), &white, 1).Hex,
	}
}

// YAML returns the line for a project's rack; the name is the user's to put in
// from the card. It is "" for a cell without colours.
func (c *CellReading) YAML() string {
	if c.Rack == nil {
		return ""
	}
	return fmt.Sprintf("  swatch %d: {kind: opaque, over_white: %q, over_black: %q}", c.Number, c.Rack.OverWhite, c.Rack.OverBlack)
}
