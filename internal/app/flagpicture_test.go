package app

import (
	"context"
	"testing"

	"facings/internal/colour"
	"facings/internal/light"
)

const colourParty = `facings: 1
name: party
undercoat: {dark: primer}
prepare: false
ending: [{step: flag, paint: glue}]
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  slate: {kind: opaque, over_white: "#5d6468", over_black: "#575e62"}
  glue: {kind: glue}
finishes: {}
units:
  First:
    body: foot
    figures: {standard-bearer: {count: 1, lacks: [musket stock, musket metal], adds: [flag pole, finial]}}
    scheme: {jacket: slate}
    flag:
      fly_mm: 1960
      hoist_mm: 1680
      parts:
        - {part: field, division: per pale, colours: ["#d01818", "#1830d0"]}
        - {part: canton, colours: ["#18a030"], size: 35}
calendar: {start: 2027-01-04, zone: Europe/Vienna}
`

// hues sorts a picture's pixels into strong reds, greens and blues: how many
// there are, and where their middle lies.
func hues(img *light.Image) (n [3]int, x, y [3]float64) {
	for i, c := range img.Pix {
		v := [3]float64{c.R, c.G, c.B}
		for k := range v {
			if v[k] > 0.03 && v[k] > 3*v[(k+1)%3] && v[k] > 3*v[(k+2)%3] {
				n[k]++
				x[k] += float64(i % img.W)
				y[k] += float64(i / img.W)
			}
		}
	}
	for k := range n {
		x[k], y[k] = x[k]/float64(n[k]), y[k]/float64(n[k])
	}
	return n, x, y
}

// The pole is bare until the flag is up. Then the half at the hoist stays at the
// pole and the canton above it, on the obverse (pole at the left) and on the
// reverse (pole at the right).
func TestFlagOnItsPole(t *testing.T) {
	skipDrawing(t)
	a := &App{}
	o, err := a.Read("party.yaml", []byte(colourParty))
	if err != nil {
		t.Fatal(o.Findings)
	}
	plan, err := a.Coats(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	ps := NewPictures(plan)
	draw := func(azimuth float64, passes int) *light.Image {
		img, err := ps.Draw(View{Passes: passes, Camera: light.Camera{AzimuthDeg: azimuth, Margin: 0.03}, Width: 240, Height: 260, Background: &colour.Linear{R: 1, G: 1, B: 1}})
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	if n, _, _ := hues(draw(210, Undercoated)); n != [3]int{} {
		t.Errorf("before it is up, the flag shows %v pixels", n)
	}
	for azimuth, side := range map[float64]float64{210: 1, 30: -1} {
		n, x, y := hues(draw(azimuth, Finished))
		if n[0] < 500 || n[1] < 300 || n[2] < 800 {
			t.Fatalf("from %g°: %v pixels of red, green and blue", azimuth, n)
		}
		if side*(x[2]-x[0]) < 20 || side*(x[2]-x[1]) < 20 || y[0]-y[1] < 15 {
			t.Errorf("from %g°: red at %.0f, %.0f, green at %.0f, %.0f, blue at %.0f, %.0f", azimuth, x[0], y[0], x[1], y[1], x[2], y[2])
		}
	}
}
