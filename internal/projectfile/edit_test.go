package projectfile

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// sample has what a person's file has: comments everywhere, both styles,
// uneven spacing, quotes of both kinds, text over several lines.
const sample = `# head
facings: 1   # version
name:   'The Vey'
note: >
  folded
  text

# the rack
rack:
  # red first
  red:   {kind: opaque, left_ml: 3, note: "say \"when\""}   # half dry
  blue:
    kind: opaque     # plain
    left_ml:   12
  white: {kind: primer}
mixes:
finishes:
  cloth: [red, blue]   # two coats
  lace:
    - red      # first
    - {paint: blue, technique: line}
    # last comment
  fur: {coats: [red], source: a book}
units:
  First:
    body: foot
    figures: {officer: 1, trooper: {count: 9, lacks: [hat]}}
    scheme:
      jacket: cloth   # dark

      # trim
      cuffs: lace
# tail
`

func document(t *testing.T, text string) *Doc {
	t.Helper()
	r := &reader{name: "sample.yaml"}
	root := r.parse([]byte(text))
	if root == nil {
		t.Fatal(r.ds)
	}
	r.doc = newDoc("sample.yaml", []byte(text), false, root)
	r.project(root)
	if len(r.ds) > 0 {
		t.Fatal(r.ds)
	}
	return r.doc
}

// Each edit changes exactly the lines given: "- old" and "+ new".
func TestEditsTouchNothingElse(t *testing.T) {
	for name, c := range map[string]struct {
		edit func(*Doc) error
		diff string
	}{
		"a number in braces": {func(d *Doc) error { return d.Set("/rack/red/left_ml", 2.5) }, `
-  red:   {kind: opaque, left_ml: 3, note: "say \"when\""}   # half dry
+  red:   {kind: opaque, left_ml: 2.5, note: "say \"when\""}   # half dry`},
		"a number on its line": {func(d *Doc) error { return d.Set("/rack/blue/left_ml", 11) }, `
-    left_ml:   12
+    left_ml:   11`},
		"text in quotes": {func(d *Doc) error { return d.Set("/name", "Vey: the ford") }, `
-name:   'The Vey'
+name:   "Vey: the ford"`},
		"text over lines": {func(d *Doc) error { return d.Set("/note", "short") }, `
-note: >
-  folded
-  text
+note: short`},
		"a new key in braces": {func(d *Doc) error { return d.Set("/rack/white/can", true) }, `
-  white: {kind: primer}
+  white: {kind: primer, can: true}`},
		"a new key on a line": {func(d *Doc) error { return d.Set("/rack/blue/note", "new") }, `
+    note: new`},
		"a new entry": {func(d *Doc) error { return d.Set("/units/First/scheme/hat", "red") }, `
+      hat: red`},
		"a section where nothing was": {func(d *Doc) error { return d.Set("/mixes/sky/blue", 3) }, `
-mixes:
+mixes: {sky: {blue: 3}}`},
		"a new section": {func(d *Doc) error { return d.Set("/seed", 7) }, `
+seed: 7`},
		"a coat at the end": {func(d *Doc) error { return d.Set("/finishes/lace/-", "white") }, `
+    - white`},
		"a coat at the end in brackets": {func(d *Doc) error { return d.Set("/finishes/cloth/2", "white") }, `
-  cloth: [red, blue]   # two coats
+  cloth: [red, blue, white]   # two coats`},
		"a coat of the long form, as the project names it": {func(d *Doc) error { return d.Set("/finishes/fur/0", "blue") }, `
-  fur: {coats: [red], source: a book}
+  fur: {coats: [blue], source: a book}`},
		"a list for a short coat": {func(d *Doc) error {
			return d.Set("/finishes/lace/0", map[string]any{"paint": "red", "technique": "dot"})
		}, `
-    - red      # first
+    - {paint: red, technique: dot}      # first`},
		"delete in braces": {func(d *Doc) error { return d.Delete("/rack/red/left_ml") }, `
-  red:   {kind: opaque, left_ml: 3, note: "say \"when\""}   # half dry
+  red:   {kind: opaque, note: "say \"when\""}   # half dry`},
		"delete the last in braces": {func(d *Doc) error { return d.Delete("/finishes/fur/source") }, `
-  fur: {coats: [red], source: a book}
+  fur: {coats: [red]}`},
		"delete the only one in braces": {func(d *Doc) error { return d.Delete("/rack/white/kind") }, `
-  white: {kind: primer}
+  white: {}`},
		"delete lines": {func(d *Doc) error { return d.Delete("/rack/blue") }, `
-  blue:
-    kind: opaque     # plain
-    left_ml:   12`},
		"delete a coat": {func(d *Doc) error { return d.Delete("/finishes/lace/0") }, `
-    - red      # first`},
		"rename a paint and all that speak of it": {func(d *Doc) error { return d.Rename("/rack/blue", "sky #2") }, `
-  blue:
+  "sky #2":
-  cloth: [red, blue]   # two coats
+  cloth: [red, "sky #2"]   # two coats
-    - {paint: blue, technique: line}
+    - {paint: "sky #2", technique: line}`},
		"rename a finish": {func(d *Doc) error { return d.Rename("/finishes/lace", "red lace") }, `
-  lace:
+  red lace:
-      cuffs: lace
+      cuffs: red lace`},
	} {
		for _, newline := range []string{"\n", "\r\n"} {
			d := document(t, strings.ReplaceAll(sample, "\n", newline))
			if err := c.edit(d); err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			text := string(d.Text())
			if strings.Count(text, newline) != strings.Count(text, "\n") {
				t.Errorf("%s: line ends are mixed", name)
			}
			if got := lineDiff(sample, strings.ReplaceAll(text, "\r\n", "\n")); got != strings.TrimPrefix(c.diff, "\n") {
				t.Errorf("%s:\n%s\nwant:\n%s", name, got, c.diff)
			}
		}
	}
}

