package main

import (
	"facings/internal/geom"
	"facings/internal/light"
)

// verify casts every ray of e again, one by one through the hierarchy, and
// returns how many there were and how many verdicts differ.
func verify(m *geom.Mesh, sources []light.Source, e *light.Exposure) (rays, differ int64) {
	tree := geom.NewBVH(m)
	for s, src := range sources {
		for i, v := range m.V {
			if !e.Blocked.Cast(s, i) {
				continue
			}
			rays++
			if tree.Any(geom.Ray{O: v, D: src.To, Near: e.Near}) != e.Blocked.Hit(s, i) {
				differ++
			}
		}
	}
	return rays, differ
}
