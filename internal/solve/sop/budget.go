package sop

import "sync/atomic"

// budget counts the steps one part may still take before it must hand back,
// and hears when all must stop.
type budget struct {
	left int64
	used int64
	stop *atomic.Bool
}

// grant allows n more steps.
func (b *budget) grant(n int64) { b.left += n }

// spend takes n steps and reports whether to go on.
func (b *budget) spend(n int) bool {
	b.left -= int64(n)
	b.used += int64(n)
	return b.left > 0 && !b.stop.Load()
}
