package pigment

import (
	"strings"
	"testing"

	"facings"
	"facings/internal/colour"
)

// Every starter paint can be computed, is named once, and says how it is known.
func TestStarterRack(t *testing.T) {
	rack := StarterRack()
	if len(rack) < 50 {
		t.Errorf("%d paints", len(rack))
	}
	kinds := make(map[facings.Kind]bool)
	for _, k := range facings.Kinds() {
		kinds[k] = true
	}
	seen := make(map[string]bool)
	for _, p := range rack {
		if seen[p.Name] || p.Name == "" {
			t.Errorf("%q is there twice or has no name", p.Name)
		}
		seen[p.Name] = true
		if !kinds[p.Kind] {
			t.Errorf("%s: kind %q", p.Name, p.Kind)
		}
		if p.Basis != Measured && p.Basis != FromMemory {
			t.Errorf("%s: basis %q", p.Name, p.Basis)
		}
		for i := range Bands {
			if !(p.KS.K[i] >= 0 && p.KS.S[i] >= 0 && p.KS.K[i] < 1e5 && p.KS.S[i] < 1e5) {
				t.Fatalf("%s: K %v S %v at %v nm", p.Name, p.KS.K[i], p.KS.S[i], colour.Wavelength(i))
			}
		}
		if found, ok := FindStarter(strings.ToUpper(p.Name)); !ok || found.Name != p.Name {
			t.Errorf("%s is not found by name", p.Name)
		}
	}
}

// What a solid layer of each paint is called, or one coat over white for those
// that shade themselves. The words are from memory of the paints.
func TestStarterColoursSoundRight(t *testing.T) {
	_, white := Chart()
	for name, want := range map[string]string{
		"titanium white": "white", "lamp black": "black", "bone black": "black",
		"scarlet": "bright red", "vermilion": "bright red", "madder": "deep red",
		"crimson": "deep purplish red", "minium": "bright orange red",
		"chrome yellow": "bright yellowish orange", "yellow ochre": "brownish yellow",
		"lemon yellow": "bright yellow", "orange": "bright reddish orange",
		"bay brown": "dark reddish brown", "chestnut brown": "reddish brown",
		"harness brown": "brown", "burnt umber": "dark brown", "dun": "light yellowish brown",
		"ultramarine": "deep purplish blue", "prussian blue": "very dark greyish blue", "dark blue": "very dark blue",
		"sky blue": "light blue", "dark green": "dark green", "emerald green": "bright bluish green",
		"grey cloth": "grey", "steel": "grey", "gold": "brownish yellow", "brass": "brownish yellow",
		"buff": "pale yellowish brown", "flesh": "light brown", "pale flesh": "orange pink",
		"earth": "yellowish brown", "black wash": "grey", "brown wash": "light brown",
	} {
		p, ok := FindStarter(name)
		if !ok {
			t.Errorf("no %s", name)
			continue
		}
		solid := p.KS.Opaque()
		got := ShowInner(&solid, p.Surface).Name
		if shadesItself(p.Kind) {
			got = Show(&p.KS, p.Surface, &white, 1).Name
		}
		if got != want {
			t.Errorf("%s shows %q, want %q", name, got, want)
		}
	}
}

// Common practice: organic yellows and reds hide poorly, iron oxides and
// titanium white well; yellow over black turns green; three parts of a blue to
// one of a green make a facing-cloth turquoise.
func TestStarterPaintsBehave(t *testing.T) {
	get := func(name string) *KS {
		p, ok := FindStarter(name)
		if !ok {
			t.Fatalf("no %s", name)
		}
		return &p.KS
	}
	for _, weak := range []string{"hansa yellow", "lemon yellow", "scarlet", "crimson"} {
		for _, strong := range []string{"red iron oxide", "titanium white", "chromium oxide green", "lamp black"} {
			if w, s := Hiding(get(weak), 1), Hiding(get(strong), 1); w > s-0.2 {
				t.Errorf("%s hides %.2f, %s %.2f", weak, w, strong, s)
			}
		}
	}
	black := FlatGround(0)
	if got := Show(get("lemon yellow"), Satin(), &black, 1); got.Lab.A > -8 {
		t.Errorf("lemon yellow over black is %s, %v", got.Name, got.Lab)
	}
	mix := Mix([]KS{*get("sky blue"), *get("viridian")}, []float64{3, 1})
	solid := mix.Opaque()
	if got := ShowInner(&solid, Satin()); !strings.Contains(got.Name, "turquoise") && !strings.Contains(got.Name, "greenish blue") && !strings.Contains(got.Name, "bluish green") {
		t.Errorf("three of sky blue to one of viridian is %s %s", got.Name, got.Hex)
	}
}

