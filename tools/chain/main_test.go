package main

import (
	"bytes"
	"strings"
	"testing"
)

// The first projects of the long run (docs/measurements/chain.md), of every kind.
func TestChainHolds(t *testing.T) {
	n := 30
	if testing.Short() {
		n = 10
	}
	r := run(0, n)
	for _, bad := range r.Bad {
		t.Error(bad)
	}
	if got := r.Planned + r.Infeasible + r.Faulty + r.Refused; got != n {
		t.Errorf("%d projects have an end, want %d: %+v", got, n, *r)
	}
	if r.Planned < n/2 || r.PlannedOn < n/2 || r.Faulty < n/5 {
		t.Errorf("too few of a kind: %+v", *r)
	}
}

// A quick painter came to the second figure of a pass before it was dry.
func TestTheRestWaitsForAQuickPainter(t *testing.T) {
	for _, bad := range run(1974, 1).Bad {
		t.Error(bad)
	}
}

// A mix died in the last second of a long pass of a slow painter, whose figures
// each took a rounded second longer.
func TestAMixOutlivesASlowPainter(t *testing.T) {
	for _, bad := range run(20002, 1).Bad {
		t.Error(bad)
	}
}

func TestWrongUsage(t *testing.T) {
	for _, args := range [][]string{{"-n", "0"}, {"-from", "-1"}, {"more"}, {"-x"}} {
		var out, problems bytes.Buffer
		if code := command(args, &out, &problems); code != 2 || strings.TrimSpace(problems.String()) == "" || out.Len() > 0 {
			t.Errorf("%q: status %d, problems %q, output %q; want 2, some, none", args, code, problems.String(), out.String())
		}
	}
}
