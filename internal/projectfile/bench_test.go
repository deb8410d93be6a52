package projectfile

import (
	"fmt"
	"strings"
	"testing"

	"facings"
)

// large is a project of about 500 figures: the starter's unit forty times, the
// rack and finishes ten times.
func large(t testing.TB) []byte {
	t.Helper()
	p, _, found := Read("starter.yaml", Starter())
	if len(found) > 0 {
		t.Fatal(found)
	}
	rack, finishes, unit := p.Rack, p.Finishes, p.Units[0]
	for i := range 9 {
		for _, x := range rack {
			x.Name = fmt.Sprintf("%s %d", x.Name, i)
			p.Rack = append(p.Rack, x)
		}
		for _, f := range finishes {
			f.Name = fmt.Sprintf("%s %d", f.Name, i)
			p.Finishes = append(p.Finishes, f)
		}
	}
	for i := range 40 {
		u := unit
		u.Name = fmt.Sprintf("%s %d", u.Name, i)
		p.Units = append(p.Units, u)
	}
	text, err := Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func BenchmarkRead(b *testing.B) {
	text := large(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, _, found := Read("large.yaml", text); len(found) > 0 {
			b.Fatal(found)
		}
	}
}

func BenchmarkValidate(b *testing.B) {
	p, _, _ := Read("large.yaml", large(b))
	for b.Loop() {
		p.Validate()
	}
}

// BenchmarkReadFaulty misspells one letter of every finish in the schemes.
func BenchmarkReadFaulty(b *testing.B) {
	text := []byte(strings.ReplaceAll(string(large(b)), ": madder red", ": mader red"))
	for b.Loop() {
		if _, _, found := Read("large.yaml", text); !found.Faulty() {
			b.Fatal("no faults")
		}
	}
}

func BenchmarkMarshal(b *testing.B) {
	p, _, _ := Read("large.yaml", large(b))
	for b.Loop() {
		if _, err := Marshal(p); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSetOne changes one number, as after a painting session.
func BenchmarkSetOne(b *testing.B) {
	_, doc, _ := Read("large.yaml", large(b))
	left := 0
	for b.Loop() {
		left = (left + 1) % 17
		if err := doc.Set("/rack/carbon black 5/left_ml", left); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkUpdateRack says anew what is left in every pot.
func BenchmarkUpdateRack(b *testing.B) {
	p, doc, _ := Read("large.yaml", large(b))
	for b.Loop() {
		for i := range p.Rack {
			p.Rack[i].LeftML = facings.Millilitres(1 + (int(p.Rack[i].LeftML)+1)%17)
		}
		if err := doc.Update(p); err != nil {
			b.Fatal(err)
		}
	}
}
