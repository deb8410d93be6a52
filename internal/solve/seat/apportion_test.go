package seat

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The apportionment of 120 seats by the census of 1790, in the bill vetoed in
// 1792: COMAP, For All Practical Purposes, 10th edition, example 14.6 and
// table 14.5 (quotas and seats; total population 3,615,920). The populations
// themselves are from memory; they give the quotas of that table.
func TestApportionOfTheVetoedBill(t *testing.T) {
	states := []struct {
		population, seats int
	}{
		{630_560, 21}, // Virginia
		{475_327, 16}, // Massachusetts
		{432_879, 14}, // Pennsylvania
		{353_523, 12}, // North Carolina
		{331_589, 11}, // New York
		{278_514, 9},  // Maryland
		{236_841, 8},  // Connecticut
		{206_236, 7},  // South Carolina
		{179_570, 6},  // New Jersey
		{141_822, 5},  // New Hampshire
		{85_533, 3},   // Vermont
		{70_835, 2},   // Georgia
		{68_705, 2},   // Kentucky
		{68_446, 2},   // Rhode Island
		{55_540, 2},   // Delaware
	}
	var shares, want []int
	total := 0
	for _, s := range states {
		shares, want = append(shares, s.population), append(want, s.seats)
		total += s.population
	}
	if total != 3_615_920 {
		t.Fatalf("populations sum to %d", total)
	}
	got, err := Apportion(shares, 120)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestApportionKeepsQuotaAndSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shares := rapid.SliceOfN(rapid.IntRange(0, 1_000_000_000), 1, 12).Draw(t, "shares")
		n := rapid.IntRange(0, 1_000_000).Draw(t, "n")
		total := 0
		for _, s := range shares {
			total += s
		}
		parts, err := Apportion(shares, n)
		if total == 0 {
			if err == nil {
				t.Fatal("no error for shares of nothing")
			}
			return
		}
		sum := 0
		for i, p := range parts {
			sum += p
			if low := shares[i] * n / total; p < low || p > low+1 || p > low && shares[i]*n%total == 0 {
				t.Fatalf("part %d is %d, its quota %d/%d", i, p, shares[i]*n, total)
			}
		}
		if sum != n {
			t.Fatalf("parts sum to %d, want %d", sum, n)
		}
	})
}

func TestApportionTies(t *testing.T) {
	got, err := Apportion([]int{1, 1, 1, 1}, 6) // the lower index first: our rule
	if diff := cmp.Diff([]int{2, 2, 1, 1}, got); diff != "" || err != nil {
		t.Error(diff, err)
	}
	for _, bad := range [][]int{nil, {0, 0}, {-1, 2}, {1 << 62, 1}} {
		if _, err := Apportion(bad, 3); err == nil {
			t.Errorf("no error for %v", bad)
		}
	}
	if got, err := Apportion([]int{1 << 61, 1 << 61}, 1<<31); err != nil || got[0] != 1<<30 {
		t.Error(got, err)
	}
}