func TestResolve(t *testing.T) {
	for _, p := range []facings.Paint{
		{Name: "a", Kind: facings.Opaque, Like: "Scarlet"},
		{Name: "b", Kind: facings.Opaque, OverBlack: "#8a1e1c", OverWhite: "#d02a24"},
		{Name: "c", Kind: facings.Wash, Colour: "#a08060"},
		{Name: "d", Kind: facings.Varnish},
	} {
		got, err := Resolve(p)
		if err != nil || got.Name != p.Name || got.Kind != p.Kind {
			t.Errorf("%+v: %+v, %v", p, got.Name, err)
		}
	}
	for _, p := range []facings.Paint{
		{Name: "e", Kind: facings.Opaque},
		{Name: "f", Kind: facings.Opaque, Like: "no such paint"},
		{Name: "g", Kind: facings.Opaque, Colour: "scarlet"},
		{Name: "h", Kind: facings.Opaque, OverBlack: "#8a1e1c"},
		{Name: "i", Kind: facings.Opaque, OverBlack: "#8a1e1c", OverWhite: "#12"},
	} {
		if got, err := Resolve(p); err == nil || !strings.Contains(err.Error(), `"`+p.Name+`"`) {
			t.Errorf("%+v: %v, %v", p, got.Basis, err)
		}
	}
	// A swatch shows its own colours again; a guess shows its one colour.
	b, err := Resolve(facings.Paint{Name: "b", Kind: facings.Opaque, OverBlack: "#8a1e1c", OverWhite: "#d02a24"})
	if err != nil {
		t.Fatal(err)
	}
	black, white := Chart()
	for ground, want := range map[*Inner]string{&black: "#8a1e1c", &white: "#d02a24"} {
		c, _ := colour.ParseHex(want)
		if d := colour.DeltaE00(Show(&b.KS, b.Surface, ground, 1).Lab, c.SRGB().Lab()); d > 1 {
			t.Errorf("swatch %s comes back %.2f away", want, d)
		}
	}
	c, err := Resolve(facings.Paint{Name: "c", Kind: facings.Opaque, Colour: "#7a1f2b"})
	if err != nil {
		t.Fatal(err)
	}
	solid := c.KS.Opaque()
	if got := ShowInner(&solid, c.Surface).Hex; got != "#7a1f2b" {
		t.Errorf("guess from #7a1f2b shows %s", got)
	}
}

// A table of spectra names its faults by line and never brings the reader down.
func TestReadSpectraNamesFaults(t *testing.T) {
	const head = "Name\t400\t500\t600\t700\n"
	for text, want := range map[string]string{
		head + "a\t1\t2\tx\t4":                `line 2: "x"`,
		head + "a\t1\t2":                      "line 2: a: spectrum has 4 wavelengths but 2 values",
		head + "a\t1\t2\t3\t4\na\t1\t2\t3\t4": "line 3: spectrum a",
	} {
		if _, err := ReadSpectra(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	got, err := ReadSpectra(strings.NewReader(head + "a_ow\t50\t50\t50\t50\r\n\n"))
	if r := got["a_ow"]; err != nil || r != colour.Flat(0.5) {
		t.Errorf("%v, %v", got, err)
	}
	if len(Samples(got)) != 0 {
		t.Error("a film without its cards is taken for a sample")
	}
}

func FuzzReadSpectra(f *testing.F) {
	f.Add("Name\t400\t500\na\t1\t2\n")
	f.Add("Name\t400\nb\tNaN\n")
	f.Add("\t\t\n\n1e999\t2")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ReadSpectra(strings.NewReader(text))
		if err != nil {
			return
		}
		for name, r := range got {
			if !r.Valid() {
				t.Errorf("%q: %v", name, r)
			}
		}
	})
}
