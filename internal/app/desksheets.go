package app

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"facings"
)

// sheetMaker makes one kind of sheet. A kind needs the whole plan, or only the
// project's coats. The guide, which needs the log too, has no print: see Desk.guide.
type sheetMaker struct {
	kind  SheetKind
	plan  bool
	print func(d *Desk, ctx context.Context, o *Opened, plan *Plan, opt SheetOptions, v sheetValues) ([]SheetFile, error)
}

func paper() []string { return []string{"pdf", "svg", "png"} }

// sheetMakers lists the kinds of sheet, in the order a page shows them.
func sheetMakers() []sheetMaker {
	number := func(name, words, usual string) SheetOption {
		return SheetOption{Name: name, Words: words, Type: "number", Default: usual, Choices: []string{}}
	}
	onOff := func(name, words string) SheetOption {
		return SheetOption{Name: name, Words: words, Type: "switch", Default: "false", Choices: []string{}}
	}
	return []sheetMaker{
		{SheetKind{Kind: "flags", Title: "Flags", Formats: paper(), Paper: true, Options: []SheetOption{
			number("scale", "print at 1 to this; 0 for the project's", "0"), number("pole_mm", "thickness of the poles, mm; 0 for each flag's own", "0"),
			number("bleed_mm", "colour past the cut, mm", "1"), number("copies", "copies of each flag", "1"),
			onOff("hatching", "heraldry's hatching in place of colours"), onOff("ripples", "light and shade of folds")}},
			false, func(d *Desk, ctx context.Context, o *Opened, _ *Plan, opt SheetOptions, v sheetValues) ([]SheetFile, error) {
				made, err := d.app.FlagSheet(ctx, o, FlagOptions{SheetOptions: opt, Scale: v.number("scale", 0), PoleMM: v.number("pole_mm", 0),
					BleedMM: v.number("bleed_mm", 1), Copies: int(v.number("copies", 1)), Hatching: v.on("hatching"), Ripples: v.on("ripples")})
				if err != nil {
					return nil, err
				}
				return made.Files, nil
			}},
		{SheetKind{Kind: "cards", Title: "Pass cards and tick list", Formats: paper(), Paper: true, Options: []SheetOption{
			{Name: "only", Words: "cards or tick list alone", Type: "choice", Choices: []string{"", "cards", "ticks"}}}},
			true, func(d *Desk, _ context.Context, _ *Opened, plan *Plan, opt SheetOptions, v sheetValues) ([]SheetFile, error) {
				return d.app.PassCards(plan, opt, v.text("only"))
			}},
		{SheetKind{Kind: "shopping", Title: "Shopping list", Formats: paper(), Paper: true, Options: []SheetOption{}},
			false, func(d *Desk, ctx context.Context, _ *Opened, plan *Plan, opt SheetOptions, _ sheetValues) ([]SheetFile, error) {
				copied, list := *plan, *plan.Shopping
				list.Paints = slices.Clone(list.Paints)
				copied.Shopping = &list
				if err := d.app.Instead(ctx, &copied); err != nil {
					return nil, err
				}
				return d.app.ShoppingSheet(&copied, opt)
			}},
		{SheetKind{Kind: "ranks", Title: "Formation and roster", Formats: paper(), Paper: true, Options: []SheetOption{}},
			false, func(d *Desk, _ context.Context, _ *Opened, plan *Plan, opt SheetOptions, _ sheetValues) ([]SheetFile, error) {
				return d.app.RanksSheet(plan, opt)
			}},
		{SheetKind{Kind: "trays", Title: "Labels for movement trays", Formats: paper(), Paper: true, Options: []SheetOption{number("edge_mm", "edge around the bases, mm", "3")}},
			false, func(d *Desk, _ context.Context, o *Opened, plan *Plan, opt SheetOptions, v sheetValues) ([]SheetFile, error) {
				files, _, err := d.app.TraySheet(o, plan, opt, v.number("edge_mm", 3))
				return files, err
			}},
		{SheetKind{Kind: "swatch-card", Title: "Swatch card", Formats: paper(), Paper: true, Options: []SheetOption{
			number("cells", "cells on a card", strconv.Itoa(SwatchCells)), onOff("blank", "without the rack's names")}},
			false, func(d *Desk, _ context.Context, o *Opened, _ *Plan, opt SheetOptions, v sheetValues) ([]SheetFile, error) {
				if v.on("blank") {
					o = nil
				}
				files, _, err := d.app.SwatchCards(o, int(v.number("cells", SwatchCells)), opt)
				return files, err
			}},
		{SheetKind{Kind: "guide", Title: "Illustrated guide", Formats: []string{"pdf", "html"}, Paper: true, Options: []SheetOption{}}, true, nil},
		{SheetKind{Kind: "calendar", Title: "Sittings for a calendar", Formats: []string{"ics"}, Options: []SheetOption{}},
			true, func(d *Desk, _ context.Context, _ *Opened, plan *Plan, opt SheetOptions, _ sheetValues) ([]SheetFile, error) {
				return []SheetFile{d.app.CalendarFile(plan, opt.Out, time.Time{})}, nil
			}},
		{SheetKind{Kind: "palette", Title: "Colours for a drawing program", Formats: []string{"gpl", "csv"}, Options: []SheetOption{}},
			false, func(d *Desk, _ context.Context, o *Opened, _ *Plan, opt SheetOptions, _ sheetValues) ([]SheetFile, error) {
				f, err := d.app.PaletteFile(o, opt.Out)
				return []SheetFile{f}, err
			}},
	}
}

