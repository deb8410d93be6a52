package facings

import (
	"fmt"
	"sort"
	"strings"
)

// Severity tells faults that stop a plan from things worth knowing.
type Severity string

const (
	// Fault: the project cannot be planned until this is mended.
	Fault Severity = "fault"
	// Warning: the project can be planned, but probably not as meant.
	Warning Severity = "warning"
)

// Diagnostic is one thing found wrong, as data: terminal and page show the
// same value. ID is stable and names the kind of fault ("unknown-finish").
type Diagnostic struct {
	ID       string   `json:"id"`
	Severity Severity `json:"severity"`
	// Path is the place inside the project file, a JSON Pointer (RFC 6901) as
	// made by Pointer ("/units/Lancers/scheme/jacket"); File, Line and Column
	// are filled by whoever knows the text. Line and Column start at 1; 0 means
	// unknown.
	Path    string `json:"path"`
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Value   string `json:"value,omitempty"`
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
}

// String is the terminal's form: file:line:column: message (value) then a hint.
func (d Diagnostic) String() string {
	var b strings.Builder
	switch {
	case d.File != "" && d.Line > 0:
		fmt.Fprintf(&b, "%s:%d:%d: ", d.File, d.Line, d.Column)
	case d.File != "":
		fmt.Fprintf(&b, "%s: ", d.File)
	}
	if d.Severity == Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(d.Message)
	if d.Hint != "" {
		b.WriteString("\n    ")
		b.WriteString(d.Hint)
	}
	return b.String()
}

// Pointer joins names into a JSON Pointer (RFC 6901).
func Pointer(names ...string) string {
	var b strings.Builder
	for _, n := range names {
		b.WriteByte('/')
		b.WriteString(strings.ReplaceAll(strings.ReplaceAll(n, "~", "~0"), "/", "~1"))
	}
	return b.String()
}

// Diagnostics is a list of findings. It is an error when it holds a fault.
type Diagnostics []Diagnostic

// Faulty reports whether any finding stops the plan.
func (ds Diagnostics) Faulty() bool {
	for _, d := range ds {
		if d.Severity == Fault {
			return true
		}
	}
	return false
}

// Error lists the findings, one a line.
func (ds Diagnostics) Error() string {
	lines := make([]string, len(ds))
	for i, d := range ds {
		lines[i] = d.String()
	}
	return strings.Join(lines, "\n")
}

// Sort orders findings by place, then by ID, so that output is stable.
func (ds Diagnostics) Sort() {
	sort.SliceStable(ds, func(i, j int) bool {
		a, b := ds[i], ds[j]
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		if a.Column != b.Column {
			return a.Column < b.Column
		}
		if a.Path != b.Path {
			return a.Path < b.Path
		}
		return a.ID < b.ID
	})
}

// Nearest returns the candidate closest to word in spelling, or "" when none
// is near enough to be what was meant (more than a third of the letters off).
func Nearest(word string, candidates []string) string {
	best, bestDistance := "", 1+len(word)/3
	for _, c := range candidates {
		if d := editDistance(strings.ToLower(word), strings.ToLower(c)); d < bestDistance || (d == bestDistance && best != "" && c < best) {
			best, bestDistance = c, d
		}
	}
	return best
}

// editDistance is the number of letters to insert, delete, change or swap with
// a neighbour to turn a into b (optimal string alignment).
func editDistance(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	before, prev, cur := make([]int, len(rb)+1), make([]int, len(rb)+1), make([]int, len(rb)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		cur[0] = i
		for j := 1; j <= len(rb); j++ {
			cost := 1
			if ra[i-1] == rb[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(rb)]
}
