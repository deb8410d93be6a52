package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"path/filepath"
	"slices"
	"strings"

	"facings/internal/app"
	"facings/tools/internal/drawn"
)

// guideDPI is enough to read the guide's headings.
const guideDPI = 66

// guide draws six pages of the guide side by side: its cover, the first unit's
// key, a page of passes, and the first unit finished.
func guide(page *strings.Builder, a *app.App, plan *app.Plan, folder string) error {
	files, err := a.GuideOf(context.Background(), plan, app.GuideOptions{SheetOptions: app.SheetOptions{Out: "guide.png", DPI: guideDPI}})
	if err != nil {
		return err
	}
	unit := plan.Project.Units[0].Name
	find := func(from int, heading string) int {
		for i := from; i < len(files); i++ {
			if slices.ContainsFunc(files[i].Begins, func(t string) bool { return strings.Contains(t, heading) }) {
				return i
			}
		}
		return 0
	}
	passes := find(0, "Pass by pass")
	finished := find(find(passes, "The finished units"), unit)
	var shown []image.Image
	for _, n := range []int{0, find(find(0, "The uniforms"), unit), find(passes, "Sitting 3"), find(passes, "Sitting 7"), finished, finished + 1} {
		img, err := png.Decode(bytes.NewReader(files[min(n, len(files)-1)].Data))
		if err != nil {
			return err
		}
		shown = append(shown, img)
	}
	if err := drawn.WritePNG(filepath.Join(folder, "guide.png"), fewColours(sideBySide(shown, 3))); err != nil {
		return err
	}
	fmt.Fprintf(page, "\n## Guide\n\n`facings sheet guide demo.yaml`\n\nAn illustrated booklet of the whole work, %d pages, or with `--out guide.html` one page for a browser.\n"+
		"Its cover, a unit's key, two pages of passes, and the unit as it stands and from four sides:\n\n![Guide](%s/guide.png)\n", len(files), filepath.Base(folder))
	return nil
}

// sideBySide lays pages out in rows on a grey table.
func sideBySide(pages []image.Image, columns int) image.Image {
	const gap = 10
	size := pages[0].Bounds().Size()
	rows := (len(pages) + columns - 1) / columns
	out := image.NewRGBA(image.Rect(0, 0, columns*(size.X+gap)+gap, rows*(size.Y+gap)+gap))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.Gray{0xb4}), image.Point{}, draw.Src)
	for i, p := range pages {
		at := image.Pt(gap+i%columns*(size.X+gap), gap+i/columns*(size.Y+gap))
		draw.Draw(out, image.Rectangle{Min: at, Max: at.Add(size)}, p, p.Bounds().Min, draw.Src)
	}
	return out
}
