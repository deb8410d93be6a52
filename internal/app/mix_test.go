package app

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"facings"
)

func no() *bool { b := false; return &b }

// rack is a small rack with a mix of its own in it.
func rackProject() *facings.Project {
	return &facings.Project{
		Undercoat: facings.Undercoat{Dark: "black primer"},
		Rack: []facings.Paint{
			{Name: "black primer", Kind: facings.Primer, Like: "black primer", Can: true},
			{Name: "red", Kind: facings.Opaque, OverBlack: "#a01e1c", OverWhite: "#c02a24"},
			{Name: "yellow", Kind: facings.Opaque, OverBlack: "#b09a20", OverWhite: "#e8c830"},
			{Name: "blue", Kind: facings.Opaque, OverBlack: "#20306a", OverWhite: "#26387a"},
			{Name: "lost green", Kind: facings.Opaque, OverBlack: "#2c4a34", OverWhite: "#335a3c", Owned: no()},
			{Name: "steel", Kind: facings.Metallic, Colour: "#8b9095"},
			{Name: "cobalt violet", Kind: facings.Opaque, Colour: "#6a3a8a"},
		},
		Mixes:    []facings.Mix{{Name: "orange cloth mix", Parts: []facings.Part{{Paint: "red", Parts: 2}, {Paint: "yellow", Parts: 3}}}},
		Finishes: []facings.Finish{{Name: "orange cloth", Coats: []facings.Coat{{Paint: "orange cloth mix"}}}},
	}
}

// Distances are whole steps of 0.0001, as JSON promises, and a paint that is
// itself the target is left out and said to be.
func TestMixInPlaceOfAPaint(t *testing.T) {
	a := &App{}
	for target, words := range map[string]string{"red": "red itself was left out", "lost green": "", "#808890": "", "50,12.3,-4": ""} {
		r, err := a.Mix(context.Background(), MixRequest{Project: rackProject(), Target: target, Over: "grey 40 %"})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range append([]MixAnswer{r.Best}, r.Simpler...) {
			if m.DeltaE != steadied(m.DeltaE) || slices.ContainsFunc(m.Parts, func(p MixPart) bool { return p.Paint == target }) {
				t.Errorf("%s: %s, ΔE %v", target, m.Words(), m.DeltaE)
			}
		}
		if got := strings.Join(r.Warnings, "\n"); words == "" && strings.Contains(got, "left out") || !strings.Contains(got, words) {
			t.Errorf("%s: %q", target, got)
		}
	}
}

// Pots unlike in their drops are warned of, not such as say the usual number.
func TestMixOfUnequalDrops(t *testing.T) {
	for per, warned := range map[float64]bool{0: false, 20: false, 25: true} {
		p := rackProject()
		p.Rack[1].DropsPerML = per
		r, err := (&App{}).Mix(context.Background(), MixRequest{Project: p, Target: "orange cloth"})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(r.Warnings, "\n"), "unequal drops"); got != warned {
			t.Errorf("with %v drops to the mL it warns: %v", per, got)
		}
	}
}

// A finish that is one coat of a mix is answered by that mix, exactly, over any
// ground; it stays right under every light, being the same spectrum.
func TestMixFindsTheMixAgain(t *testing.T) {
	a := &App{}
	for _, over := range []string{"white", "black", "grey 40 %", "#607080", "blue", "orange cloth", "emerald green"} {
		r, err := a.Mix(context.Background(), MixRequest{Project: rackProject(), Target: "orange cloth", Over: over, AreaMM2: 3000})
		if err != nil {
			t.Fatal(err)
		}
		if r.Best.Words() != "2 red + 3 yellow" || r.Best.DeltaE != 0 {
			t.Errorf("over %s: %s, ΔE %v", over, r.Best.Words(), r.Best.DeltaE)
		}
		for _, l := range r.Best.Lights {
			if l.DeltaE > 1e-6 || l.Warning {
				t.Errorf("over %s under %s: ΔE %v", over, l.Light, l.DeltaE)
			}
		}
		// 3000 mm² of 50 µm are 0.15 mL, with the loss of a mix 0.3 mL: 6 drops
		// of 20 to the millilitre, which whole parts raise to 10.
		if r.Best.Drops != 10 || r.Best.Parts[0].Drops != 4 || r.Best.Parts[1].Drops != 6 {
			t.Errorf("over %s: drops %+v", over, r.Best.Parts)
		}
		for i, s := range r.Simpler {
			if s.DeltaE < r.Best.DeltaE || s.Look.Name == "" {
				t.Errorf("over %s: simpler %d: %+v", over, i, s)
			}
		}
	}
}

