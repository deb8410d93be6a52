// Command bodies measures the built-in castings and writes measured.csv, from
// which the program takes the size, fiddliness and light of every area. A tool
// for developers; run it whenever the castings or the light change:
//
//	go run ./tools/bodies > measured.csv
package main

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"

	"facings/internal/figure"
	"facings/internal/geom"
	"facings/internal/light"
)

func main() {
	if len(os.Args) > 1 {
		fmt.Fprintln(os.Stderr, "bodies: takes no arguments; it writes to standard output")
		os.Exit(2)
	}
	if err := run(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bodies:", err)
		os.Exit(1)
	}
}

// castings are specs that between them have every area; the first that has an
// area measures it, so plain castings stand before dressed ones.
func castings() []figure.Spec {
	d := figure.Dress{Buttons: true, Turnbacks: true, Lapels: true, Epaulettes: true, Plume: true, Moustache: true, CrossStraps: true,
		Pouch: true, Pack: true, Bedroll: true, Sword: true}
	ridden := d
	ridden.Pack, ridden.Lapels, ridden.Stripe, ridden.Lace, ridden.WaistBelt = false, false, true, true, true
	more := d
	more.Cockade, more.Sash, more.Haversack, more.Canteen, more.Gloves, more.WaistBelt, more.Pack = true, true, true, true, true, true, false
	more.Coat, more.Headgear = figure.ShortCoat, figure.CockedHat
	laced := ridden
	laced.Coat, laced.OverJacket, laced.Sash, laced.Gloves, laced.Headgear = figure.LacedCoat, true, true, true, figure.Shako
	heavy := ridden
	heavy.Breastplate, heavy.Headgear, heavy.Lace, heavy.Lapels, heavy.Carbine, heavy.Cockade = true, figure.FurCap, false, true, true, true
	var out []figure.Spec
	foot := func(p figure.Pose, d figure.Dress) {
		out = append(out, figure.Spec{Kind: figure.Foot, Pose: p, Dress: d})
	}
	horse := func(p figure.Pose, d figure.Dress) {
		out = append(out, figure.Spec{Kind: figure.Mounted, Pose: p, Dress: d, Gait: figure.Standing})
	}
	foot(figure.Shoulder, d)
	boots, shoes := more, more
	boots.Footwear, shoes.Footwear = figure.Boots, figure.Shoes
	foot(figure.Command, boots)
	foot(figure.Shoulder, shoes)
	foot(figure.Standard, d)
	foot(figure.Drum, d)
	foot(figure.Trumpet, d)
	foot(figure.Ram, more)
	furred, plated, striped := laced, heavy, laced
	furred.Carbine = false
	plated.Carbine = false
	foot(figure.Command, furred)
	foot(figure.Command, plated)
	foot(figure.Shoulder, striped)
	horse(figure.Sabre, ridden)
	horse(figure.Sabre, laced)
	horse(figure.Sabre, heavy)
	horse(figure.Lance, ridden)
	horse(figure.Carbine, heavy)
	horse(figure.Standard, ridden)
	horse(figure.Trumpet, ridden)
	return append(out, figure.Spec{Kind: figure.Gun})
}

// groundEase: ground is slapped on, nothing on it is kept clean (estimate).
const groundEase = 0.5

type row struct {
	body, area            string
	mm2, fiddly, exposure float64
}

func run(out io.Writer) error {
	sources, err := light.Spray{ElevationDeg: 45, SpreadDeg: 10, OverheadShare: 0.25, Directions: 64}.Sources()
	if err != nil {
		return err
	}
	seen := map[[2]string]bool{}
	var rows []row
	for _, spec := range castings() {
		m, err := figure.Build(spec)
		if err != nil {
			return fmt.Errorf("%s, %s: %w", spec.Kind, spec.Pose, err)
		}
		covered := light.Expose(m, sources, light.Options{}).SeenCoverage(m)
		for _, a := range figure.Measure(m) {
			key := [2]string{string(spec.Kind), a.Area}
			if seen[key] {
				continue
			}
			seen[key] = true
			r := row{body: key[0], area: a.Area, mm2: a.MM2, fiddly: figure.Slowness(a.Fiddly)}
			if i := slices.Index(m.Labels, a.Area); i >= 0 {
				r.exposure = covered[i]
			}
			if a.Area == "base rim" {
				r.mm2 = seenFromTheSide(m, a.Area)
			}
			if a.Area == "base" || a.Area == "base rim" {
				r.fiddly *= groundEase
			}
			rows = append(rows, r)
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(a.body, b.body) })
	fmt.Fprintln(out, "body,area,area_mm2,fiddly,exposure")
	for _, r := range rows {
		fmt.Fprintf(out, "%s,%s,%.1f,%.2f,%.2f\n", r.body, r.area, r.mm2, r.fiddly, r.exposure)
	}
	return nil
}

// seenFromTheSide is the part of an area that does not face the table.
func seenFromTheSide(m *geom.Mesh, area string) float64 {
	sum := 0.0
	for i := range m.F {
		if m.Labels[m.FaceLabel(i)] == area && m.FaceNormal(i).Z > -0.5 {
			sum += m.FaceArea(i)
		}
	}
	return sum
}
