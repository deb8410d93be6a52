package cli

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"facings"
	"facings/internal/app"
	"facings/internal/swatch"
)

// Every field that --json prints is named in docs/json.md, which promises them.
func TestEveryFieldIsPromised(t *testing.T) {
	text, err := os.ReadFile("../../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, word := range regexp.MustCompile(`[a-z0-9_]+`).FindAllString(string(text), -1) {
		named[word] = true
	}
	seen := map[reflect.Type]bool{}
	fields := 0
	var walk func(of reflect.Type, at string)
	walk = func(of reflect.Type, at string) {
		switch of.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			walk(of.Elem(), at)
		case reflect.Struct:
			if seen[of] || of.PkgPath() == "time" {
				return
			}
			seen[of] = true
			for i := range of.NumField() {
				f := of.Field(i)
				name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
				if name == "-" || !f.IsExported() {
					continue
				}
				if name == "" && !f.Anonymous {
					t.Errorf("%s.%s has no name in JSON", at, f.Name)
				}
				if fields++; name != "" && !named[name] {
					t.Errorf("docs/json.md does not name %q of %v, printed by %s", name, of, at)
				}
				walk(f.Type, at)
			}
		}
	}
	for command, v := range map[string]any{
		"check": checked{}, "demo": demoResult{}, "order": app.OrderResult{}, "ranks": facings.Roster{}, "shop": facings.Shopping{},
		"air": app.AirReport{}, "measure": app.Survey{}, "mix": app.MixResult{}, "match": app.MatchResult{}, "pace": app.PaceReport{},
		"record": app.Record{}, "more": app.More{}, "campaign": app.Campaign{}, "sheet": written{}, "sheet flags": flagsJSON{},
		"sheet swatch-card": swatchCardsJSON{}, "sheet trays": traysJSON{}, "swatch": swatch.Reading{}, "swatch of none": photoResult{},
		"swatch --at": spotsResult{}, "a log": facings.Entry{},
	} {
		walk(reflect.TypeOf(v), command)
	}
	if fields < 150 {
		t.Errorf("only %d fields were looked at", fields)
	}
}
