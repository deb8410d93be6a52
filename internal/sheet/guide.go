package sheet

import (
	"facings"
)

// Guide is the illustrated booklet of a whole project as plain values: what it
// says and shows, and nothing of how it is set. Print sets it on paper, WriteHTML
// writes it as one page for a browser.
type Guide struct {
	Title    string
	Subtitle []string
	Note     string
	Cover    []Gallery // one row for each unit
	Chapters []Chapter
}

// Chapter is a numbered part of the booklet.
type Chapter struct {
	Title  string
	Blocks []Block
}

// Block is a piece of a chapter: Heading, Words, Caution, Chips, Gallery, Rows or
// Step.
type Block interface{ isBlock() }

// Heading begins a part of a chapter. The contents give its text without the rest.
type Heading struct{ Text, Rest string }

// Words is a paragraph, its beginning set bold.
type Words struct{ Head, Text string }

// Caution is a warning, set apart.
type Caution struct{ Text string }

// Chips are samples of paint.
type Chips struct{ List []Chip }

// Chip is a sample of a paint over one ground, or over two side by side.
type Chip struct {
	Name    string
	Note    string
	Samples []Sample
}

// Sample is a colour as it will look, and where: "in the light".
type Sample struct {
	Look  facings.Look
	Where string
}

// Gallery is pictures in columns, each with its caption.
type Gallery struct {
	Shots   []Shot
	Columns int
	// MostMM is the greatest width of one picture on paper.
	MostMM float64
}

// Shot is a picture ready to be shown.
type Shot struct {
	Data    []byte // a PNG or JPEG file
	W, H    int    // pixels
	Alt     string // what it shows, for who cannot see it
	Caption string
}

// Rows is a table.
type Rows struct {
	Caption string
	Columns []Column
	Lines   [][]Cell
}

// Column of a table. Shares of the width add up to 1.
type Column struct {
	Title string
	Share float64
	Right bool
}

// Cell is text, with a sample of a colour before it where there is one.
type Cell struct {
	Text string
	Look *facings.Look
}

// Step is one pass.
type Step struct {
	Number  int
	Title   string
	Meta    string // tool, time, drops
	Look    facings.Look
	Shows   string // the colour in words
	Shot    Shot
	Small   bool // it takes little room
	Caution string
	Words   []Words
}

func (Heading) isBlock() {}
func (Words) isBlock()   {}
func (Caution) isBlock() {}
func (Chips) isBlock()   {}
func (Gallery) isBlock() {}
func (Rows) isBlock()    {}
func (Step) isBlock()    {}

// Pair is how a paint looks over the undercoat where the light from above is
// full, and where there is none.
type Pair struct{ Light, Dark facings.Look }

// GuideShots is what a guide shows beside the plan: pictures and predicted
// colours, made by the caller.
type GuideShots struct {
	Passes      []Shot // in the order's order
	Units       []UnitShots
	Swatches    map[string]Pair // by paint and mix
	Dark, Light facings.Look    // the undercoat
	// Bare is the undercoat where so much of the light from above arrives, 0 to 1.
	Bare func(exposure float64) facings.Look
	// Log is the record of the work, if one was kept.
	Log []facings.Entry
}

// UnitShots is the pictures of one unit.
type UnitShots struct {
	Bodies  []BodyShots
	Figures []FigureShot // as they stand, rank by rank
	All     int          // how many figures there are, if not all are shown
}

// BodyShots is the pictures of one kind of body: Names are the areas by their
// numbers on the Keys, from 1.
type BodyShots struct {
	Figure int // index in the roster
	Keys   []Shot
	Names  []string
	Sides  []Shot
}

// FigureShot is one finished figure in its place.
type FigureShot struct {
	Shot
	Rank, File int
}

// Members are a unit's figures by rank and file.
func Members(r *facings.Roster, unit string) []facings.Figure { return members(r, unit) }

// NewGuide writes the booklet of a plan.
func NewGuide(b *Bench, shopping *facings.Shopping, shots *GuideShots) *Guide {
	g := newGuideMaker(b, shopping, shots)
	out := &Guide{Title: b.Project.Name, Subtitle: g.subtitle(), Note: b.Project.Note, Cover: g.cover()}
	out.Chapters = []Chapter{
		{"What was used", g.used()},
		{"The uniforms", g.uniforms()},
		{"Man by man", g.manByMan()},
		{"Pass by pass", g.passes()},
		{"What was left out, and why", g.leftOut()},
		{"The finished units", g.finished()},
		{"How this guide came about", g.closing()},
	}
	return out
}
