// Command sheets draws the pictures of docs/sheets.md: one page of each kind of
// sheet that the demo prints, small enough to look at. A tool for developers; run
// it whenever a sheet changes:
//
//	go run ./tools/sheets docs/sheets
package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"time"

	"facings/internal/app"
	"facings/tools/internal/drawn"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: sheets FOLDER")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "sheets:", err)
		os.Exit(1)
	}
}

// dpi shows type of 2 mm and is small enough for a page of text.
const dpi = 92

// kind is one kind of sheet: the command that prints it, what is said of it, and
// how its pages are made; shown is the number of the page that is drawn.
type kind struct {
	name, command, words string
	shown                int
	pages                func(app.SheetOptions) ([]app.SheetFile, error)
}

// run plans the demo, draws a page of each kind into the folder and writes
// sheets.md beside it.
func run(folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	a, o, plan, err := drawn.Demo()
	if err != nil {
		return err
	}
	var page strings.Builder
	page.WriteString("# Sheets\n\nWhat the demo prints, a page of each kind, drawn by `go run ./tools/sheets docs/sheets`.\n" +
		"All come as PDF, SVG or PNG, on A4 or Letter, true to the millimetre; here they are\nshown smaller. Country, war and \"sources\" are invented.\n")
	for _, k := range kinds(a, o, plan) {
		files, err := k.pages(app.SheetOptions{Out: k.name + ".png", DPI: dpi})
		if err != nil {
			return fmt.Errorf("%s: %w", k.name, err)
		}
		img, err := png.Decode(bytes.NewReader(files[min(k.shown, len(files))-1].Data))
		if err != nil {
			return err
		}
		if err := drawn.WritePNG(filepath.Join(folder, k.name+".png"), fewColours(img)); err != nil {
			return err
		}
		title := strings.ToUpper(k.name[:1]) + strings.ReplaceAll(k.name[1:], "-", " ")
		of := ""
		if len(files) > 1 {
			of = fmt.Sprintf(" Page %d of %d:", min(k.shown, len(files)), len(files))
		}
		fmt.Fprintf(&page, "\n## %s\n\n`facings sheet %s`\n\n%s%s\n\n![%s](%s/%s.png)\n", title, k.command, k.words, of, title, filepath.Base(folder), k.name)
	}
	if err := guide(&page, a, plan, folder); err != nil {
		return err
	}
	if err := excerpts(&page, a, o, plan, folder); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(filepath.Dir(folder), "sheets.md"), []byte(page.String()), 0o666)
}

// kinds lists what is drawn. A new kind of sheet gets its line here.
func kinds(a *app.App, o *app.Opened, plan *app.Plan) []kind {
	cards := func(only string) func(app.SheetOptions) ([]app.SheetFile, error) {
		return func(opt app.SheetOptions) ([]app.SheetFile, error) { return a.PassCards(plan, opt, only) }
	}
	return []kind{
		{"flags", "flags demo.yaml --ripples --copies 8", "Flags at the model's size: reverse, sleeve and obverse as one strip to cut, fold round\nthe pole and glue.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) {
				made, err := a.FlagSheet(context.Background(), o, app.FlagOptions{SheetOptions: opt, BleedMM: 1, Copies: 8, Ripples: true})
				if err != nil {
					return nil, err
				}
				return made.Files, nil
			}},
		{"hatching", "flags demo.yaml --hatching --scale 25", "The same, larger, in heraldry's hatching: for printers without colour.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) {
				made, err := a.FlagSheet(context.Background(), o, app.FlagOptions{SheetOptions: opt, Scale: 25, BleedMM: 1, Copies: 1, Hatching: true})
				if err != nil {
					return nil, err
				}
				return made.Files, nil
			}},
		{"ticks", "cards demo.yaml --only ticks", "The tick list: every pass with its paint, tool, areas and minutes, sitting by sitting.", 1, cards("ticks")},
		{"cards", "cards demo.yaml --only cards", "A card for every pass, to be cut apart and kept as a pack. Everything is said in words;\nthe sample of the colour only helps.", 7, cards("cards")},
		{"shopping", "shopping demo.yaml", "What to buy, and what the rack has enough of.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) { return a.ShoppingSheet(plan, opt) }},
		{"ranks", "ranks demo.yaml", "The formation, bases at their true size, and who is who.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) { return a.RanksSheet(plan, opt) }},
		{"trays", "trays demo.yaml --edge 2", "Labels for movement trays, as large as each unit's formation and the tray's edge.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) {
				files, _, err := a.TraySheet(o, plan, opt, 2)
				return files, err
			}},
		{"swatch-card", "swatch-card demo.yaml", "Cards to brush a stripe of each paint on, to be photographed and read by `facings swatch`.", 1,
			func(opt app.SheetOptions) ([]app.SheetFile, error) {
				files, _, err := a.SwatchCards(o, app.SwatchCells, opt)
				return files, err
			}},
	}
}

// excerpts shows the beginning of the two kinds that are no pages, and of the
// palette its colours.
func excerpts(page *strings.Builder, a *app.App, o *app.Opened, plan *app.Plan, folder string) error {
	calendar := strings.ReplaceAll(string(a.CalendarFile(plan, "demo-calendar.ics", time.Time{}).Data), "\r\n", "\n")
	_, event, ok := strings.Cut(calendar, "BEGIN:VEVENT\n")
	if !ok {
		return fmt.Errorf("the demo has no sitting")
	}
	event, _, _ = strings.Cut(event, "END:VEVENT")
	fmt.Fprintf(page, "\n## Calendar\n\n`facings sheet calendar demo.yaml`\n\nThe sittings as iCalendar (RFC 5545). An evening keeps its UID when the plan changes; with\n`--was` and the file imported before, evenings no longer needed are cancelled. One event:\n\n```\nBEGIN:VEVENT\n%sEND:VEVENT\n```\n", event)
	file, err := a.PaletteFile(o, "demo-palette.gpl")
	if err != nil {
		return err
	}
	lines := strings.SplitN(string(file.Data), "\n", 13)
	fmt.Fprintf(page, "\n## Palette\n\n`facings sheet palette demo.yaml`\n\nWhat each paint, mix and finish will show, as a GIMP palette or a table (CSV), all of them here:\n\n![Palette](%s/palette.png)\n\nThe file begins:\n\n```\n%s\n```\n",
		filepath.Base(folder), strings.Join(lines[:12], "\n"))
	img, err := samples(string(file.Data))
	if err != nil {
		return err
	}
	return drawn.WritePNG(filepath.Join(folder, "palette.png"), img)
}

// fewColours is a page in few colours: five bits to each channel, and of those
// the 256 that are seen most.
func fewColours(img image.Image) image.Image {
	small := image.NewPaletted(img.Bounds(), palette(img))
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			small.Set(x, y, rounded(img.At(x, y)))
		}
	}
	return small
}
