package shop

import (
	"math"
	"testing"

	"facings"
)

func one(p *facings.Project, t facings.Task) *facings.Shopping {
	return List(p, &facings.Roster{Figures: []facings.Figure{{}}}, &facings.Coats{Tasks: []facings.Task{t}})
}

// 1 µm over 1 mm² is 1e-6 mL (geometry). A brushed coat is 50 µm wet (estimate),
// an opaque paint loses 0.75 of itself between pot and figure (estimate): over
// 20 000 mm², 20 000 x 50e-6 x 1.75 = 1.75 mL, which at 20 drops a millilitre
// (USP <1101>, Medicine Dropper: 18 to 22) is 35 drops.
func TestFilmTimesArea(t *testing.T) {
	p := &facings.Project{Rack: []facings.Paint{{Name: "red", Kind: facings.Opaque, PotML: 17, LeftML: 1}}}
	got := one(p, facings.Task{Medium: "red", Technique: facings.Brush, AreaMM2: 20_000}).Paints[0]
	if math.Abs(got.NeedML-1.75) > 1e-9 || got.Drops != 35 || math.Abs(got.Short-0.75) > 1e-9 || got.Buy != 1 {
		t.Errorf("got %+v, want 1.75 mL, 35 drops, 0.75 mL short, one pot", got)
	}
}

// Three parts to one of 2 mL is 1.5 and 0.5 mL (arithmetic); a mix loses as
// much again as it covers (estimate), so 20 000 mm² x 50 µm = 1 mL takes 2.
func TestMixesAreBrokenDown(t *testing.T) {
	p := &facings.Project{
		Rack:  []facings.Paint{{Name: "blue", Kind: facings.Translucent}, {Name: "green", Kind: facings.Translucent}},
		Mixes: []facings.Mix{{Name: "turquoise", Parts: []facings.Part{{Paint: "blue", Parts: 3}, {Paint: "green", Parts: 1}}}},
	}
	got := one(p, facings.Task{Medium: "turquoise", Technique: facings.Brush, AreaMM2: 20_000}).Paints
	if len(got) != 2 || math.Abs(got[0].NeedML-1.5) > 1e-9 || math.Abs(got[1].NeedML-0.5) > 1e-9 || got[0].Parts != 3 || got[0].InMixes[0] != "turquoise" {
		t.Errorf("got %+v", got)
	}
}

// A few drops are the least that can be put out (estimate): 5 drops at 25 a
// millilitre are 0.2 mL, however small the area.
func TestLeastDrops(t *testing.T) {
	p := &facings.Project{Rack: []facings.Paint{{Name: "red", Kind: facings.Opaque, DropsPerML: 25}}}
	if got := one(p, facings.Task{Medium: "red", Technique: facings.Dot, AreaMM2: 1}).Paints[0]; math.Abs(got.NeedML-0.2) > 1e-9 || got.Drops != 5 {
		t.Errorf("got %+v, want 0.2 mL, 5 drops", got)
	}
}

// A 400 mL can undercoats about 130 foot or 60 mounted figures (estimate; 100
// to 300 and 50 to 130 are common practice).
func TestCans(t *testing.T) {
	p := &facings.Project{Rack: []facings.Paint{{Name: "black", Kind: facings.Primer, Can: true, PotML: 400, LeftML: 100}}}
	for figures, mm2 := range map[float64]float64{130: 1500, 51: 3800} {
		got := one(p, facings.Task{Medium: "black", Technique: facings.Spray, AreaMM2: figures * mm2}).Paints[0]
		if math.Abs(got.Cans-1) > 0.02 || got.Buy != 1 {
			t.Errorf("%v figures of %v mm²: %+v, want about one can", figures, mm2, got)
		}
	}
}

// On a base of 25 x 50 mm go 0.8 to 1.5 g of sand and 0.1 to 0.2 g of flock, and
// a third more is lost (estimates).
func TestBaseMaterials(t *testing.T) {
	p := &facings.Project{
		Rack:   []facings.Paint{{Name: "glue", Kind: facings.Glue}, {Name: "fine sand", Kind: facings.Texture}, {Name: "green flock", Kind: facings.Texture, LeftG: 1}},
		Ending: []facings.EndingStep{{Step: facings.EndBase, Paint: "glue", Materials: []string{"fine sand", "green flock"}}},
	}
	got := one(p, facings.Task{Medium: "glue", Stage: facings.StageBase, Technique: facings.GlueOn, AreaMM2: 1250}).Materials
	if len(got) != 2 || got[0].NeedG < 0.8*1.3 || got[0].NeedG > 1.5*1.3 || got[1].NeedG < 0.1*1.3 || got[1].NeedG > 0.2*1.3 {
		t.Errorf("got %+v", got)
	}
	if got[0].Buy != 1 || got[1].Buy != 0 {
		t.Errorf("buy %d bags of sand and %d of flock, want 1 and 0", got[0].Buy, got[1].Buy)
	}
}
