// Package geom holds vectors, triangle meshes whose faces carry an area label,
// ray casting, and the files meshes come in.
//
// It knows nothing of paint, light or figures, and it never guesses what a
// label means.
//
// Units and axes: lengths in millimetres, areas in mm², volumes in mm³, angles
// in radians unless a name says degrees. Coordinates are right-handed with Z
// up. A figure stands on Z = 0, looks along +Y and has its right hand on the
// +X side. Faces wind counter-clockwise seen from outside.
//
// Start with Mesh; Read brings a file in, Measure and Inspect tell what it is,
// NewBVH casts rays at it.
//
// Ref: eberly2002, woop2013, wald2007.
package geom
