package colour

import (
	"math"
	"testing"
)

// CAT16 leaves the equal-energy white (1, 1, 1) as it is (Li and others 2017):
// every row adds to 1.
func TestCAT16RowsAddToOne(t *testing.T) {
	for i, row := range cat16 {
		if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 1e-9 {
			t.Errorf("row %d adds to %v", i, sum)
		}
	}
}
