package projectfile

import (
	"reflect"
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
