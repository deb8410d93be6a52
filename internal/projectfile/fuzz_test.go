package projectfile

import (
	"bytes"
	"slices"
	"testing"

	"facings"
)

// Whatever the bytes, reading gives a project or says why not, and each
// finding has its place inside the text, its words and a way out.
func FuzzRead(f *testing.F) {
	for _, text := range badFiles(f) {
		f.Add(text)
	}
	f.Add(Starter())
	f.Add([]byte(sample))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, doc, found := Read("fuzz.yaml", data)
		if (p == nil) != (doc == nil) || (p == nil && !found.Faulty()) {
			t.Fatalf("project %v, document %v, findings %v", p != nil, doc != nil, found)
		}
		lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) + 2 + // and YAML 1.1's own
			bytes.Count(data, []byte("\u0085")) + bytes.Count(data, []byte("\u2028")) + bytes.Count(data, []byte("\u2029"))
		for _, d := range found {
			if d.File != "fuzz.yaml" || d.Line < 1 || d.Column < 1 || d.Line > lines || d.ID == "" || d.Message == "" || d.Hint == "" {
				t.Fatalf("a finding lacks something: %+v", d)
			}
		}
		if _, _, again := Read("fuzz.yaml", data); !slices.Equal(found, again) {
			t.Fatalf("read twice, found\n%v\nand\n%v", found, again)
		}
		if p != nil && len(found) == 0 {
			rewrite(t, p)
		}
	})
}

// rewrite checks that a project without findings can be written and read.
func rewrite(t *testing.T, p *facings.Project) {
	t.Helper()
	text, err := Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, found := Read("written.yaml", text); len(found) > 0 {
		t.Fatalf("after writing:\n%v\n%s", found, text)
	}
}

// Any edit of any file either is made, so that the text still reads as what
// the document says, or leaves the text as it was.
func FuzzEdit(f *testing.F) {
	for _, pointer := range []string{"/name", "/rack/red/left_ml", "/rack/blue", "/finishes/lace/-", "/finishes/cloth/0", "/units/First/scheme/cuffs", "/mixes/a~1b/red", "/note"} {
		f.Add([]byte(sample), pointer, "new: text # not a comment", byte(0))
		f.Add([]byte(sample), pointer, "plain", byte(1))
		f.Add([]byte(sample), pointer, "green", byte(2))
	}
	f.Add(Starter(), "/rack/carbon black/kind", "ink", byte(0))
	f.Fuzz(func(t *testing.T, data []byte, pointer, value string, which byte) {
		_, doc, _ := Read("fuzz.yaml", data)
		if doc == nil {
			return
		}
		before := doc.Text()
		var err error
		switch which % 3 {
		case 0:
			err = doc.Set(pointer, value)
		case 1:
			err = doc.Delete(pointer)
		case 2:
			err = doc.Rename(pointer, value)
		}
		after := doc.Text()
		if err != nil && !bytes.Equal(before, after) {
			t.Fatalf("%v, yet the text changed:\n%s", err, after)
		}
		r := &reader{}
		if root := r.parse(bytes.TrimPrefix(after, []byte("\ufeff"))); err == nil && (root == nil || !equal(root, doc.root)) {
			t.Fatalf("the text reads as something else:\n%s", after)
		}
		p, _, found := Read("fuzz.yaml", after)
		known, _, same := doc.Read()
		if !slices.Equal(found, same) || string(encodeText(p)) != string(encodeText(known)) {
			t.Fatalf("the document reads as something else than its text:\n%s\n%v\n%v", after, found, same)
		}
	})
}