// lineDiff lists the lines that differ, by longest common subsequence.
func lineDiff(before, after string) string {
	a, b := strings.Split(before, "\n"), strings.Split(after, "\n")
	best := make([][]int, len(a)+1)
	for i := range best {
		best[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				best[i][j] = best[i+1][j+1] + 1
			} else {
				best[i][j] = max(best[i+1][j], best[i][j+1])
			}
		}
	}
	var out []string
	for i, j := 0, 0; i < len(a) || j < len(b); {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			i, j = i+1, j+1
		case i < len(a) && (j == len(b) || best[i+1][j] >= best[i][j+1]):
			out = append(out, "-"+a[i])
			i++
		default:
			out = append(out, "+"+b[j])
			j++
		}
	}
	return strings.Join(out, "\n")
}

// An edit that cannot be made changes nothing.
func TestFailedEditsLeaveTheText(t *testing.T) {
	for name, edit := range map[string]func(*Doc) error{
		"no pointer":        func(d *Doc) error { return d.Set("rack", 1) },
		"a bad escape":      func(d *Doc) error { return d.Set("/rack/a~2b", 1) },
		"nothing there":     func(d *Doc) error { return d.Delete("/rack/green") },
		"into a number":     func(d *Doc) error { return d.Set("/units/First/figures/officer/lacks", []string{"hat"}) },
		"past the end":      func(d *Doc) error { return d.Set("/finishes/cloth/9", "red") },
		"nothing":           func(d *Doc) error { return d.Set("/name", nil) },
		"a name that is":    func(d *Doc) error { return d.Rename("/rack/red", "blue") },
		"a name of nothing": func(d *Doc) error { return d.Rename("/rack/green", "blue") },
		"the last there is": func(d *Doc) error { return d.Rename("/name", "blue") },
	} {
		d := document(t, sample)
		if err := edit(d); err == nil {
			t.Errorf("%s: no error", name)
		}
		if diff := cmp.Diff(sample, string(d.Text())); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// An edit that would change what stands beside it is refused, not made.
func TestEditsThatWouldDoHarmAreRefused(t *testing.T) {
	const text = "facings: 1\nrack:\n  ? red\n  : {kind: opaque}\n  blue: {kind: ink}\n"
	d := document(t, text)
	if err := d.Delete("/rack/red"); err == nil || string(d.Text()) != text {
		t.Errorf("%v\n%s", err, d.Text())
	}
}

// A finish may bear its paint's name; a scheme means the finish then.
func TestRenameTellsPaintFromFinish(t *testing.T) {
	d := document(t, "rack:\n  red: {kind: opaque}\nfinishes:\n  red: [red]\nunits:\n  u: {scheme: {hat: red}}\n")
	if err := d.Rename("/rack/red", "scarlet"); err != nil {
		t.Fatal(err)
	}
	want := "rack:\n  scarlet: {kind: opaque}\nfinishes:\n  red: [scarlet]\nunits:\n  u: {scheme: {hat: red}}\n"
	if string(d.Text()) != want {
		t.Errorf("%s", d.Text())
	}
}

func TestRenameFollowsEveryKindOfThing(t *testing.T) {
	for pointer, diff := range map[string]string{
		"/castings/field gun": `-  field gun: {like: gun}
-  light gun: {like: field gun}
+  new: {like: gun}
+  light gun: {like: new}
-    body: field gun
-    figures: {gun: {count: 3, body: field gun, traits: {wheel: dark}}}
+    body: new
+    figures: {gun: {count: 3, body: new, traits: {wheel: dark}}}`,
		"/traits/wheel": `-  wheel:
+  new:
-  tyre: {values: {dark: {}}, prefer: [{value: dark, trait: wheel, with: dark}]}
+  tyre: {values: {dark: {}}, prefer: [{value: dark, trait: new, with: dark}]}
-    figures: {gun: {count: 3, body: field gun, traits: {wheel: dark}}}
-    traits: [wheel, tyre]
-    shares: {wheel: {dark: 1}, tyre: {dark: 1}}
-    single: {gun 2: {traits: {wheel: dark}}}
+    figures: {gun: {count: 3, body: field gun, traits: {new: dark}}}
+    traits: [new, tyre]
+    shares: {new: {dark: 1}, tyre: {dark: 1}}
+    single: {gun 2: {traits: {new: dark}}}`,
		"/traits/wheel/values/dark": `-    values: {dark: {scheme: {wheels: iron}}, light: {}}
-    forbid: [{value: dark, trait: tyre, with: dark}]
-  tyre: {values: {dark: {}}, prefer: [{value: dark, trait: wheel, with: dark}]}
+    values: {new: {scheme: {wheels: iron}}, light: {}}
+    forbid: [{value: new, trait: tyre, with: dark}]
+  tyre: {values: {dark: {}}, prefer: [{value: dark, trait: wheel, with: new}]}
-    figures: {gun: {count: 3, body: field gun, traits: {wheel: dark}}}
+    figures: {gun: {count: 3, body: field gun, traits: {wheel: new}}}
-    shares: {wheel: {dark: 1}, tyre: {dark: 1}}
-    single: {gun 2: {traits: {wheel: dark}}}
+    shares: {wheel: {new: 1}, tyre: {dark: 1}}
+    single: {gun 2: {traits: {wheel: new}}}`,
		"/units/Battery/figures/gun": `-    figures: {gun: {count: 3, body: field gun, traits: {wheel: dark}}}
+    figures: {new: {count: 3, body: field gun, traits: {wheel: dark}}}
-    single: {gun 2: {traits: {wheel: dark}}}
-    flag: {role: gun}
+    single: {new 2: {traits: {wheel: dark}}}
+    flag: {role: new}`,
		"/rack/iron": `-undercoat: {dark: iron, light: iron}
-ending: [{step: base, paint: iron, materials: [iron]}]
-rack: {iron: {kind: opaque, note: iron}}
-mixes: {grey: {iron: 2}, sky: {parts: {iron: 1}, note: iron}}
-finishes: {plain: [iron], long: {coats: [{paint: iron}, grey], source: iron}}
+undercoat: {dark: new, light: new}
+ending: [{step: base, paint: new, materials: [new]}]
+rack: {new: {kind: opaque, note: iron}}
+mixes: {grey: {new: 2}, sky: {parts: {new: 1}, note: iron}}
+finishes: {plain: [new], long: {coats: [{paint: new}, grey], source: iron}}
-    values: {dark: {scheme: {wheels: iron}}, light: {}}
+    values: {dark: {scheme: {wheels: new}}, light: {}}`,
		"/mixes/grey": `-mixes: {grey: {iron: 2}, sky: {parts: {iron: 1}, note: iron}}
-finishes: {plain: [iron], long: {coats: [{paint: iron}, grey], source: iron}}
+mixes: {new: {iron: 2}, sky: {parts: {iron: 1}, note: iron}}
+finishes: {plain: [iron], long: {coats: [{paint: iron}, new], source: iron}}`,
		"/calendar/painters/Ilse": `-calendar: {painters: {Ilse: {}}}
+calendar: {painters: {new: {}}}`,
	} {
		d := document(t, linked)
		if err := d.Rename(pointer, "new"); err != nil {
			t.Errorf("%s: %v", pointer, err)
		}
		if got := lineDiff(linked, string(d.Text())); got != diff {
			t.Errorf("%s:\n%s\nwant:\n%s", pointer, got, diff)
		}
	}
}

// linked names each thing wherever it can be named, and in words that only
// look like it.
const linked = `undercoat: {dark: iron, light: iron}
ending: [{step: base, paint: iron, materials: [iron]}]
rack: {iron: {kind: opaque, note: iron}}
mixes: {grey: {iron: 2}, sky: {parts: {iron: 1}, note: iron}}
finishes: {plain: [iron], long: {coats: [{paint: iron}, grey], source: iron}}
castings:
  field gun: {like: gun}
  light gun: {like: field gun}
traits:
  wheel:
    values: {dark: {scheme: {wheels: iron}}, light: {}}
    forbid: [{value: dark, trait: tyre, with: dark}]
  tyre: {values: {dark: {}}, prefer: [{value: dark, trait: wheel, with: dark}]}
units:
  Battery:
    body: field gun
    figures: {gun: {count: 3, body: field gun, traits: {wheel: dark}}}
    traits: [wheel, tyre]
    shares: {wheel: {dark: 1}, tyre: {dark: 1}}
    single: {gun 2: {traits: {wheel: dark}}}
    flag: {role: gun}
calendar: {painters: {Ilse: {}}}
`

func TestByteOrderMarkStays(t *testing.T) {
	_, d, _ := Read("bom.yaml", append([]byte("\ufeff"), sample...))
	if err := d.Set("/seed", 3); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(d.Text(), []byte("\ufeff# head")) {
		t.Errorf("the text begins %q", d.Text()[:10])
	}
}
