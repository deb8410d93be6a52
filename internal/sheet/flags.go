package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"facings"
)

// FlagOptions say how flags are printed.
type FlagOptions struct {
	Paper    Paper
	Scale    float64 // 1/Scale; 0 takes the project's
	Copies   int     // of each flag, 1 to MaxCopies
	BleedMM  float64 // colour past the cut, 0 to 3
	PoleMM   float64 // of all poles; 0 takes the flags' own
	Hatching bool    // heraldry's hatching in place of colours
	Ripples  bool    // shaded folds
	// Colours gives what each finish, mix and paint shows as "#rrggbb".
	Colours map[string]string
	// Read returns a picture that lies beside the project.
	Read func(name string) ([]byte, error)
}

// MaxCopies bounds how often each flag is printed.
const MaxCopies = 50

// ErrNoFlags says that there is nothing to print.
var ErrNoFlags = errors.New("no unit of the project has a flag with parts or a picture; give one parts: [{part: field, colours: [...]}]")

// FlagSize is one flag as printed, millimetres on the model.
type FlagSize struct {
	Unit     string  `json:"unit"`
	FlyMM    float64 `json:"fly_mm"`
	HoistMM  float64 `json:"hoist_mm"`
	SleeveMM float64 `json:"sleeve_mm"`
	Copies   int     `json:"copies"`
}

// FlagSheet is the printed flags with their sizes, and the units whose flag
// has neither parts nor a picture.
type FlagSheet struct {
	Document *Document
	Scale    float64
	Flags    []FlagSize
	Words    []string // units whose design is in words only
}

// Flags prints the flags of all units at real size ÷ scale, nested on as few
// pages as Pack needs.
func Flags(p *facings.Project, o FlagOptions) (*FlagSheet, error) {
	if o.Copies < 1 || o.Copies > MaxCopies {
		return nil, fmt.Errorf("%d copies are out of range; give 1 to %d", o.Copies, MaxCopies)
	}
	if !(o.BleedMM >= 0 && o.BleedMM <= 3) {
		return nil, fmt.Errorf("a bleed of %g mm is out of range; give 0 to 3", o.BleedMM)
	}
	if !(o.PoleMM >= 0 && o.PoleMM <= 20) {
		return nil, fmt.Errorf("a pole of %g mm is out of range; give up to 20", o.PoleMM)
	}
	scale := o.Scale
	if scale == 0 {
		scale = p.FlagScale()
	}
	if !(scale >= 8 && scale <= 1000) {
		return nil, fmt.Errorf("a scale of 1/%g is out of range; give 8 to 1000", scale)
	}
	out := &FlagSheet{Scale: scale}
	var blocks []block
	for i := range p.Units {
		u := &p.Units[i]
		if u.Flag == nil {
			continue
		}
		if len(u.Flag.Parts) == 0 && u.Flag.Picture == "" {
			out.Words = append(out.Words, u.Name)
			continue
		}
		s, err := makeStrip(u, o, scale)
		if err != nil {
			return nil, fmt.Errorf("the flag of %q: %w", u.Name, err)
		}
		out.Flags = append(out.Flags, FlagSize{u.Name, s.fly, s.hoist, s.sleeve, o.Copies})
		for n := range o.Copies {
			blocks = append(blocks, captioned(s, u, scale, n == 0))
		}
	}
	if len(blocks) == 0 {
		return nil, ErrNoFlags
	}
	title := fmt.Sprintf("Flags at 1/%s: %s", mm(scale), p.Name)
	var err error
	out.Document, err = nest(blocks, o.Paper, title, flagKey)
	if errors.Is(err, ErrTooBig) {
		err = fmt.Errorf("%w with its marks and text; choose a smaller scale (a larger number with --scale)", err)
	}
	return out, err
}

func makeStrip(u *facings.Unit, o FlagOptions, scale float64) (*strip, error) {
	flag := *u.Flag
	if o.PoleMM > 0 {
		flag.PoleMM = o.PoleMM
	}
	d := drawn{flag: &flag, colour: colours(o.Colours), hatching: o.Hatching, ripples: o.Ripples}
	for _, x := range []struct {
		name string
		to   **Artwork
	}{{flag.Picture, &d.obverse}, {flag.PictureReverse, &d.reverse}} {
		if x.name == "" {
			continue
		}
		if o.Read == nil {
			return nil, fmt.Errorf("%s cannot be read here", x.name)
		}
		data, err := o.Read(x.name)
		if err != nil {
			return nil, err
		}
		if *x.to, err = ReadArtwork(x.name, data, flag.FlyMM/scale, flag.HoistMM/scale); err != nil {
			return nil, err
		}
	}
	return newStrip(d, scale, o.BleedMM), nil
}

// colours looks a name up: what the project says it shows, a tincture, or hex.
// A name without a colour is grey.
func colours(shown map[string]string) func(string) RGB {
	return func(name string) RGB {
		hex, ok := shown[name]
		if !ok {
			hex = name
			for _, t := range facings.Tinctures() {
				if t.Name == name {
					hex = t.Hex
				}
			}
		}
		c, err := ParseHex(hex)
		if err != nil {
			return RGB{128, 128, 128}
		}
		return c
	}
}

// block is a strip with its marks and its caption, from its own top left.
type block struct {
	size  Size
	items []Item
	full  bool // with its source
}

const (
	captionMM    = 1.9 // the em
	captionTall  = 2.4 // from line to line
	footerMM     = 19.0
	headerMM     = 9.0
	betweenMM    = 1.5
	narrowestCap = 26.0
)