func TestMixWarns(t *testing.T) {
	a := &App{}
	r, err := a.Mix(context.Background(), MixRequest{Project: rackProject(), Target: "#6a3a8a"})
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(r.Warnings, "; ")
	if !strings.Contains(r.Best.Words(), "cobalt") || !strings.Contains(said, "the mix is a guess: cobalt violet is known by one colour") || !strings.Contains(said, "smoothest") {
		t.Errorf("%s: %s", r.Best.Words(), said)
	}
	if !strings.Contains(r.Caution, "never lick the brush") {
		t.Errorf("caution %q", r.Caution)
	}
	if r.Best.Miscount < 0 || math.IsNaN(r.Best.Miscount) || !r.Best.Look.Guess {
		t.Errorf("%+v", r.Best)
	}
	one := &facings.Project{Rack: []facings.Paint{{Name: "cobalt violet", Kind: facings.Opaque, Colour: "#6a3a8a"}}}
	alone, err := a.Mix(context.Background(), MixRequest{Project: one, Target: "#6a3a8a"})
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(alone.Warnings, "; "); !strings.Contains(said, "the paint is a guess: cobalt violet is known by one colour") {
		t.Errorf("%s: %s", alone.Best.Words(), said)
	}
}

// Faults name the value and the way out.
func TestMixRefuses(t *testing.T) {
	a := &App{}
	for want, q := range map[string]MixRequest{
		"no target":           {},
		`target "no such"`:    {Target: "no such"},
		`"#12"`:               {Target: "#12"},
		`over "sky"`:          {Target: "#123456", Over: "sky"},
		"0 to 100 %":          {Target: "#123456", Over: "grey 140 %"},
		`technique "prepare"`: {Target: "#123456", Technique: facings.Prepare},
		"coats 99":            {Target: "#123456", Coats: 99},
		"area NaN":            {Target: "#123456", AreaMM2: math.NaN()},
		"no surface":          {Target: "50,400,400"},
		"0 to 100":            {Target: "500,60,70"},
		`mean "lost green"`:   {Project: rackProject(), Target: "lost grene"},
		`mean "burnt umber"`:  {Target: "#123456", Over: "brunt umber"},
		"9 paints":            {Target: "#123456", Paints: 9},
	} {
		if _, err := a.Mix(context.Background(), q); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", q, err, want)
		}
		if _, err := a.Match(context.Background(), q); err == nil {
			t.Errorf("match %+v is accepted", q)
		}
	}
}

// A paint that is not owned is mixed from others; cans and metals are not.
func TestReplacement(t *testing.T) {
	a, p := &App{}, rackProject()
	got, err := a.Replacement(context.Background(), p, "lost green", nil)
	if err != nil || !strings.Contains(got, "blue") || !strings.Contains(got, "yellow") || !strings.Contains(got, "ΔE") {
		t.Errorf("lost green: %q, %v", got, err)
	}
	without, err := a.Replacement(context.Background(), p, "lost green", map[string]bool{"blue": true})
	if err != nil || strings.Contains(without, "blue") {
		t.Errorf("lost green without blue: %q, %v", without, err)
	}
	for _, name := range []string{"black primer", "steel", "none such"} {
		if got, err := a.Replacement(context.Background(), p, name, nil); got != "" || err != nil {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
}

func TestMatch(t *testing.T) {
	a := &App{}
	r, err := a.Match(context.Background(), MixRequest{Project: rackProject(), Target: "lost green", Starter: true})
	if err != nil {
		t.Fatal(err)
	}
	from := map[string]bool{}
	for i, m := range r.Paints {
		from[m.From] = true
		if i > 0 && max(m.DeltaEBlack, m.DeltaEWhite) < max(r.Paints[i-1].DeltaEBlack, r.Paints[i-1].DeltaEWhite) {
			t.Errorf("%s is out of order", m.Paint)
		}
		if m.Paint == "lost green" || m.OverWhite.Name == "" {
			t.Errorf("%+v", m)
		}
	}
	if !from["starter"] || r.OneColour || r.Mix.DeltaE > r.Paints[0].DeltaEWhite+20 {
		t.Errorf("%+v", r)
	}
	// Without a project there is no rack but the starter's.
	if r, err = a.Match(context.Background(), MixRequest{Target: "#123456"}); err != nil || r.Paints[0].From != "starter" {
		t.Errorf("%v: from %q", err, r.Paints[0].From)
	}
}
