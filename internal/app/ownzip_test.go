package app_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"regexp"
	"strings"
	"testing"

	"facings/internal/app"
	"facings/internal/projectfile"
)

// A zip that somebody makes of a project's folder is taken in like one that the
// pages export: the one project file in it, whatever it is called, and what lies
// beside it.
func TestTheZipOfAFolderIsTakenIn(t *testing.T) {
	ctx := context.Background()
	text := pictured()
	svg := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 15 15"><rect width="15" height="15" fill="#22583a"/></svg>`
	for name, members := range map[string][]string{
		"flat":        {"army.yaml", text, "colour.svg", svg},
		"in a folder": {"my army/", "", "my army/.hidden", "x", "my army/colour.svg", svg, "my army/army.yml", text},
	} {
		d := desk(t)
		head, err := d.Import(ctx, "", "", zipOf(t, members...))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, there := head.Files["colour.svg"]; len(head.Files) != 1 || !there {
			t.Errorf("%s: files %v", name, head.Files)
		}
		benchOf(t, d, head.Kept.ID) // it can be planned
	}
	for name, members := range map[string][]string{
		"two projects":      {"a.yaml", text, "b.yaml", text},
		"deep in folders":   {"a/b/army.yaml", text},
		"beside its folder": {"a/army.yaml", text, "colour.svg", svg},
		"out of the folder": {"a/army.yaml", text, "a/../colour.svg", svg},
	} {
		if _, err := desk(t).Import(ctx, "", "", zipOf(t, members...)); !errors.As(err, new(*app.Mistake)) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// pictured is the starter project with a picture for a flag.
func pictured() string {
	text := regexp.MustCompile(`(?m)^      parts: \[\{part: field.*$`).ReplaceAllString(string(projectfile.Starter()), "")
	return strings.Replace(text, "design: a white cross on green", "picture: colour.svg", 1)
}

// zipOf packs names and contents in turn.
func zipOf(t *testing.T, pairs ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		w, err := z.Create(pairs[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(pairs[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A picture of a flag that is not there is a warning of check and of the plan.
func TestAMissingPictureOfAFlagIsSaid(t *testing.T) {
	text := strings.Replace(pictured(), "picture: colour.svg", "picture: colour.svg\n      picture_reverse: other.svg", 1)
	a := &app.App{}
	o, err := a.Read(t.TempDir()+"/army.yaml", []byte(text))
	if err != nil {
		t.Fatal(err, o.Findings)
	}
	plan, err := a.Coats(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, f := range plan.Findings {
		if f.ID == "flag-picture-missing" {
			said = append(said, f.Message)
			if f.Line == 0 || f.Hint == "" {
				t.Errorf("%+v", f)
			}
		}
	}
	if len(said) != 2 || !strings.Contains(said[0], "colour.svg") || !strings.Contains(said[1], "other.svg") {
		t.Errorf("%q", said)
	}
}