// guide makes the booklet of a whole project: where work is done already, the
// plan in force is of the rest, so the whole is planned once more.
func (d *Desk) guide(ctx context.Context, id string, o *Opened, plan *Plan, opt SheetOptions) ([]SheetFile, error) {
	log, err := d.keeper.Log(ctx, id, 0)
	if err != nil {
		return nil, err
	}
	told := GuideOptions{SheetOptions: opt, Log: log}
	if plan.Order.DoneTasks == 0 {
		return d.app.GuideOf(ctx, plan, told)
	}
	whole := *o
	whole.Progress = facings.Progress{}
	_, files, err := d.app.Guide(ctx, &whole, told)
	return files, err
}

// Sheets lists the kinds of sheet and whether each can be had now.
func (d *Desk) Sheets(ctx context.Context, id string) ([]SheetKind, error) {
	_, r, p, err := d.current(ctx, id)
	if err != nil {
		return nil, err
	}
	out := []SheetKind{}
	for _, m := range sheetMakers() {
		m.kind.Ready = !r.opened.Findings.Faulty() && (!m.plan || p != nil && p.state == PlanReady)
		out = append(out, m.kind)
	}
	return out, nil
}

// sheetDPI is how finely a picture of a page is drawn.
const (
	sheetDPI     = 300
	mostSheetDPI = 600
)

// Sheet makes a sheet. Options are those of its kind, and paper, format, dpi and
// page. SVG and PNG hold one page; several come as one zip, unless one is asked
// for by its number.
func (d *Desk) Sheet(ctx context.Context, id, kind string, options map[string]string) (*SheetMade, error) {
	makers := sheetMakers()
	i := slices.IndexFunc(makers, func(m sheetMaker) bool { return m.kind.Kind == kind })
	if i < 0 {
		return nil, fmt.Errorf("sheet %q: %w", clipped(kind, 40), facings.ErrNotFound)
	}
	m := makers[i]
	values, err := m.values(options)
	if err != nil {
		return nil, err
	}
	format := values.text("format")
	if format == "" {
		format = m.kind.Formats[0]
	}
	if !slices.Contains(m.kind.Formats, format) {
		return nil, &Mistake{Message: fmt.Sprintf("%s comes as %s, not as %q", kind, strings.Join(m.kind.Formats, ", "), clipped(format, 20))}
	}
	r, plan, err := d.forSheet(ctx, id, m.plan)
	if err != nil {
		return nil, err
	}
	opt := SheetOptions{Paper: values.text("paper"), DPI: values.number("dpi", sheetDPI), Out: fileStem(r.opened.Project.Name) + "-" + kind + "." + format}
	if opt.Paper == "" {
		opt.Paper = "a4"
	}
	if !(opt.DPI >= 36 && opt.DPI <= mostSheetDPI) {
		return nil, &Mistake{Message: fmt.Sprintf("dpi %v: give 36 to %d", opt.DPI, mostSheetDPI)}
	}
	var files []SheetFile
	if m.print == nil {
		files, err = d.guide(ctx, id, r.opened, plan, opt)
	} else {
		files, err = m.print(d, ctx, r.opened, plan, opt, values)
	}
	if err != nil {
		return nil, asked(ctx, err)
	}
	if page := int(values.number("page", 0)); page > 0 {
		if page > len(files) {
			return nil, fmt.Errorf("page %d of %d: %w", page, len(files), facings.ErrNotFound)
		}
		files = files[page-1 : page]
	}
	return oneDownload(opt.Out, format, files)
}

