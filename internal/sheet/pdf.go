package sheet

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

const pointsPerMM = 72 / 25.4

// WritePDF writes the document as PDF 1.4 with its fonts inside and its text
// selectable. The dates in it are fixed, so that the same document gives the
// same bytes. Ref: iso32000.
func (d *Document) WritePDF(w io.Writer) error {
	f := fpdf.New("P", "mm", "A4", "")
	fixed := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	f.SetCreationDate(fixed)
	f.SetModificationDate(fixed)
	f.SetCatalogSort(true)
	f.SetProducer("Facings", true)
	f.SetTitle(d.Title, true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes("sheet", "", faceOf(false).ttf)
	f.AddUTF8FontFromBytes("sheet", "B", faceOf(true).ttf)
	f.SetLang("en")
	p := &pdfWriter{f: f, known: map[string]bool{}}
	for range d.Pages {
		p.links = append(p.links, f.AddLink())
	}
	for i, page := range d.Pages {
		p.height = page.Paper.HeightMM
		f.AddPageFormat("P", fpdf.SizeType{Wd: page.Paper.WidthMM, Ht: page.Paper.HeightMM})
		f.SetLineCapStyle("butt")
		f.SetLineJoinStyle("round")
		p.alpha = 1
		f.SetLink(p.links[i], 0, i+1)
		for _, m := range page.Marks {
			f.Bookmark(m.Title, m.Level, m.Y)
		}
		p.items(page.Items)
	}
	return f.Output(w)
}

type pdfWriter struct {
	f      *fpdf.Fpdf
	height float64
	links  []int // to each page
	alpha  float64
	known  map[string]bool // pictures, by name
}

func (p *pdfWriter) items(items []Item) {
	for _, it := range items {
		switch it := it.(type) {
		case Shape:
			p.shape(it)
		case Text:
			p.text(it)
		case Picture:
			p.picture(it)
		case upright:
			p.items(it.items)
		case Jump:
			if it.Page >= 0 && it.Page < len(p.links) {
				p.f.Link(it.Area.X0, it.Area.Y0, it.Area.W(), it.Area.H(), p.links[it.Page])
			}
		case Group:
			p.group(it)
		}
	}
}

func (p *pdfWriter) path(path Path) {
	for _, s := range path.segs {
		switch s.op {
		case opMove:
			p.f.MoveTo(s.p[0].X, s.p[0].Y)
		case opLine:
			p.f.LineTo(s.p[0].X, s.p[0].Y)
		case opCurve:
			p.f.CurveBezierCubicTo(s.p[0].X, s.p[0].Y, s.p[1].X, s.p[1].Y, s.p[2].X, s.p[2].Y)
		case opClose:
			p.f.ClosePath()
		}
	}
}

func (p *pdfWriter) shape(s Shape) {
	if len(s.Path.segs) == 0 {
		return
	}
	p.opacity(s.Alpha)
	style := ""
	if s.Fill != nil {
		p.f.SetFillColor(int(s.Fill.R), int(s.Fill.G), int(s.Fill.B))
		style = "F"
	}
	if s.Stroke != nil {
		p.f.SetDrawColor(int(s.Stroke.R), int(s.Stroke.G), int(s.Stroke.B))
		p.f.SetLineWidth(s.WidthMM)
		style += "D"
	}
	if s.EvenOdd && s.Fill != nil {
		style += "*"
	}
	if style == "" {
		return
	}
	p.path(s.Path)
	p.f.DrawPath(style)
}

func (p *pdfWriter) opacity(a float64) {
	if a == 0 {
		a = 1
	}
	if a != p.alpha {
		p.f.SetAlpha(a, "Normal")
		p.alpha = a
	}
}

func (p *pdfWriter) text(t Text) {
	if t.Text == "" {
		return
	}
	p.opacity(1)
	style := ""
	if t.Bold {
		style = "B"
	}
	p.f.SetTextColor(int(t.Ink.R), int(t.Ink.G), int(t.Ink.B))
	size := t.SizeMM * pointsPerMM
	// A clip that has ended took the font with it, which the library does not
	// notice unless the size changes.
	p.f.SetFont("sheet", style, size+1)
	p.f.SetFont("sheet", style, size)
	if t.TurnDeg == 0 {
		p.f.Text(t.At.X, t.At.Y, t.Text)
		return
	}
	m := Turn(-t.TurnDeg) // y runs up in a PDF
	p.f.RawWriteStr(fmt.Sprintf("q %.5f %.5f %.5f %.5f %.3f %.3f cm\n", m.A, m.B, m.C, m.D, t.At.X*pointsPerMM, (p.height-t.At.Y)*pointsPerMM))
	p.f.Text(0, p.height, t.Text)
	p.f.RawWriteStr("Q\n")
}

func (p *pdfWriter) picture(pic Picture) {
	data, kind, err := pic.file()
	if err != nil {
		p.f.SetError(err)
		return
	}
	p.opacity(1)
	name := fmt.Sprintf("%x", sha256.Sum256(data)) // the same picture is stored once
	options := fpdf.ImageOptions{ImageType: kind}
	if !p.known[name] {
		info := p.f.RegisterImageOptionsReader(name, options, bytes.NewReader(data))
		if !p.f.Ok() {
			return
		}
		if err := inOrder(info, len(p.known)); err != nil {
			p.f.SetError(err)
			return
		}
		p.known[name] = true
	}
	// The library draws the unit square 1 mm wide at the page's foot; the matrix
	// then puts it in place, y turned round on both sides.
	m, h := pic.Place, p.height
	k := pointsPerMM
	// Page point (X, Y up) of picture point (u, v up), u and v in mm from 0 to 1.
	a, b1, c, d := m.A, -m.B, -m.C, m.D
	e, f := m.E+m.C, h-(m.F+m.D)
	p.f.RawWriteStr(fmt.Sprintf("q %.6f %.6f %.6f %.6f %.4f %.4f cm\n", a, b1, c, d, e*k, f*k))
	p.f.ImageOptions(name, 0, h-1, 1, 1, false, options, 0, "")
	p.f.RawWriteStr("Q\n")
}

func (p *pdfWriter) group(g Group) {
	if g.Clip == nil {
		p.items(g.Items)
		return
	}
	p.f.RawWriteStr("q\n")
	p.path(*g.Clip)
	p.f.RawWriteStr("W n\n")
	p.items(g.Items)
	p.f.RawWriteStr("Q\n")
	p.alpha = -1 // whatever it was before the clip
}
