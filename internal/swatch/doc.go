// Package swatch makes the printed swatch card and reads the photograph of one
// that has been painted: the colour of every paint over black and over white,
// with an uncertainty and a warning wherever the photograph does not carry the
// answer.
//
// It knows no project file and no terminal. Draw hands out the card as a page of
// package sheet, which writes it as PDF, SVG or PNG.
//
// Units. Places on the card are millimetres from its top left corner, x to the
// right, y down. Places in a photograph are pixels, the centre of the first at
// 0.5, 0.5. Light is linear sRGB, 1 for a full pixel in the photograph and 1
// for the perfect diffuser in a reading. Uncertainties are CIEDE2000.
//
// How far a reading can be trusted. A camera has three channels and its own
// curve; the reader takes the photograph for sRGB, puts it right by the card's
// white and grey ramp, and takes the card's white for ordinary paper
// (PaperWhite). Two paints that a camera cannot tell apart may differ to the
// eye, colours outside sRGB are cut off at its edge (with a warning), and
// fluorescent or metallic paints read wrongly.
//
// Start with NewLayout in layout.go, then Read in read.go.
package swatch
