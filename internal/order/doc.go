// Package order turns a checked project and its roster into a plan: coats
// (every figure, area and coat, with the colour it will show), what is already
// right and left out, the rules between them, jobs, and the sequence of passes
// with its dates.
//
// It leaves colour to a Colourist (pigment, handed in by the caller), dealing
// traits to ranks, the calendar to sitting and searching to solve/sched; it
// knows the rules of the trade and translates. Whether what comes out keeps
// the rules is for package check to say, which knows nothing of this one.
//
// Units: seconds inside, minutes in what is returned; areas in mm² at the
// project's own size.
//
// Start with Settle (coats), then Plan (order).
package order
