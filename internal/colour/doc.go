// Package colour computes with light and seen colour: spectra, the CIE 1931
// 2° observer, illuminants, CIE XYZ, Lab and LCh, OKLab, sRGB with gamut
// mapping, CIEDE2000 differences, chromatic adaptation, plain-language colour
// names, a smooth reflectance for a given colour, and how far away a detail
// can still be seen.
//
// It knows no paint: nothing here mixes, scatters or covers. That is package
// pigment's work.
//
// Units and scales. Wavelengths are nanometres; a reflectance is a number in
// 0..1 at 380, 390 … 730 nm. XYZ has Y = 1 for the perfect diffuser (CIE
// tables print Y = 100). Lab has L in 0..100. Linear and encoded sRGB are in
// 0..1. Angles of hue are degrees in 0..360. Distances of viewing and sizes of
// details are millimetres.
//
// Meaning is in the type: a Reflectance is no Illuminant, and neither is a
// colour until a View (an illuminant seen by an observer) has weighed it.
//
// Start with Standard and NewView in view.go; then View.Lab, DeltaE00, Name.
//
// Ref: cie15-2018, sharma2005, ottosson2020, burns2020.
package colour
