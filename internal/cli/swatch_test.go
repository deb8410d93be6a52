package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"facings"
	"facings/internal/cli"
	"facings/internal/swatch/synth"
)

// TestSwatchPhoto reads a photograph of a painted card by the command: a line
// of text for every cell, the same as JSON, and YAML that is a rack.
func TestSwatchPhoto(t *testing.T) {
	shot, err := synth.Take(42, synth.Options{Turn: 1, Cells: 6, Long: 1100})
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "card.jpg")
	if err := os.WriteFile(path, shot.JPEG, 0o644); err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) string {
		var out, errs bytes.Buffer
		p := cli.Program{Out: &out, Err: &errs, In: strings.NewReader("")}
		if code := p.Main(context.Background(), append([]string{"swatch", path}, args...)); code != 0 {
			t.Fatalf("exit %d: %s", code, errs.String())
		}
		return out.String()
	}
	var got struct {
		Cells []struct {
			Cell  int
			State string
			White *struct {
				Hex  string
				Name string
			} `json:"over_white"`
			Rack *struct {
				OverWhite string `json:"over_white"`
			}
		}
	}
	if err := json.Unmarshal([]byte(run("--json")), &got); err != nil {
		t.Fatal(err)
	}
	text := run()
	_, lines, _ := strings.Cut(text, "on the card:\n")
	var rack map[string]facings.Paint
	if err := yaml.Unmarshal([]byte(lines), &rack); err != nil {
		t.Fatalf("%v in:\n%s", err, lines)
	}
	painted := 0
	for i, c := range got.Cells {
		if (shot.Truth[i].Paint == "") != (c.State == "empty") {
			t.Errorf("cell %d, %q, is %s", c.Cell, shot.Truth[i].Paint, c.State)
		}
		if c.Rack == nil {
			continue
		}
		painted++
		if !strings.Contains(text, c.White.Hex) || !strings.Contains(text, c.White.Name) {
			t.Errorf("the text lacks %s %s", c.White.Hex, c.White.Name)
		}
		found := false
		for _, p := range rack {
			found = found || p.OverWhite == c.Rack.OverWhite
		}
		if !found {
			t.Errorf("the rack lacks %s", c.Rack.OverWhite)
		}
	}
	if painted == 0 || painted != len(rack) {
		t.Errorf("%d painted cells, %d lines for the rack", painted, len(rack))
	}
}
