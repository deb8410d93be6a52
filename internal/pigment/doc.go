// Package pigment predicts what paint shows: Kubelka–Munk films with the
// Saunderson surface correction over any ground, stacks of films, mixes, and
// the fitting of a paint's absorption and scattering from swatches, from a
// measured spectrum, or, as a guess, from one colour and the kind of paint.
// It also holds the starter rack.
//
// It does not read photographs or files of users, and it plans nothing; package
// colour turns its reflectances into seen colours.
//
// Units. Absorption K and scattering S are per coat: a film of thickness 1 is
// one brushed coat (50 µm wet). A reflectance comes in two types: as seen from
// outside the film (colour.Reflectance), and as met inside it, below the
// surface between film and air (Inner). Films lie on Inner grounds, because
// paint on paint has no air between. Mixes go by volume.
//
// Start with KS.Over in film.go, then Mixer in mix.go and Fit in fit.go.
//
// Ref: kubelka1948, saunderson1942.
package pigment