// forSheet finds what a sheet is made from.
func (d *Desk) forSheet(ctx context.Context, id string, whole bool) (*revision, *Plan, error) {
	if whole {
		s, _, p, err := d.current(ctx, id)
		if err != nil {
			return nil, nil, err
		}
		if p == nil || p.state != PlanReady {
			return nil, nil, ErrNotReady
		}
		// The sheet is of the revision that was planned.
		_, r, err := d.at(ctx, s.id, p.revision)
		return r, p.plan, err
	}
	_, r, err := d.head(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	plan, err := r.coated(ctx, d)
	return r, plan, err
}

// sheetValues are a sheet's options as given.
type sheetValues map[string]string

// values checks options against those that the kind knows.
func (m *sheetMaker) values(given map[string]string) (sheetValues, error) {
	for name, value := range given {
		if slices.Contains([]string{"paper", "format", "v"}, name) {
			continue
		}
		option := SheetOption{Name: name, Type: "number"}
		if name != "dpi" && name != "page" {
			i := slices.IndexFunc(m.kind.Options, func(o SheetOption) bool { return o.Name == name })
			if i < 0 {
				return nil, &Mistake{Message: fmt.Sprintf("%s has no option %q", m.kind.Kind, clipped(name, 40)), Hint: "see the list of sheets"}
			}
			option = m.kind.Options[i]
		}
		_, numberErr := strconv.ParseFloat(value, 64)
		_, switchErr := strconv.ParseBool(value)
		if option.Type == "number" && numberErr != nil || option.Type == "switch" && switchErr != nil ||
			option.Type == "choice" && !slices.Contains(option.Choices, value) {
			return nil, &Mistake{Message: fmt.Sprintf("%s cannot be %q", name, clipped(value, 40)), Hint: "see the list of sheets"}
		}
	}
	return given, nil
}

func (v sheetValues) text(name string) string { return v[name] }

func (v sheetValues) number(name string, usual float64) float64 {
	if x, err := strconv.ParseFloat(v[name], 64); err == nil {
		return x
	}
	return usual
}

func (v sheetValues) on(name string) bool {
	on, err := strconv.ParseBool(v[name])
	return err == nil && on
}

// fileStem is a project's name as part of a file's.
func fileStem(name string) string {
	stem := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			return r
		case r == ' ', r == '.':
			return '-'
		}
		return -1
	}, name)
	if stem = strings.Trim(stem, "-"); stem == "" {
		return "facings"
	}
	return clipped(stem, 60)
}

func mediaType(format string) string {
	switch format {
	case "pdf":
		return "application/pdf"
	case "svg":
		return "image/svg+xml"
	case "png":
		return "image/png"
	case "html":
		return "text/html; charset=utf-8"
	case "ics":
		return "text/calendar; charset=utf-8"
	case "csv":
		return "text/csv; charset=utf-8"
	case "zip":
		return "application/zip"
	}
	return "text/plain; charset=utf-8"
}

func oneDownload(name, format string, files []SheetFile) (*SheetMade, error) {
	switch len(files) {
	case 0:
		return nil, &Mistake{Message: "there is nothing to print"}
	case 1:
		return &SheetMade{Name: path.Base(files[0].Name), Type: mediaType(format), Data: files[0].Data}, nil
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.Create(path.Base(f.Name))
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(f.Data); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return &SheetMade{Name: strings.TrimSuffix(name, path.Ext(name)) + ".zip", Type: mediaType("zip"), Data: b.Bytes()}, nil
}
