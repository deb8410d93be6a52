package colour_test

import (
	"regexp"
	"testing"

	"facings/internal/colour"

	"pgregory.net/rapid"
)

// What painters call the masstones of common pigments and uniform colours; the
// screen colours and the words are both from memory.
func TestNamesSoundRight(t *testing.T) {
	for _, c := range []struct{ paint, hex, want string }{
		{"titanium white", "#f6f6f4", "white"},
		{"ivory", "#f2ead6", "yellowish white"},
		{"bone black", "#201d1b", "black"},
		{"lamp black", "#1a1c1e", "black"},
		{"vermilion", "#d8402c", "bright red"},
		{"scarlet", "#c8202a", "bright red"},
		{"madder", "#8e1f2e", "deep red"},
		{"minium", "#e0582c", "bright orange red"},
		{"orange", "#f08020", "bright orange"},
		{"chrome yellow", "#f2b020", "bright orange yellow"},
		{"lemon", "#f2e030", "bright yellow"},
		{"yellow ochre", "#c08a36", "brownish yellow"},
		{"raw sienna", "#a56a2a", "brown"},
		{"burnt sienna", "#7a3a22", "dark reddish brown"},
		{"venetian red", "#a8452f", "brownish red"},
		{"raw umber", "#5c4a34", "dark yellowish brown"},
		{"sap green", "#4a6a28", "yellowish green"},
		{"viridian", "#1f6a55", "bluish green"},
		{"chromium oxide green", "#5a7a4a", "green"},
		{"dark green cloth", "#203a2a", "dark green"},
		{"drab", "#6a6a30", "olive"},
		{"buff", "#d8b886", "light yellowish brown"},
		{"turquoise", "#2a9a9a", "turquoise"},
		{"ultramarine", "#2a2f9a", "deep purplish blue"},
		{"prussian blue", "#1a2a44", "very dark blue"},
		{"cobalt blue", "#2a5aa8", "bright blue"},
		{"cerulean blue", "#2f86b4", "greenish blue"},
		{"sky blue", "#7fb4d8", "light blue"},
		{"grey cloth", "#8a8f94", "grey"},
		{"blue grey", "#6a7a8a", "greyish blue"},
		{"purple", "#6a2a7a", "deep purple"},
		{"rose", "#d86a8a", "pink"},
		{"flesh", "#e0b090", "orange pink"},
		{"leather", "#7a4a2a", "brown"},
		{"bay coat", "#5a2f1c", "dark reddish brown"},
		{"chestnut coat", "#7a3f1f", "reddish brown"},
		{"dun coat", "#b09468", "light yellowish brown"},
		{"cream", "#f6ecc8", "pale yellow"},
	} {
		rgb, err := colour.ParseHex(c.hex)
		if err != nil {
			t.Fatal(err)
		}
		if got := colour.Name(rgb.SRGB().Lab()); got != c.want {
			t.Errorf("%s %s: %q, want %q", c.paint, c.hex, got, c.want)
		}
	}
}

// Every colour has a name of one to five plain words, and none says a word twice.
func TestNamesAreWords(t *testing.T) {
	form := regexp.MustCompile(`^[a-z]+( [a-z]+){0,4}$`)
	rapid.Check(t, func(t *rapid.T) {
		b := func(n string) uint8 { return rapid.Uint8().Draw(t, n) }
		c := colour.RGB8{R: b("r"), G: b("g"), B: b("b")}
		name := colour.Name(c.SRGB().Lab())
		if !form.MatchString(name) {
			t.Fatalf("%s is called %q", c.Hex(), name)
		}
		seen := map[string]bool{}
		for _, w := range regexp.MustCompile(`[a-z]+`).FindAllString(name, -1) {
			if seen[w] {
				t.Fatalf("%s is called %q", c.Hex(), name)
			}
			seen[w] = true
		}
	})
}
