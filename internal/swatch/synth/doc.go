// Package synth makes photographs of painted swatch cards that nobody took,
// with the truth known: paints are films of pigment over the card's own black
// and white, streaked by a brush; the card lies aslant on a cluttered table
// under uneven, tinted light; the camera has a lens, a curve and noise, and
// saves a JPEG.
//
// It shares the card's layout with the reader, and nothing else: the geometry
// of its camera is a ray through a lens, not a homography. Its camera sees the
// colours of the standard observer, or, if asked, through three channels of its
// own.
//
// Units as in package swatch. Start with Take.
package synth
