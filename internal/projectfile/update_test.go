package projectfile

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"facings"
)

// From any project to any other: the file says the new one afterwards.
func TestUpdateReachesAnyProject(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := &facings.Project{}, &facings.Project{}
		fill(t, reflect.ValueOf(from).Elem(), "")
		fill(t, reflect.ValueOf(to).Elem(), "")
		text, err := Marshal(from)
		if err != nil {
			t.Fatal(err)
		}
		r := &reader{}
		root := r.parse(text)
		r.doc = newDoc("", text, false, root)
		r.project(root)
		if err := r.doc.Update(to); err != nil {
			t.Fatalf("%v\nfrom\n%s\nto\n%s", err, text, encodeText(to))
		}
		again, _, _ := r.doc.reread()
		if string(encodeText(again)) != string(encodeText(to)) {
			t.Fatal("the file says something else")
		}
	})
}

// A painter's evening, as the program records it, leaves every comment alone.
func TestUpdateKeepsComments(t *testing.T) {
	p, d, _ := Read("starter.yaml", Starter())
	p.Seed = 99
	p.Calendar.Painters[0].Pace = 1.1
	for i := range p.Rack {
		if p.Rack[i].LeftML > 1 {
			p.Rack[i].LeftML--
		}
	}
	p.Rack = append(p.Rack, facings.Paint{Name: "sky blue", Kind: facings.Opaque, Colour: "#4f9fd0"})
	p.Finishes = append(p.Finishes, facings.Finish{Name: "sky cloth", Coats: []facings.Coat{{Paint: "sky blue"}}})
	p.Units[0].Scheme["collar"] = "sky cloth"
	p.Units[0].Roles[2].Count = 12
	p.Castings[0].Lacks = nil
	if err := d.Update(p); err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(string(Starter()), "\n") {
		if _, comment, ok := strings.Cut(line, "# "); ok && !strings.Contains(string(d.Text()), comment) {
			t.Errorf("line %d lost its comment %q", i+1, comment)
		}
	}
	if got := strings.Count(lineDiff(string(Starter()), string(d.Text())), "\n") + 1; got > 48 {
		t.Errorf("%d lines differ:\n%s", got, lineDiff(string(Starter()), string(d.Text())))
	}
}

// A document that was edited reads as its text does, faults and their places
// among them, though the text is not gone through again.
func TestReadAfterEdits(t *testing.T) {
	texts := [][]byte{Starter(), []byte(sample), []byte(sample + "---\na: second document\n")}
	for _, text := range badFiles(t) {
		texts = append(texts, text)
	}
	read := 0
	for _, text := range texts {
		_, d, _ := Read("x.yaml", text)
		if d == nil {
			continue
		}
		for _, edit := range []func() error{func() error { return nil }, func() error { return d.Set("/name", "Another name: \"quoted\"") }, func() error { return d.Set("/units/First/body", "no such body") },
			func() error { return d.Delete("/rack") }} {
			if edit() != nil {
				continue
			}
			read++
			p, _, found := d.Read()
			again, _, want := Read("x.yaml", d.Text())
			if !slices.Equal(found, want) || string(encodeText(p)) != string(encodeText(again)) {
				t.Errorf("%s\nreads as\n%v\n%v", d.Text(), want, found)
			}
		}
	}
	if read < len(texts) {
		t.Errorf("%d edits of %d texts were tried", read, len(texts))
	}
}

// Saying what the file says already changes no byte, whatever its style.
func TestUpdateOfNothing(t *testing.T) {
	for name, text := range map[string]string{"sample": sample, "starter": string(Starter())} {
		d := document(t, text)
		p, _, _ := d.reread()
		if err := d.Update(p); err != nil || string(d.Text()) != text {
			t.Errorf("%s: %v\n%s", name, err, lineDiff(text, string(d.Text())))
		}
	}
}

// A paint may be called as the list of a mix's parts is.
func TestUpdateOfAPaintCalledParts(t *testing.T) {
	from := &facings.Project{Mixes: []facings.Mix{{Name: "sky", Note: "old", Parts: []facings.Part{{Paint: "parts", Parts: 1}, {Paint: "blue", Parts: 2}}}}}
	to := &facings.Project{Mixes: []facings.Mix{{Name: "sky", Note: "new"}}}
	text, err := Marshal(from)
	if err != nil {
		t.Fatal(err)
	}
	_, d, _ := Read("x.yaml", text)
	if err := d.Update(to); err != nil {
		t.Fatal(err)
	}
}
