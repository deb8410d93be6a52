package app_test

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"facings"
	"facings/internal/pigment"
)

var update = flag.Bool("update", false, "write docs/names.md anew")

// docs/names.md lists what the code knows by name today; -update writes it.
func TestNamesPageIsCurrent(t *testing.T) {
	const file = "../../docs/names.md"
	want := namesPage()
	if *update {
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s is out of date (%v): go test ./internal/app -run NamesPage -update", file, err)
	}
}

// namesPage is the page as Markdown.
func namesPage() []byte {
	var b bytes.Buffer
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	head := func(title string, columns ...string) {
		say("\n## %s\n", title)
		if len(columns) > 0 {
			say("| %s |\n|%s", strings.Join(columns, " | "), strings.Repeat("---|", len(columns)))
		}
	}
	say(`# Names a project may use

What the program knows by name, for who writes a project file by hand. Written by
` + "`go test ./internal/app -run NamesPage -update`" + ` from the code. Names of your own come
beside these: castings, areas with their size, finishes, traits. The keys of the file
are in [project.schema.json](project.schema.json), what they mean unsaid in
[defaults.md](defaults.md).`)

	head("Bodies", "`body`, or `like` of a casting", "areas")
	for _, body := range facings.ReadyBodies() {
		var areas []string
		for _, a := range body.Areas {
			areas = append(areas, a.Name)
		}
		say("| %s | %s |", body.Name, strings.Join(areas, ", "))
	}
	say("\nHeadgear: %s. Cut of the coat: %s.", strings.Join(facings.Headgears(), ", "), strings.Join(facings.Cuts(), ", "))

	head("Areas", "area", "mm² at 28 mm", "fiddliness", "lies over")
	for _, a := range facings.Catalogue() {
		say("| %s | %.1f | %.1f | %s |", a.Name, float64(a.AreaMM2), a.Fiddly, strings.Join(a.Over, ", "))
	}
	say("\nA casting, role or single figure `adds` any of these by name alone. On a mounted figure, and on a mesh of your own, an area is as large as measured there.")

	head("Coats")
	var techniques []string
	for _, h := range facings.Techniques() {
		if h.Technique != facings.Prepare && h.Technique != facings.Fit {
			techniques = append(techniques, string(h.Technique))
		}
	}
	var kinds []string
	for _, k := range facings.Kinds() {
		kinds = append(kinds, string(k))
	}
	say("Techniques: %s. Kinds of paint: %s. An area that gets `%s` stays as undercoated.", strings.Join(techniques, ", "), strings.Join(kinds, ", "), facings.LeaveFinish)

	head("Ready-made traits", "`ready_made`", "what", "values and their usual shares, %")
	for _, r := range facings.ReadyTraits() {
		values := slices.SortedFunc(maps.Keys(r.Shares), func(a, b string) int {
			if r.Shares[a] != r.Shares[b] {
				return int(1000 * (r.Shares[b] - r.Shares[a]))
			}
			return strings.Compare(a, b)
		})
		for i, v := range values {
			values[i] = fmt.Sprintf("%s %g", v, r.Shares[v])
		}
		say("| %s | %s | %s |", r.Name, r.About, strings.Join(values, ", "))
	}
	say("\nA trait says what each value's areas get; those it leaves out are not dealt.")

	head("Flags", "`part`", "colours", "`size`, % of the hoist", "takes")
	for _, s := range facings.FlagParts() {
		var takes []string
		if s.Part == "field" {
			takes = append(takes, "`division`")
		}
		if s.Placed {
			takes = append(takes, "`x`, `y`, `turn_deg`")
		}
		if s.Pieces > 0 {
			takes = append(takes, fmt.Sprintf("`pieces` (%d)", s.Pieces))
		}
		if s.Text {
			takes = append(takes, "`text`")
		}
		size := ""
		if s.Size > 0 {
			size = fmt.Sprintf("%g", s.Size)
		}
		say("| %s | %d | %s | %s |", s.Part, s.Colours, size, strings.Join(takes, ", "))
	}
	var divisions []string
	for _, d := range facings.Divisions() {
		divisions = append(divisions, d.Name)
	}
	var tinctures []string
	for _, c := range facings.Tinctures() {
		tinctures = append(tinctures, c.Name)
	}
	say("\nParts lie one over the other as written, `x` %% from the pole and `y` %% from the top; `colours` are finishes, paints or mixes by name, `#rrggbb`, or a tincture (%s). Divisions: %s. `shape`: %s.",
		strings.Join(tinctures, ", "), strings.Join(divisions, ", "), strings.Join(facings.FlagShapes(), ", "))

	head("Starter paints", "`like`", "kind", "its colour is")
	for _, p := range pigment.StarterRack() {
		say("| %s | %s | %s |", p.Name, p.Kind, p.Basis)
	}
	return b.Bytes()
}
