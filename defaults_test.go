package facings

import (
	"math"
	"testing"
)

// Twenty drops of water from an official dropper weigh 0.9 to 1.1 g, so a
// millilitre is 18 to 22 drops (United States Pharmacopeia <1101>, Medicine
// Dropper).
func TestDropsPerMillilitre(t *testing.T) {
	if n := Drops(1, 0); n < 18 || n > 22 {
		t.Errorf("1 mL is %d drops by default, the dropper gives 18 to 22", n)
	}
	for _, c := range []struct {
		ml   Millilitres
		tip  float64
		want int
	}{
		{0, 0, 0}, {-1, 0, 0}, {0.5, 0, 10}, {0.51, 0, 11}, {1, 25, 25}, {0.05, 20, 1}, {0.0001, 20, 1}, {0.3, 20, 6},
	} {
		if got := Drops(c.ml, c.tip); got != c.want {
			t.Errorf("%v mL at %v drops per mL: %d drops, want %d", c.ml, c.tip, got, c.want)
		}
	}
}

// A litre over a square metre stands a millimetre high (geometry); so house
// paint at 16 and 8 m² to the litre is a wet film of 62.5 and 125 µm.
func TestFilmTimesAreaIsVolume(t *testing.T) {
	const squareMetre, litre = 1e6, 1000
	for _, c := range []struct {
		area SquareMillimetres
		film Micrometres
	}{{squareMetre, 1000}, {16 * squareMetre, 62.5}, {8 * squareMetre, 125}} {
		if got := FilmVolume(c.area, c.film); math.Abs(float64(got)-litre) > 1e-6 {
			t.Errorf("%v mm² at %v µm take %v mL, want %v", c.area, c.film, got, litre)
		}
	}
	// One brush coat over a whole foot figure: 1500 mm² × 50 µm = 0.075 mL.
	brush, _ := HandlingOf(Brush)
	if got := FilmVolume(1500, brush.Film); math.Abs(float64(got)-0.075) > 1e-9 {
		t.Errorf("a brush coat over 1500 mm² takes %v mL, want 0.075", got)
	}
}

// Worked by hand from the factors for warmth and damp (estimates, after one
// water-based coating data sheet).
func TestDryingFactor(t *testing.T) {
	for _, c := range []struct{ temperature, humidity, want float64 }{
		{10, 50, 2}, {15, 50, 1.5}, {20, 50, 1}, {23, 50, 1}, {31.5, 50, 0.8}, {40, 50, 0.6},
		{20, 60, 1.25}, {20, 70, 1.5}, {20, 77.5, 2}, {20, 85, 2.5},
		{10, 70, 3}, {40, 85, 1.5},
		{5, 30, 2}, {45, 20, 0.6}, {20, 100, 3}, {20, 110, 3}, // level beyond the table
	} {
		if got := DryingFactor(c.temperature, c.humidity); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v °C, %v %%: factor %v, want %v", c.temperature, c.humidity, got, c.want)
		}
	}
	p := Project{Air: Air{TemperatureC: 10, HumidityPercent: 70}}
	if got := p.DryingOf(Opaque).Overcoat; math.Abs(float64(got)-60) > 1e-9 {
		t.Errorf("an opaque coat at 10 °C and 70 %% may be overcoated after %v min, want 3 × 20", got)
	}
}

// The ranges are common practice at 20 °C and 50 % relative humidity, in minutes.
func TestDryingTimesAreTheTrades(t *testing.T) {
	const hour = 60
	type span [2]Minutes
	for kind, want := range map[Kind]struct{ touch, overcoat, wash, varnish span }{
		Opaque:      {span{5, 15}, span{15, 30}, span{30, 60}, span{12 * hour, 24 * hour}},
		Translucent: {span{20, 40}, span{60, 60}, span{120, 120}, span{24 * hour, 24 * hour}},
		Wash:        {span{20, 40}, span{60, 60}, span{60, 60}, span{24 * hour, 24 * hour}},
		Ink:         {span{10, 20}, span{30, 30}, span{60, 60}, span{24 * hour, 24 * hour}},
		Metallic:    {span{10, 20}, span{30, 30}, span{60, 60}, span{24 * hour, 24 * hour}},
		Primer:      {span{10, 20}, span{60, 60}, span{24 * hour, 24 * hour}, span{0, 24 * hour}},
		OilWash:     {span{6 * hour, 24 * hour}, span{24 * hour, 48 * hour}, span{0, 48 * hour}, span{48 * hour, 72 * hour}},
		Varnish:     {span{20, 30}, span{120, 240}, span{0, 240}, span{0, 240}},
		Glue:        {span{60, 180}, span{8 * hour, 12 * hour}, span{24 * hour, 24 * hour}, span{0, 24 * hour}},
	} {
		d := DefaultDrying(kind)
		for name, pair := range map[string]struct {
			got  Minutes
			span span
		}{
			"touch": {d.Touch, want.touch}, "overcoat": {d.Overcoat, want.overcoat},
			"wash over": {d.WashOver, want.wash}, "before varnish": {d.BeforeVarnish, want.varnish},
		} {
			if pair.got < pair.span[0] || pair.got > pair.span[1] {
				t.Errorf("%s, %s: %v min, the trade counts with %v to %v", kind, name, pair.got, pair.span[0], pair.span[1])
			}
		}
	}
	for _, kind := range Kinds() {
		d := DefaultDrying(kind)
		if d.Touch <= 0 || d.Touch > d.Overcoat || d.Overcoat > d.WashOver {
			t.Errorf("%s dries out of order: %+v", kind, d)
		}
	}
}

