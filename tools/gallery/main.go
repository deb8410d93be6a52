// Command gallery draws the pictures of docs/gallery.md: the built-in castings
// from four sides in undercoat, by areas, and painted as the demo plans them. A
// tool for developers; run it whenever castings, light or colours change:
//
//	go run ./tools/gallery docs/gallery
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"facings"
	"facings/internal/app"
	"facings/internal/colour"
	"facings/internal/light"
	"facings/tools/internal/drawn"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: gallery FOLDER")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "gallery:", err)
		os.Exit(1)
	}
}

var (
	paper = colour.Linear{R: 0.90, G: 0.89, B: 0.86}
	ink   = colour.Linear{R: 0.02, G: 0.02, B: 0.02}
)

// run plans the demo and draws everything into the folder.
func run(folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	_, _, plan, err := drawn.Demo()
	if err != nil {
		return err
	}
	g := gallery{plan: plan, pictures: app.NewPictures(plan), folder: folder, keys: map[string][]string{}}
	figures := []facings.FigureID{
		{Unit: plan.Project.Units[0].Name, Role: facings.RoleTrooper, Number: 1},
		{Unit: plan.Project.Units[1].Name, Role: facings.RoleTrooper, Number: 1},
		{Unit: plan.Project.Units[2].Name, Role: "private", Number: 1},
		{Unit: plan.Project.Units[3].Name, Role: "gun", Number: 1},
	}
	for _, f := range figures {
		if err := g.fourSides(f); err != nil {
			return err
		}
	}
	for i := range plan.Project.Units {
		if err := g.unit(&plan.Project.Units[i]); err != nil {
			return err
		}
	}
	if err := g.colours(); err != nil {
		return err
	}
	if err := g.page(figures); err != nil {
		return err
	}
	return g.progress(facings.FigureID{Unit: plan.Project.Units[0].Name, Role: facings.RoleOfficer, Number: 1})
}

type gallery struct {
	plan     *app.Plan
	pictures *app.Pictures
	folder   string
	keys     map[string][]string // names of the numbers, by figure
}

func (g *gallery) index(id facings.FigureID) int {
	for i, f := range g.plan.Roster.Figures {
		if f.ID == id {
			return i
		}
	}
	return -1
}

// fourSides shows one figure in undercoat and painted, from all sides.
func (g *gallery) fourSides(id facings.FigureID) error {
	var cells []light.Cell
	for _, state := range []struct {
		passes int
		name   string
	}{{app.Undercoated, "undercoat, light from above"}, {app.Finished, "as the demo paints it"}} {
		for i, camera := range light.FourSides() {
			camera.AzimuthDeg += 30
			img, err := g.pictures.Draw(app.View{Figure: g.index(id), Passes: state.passes, Camera: camera, Width: 420, Height: 480,
				Background: &paper, GroundShadow: true})
			if err != nil {
				return err
			}
			caption := state.name
			if i > 0 {
				caption = ""
			}
			cells = append(cells, light.Cell{Picture: img, Caption: caption})
		}
	}
	if err := g.sheet(cells, 4, fmt.Sprintf("%s-%s.png", slug(id.Unit), slug(id.Role))); err != nil {
		return err
	}
	return g.key(id)
}

// key shows one figure's areas with their numbers, from two sides, and writes
// what the numbers mean beside the pictures.
func (g *gallery) key(id facings.FigureID) error {
	var cells []light.Cell
	for _, azimuth := range []float64{35, 215} {
		img, names, err := g.pictures.Key(g.index(id), light.Camera{AzimuthDeg: azimuth, ElevationDeg: 12, Margin: 0.03}, 640, 640)
		if err != nil {
			return err
		}
		cells = append(cells, light.Cell{Picture: img})
		g.keys[id.String()] = names
	}
	return g.sheet(cells, 2, fmt.Sprintf("%s-%s-areas.png", slug(id.Unit), slug(id.Role)))
}

