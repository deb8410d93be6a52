// Package light works out where light and spray arrive on a figure, and draws
// pictures of it.
//
// It knows meshes and linear-light RGB; it knows no paint: colours come from the
// caller, which predicts them from the exposure given here.
//
// Units: millimetres, degrees where a name says so, exposures between 0 and 1.
// Axes as in package geom: Z up, the figure looks along +Y.
//
// Start with Spray and Expose; a Stage makes pictures, DrawLines line drawings,
// SurveyFile says all there is to say of a mesh file.
package light
