package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	"facings"
	"facings/internal/app"
)

// swatchFlags are the flags of swatch.
type swatchFlags struct {
	card       bool
	out, paper string
	cells      int
	dpi        float64
	at         []string
	white      string
	json       bool
}

func (p *Program) swatch() *cobra.Command {
	var f swatchFlags
	cmd := &cobra.Command{
		Use:   "swatch [PHOTO]",
		Short: "Print a card for paint swatches, and read the colours from its photograph",
		Long: `With --card, writes a swatch card to print at 100 %: brush one stripe of each
paint over its black and its white, let them dry, photograph the card in even
daylight. "facings sheet swatch-card FILE" names a rack's paints in its cells. With
PHOTO (JPEG, PNG or WebP), reads every paint's colour over black
and over white, says how far off it may be and what is doubtful, and prints lines
for the rack of a project.

With --at, reads the colours of places in any photograph instead, such as a
uniform plate: x,y or x,y,radius in pixels or percent, several times over. --white
names a place of white paper to compare with.`,
		Example: `  facings swatch --card --out card.svg
  facings swatch card.jpg
  facings swatch plate.jpg --white 5%,5% --at 40%,30% --at 1200,640,20`,
		Args: atMost(1, "one PHOTO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case f.card && len(args) > 0:
				return usageError{errors.New("--card writes a card and reads no PHOTO")}
			case f.card:
				return p.writeCard(&f)
			case len(args) == 0:
				return usageError{errors.New("a PHOTO, or --card, is expected")}
			case f.white != "" && len(f.at) == 0:
				return usageError{errors.New("--white is for --at; a swatch card brings its own white")}
			}
			for _, name := range []string{"out", "paper", "cells", "dpi"} {
				if cmd.Flags().Changed(name) {
					return usageError{fmt.Errorf("--%s is for --card; the card says in its corners how it is laid out", name)}
				}
			}
			return p.readSwatches(&f, args[0])
		},
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.card, "card", false, "write a card to print")
	fl.StringVar(&f.out, "out", "", "file for the card, ending in .pdf, .svg or .png")
	fl.StringVar(&f.paper, "paper", "a4", "a4 or letter")
	choices(cmd, "paper", "a4", "letter")
	fl.IntVar(&f.cells, "cells", app.SwatchCells, "paints on the card, 1 to 24")
	fl.Float64Var(&f.dpi, "dpi", 600, "dots per inch of a PNG")
	fl.StringArrayVar(&f.at, "at", nil, "place to read: x,y or x,y,radius in pixels or percent")
	fl.StringVar(&f.white, "white", "", "place of white paper to compare with")
	fl.BoolVar(&f.json, "json", false, "print the colours as JSON")
	return cmd
}

func (p *Program) writeCard(f *swatchFlags) error {
	if f.out == "" {
		return usageError{errors.New("--card needs --out FILE, ending in .pdf, .svg or .png")}
	}
	if _, err := os.Stat(f.out); err == nil {
		return fmt.Errorf("%s is there already and was left alone; choose another name", f.out)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return p.printSwatchCards("", f.cells, app.SheetOptions{Paper: f.paper, Out: f.out, DPI: f.dpi}, false)
}

// mostPhotoBytes bounds what is read of a file; a photograph that is larger is
// refused by what it then holds.
const mostPhotoBytes = 65 << 20

func readPhoto(path string) ([]byte, error) {
	return readBounded(path, mostPhotoBytes, "give the path of a JPEG, PNG or WebP file")
}

// readBounded reads a file, or so many bytes of it; an error says what is wanted.
func readBounded(path string, most int64, wanted string) ([]byte, error) {
	f, err := open(path, wanted)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most))
}

func (p *Program) readSwatches(f *swatchFlags, path string) error {
	photo, err := readPhoto(path)
	if err != nil {
		return err
	}
	a, _ := p.app()
	if len(f.at) > 0 {
		return p.readSpots(a, f, path, photo)
	}
	reading, err := a.ReadSwatches(photo)
	if err != nil {
		return p.photoFault(f, path, err)
	}
	if f.json {
		return p.json(reading)
	}
	p.explainPhoto(path, reading.Findings)
	t := p.newTable("cell", "", "over black", "", "off by", "over white", "", "off by")
	var lines []string
	for i := range reading.Cells {
		c := &reading.Cells[i]
		p.explainPhoto(path, c.Findings)
		row := table.Row{c.Number, string(c.State), "", "", "", "", "", ""}
		if c.OverBlack != nil && c.OverWhite != nil {
			row = table.Row{c.Number, string(c.State), c.OverBlack.Hex, c.OverBlack.Name, fmt.Sprintf("%.1f", c.OverBlack.Uncertainty),
				c.OverWhite.Hex, c.OverWhite.Name, fmt.Sprintf("%.1f", c.OverWhite.Uncertainty)}
		}
		t.AppendRow(row)
		if line := c.YAML(); line != "" {
			lines = append(lines, line)
		}
	}
	t.Render()
	if len(lines) > 0 {
		fmt.Fprintf(p.Out, "\nFor the rack; put in the name and kind of each paint. These are the colours on\nthe standard chart, which differ a little from those on the card:\n\n%s\n", strings.Join(lines, "\n"))
	}
	return nil
}

// spotsResult is what swatch --at --json prints.
type spotsResult struct {
	White string            `json:"white,omitempty"`
	Spots []app.SpotReading `json:"spots"`
}

func (p *Program) readSpots(a *app.App, f *swatchFlags, path string, photo []byte) error {
	spots, err := a.ReadSpots(photo, f.at, f.white)
	if err != nil {
		return p.photoFault(f, path, err)
	}
	if f.json {
		return p.json(spotsResult{White: f.white, Spots: spots})
	}
	t := p.newTable("at", "colour", "", "L*", "a*", "b*", "off by")
	for _, s := range spots {
		p.explainPhoto(path, s.Findings)
		t.AppendRow(table.Row{s.At, s.Hex, s.Name, fmt.Sprintf("%.1f", s.Lab[0]), fmt.Sprintf("%.1f", s.Lab[1]), fmt.Sprintf("%.1f", s.Lab[2]), fmt.Sprintf("%.1f", s.Uncertainty)})
	}
	t.Render()
	if f.white == "" {
		fmt.Fprintln(p.Out, "\nTaken as photographed; name a white to compare with: --white x,y")
	}
	return nil
}

// photoResult is what swatch --json prints of a photograph that cannot be read.
type photoResult struct {
	Findings facings.Diagnostics `json:"findings"`
}

// photoFault explains why a photograph cannot be read.
func (p *Program) photoFault(f *swatchFlags, path string, err error) error {
	var findings facings.Diagnostics
	if !errors.As(err, &findings) {
		return err
	}
	if f.json {
		if err := p.json(photoResult{findings}); err != nil {
			return err
		}
		return inputError{}
	}
	p.explainPhoto(path, findings)
	return inputError{}
}

func (p *Program) explainPhoto(path string, findings facings.Diagnostics) {
	for _, d := range findings {
		d.File = path
		fmt.Fprintln(p.Err, d)
	}
}