// The ranges are estimates of common practice: changes cost minutes, films and
// losses as painters count them.
func TestChangesFilmsAndLossesAreTheTrades(t *testing.T) {
	within := func(name string, got, least, most float64) {
		t.Helper()
		if got < least || got > most {
			t.Errorf("%s is %v, the trade counts with %v to %v", name, got, least, most)
		}
	}
	s := DefaultSetUp()
	within("changing paint, min", float64(s.PaintMinutes), 1, 2)
	within("mixing, min", float64(s.MixMinutes), 3, 4)
	within("changing the brush, min", float64(s.ToolMinutes), 0.5, 0.5)
	within("fresh water, min", float64(s.WaterMinutes), 1, 2)
	within("a mix on a dry palette, min", float64(s.MixLifeDryMinutes), 20, 40)
	within("a mix on a wet palette, min", float64(s.MixLifeWetMinutes), 24*60, 3*24*60)
	for technique, span := range map[Technique][2]float64{Brush: {30, 60}, WashOn: {60, 100}, Spray: {20, 40}} {
		h, ok := HandlingOf(technique)
		if !ok {
			t.Fatalf("no technique %q", technique)
		}
		within(string(technique)+" film, µm", float64(h.Film), span[0], span[1])
	}
	within("loss of an opaque paint", LossFactor(Opaque, false), 1.5, 2)
	for kind, want := range map[Kind]float64{Primer: 1.3, Translucent: 1.2, Wash: 1.2, Metallic: 2, Varnish: 1.3} {
		within("loss of "+string(kind), LossFactor(kind, false), want, want)
	}
	for _, kind := range []Kind{Opaque, Translucent, Wash, Ink, Metallic} {
		within("loss of a mix that is mostly "+string(kind), LossFactor(kind, true), 2, 2)
	}
}

// step is a row of the trade's table of minutes per figure.
type step string

const (
	horses  step = "horse coat"
	big     step = "big areas"
	common  step = "common colours"
	own     step = "unit's own colours"
	metals  step = "metals"
	washes  step = "wash"
	lace    step = "lace, straps, highlights"
	faces   step = "face, eyes, markings"
	ground  step = "base"
	cleaned step = "clean, mount"
	sprayed step = "undercoat and light from above"
	varnish step = "varnish"
)

// laid is one coat of a typical figure: so many per cent of an area.
type laid struct {
	step      step
	area      string
	technique Technique
	cover     float64 // per cent
}

// whole lists plain coats on several areas.
func whole(s step, technique Technique, areas ...string) []laid {
	var out []laid
	for _, a := range areas {
		out = append(out, laid{s, a, technique, 100})
	}
	return out
}

