// Package figure models the castings the program brings along: a soldier on
// foot, a mounted one, a field gun, in the dress and pose a Spec asks for.
//
// Each body is a set of solids given by signed distances, joined with small
// fillets, sampled, turned into a closed triangle mesh and labelled face by
// face with the area whose solid is nearest. It knows nothing of paint; how a
// casting is held, cleaned or based is not its matter either.
//
// Units: millimetres at 28 mm size (1/56): a man of 1.70 m is 30.4 mm high, a
// horse of 15 hands 2 inches 28.1 mm at the withers. Other sizes by scaling
// the mesh. Axes as in geom: z up, the figure looks along +y, its right hand is
// at +x, z = 0 is the underside of the base.
//
// Where to start: Spec says what can be asked for, Build makes the mesh,
// Measure tells what its areas mean to a brush. man.go, horse.go and gun.go
// hold the forms; stances.go the poses; march.go and dual.go the surface.
//
// Ref: [hart1996] distances as solids; [ju2002], [nielson2004] the surface;
// [garland1997] thinning it.
package figure