// page writes gallery.md beside the folder of pictures.
func (g *gallery) page(figures []facings.FigureID) error {
	dir := filepath.Base(g.folder)
	var b strings.Builder
	b.WriteString("# Gallery\n\nThe built-in castings, drawn by `go run ./tools/gallery docs/gallery` from the program's own\n" +
		"meshes, light and predicted colours. Country and war are invented (the demo's).\n")
	for _, id := range figures {
		name := slug(id.Unit) + "-" + slug(id.Role)
		fmt.Fprintf(&b, "\n## %s, %s\n\nIn undercoat with the light from above, and as the demo paints it:\n\n![%[2]s of %[1]s from four sides](%[3]s/%[4]s.png)\n\n", id.Unit, id.Role, dir, name)
		fmt.Fprintf(&b, "Its areas:\n\n![areas of the %s](%s/%s-areas.png)\n\n", id.Role, dir, name)
		for i, area := range g.keys[id.String()] {
			if i > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "%d %s", i+1, area)
		}
		b.WriteString(".\n")
	}
	b.WriteString("\n## The units\n\nEvery figure with its own horse, hair and skin:\n")
	for i := range g.plan.Project.Units {
		u := &g.plan.Project.Units[i]
		fmt.Fprintf(&b, "\n![%s, figure by figure](%s/%s.png)\n", u.Name, dir, slug(u.Name))
	}
	fmt.Fprintf(&b, "\n## The colours\n\nFlags as they are printed (see [sheets.md](sheets.md)), folded round their poles: devices\n"+
		"are mirrored about the pole, lettering is not.\n\n![standard-bearers from four sides](%s/colours.png)\n", dir)
	fmt.Fprintf(&b, "\n## Pass by pass\n\nThe officer of the hussars; what is under way is outlined and in full colour, the rest fades:\n\n![twelve passes](%s/passes.png)\n", dir)
	return os.WriteFile(filepath.Join(filepath.Dir(g.folder), "gallery.md"), []byte(b.String()), 0o666)
}

// unit shows every figure of a unit, with its traits.
func (g *gallery) unit(u *facings.Unit) error {
	var cells []light.Cell
	files := 0
	for i, f := range g.plan.Roster.Figures {
		if f.ID.Unit != u.Name {
			continue
		}
		files = max(files, f.File)
		camera := light.Camera{AzimuthDeg: 35, ElevationDeg: 14, Margin: 0.05, PixelsPerMM: 5}
		width := 190
		if wide(f.Body) {
			width = 300
		}
		img, err := g.pictures.Draw(app.View{Figure: i, Passes: app.Finished, Camera: camera, Width: width, Height: 370, Background: &paper, GroundShadow: true})
		if err != nil {
			return err
		}
		caption := facings.SingleName(f.ID.Role, f.ID.Number)
		if horse := f.Traits["horse"]; horse != "" {
			caption += ", " + horse
		}
		cells = append(cells, light.Cell{Picture: img, Caption: caption})
	}
	return g.sheet(cells, files, slug(u.Name)+".png")
}

// colours shows everyone who carries a flag from four sides, so that obverse and
// reverse are seen.
func (g *gallery) colours() error {
	var cells []light.Cell
	for i, f := range g.plan.Roster.Figures {
		if _, pole := f.Body.Area("flag pole"); !pole {
			continue
		}
		for n, azimuth := range []float64{30, 120, 210, 300} {
			camera := light.Camera{AzimuthDeg: azimuth, ElevationDeg: 12, Margin: 0.04}
			img, err := g.pictures.Draw(app.View{Figure: i, Passes: app.Finished, Camera: camera, Width: 320, Height: 380, Background: &paper, GroundShadow: true})
			if err != nil {
				return err
			}
			caption := ""
			if n == 0 {
				caption = f.ID.Unit
			}
			cells = append(cells, light.Cell{Picture: img, Caption: caption})
		}
	}
	return g.sheet(cells, 4, "colours.png")
}

// wide reports whether a figure takes more room than a man: on a horse, under a
// flag, or a gun.
func wide(b facings.Body) bool {
	for _, area := range []string{"horse coat", "flag pole", "barrel"} {
		if _, ok := b.Area(area); ok {
			return true
		}
	}
	return false
}

// progress shows one figure as the passes go on, what is under way outlined.
func (g *gallery) progress(id facings.FigureID) error {
	var cells []light.Cell
	index := g.index(id)
	camera := light.Camera{AzimuthDeg: 40, ElevationDeg: 12, Margin: 0.05}
	for _, pass := range g.plan.Order.Passes {
		on := false
		for _, f := range pass.Figures {
			on = on || f == index
		}
		if !on || pass.Stage != facings.StagePaint || len(cells) == 12 {
			continue
		}
		img, err := g.pictures.Draw(app.View{Figure: index, Passes: pass.Number, Underway: pass.Number, Camera: camera, Width: 300, Height: 340, Background: &paper})
		if err != nil {
			return err
		}
		cells = append(cells, light.Cell{Picture: img, Caption: fmt.Sprintf("%d  %s", pass.Number, pass.Medium)})
	}
	return g.sheet(cells, 4, "passes.png")
}

func (g *gallery) sheet(cells []light.Cell, columns int, name string) error {
	img, err := light.ContactSheet(cells, columns, 15, paper, ink)
	if err != nil {
		return err
	}
	return drawn.WritePNG(filepath.Join(g.folder, name), img.NRGBA())
}

// slug makes a file name of a name.
func slug(name string) string {
	out := []rune{}
	for _, r := range name {
		switch {
		case r >= 'A' && r <= 'Z':
			out = append(out, r+'a'-'A')
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			out = append(out, r)
		case r == ' ':
			out = append(out, '-')
		}
	}
	return string(out)
}
