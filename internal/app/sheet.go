package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"facings"
	"facings/internal/geom"
	"facings/internal/order"
	"facings/internal/sheet"
)

// SheetFile is one file to be written.
type SheetFile struct {
	Name string
	Data []byte
	// Begins are the headings on it, if it is one page of several.
	Begins []string
}

// SheetOptions say on what a sheet is printed and as what.
type SheetOptions struct {
	Paper string  // a4 or letter
	Out   string  // the file's name; its ending chooses PDF, SVG or PNG
	DPI   float64 // of a PNG
}

// FlagOptions say how flags are printed.
type FlagOptions struct {
	SheetOptions
	Scale, PoleMM, BleedMM float64
	Copies                 int
	Hatching, Ripples      bool
}

// FlagSheet is the printed flags: files, sizes, and units whose flag is only
// described in words.
type FlagSheet struct {
	Files []SheetFile
	Scale float64
	Flags []FlagSize
	Words []string
}

// FlagSize is one flag as printed.
type FlagSize = sheet.FlagSize

// FlagSheet prints the flags of all units.
func (a *App) FlagSheet(_ context.Context, o *Opened, opt FlagOptions) (*FlagSheet, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, err
	}
	hex, err := a.hexes(o)
	if err != nil {
		return nil, err
	}
	made, err := sheet.Flags(o.Project, sheet.FlagOptions{Paper: paper, Scale: opt.Scale, Copies: opt.Copies, BleedMM: opt.BleedMM,
		PoleMM: opt.PoleMM, Hatching: opt.Hatching, Ripples: opt.Ripples, Colours: hex, Read: o.files()})
	if err != nil {
		return nil, err
	}
	files, err := render(made.Document, opt.SheetOptions)
	return &FlagSheet{Files: files, Scale: made.Scale, Flags: made.Flags, Words: made.Words}, err
}

// TraySize is the label of one movement tray as printed.
type TraySize = sheet.TraySize

// TraySheet prints labels for the movement trays of a plan's units, with an
// edge of so many mm around the bases.
func (a *App) TraySheet(o *Opened, plan *Plan, opt SheetOptions, edgeMM float64) ([]SheetFile, []TraySize, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, nil, err
	}
	hex, err := a.hexes(o)
	if err != nil {
		return nil, nil, err
	}
	d, sizes, err := sheet.Trays(plan.Project, plan.Roster, sheet.TrayOptions{Paper: paper, EdgeMM: edgeMM, Colours: hex})
	if err != nil {
		return nil, nil, err
	}
	files, err := render(d, opt)
	return files, sizes, err
}

// PassCards prints a plan's pass cards, its tick list, or the list and then the
// cards: only is "cards", "ticks" or empty.
func (a *App) PassCards(plan *Plan, opt SheetOptions, only string) ([]SheetFile, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, err
	}
	b := &sheet.Bench{Project: plan.Project, Roster: plan.Roster, Coats: plan.Coats, Order: plan.Order}
	var d *sheet.Document
	switch only {
	case "cards":
		d = sheet.Cards(b, paper)
	case "ticks":
		d = sheet.TickList(b, paper)
	case "":
		d = sheet.TickList(b, paper)
		d.Title = "Tick list and pass cards: " + plan.Project.Name
		d.Pages = append(d.Pages, sheet.Cards(b, paper).Pages...)
	default:
		return nil, fmt.Errorf("%q is neither cards nor ticks", only)
	}
	return render(d, opt)
}

// ShoppingSheet prints what a plan needs.
func (a *App) ShoppingSheet(plan *Plan, opt SheetOptions) ([]SheetFile, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, err
	}
	return render(sheet.ShoppingList(plan.Project.Name, plan.Shopping, paper), opt)
}

// RanksSheet prints formation and roster of every unit.
func (a *App) RanksSheet(plan *Plan, opt SheetOptions) ([]SheetFile, error) {
	paper, err := sheet.PaperNamed(opt.Paper)
	if err != nil {
		return nil, err
	}
	return render(sheet.Ranks(plan.Project, plan.Roster, paper), opt)
}

// CalendarFile writes a plan's sittings as iCalendar, stamped with this
// program's clock or, if it is set, with another time.
func (a *App) CalendarFile(plan *Plan, out string, stamp time.Time) SheetFile {
	f, _ := a.NextCalendarFile(plan, out, stamp, nil) // only an earlier file can be at fault
	return f
}

// NextCalendarFile writes a calendar file that follows an earlier one: events
// that have not changed stay as they are, and those to come that are no longer
// needed are cancelled.
func (a *App) NextCalendarFile(plan *Plan, out string, stamp time.Time, was []byte) (SheetFile, error) {
	if stamp.IsZero() {
		stamp = a.now()
	}
	data, err := sheet.Calendar(plan.Project, plan.Order, stamp, was)
	return SheetFile{Name: out, Data: data}, err
}

// MaxCalendarBytes is how large an earlier calendar file may be.
const MaxCalendarBytes = sheet.MaxCalendarBytes

