package facings

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// sound is a small project without any finding.
func sound() *Project {
	return &Project{
		Facings: 1, Name: "Two guns", Undercoat: Undercoat{Dark: "primer"},
		Rack: []Paint{{Name: "primer", Kind: Primer, Colour: "#1b1b1c"}, {Name: "slate", Kind: Opaque, Colour: "#5d6468"}},
		Traits: []Trait{{Name: "wheel", Values: []TraitValue{
			{Name: "dark", Scheme: Scheme{"wheels": "slate"}}, {Name: "light", Scheme: Scheme{"wheels": LeaveFinish}}}}},
		Units: []Unit{{Name: "Battery", Body: BodyGun, Roles: []Role{{Name: "gun", Count: 4}}, Traits: []string{"wheel"},
			Scheme: Scheme{"carriage": "slate", "carriage metal": "slate", "tyres": "slate", "barrel": "slate", "base": "leave", "base rim": "leave"}}},
	}
}

func found(ds Diagnostics, id string) int {
	n := 0
	for _, d := range ds {
		if d.ID == id {
			n++
		}
	}
	return n
}

func TestSoundProjectHasNoFinding(t *testing.T) {
	if ds := sound().Validate(); len(ds) > 0 {
		t.Errorf("findings:\n%v", ds)
	}
}

// A file cannot hold two things under one key, but a page or a program can.
func TestValidateFindsDoubleNames(t *testing.T) {
	p := sound()
	p.Rack = append(p.Rack, p.Rack[1])
	p.Mixes = []Mix{{Name: "m", Parts: []Part{{"slate", 1}, {"primer", 1}, {"slate", 2}}}, {Name: "m", Parts: []Part{{"slate", 1}, {"primer", 1}}}}
	p.Units = append(p.Units, p.Units[0])
	p.Units[0].Roles = append(p.Units[0].Roles, Role{Name: "gun", Count: 1})
	p.Units[0].Single = []Single{{Role: "gun", Number: 1}, {Role: "gun", Number: 1}}
	ds := p.Validate()
	if found(ds, "duplicate-name") != 5 || found(ds, "listed-twice") != 1 {
		t.Errorf("a paint, a mix, a part, a role, a figure and a unit stand twice:\n%v", ds)
	}
}

// Every number that is none is refused wherever it stands.
func TestValidateRefusesNumbersThatAreNone(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		count := 0
		eachFloat(reflect.ValueOf(full()).Elem(), "", func(string, reflect.Value) { count++ })
		for i := range count {
			p := full()
			where, n := "", 0
			eachFloat(reflect.ValueOf(p).Elem(), "", func(path string, v reflect.Value) {
				if n == i {
					where = path
					v.SetFloat(bad)
				}
				n++
			})
			if !p.Validate().Faulty() {
				t.Errorf("%s may be %v", where, bad)
			}
		}
	}
}

// full is a project in which every number stands somewhere.
func full() *Project {
	p := sound()
	share, tolerance, setUp, closing := 1.0, DeltaE(3), DefaultSetUp(), Minutes(5)
	p.SizeMM, p.Scale, p.ToleranceDeltaE, p.Pace, p.SetUp = 28, 56, &tolerance, 1, &setUp
	p.Air, p.Undercoat.ElevationDeg = Air{20, 50}, 45
	p.Rack[1].PotML, p.Rack[1].LeftML, p.Rack[1].DropsPerML = 17, 3, 20
	p.Rack = append(p.Rack, Paint{Name: "sand", Kind: Texture, PotG: 200, LeftG: 20})
	p.Finishes = []Finish{{Name: "edges", Coats: []Coat{{Paint: "slate", CoverPercent: 30}}}}
	p.Castings = []Casting{{Name: "field gun", Like: BodyGun, Adds: []AddsArea{{Area: "limber", AreaMM2: 300, Fiddly: 1.2}}}}
	p.Traits[0].Values[0].Share = &share
	u := &p.Units[0]
	u.Body, u.Base, u.Scheme["limber"] = "field gun", BaseSize{50, 50}, "edges"
	u.Flag = &Flag{FlyMM: 700, HoistMM: 700, PoleMM: 1, Role: "gun"}
	p.Calendar = Calendar{PatienceMinutes: 45, ClosingMinutes: &closing, Painters: []Painter{{Name: "Ilse", Pace: 1, Sittings: []SittingRule{{Days: []string{"mon"}, From: "19:00", To: "21:00"}}}}}
	return p
}

func eachFloat(v reflect.Value, path string, do func(string, reflect.Value)) {
	switch v.Kind() {
	case reflect.Float64:
		do(path, v)
	case reflect.Pointer:
		if !v.IsNil() {
			eachFloat(v.Elem(), path, do)
		}
	case reflect.Slice:
		for i := range v.Len() {
			eachFloat(v.Index(i), fmt.Sprintf("%s/%d", path, i), do)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			// Unused pots: grams of a paint, millilitres of a texture.
			eachFloat(v.Field(i), path+"/"+v.Type().Field(i).Name, do)
		}
	}
}

func TestFullProjectHasNoFault(t *testing.T) {
	if ds := full().Validate(); ds.Faulty() {
		t.Errorf("faults:\n%v", ds)
	}
}

func TestValidateIsRepeatable(t *testing.T) {
	p := sound()
	for i := range 30 {
		p.Units[0].Scheme[fmt.Sprintf("area %d", i)] = fmt.Sprintf("finish %d", i)
	}
	first := p.Validate()
	for range 20 {
		if again := p.Validate(); !slices.Equal(first, again) {
			t.Fatalf("checked again:\n%v\nfirst:\n%v", again, first)
		}
	}
}

// One wrong name must not be reported as ten others.
func TestOneMistakeIsOneFinding(t *testing.T) {
	for what, mistake := range map[string]func(*Project){
		"no paints":        func(p *Project) { p.Rack = nil; p.Units[0].Scheme = Scheme{}; p.Units = nil; p.Traits = nil },
		"a misspelt body":  func(p *Project) { p.Units[0].Body = "gnu" },
		"a misspelt area":  func(p *Project) { p.Units[0].Scheme["tires"] = "slate"; delete(p.Units[0].Scheme, "tyres") },
		"a misspelt trait": func(p *Project) { p.Units[0].Traits = []string{"wheels"}; p.Units[0].Scheme["wheels"] = "slate" },
		"a circle": func(p *Project) {
			p.Castings = []Casting{{Name: "a", Like: "b"}, {Name: "b", Like: "a"}}
			p.Units[0].Body = "a"
		},
		"no figures":         func(p *Project) { p.Units[0].Roles = nil },
		"far too many coats": func(p *Project) { p.Finishes = []Finish{{Name: "f", Coats: make([]Coat, 500)}} },
	} {
		p := sound()
		mistake(p)
		want := 1
		if what == "no paints" {
			want = 2 // and no units
		}
		if ds := p.Validate(); len(ds) != want {
			t.Errorf("%s:\n%v", what, ds)
		}
	}
}

// Paths are pointers into the project as it is written: names, not numbers,
// for named things, with RFC 6901's escapes.
func TestPathsNameThings(t *testing.T) {
	p := sound()
	p.Units[0].Name = "1/2 ~ Battery"
	p.Units[0].Roles[0].Scheme = Scheme{"wheels": "salte"}
	ds := p.Validate()
	want := "/units/1~12 ~0 Battery/figures/gun/scheme/wheels"
	if len(ds) != 1 || ds[0].Path != want || !strings.Contains(ds[0].Hint, "slate") {
		t.Errorf("%+v", ds)
	}
}
