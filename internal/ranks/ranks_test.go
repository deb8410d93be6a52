package ranks_test

import (
	"context"
	"reflect"
	"strings"
	"testing"

	"facings"
	"facings/internal/check"
	"facings/internal/projectfile"
	"facings/internal/ranks"
)

const troop = `
facings: 1
name: troop
undercoat: {dark: primer}
rack:
  primer: {kind: primer, can: true, over_white: "#111111", over_black: "#101010"}
  a: {kind: opaque, over_white: "#6b3a20", over_black: "#60351c"}
finishes: {}
traits:
  horse:
    ready_made: realistic coats
    values:
      bay: {scheme: {horse coat: a}}
      chestnut: {scheme: {horse coat: a}}
      grey: {scheme: {horse coat: a}}
  mane:
    values:
      black: {scheme: {mane: a, tail: a}}
      chestnut: {scheme: {mane: a, tail: a}}
      white: {scheme: {mane: a, tail: a}}
units:
  Troop:
    body: mounted
    ranks: 2
    figures: {officer: 1, standard-bearer: 1, musician: {count: 1, traits: {horse: grey}}, trooper: 9}
    scheme: {jacket: a}
    traits: [horse, mane]
    SHARES
`

func deal(t *testing.T, shares string) (*facings.Project, *facings.Roster, facings.Diagnostics) {
	t.Helper()
	p, _, found := projectfile.Read("t.yaml", []byte(strings.Replace(troop, "SHARES", shares, 1)))
	if found.Faulty() {
		t.Fatal(found)
	}
	r, found, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 30000})
	if err != nil {
		t.Fatal(err)
	}
	return p, r, found
}

// The command stands front and centre (common practice).
func TestCommandFrontAndCentre(t *testing.T) {
	_, r, _ := deal(t, "")
	for _, f := range r.Figures {
		if facings.IsCommand(f.ID.Role) && (f.Rank != 1 || f.File < 2 || f.File > 5) {
			t.Errorf("%s stands in rank %d, file %d of 6", f.ID, f.Rank, f.File)
		}
	}
}

// A bay has a black mane and tail and a chestnut never has (standard texts on
// equine coat colour); shares 45 : 20 : 4 of twelve by largest remainder, with
// one grey fixed: quotas 7.83, 3.48, 0.70, so 8, 3, 1.
func TestRealisticCoats(t *testing.T) {
	p, r, _ := deal(t, "")
	counts := map[string]int{}
	for _, f := range r.Figures {
		counts[f.Traits["horse"]]++
		if pair := f.Traits["horse"] + "/" + f.Traits["mane"]; pair == "bay/chestnut" || pair == "bay/white" || pair == "chestnut/black" {
			t.Errorf("%s has %s", f.ID, pair)
		}
		if f.ID.Role == "musician" && f.Traits["horse"] != "grey" {
			t.Errorf("the musician rides a %s", f.Traits["horse"])
		}
	}
	if want := map[string]int{"bay": 8, "chestnut": 3, "grey": 1}; !reflect.DeepEqual(counts, want) {
		t.Errorf("got %v, want %v", counts, want)
	}
	if found := check.Roster(p, r); len(found) > 0 {
		t.Error(found[0])
	}
}

// Wishes that cannot all be met are named, and only those: eight black manes
// with nine chestnuts among twelve.
func TestConflictIsNamed(t *testing.T) {
	_, _, found := deal(t, "shares: {horse: {bay: 2, chestnut: 9, grey: 1}, mane: {black: 8, chestnut: 3, white: 1}}")
	if !found.Faulty() || found[0].ID != "traits-conflict" {
		t.Fatalf("got %v, want a conflict", found)
	}
	for _, want := range []string{"8 of 12 with mane black", "9 of 12 with horse chestnut", "no horse chestnut with mane black"} {
		if !strings.Contains(found[0].Message, want) {
			t.Errorf("%q is not named in: %s", want, found[0].Message)
		}
	}
	if strings.Contains(found[0].Message, "mane white with") {
		t.Errorf("what is not needed is named: %s", found[0].Message)
	}
}

func TestSameSeedSameRoster(t *testing.T) {
	_, a, _ := deal(t, "")
	_, b, _ := deal(t, "")
	for i := range a.Figures {
		if !reflect.DeepEqual(a.Figures[i].Traits, b.Figures[i].Traits) {
			t.Errorf("%s differs", a.Figures[i].ID)
		}
	}
}

// Figures a trait cannot show on are not dealt it.
func TestTraitOfAnAbsentAreaIsNotDealt(t *testing.T) {
	text := strings.Replace(troop, "trooper: 9}", "trooper: 9, servant: {count: 2, body: foot}}", 1)
	p, _, found := projectfile.Read("t.yaml", []byte(strings.Replace(text, "SHARES", "", 1)))
	if found.Faulty() {
		t.Fatal(found)
	}
	r, _, err := ranks.Deal(context.Background(), p, ranks.Settings{Work: 30000})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Figures {
		if _, dealt := f.Traits["horse"]; dealt == (f.ID.Role == "servant") {
			t.Errorf("%s: a horse was dealt: %v", f.ID, dealt)
		}
	}
	if found := check.Roster(p, r); len(found) > 0 {
		t.Error(found[0])
	}
}

// Units join batches in file order while the bench has room (24 mounted, 30
// foot; common practice), by their batch word, and are split when larger.
func TestBatches(t *testing.T) {
	p := &facings.Project{Units: []facings.Unit{
		{Name: "a", Body: "foot", Roles: []facings.Role{{Name: "man", Count: 12}}},
		{Name: "b", Body: "foot", Roles: []facings.Role{{Name: "man", Count: 12}}},
		{Name: "c", Body: "foot", Roles: []facings.Role{{Name: "man", Count: 12}}},
		{Name: "d", Body: "mounted", Batch: "x", Roles: []facings.Role{{Name: "man", Count: 12}}},
		{Name: "e", Body: "mounted", Batch: "x", Roles: []facings.Role{{Name: "man", Count: 12}}},
		{Name: "f", Body: "foot", Roles: []facings.Role{{Name: "man", Count: 61}}},
	}}
	r, _, err := ranks.Deal(context.Background(), p, ranks.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]map[int]int{}
	for _, f := range r.Figures {
		if got[f.ID.Unit] == nil {
			got[f.ID.Unit] = map[int]int{}
		}
		got[f.ID.Unit][f.Batch]++
	}
	want := map[string]map[int]int{"a": {0: 12}, "b": {0: 12}, "c": {1: 12}, "d": {2: 12}, "e": {2: 12}, "f": {3: 21, 4: 20, 5: 20}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
