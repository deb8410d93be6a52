package seat

import (
	"fmt"
	"math/bits"
	"sort"
)

// Apportion splits n into whole parts in proportion to shares by the method
// of largest remainders (Hamilton's): each gets the whole part of its quota,
// and what is left over goes one by one to the largest remainders, the lower
// index first among equals. The parts always sum to n.
//
// Shares are any non-negative integers (per cent, per mille, votes); their
// sum must lie in 1 to 2^62, n in 0 to 2^31. A share of 0 gets 0.
//
// Ref: balinski1982.
func Apportion(shares []int, n int) ([]int, error) {
	total := uint64(0)
	for i, s := range shares {
		if s < 0 || s > 1<<62 || total+uint64(s) > 1<<62 {
			return nil, fmt.Errorf("shares[%d] is %d: shares must not be negative, nor sum to more than 2^62", i, s)
		}
		total += uint64(s)
	}
	switch {
	case total == 0:
		return nil, fmt.Errorf("shares sum to 0: give at least one a share")
	case n < 0 || n > 1<<31:
		return nil, fmt.Errorf("n is %d: between 0 and 2^31 can be split", n)
	}
	parts := make([]int, len(shares))
	rest := make([]uint64, len(shares))
	order := make([]int, len(shares))
	left := n
	for i, s := range shares {
		hi, lo := bits.Mul64(uint64(s), uint64(n))
		q, r := bits.Div64(hi, lo, total)
		parts[i], rest[i], order[i] = int(q), r, i
		left -= int(q)
	}
	sort.SliceStable(order, func(a, b int) bool { return rest[order[a]] > rest[order[b]] })
	for _, i := range order[:left] {
		parts[i]++
	}
	return parts, nil
}
