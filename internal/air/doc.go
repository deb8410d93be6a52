// Package air says whether the air is fit to spray and paint in: the dew point
// by the Magnus formula, how far a surface is above it, the windows of humidity
// and temperature, and how long castings from a cold room should stand first.
//
// It leaves drying times to the root package, whose factor it only repeats, and
// knows no plan: package app joins its verdict to one. The limits come from
// standards for steel and from common practice; a can's own label goes first.
//
// Units: °C, relative humidity in % (over water at every temperature, as the
// World Meteorological Organization has it), Pa, minutes.
//
// Start with Judge. Ref: wmo8, iso8502-4, iso12944-7.
package air
