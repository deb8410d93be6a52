package projectfile

import "testing"

func TestStarterIsWithoutFinding(t *testing.T) {
	p, _, found := Read("starter.yaml", Starter())
	if p == nil || len(found) > 0 {
		t.Fatalf("the starter has findings:\n%v", found)
	}
}