// PaletteFile writes a project's colours as a GIMP palette (.gpl) or a table
// (.csv), by the name's ending.
func (a *App) PaletteFile(o *Opened, out string) (SheetFile, error) {
	list, err := a.Colours(o)
	if err != nil {
		return SheetFile{}, err
	}
	switch strings.ToLower(filepath.Ext(out)) {
	case ".gpl":
		return SheetFile{Name: out, Data: sheet.GPL(o.Project.Name, list)}, nil
	case ".csv":
		data, err := sheet.CSV(list)
		return SheetFile{Name: out, Data: data}, err
	}
	return SheetFile{}, fmt.Errorf("%q does not say what kind of palette to write; end it in .gpl or .csv", out)
}

// files reads what lies beside a project.
func (o *Opened) files() func(string) ([]byte, error) {
	if o.Beside != nil {
		return o.Beside
	}
	return beside(o.Name)
}

// beside reads files from the folder that the project file is in, and never
// through a link out of it.
func beside(project string) func(string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		folder, err := os.OpenRoot(filepath.Dir(project))
		if err != nil {
			return nil, err
		}
		defer folder.Close()
		f, err := folder.Open(filepath.FromSlash(name))
		if at := (*fs.PathError)(nil); errors.As(err, &at) {
			err = at.Err // without how it was opened
		}
		if err != nil {
			return nil, fmt.Errorf("%s cannot be read: %w; it should lie beside the project", name, err)
		}
		defer f.Close()
		if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
			return nil, fmt.Errorf("%s is no file", name)
		}
		return io.ReadAll(io.LimitReader(f, geom.MaxFileBytes+1))
	}
}

// render writes a document as what the file's name ends in. SVG and PNG hold
// one page a file; further ones are numbered.
func render(d *sheet.Document, opt SheetOptions) ([]SheetFile, error) {
	var b bytes.Buffer
	ending := filepath.Ext(opt.Out)
	switch kind := strings.ToLower(ending); kind {
	case ".pdf":
		err := d.WritePDF(&b)
		return []SheetFile{{Name: opt.Out, Data: b.Bytes()}}, err
	case ".svg", ".png":
		var files []SheetFile
		for i := range d.Pages {
			var page bytes.Buffer
			var err error
			if kind == ".svg" {
				err = d.WriteSVG(&page, i)
			} else {
				err = d.WritePNG(&page, i, opt.DPI)
			}
			if err != nil {
				return nil, err
			}
			name := opt.Out
			if len(d.Pages) > 1 {
				name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(opt.Out, ending), i+1, ending)
			}
			f := SheetFile{Name: name, Data: page.Bytes()}
			for _, m := range d.Pages[i].Marks {
				f.Begins = append(f.Begins, m.Title)
			}
			files = append(files, f)
		}
		return files, nil
	}
	return nil, fmt.Errorf("%q does not say what kind of file to write; end it in .pdf, .svg or .png", opt.Out)
}

// hexesOf are the colours of a project by name; a finish goes before a mix or a
// paint of the same name.
func hexesOf(p *facings.Project, c *colourist) map[string]string {
	hex := map[string]string{}
	for _, s := range shown(p, c) { // finishes last
		hex[s.Name] = s.Look.Hex
	}
	return hex
}

// hexes are the colours of an opened project by name.
func (a *App) hexes(o *Opened) (map[string]string, error) {
	c, found := newColourist(o.Project)
	if found.Faulty() {
		return nil, found
	}
	return hexesOf(o.Project, c), nil
}

// Colours tells what every paint, mix and finish of a project shows by itself:
// brushed on until it covers, a finish with its coats, all over the undercoat
// where the light from above is full. Paints come first, finishes last.
func (a *App) Colours(o *Opened) ([]sheet.Swatch, error) {
	c, found := newColourist(o.Project)
	if found.Faulty() {
		return nil, found
	}
	return shown(o.Project, c), nil
}

func shown(p *facings.Project, c *colourist) []sheet.Swatch {
	ground := c.Undercoat(1)
	var out []sheet.Swatch
	one := func(name, what string) {
		if _, ok := c.films[name]; ok {
			s := c.Lay(c.Lay(ground, name, facings.Brush, 1), name, facings.Brush, 1)
			out = append(out, sheet.Swatch{Name: name, What: what, Look: c.Look(s)})
		}
	}
	for _, x := range p.Rack {
		one(x.Name, "paint")
	}
	for _, x := range p.Mixes {
		one(x.Name, "mix")
	}
	for _, x := range p.Finishes {
		var s order.Surface = ground
		laid := false
		for _, coat := range x.Coats {
			if _, ok := c.films[coat.Paint]; !ok {
				continue
			}
			cover := coat.CoverPercent / 100
			if cover == 0 {
				cover = 1
			}
			technique := coat.Technique
			if technique == "" {
				technique = facings.Brush
			}
			s, laid = c.Lay(s, coat.Paint, technique, cover), true
		}
		if laid {
			out = append(out, sheet.Swatch{Name: x.Name, What: "finish", Look: c.Look(s)})
		}
	}
	return out
}