func lists(parts ...[]laid) []laid {
	var out []laid
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// minutesPerStep is what the default painter takes for one figure, in minutes
// per step of the trade's table.
func minutesPerStep(t *testing.T, body Body, coats []laid) map[step]float64 {
	t.Helper()
	seconds := func(technique Technique, mm2, fiddly, cover float64) float64 {
		h, ok := HandlingOf(technique)
		if !ok {
			t.Fatalf("no technique %q", technique)
		}
		return h.SecondsPerArea + h.SecondsPerSquareMM*mm2*fiddly*cover/100
	}
	all := float64(body.Surface())
	out := map[step]float64{
		cleaned: seconds(Prepare, all, 1, 100) / 60,
		sprayed: (seconds(Spray, all, 1, 100) + seconds(Spray, all, 1, 60)) / 60, // the light reaches about 60 %
		varnish: seconds(Spray, all, 1, 100) / 60,
	}
	base, _ := body.Area("base")
	out[ground] = seconds(GlueOn, float64(base.AreaMM2), 1, 100) / 60
	for _, c := range coats {
		a, ok := body.Area(c.area)
		if !ok {
			t.Fatalf("%s has no area %q", body.Name, c.area)
		}
		out[c.step] += seconds(c.technique, float64(a.AreaMM2), a.Fiddly, c.cover) / 60
	}
	return out
}

// The table is the trade's: minutes per 28 mm figure at tabletop standard, by
// step and in all (estimates; the order of steps is common practice). The
// figures are a line infantryman and a laced horseman painted without
// shortcuts.
func TestMinutesPerFigureAreTheTrades(t *testing.T) {
	type span [2]float64
	man := lists(
		whole(washes, WashOn, "face", "hands", "hat plate"),
		whole(common, Brush, "hands", "hair", "hat", "pouch", "scabbard"),
		whole(faces, Brush, "face"),
		whole(faces, Dot, "eyes", "eyes"),
		whole(big, Brush, "jacket", "breeches"),
		whole(own, Brush, "collar", "cuffs", "turnbacks", "plume", "shoulder straps"),
		whole(metals, Brush, "hat plate"),
		whole(metals, Dot, "buttons"),
		whole(lace, Line, "hat lace"),
		whole(lace, Brush, "cross straps", "cross straps"),
		whole(ground, Brush, "base", "base rim"),
	)
	for _, c := range []struct {
		body  string
		coats []laid
		want  map[step]span
		total float64 // the trade's middle; within a fifth
	}{
		{BodyFoot, lists(man,
			whole(common, Brush, "gaiters", "shoes", "bedroll", "musket stock"),
			whole(big, Brush, "pack"),
			whole(own, Brush, "lapels"),
			whole(metals, Brush, "musket metal"),
			whole(washes, WashOn, "pack", "breeches"),
			[]laid{{lace, "jacket", Line, 10}, {lace, "breeches", Brush, 40}, {lace, "bedroll", Drybrush, 40}, {lace, "plume", Drybrush, 40}},
		), map[step]span{
			cleaned: {3, 10}, sprayed: {1, 2}, big: {4, 10}, common: {5, 12}, own: {4, 10}, metals: {2, 5},
			washes: {1, 3}, lace: {5, 20}, faces: {2, 8}, ground: {3, 6}, varnish: {0.5, 2},
		}, 50},
		{BodyMounted, lists(man,
			whole(horses, Brush, "horse coat", "horse legs", "mane", "tail"),
			whole(common, Brush, "moustache", "boots", "bridle", "reins", "saddle", "holsters", "bedroll", "hooves"),
			whole(big, Brush, "saddle cloth"),
			whole(own, Brush, "saddle cloth border", "breeches stripe"),
			whole(metals, Brush, "sword blade", "sword hilt", "scabbard", "bit"),
			whole(lace, Line, "jacket lace", "jacket lace", "breeches stripe", "breeches stripe", "saddle cloth border", "saddle cloth border"),
			whole(lace, Brush, "waist belt", "waist belt"),
			whole(faces, Dot, "horse eyes", "horse face"),
			whole(washes, WashOn, "scabbard", "plume"),
		), map[step]span{
			cleaned: {6, 15}, sprayed: {2, 4}, horses: {3, 20}, big: {4, 10}, common: {6, 14}, own: {6, 14}, metals: {3, 8},
			washes: {2, 4}, lace: {8, 30}, faces: {4, 12}, ground: {4, 8}, varnish: {1, 2},
		}, 85},
	} {
		body, _ := ReadyBody(c.body)
		got := minutesPerStep(t, body, c.coats)
		sum := 0.0
		for s, m := range got {
			sum += m
			if span := c.want[s]; m < span[0] || m > span[1] {
				t.Errorf("%s, %s: %.1f min, the trade counts with %v to %v", c.body, s, m, span[0], span[1])
			}
		}
		if math.Abs(sum-c.total) > c.total/5 {
			t.Errorf("%s: %.1f min in all, the trade's middle is %v; by step: %v", c.body, sum, c.total, got)
		}
	}
}

// Ten to thirty minutes a flag (estimate): two faces at 1/56 of a cavalry
// standard of 737×686 mm (Royal Warrant 1859) and of an infantry colour of
// 1981×1829 mm (US Army General Regulations 1861, Article L).
func TestMinutesPerFlagAreTheTrades(t *testing.T) {
	h, ok := HandlingOf(Fit)
	if !ok {
		t.Fatal("flags cannot be fitted")
	}
	for _, f := range []Flag{{FlyMM: 737, HoistMM: 686}, {FlyMM: 1981, HoistMM: 1829}} {
		mm2 := 2 * f.FlyMM / 56 * f.HoistMM / 56
		if m := (h.SecondsPerArea + h.SecondsPerSquareMM*mm2) / 60; m < 10 || m > 30 {
			t.Errorf("a flag of %v×%v mm takes %.1f min, the trade counts with 10 to 30", f.FlyMM, f.HoistMM, m)
		}
	}
}
