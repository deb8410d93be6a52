package main

import (
	"bytes"
	"strings"
	"testing"

	"facings/internal/demo"
	"facings/internal/projectfile"

	"github.com/google/go-cmp/cmp"
)

func TestWrittenArmyReadsBack(t *testing.T) {
	for _, seed := range []string{"1", "2", "3"} {
		var out, problems bytes.Buffer
		if code := run([]string{"-figures", "150", "-seed", seed}, &out, &problems); code != 0 || problems.Len() > 0 {
			t.Fatalf("status %d, %s", code, problems.String())
		}
		got, _, found := projectfile.Read("army.yaml", out.Bytes())
		if len(found) > 0 {
			t.Fatalf("seed %s:\n%v", seed, found)
		}
		if seed == "1" {
			if diff := cmp.Diff(demo.Army(1, 150).Units, got.Units); diff != "" {
				t.Errorf("the army changed on the way through the file:\n%s", diff)
			}
		}
	}
}

func TestBrokenArmyIsRefusedForItsReason(t *testing.T) {
	var out, problems bytes.Buffer
	if code := run([]string{"-figures", "60", "-seed", "4", "-broken"}, &out, &problems); code != 0 {
		t.Fatalf("status %d, %s", code, problems.String())
	}
	fields := strings.Fields(problems.String())
	if len(fields) < 4 || fields[0] != "broken:" {
		t.Fatalf("the flaw is not named: %q", problems.String())
	}
	_, _, found := projectfile.Read("army.yaml", out.Bytes())
	for _, d := range found {
		if d.ID == fields[1] {
			return
		}
	}
	t.Errorf("%s was not found in the file; found only:\n%v", fields[1], found)
}

func TestWrongUsage(t *testing.T) {
	for _, args := range [][]string{{"-figures", "0"}, {"-figures", "2001"}, {"-seed", "x"}, {"more"}} {
		var out, problems bytes.Buffer
		if code := run(args, &out, &problems); code != 2 || problems.Len() == 0 || out.Len() > 0 {
			t.Errorf("%q: status %d, problems %q, output %d bytes; want 2, some, none", args, code, problems.String(), out.Len())
		}
	}
}
