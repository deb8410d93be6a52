package order_test

import (
	"strings"
	"testing"

	"facings/internal/check"
)

// Several batches are kept apart; what comes out passes the
// checker, and the bound stays below it.
func TestBatchByBatch(t *testing.T) {
	text := strings.Replace(small, "rack:", "rules: {batch_figures: 2}\nrack:", 1)
	text = strings.Replace(text, "trooper: 3}", "trooper: 6}", 1)
	p := project(t, text)
	roster, coats, o := plan(t, p)
	if found := check.Order(p, roster, coats, o); len(found) > 0 {
		t.Fatal(found[0])
	}
	last := 0
	for _, pass := range o.Passes {
		last = max(last, pass.Batch)
	}
	if last != 3 {
		t.Errorf("the last batch is %d, want 3", last)
	}
	if o.LowerBoundMinutes <= o.WorkMinutes || o.LowerBoundMinutes > o.Minutes {
		t.Errorf("the bound, %v, is not between the work, %v, and the order, %v", o.LowerBoundMinutes, o.WorkMinutes, o.Minutes)
	}
}