// captioned puts name, size and source under a strip; further copies carry
// the name alone.
func captioned(s *strip, u *facings.Unit, scale float64, full bool) block {
	w := math.Max(s.width()+2*s.marks, narrowestCap)
	left := (w - s.width()) / 2
	items := Moved(s.items, Translate(left, s.marks))
	text := u.Name
	if full {
		text = fmt.Sprintf("%s: %s × %s mm at 1/%s = %.1f × %.1f mm, sleeve %.1f mm.", u.Name, mm(u.Flag.FlyMM), mm(u.Flag.HoistMM), mm(scale), s.fly, s.hoist, s.sleeve)
		if u.Flag.Source != "" {
			text += " Source: " + u.Flag.Source
		}
	}
	return newBlock(items, text, w, s.height()+2*s.marks, full)
}

// newBlock puts a caption under items of a size.
func newBlock(items []Item, caption string, w, h float64, full bool) block {
	y := h + captionTall
	for _, l := range Wrap(caption, captionMM, w, false) {
		items = append(items, Text{At: Point{0, y}, SizeMM: captionMM, Ink: Black, Text: l})
		y += captionTall
	}
	return block{Size{w + betweenMM, y - captionTall + 0.8 + betweenMM}, items, full}
}

// nest lays blocks out on pages with a heading, a key at the foot and a control
// ruler.
func nest(blocks []block, paper Paper, title, key string) (*Document, error) {
	// Copies, which are alike, come first, and those with their sources under them
	// fill up; all by their heights, where that takes fewer pages.
	in := paper.Inside()
	var places []Placed
	var best []block
	n := 0
	for _, fullLast := range []bool{true, false} {
		order := slices.Clone(blocks)
		slices.SortStableFunc(order, func(a, b block) int {
			if fullLast && a.full != b.full {
				if a.full {
					return 1
				}
				return -1
			}
			return cmp.Or(cmp.Compare(b.size.H, a.size.H), cmp.Compare(b.size.W, a.size.W))
		})
		sizes := make([]Size, len(order))
		for i, b := range order {
			sizes[i] = b.size
		}
		at, pages, err := Pack(sizes, in.W()+betweenMM, in.H()-headerMM-footerMM+betweenMM)
		if err != nil {
			return nil, err
		}
		if places == nil || pages < n {
			best, places, n = order, at, pages
		}
	}
	d := &Document{Title: title}
	for i := range n {
		d.Pages = append(d.Pages, Page{Paper: paper, Items: nestFrame(paper, title, key, i+1, n)})
	}
	for i, at := range places {
		m := Translate(in.X0+at.At.X, in.Y0+headerMM+at.At.Y)
		if at.Turned { // clockwise about the corner, then back beside it
			m = Turn(90).Then(Translate(best[i].size.H-betweenMM, 0)).Then(m)
		}
		d.Pages[at.Page].Items = append(d.Pages[at.Page].Items, Moved(best[i].items, m)...)
	}
	return d, nil
}

// flagKey says how a flag is made of what is printed.
const flagKey = "Print at 100 %, never “fit to page”: the ruler must measure 50 mm. Solid marks: cut. Dashed marks: fold round the pole. " +
	"Zigzag: glue the back of this half, slide the flag on its pole, align, pinch, ripple while damp, touch the white edges in. " +
	"Paper of 80 to 90 g/m². " + facings.CautionBlade

// nestFrame is a page's heading, key and ruler.
func nestFrame(paper Paper, title, key string, page, pages int) []Item {
	in := paper.Inside()
	size := titleSize(title, 4, in.W()-25)
	items := []Item{
		Text{At: Point{in.X0, in.Y0 + 3.6}, SizeMM: size, Bold: true, Ink: Black, Text: Clip(title, size, in.W()-25, true)},
	}
	if pages > 1 {
		items = append(items, rightText(fmt.Sprintf("page %d of %d", page, pages), in.X1, in.Y0+3.6, 2.6))
	}
	items = append(items, Ruler(Point{in.X0, in.Y1 - 6.5}, 50)...)
	y := in.Y1 - footerMM + 5.5
	for _, l := range Wrap(key, 2.1, in.W(), false) {
		items = append(items, Text{At: Point{in.X0, y}, SizeMM: 2.1, Ink: Black, Text: l})
		y += 2.7
	}
	return items
}

// rightText ends at x.
func rightText(s string, x, y, size float64) Item {
	return Text{At: Point{x - TextWidth(s, size, false), y}, SizeMM: size, Ink: Black, Text: s}
}

// Ruler is a control ruler of whole millimetres from a point to the right,
// ticks downwards, numbered in centimetres.
func Ruler(at Point, length int) []Item {
	p := Polyline(at, Point{at.X + float64(length), at.Y})
	var ticks Path
	var items []Item
	for i := range length + 1 {
		x, tall := at.X+float64(i), 1.4
		switch {
		case i%10 == 0:
			tall = 3
		case i%5 == 0:
			tall = 2.2
		}
		ticks.Move(x, at.Y)
		ticks.Line(x, at.Y+tall)
		if i%10 == 0 {
			s := fmt.Sprint(i)
			if i == length {
				s += " mm"
			}
			dx := TextWidth(fmt.Sprint(i), 2.2, false) / 2
			if i == 0 {
				dx = 0 // keep inside the margin
			}
			items = append(items, Text{At: Point{x - dx, at.Y + 5.4}, SizeMM: 2.2, Ink: Black, Text: s})
		}
	}
	return append(items, Stroke(p, Black, 0.1), Stroke(ticks, Black, 0.1))
}
